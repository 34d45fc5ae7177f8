//! [`explanation`]: a verdict in full sentences, with its numbers.

mod neighbours;

use crate::books::when::minute;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::capacitor::Condition;
use crate::engine::judge::discharge::{CAUTION, ChargedPart};
use crate::engine::judge::winding::{Measured, impedance_ratio, reflected_load};
use crate::engine::judge::{Rule, Verdict};
use crate::engine::parts::{Article, Part, Step, ToleranceOrigin};
use crate::engine::probing::{Estimate, Finding};
use crate::engine::quantity::{
    Quantity, format_band, format_stated, format_value, format_with_uncertainty,
};
use crate::engine::sitting::{Plan, Record, Row};

/// Sources of an explanation besides the part and its record.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The plan of the sitting.
    pub plan: &'a Plan,
    /// The whole parts list of the sitting, also what was not in the plan.
    pub list: &'a [Part],
    /// The last record of each part that was judged in the sitting, in any order.
    pub records: &'a [Record],
}

/// Explains a verdict: why, the part and its band, what was read, the uncertainty and its components, probability and rule,
/// every further check, and what follows for the circuit and for whoever works on it.
pub fn explanation(part: &Part, record: &Record, evidence: &Evidence<'_>) -> String {
    let plan = evidence.plan;
    let row = &record.row;
    let mut paragraphs = vec![
        format!("{}: {}.", row.title(), row.verdict.name().to_uppercase()),
        the_reason(row),
        the_part(part, plan),
        the_touch(record, plan),
    ];
    let swept = part.step == Step::Sweep;
    if row.step == Step::Own {
        paragraphs.push(the_own_value(row));
    } else if let (Finding::Value(estimate), false) = (record.settled.finding, swept) {
        paragraphs.push(the_uncertainty(record.settled.quantity, estimate));
    }
    if let (Some(judged), false) = (row.value, swept || row.step == Step::Between) {
        paragraphs.push(the_decision(row, judged));
    }
    paragraphs.extend(row.checks.iter().map(|check| {
        let verdict = check
            .verdict
            .map_or_else(String::new, |verdict| format!(" ({verdict})"));
        format!(
            "Check of {}{verdict}: {}.",
            check.aspect.name(),
            check.words
        )
    }));
    paragraphs.extend(load(part, row));
    if part.step != Step::Value {
        return paragraphs.join("\n");
    }
    let circuit = neighbours::drift(part, row, evidence.list);
    let halves = neighbours::halves(part, record, evidence);
    let siblings = neighbours::siblings(part, record, evidence);
    let touch = neighbours::touch(part, row, plan.conditions(), evidence.list);
    let is_new = plan.conditions().condition == Condition::New;
    let charge = charge(part, evidence.list).filter(|_| !is_new);
    paragraphs.extend(
        [circuit, halves, siblings, touch, charge]
            .into_iter()
            .flatten(),
    );
    paragraphs.join("\n")
}

fn the_part(part: &Part, plan: &Plan) -> String {
    if plan.conditions().condition == Condition::New && part.step == Step::Value {
        return the_new_part(part);
    }
    if let Some(words) = held_to(part) {
        return words;
    }
    let quantity = part.nominal.quantity();
    let nominal = format_stated(quantity, part.nominal.value());
    if part.step == Step::Leakage {
        return format!(
            "Its leakage may be {nominal} at most (row {} of the list asks for it; where the limit is from stands below).",
            part.row
        );
    }
    if part.step == Step::Primary {
        return format!(
            "The list (row {}) has it as a ratio of turns ({}). What is fed into the primary may be {nominal} at most, the limit of \
             extra-low voltage (IEC 61140, from memory).",
            part.row, part.value_text
        );
    }
    let written = match part.value_text.as_str() {
        text if text.is_empty() || text == nominal => String::new(),
        text => format!(" ({text})"),
    };
    let (row, kind) = (part.row, part.kind);
    if kind.conducts() {
        let origin = match part.tolerance_origin {
            ToleranceOrigin::Default => {
                "the usual limit of its kind, since the list states no resistance"
            }
            ToleranceOrigin::Rating => "by its rating",
            ToleranceOrigin::Stated | ToleranceOrigin::Marked => "as the parts list states it",
        };
        return format!(
            "The list (row {row}) has it as a {kind}{written}, which has only to conduct: {nominal} at most, {origin}."
        );
    }
    let whose = match part.sheet {
        Some(_) => " on the meter of the service sheet",
        None => "",
    };
    let origin = match part.tolerance_origin {
        ToleranceOrigin::Stated => "as the parts list states it",
        ToleranceOrigin::Marked | ToleranceOrigin::Rating => "as marked with the value",
        ToleranceOrigin::Default => {
            "the usual one of its kind and material, since the list states none"
        }
    };
    format!(
        "The list (row {row}) has it as a {kind} of {nominal}{written}, tolerance {}, {origin}. So {} conforms{whose}.",
        part.tolerance,
        format_band(quantity, part.band)
    )
}

/// A part that no list of the equipment knows.
fn the_new_part(part: &Part) -> String {
    let article = Article::of(part).map_or_else(|| part.nominal.to_string(), |it| it.to_string());
    let origin = match part.tolerance_origin {
        ToleranceOrigin::Default => {
            "the usual tolerance of its kind and material, since none was given"
        }
        _ => "as was given",
    };
    format!(
        "It is new, a {} that was announced as {article}. Held to {}, {origin}: so {} conforms.",
        part.kind,
        part.tolerance,
        format_band(part.nominal.quantity(), part.band)
    )
}

fn the_touch(record: &Record, plan: &Plan) -> String {
    let (settled, row) = (&record.settled, &record.row);
    let time = minute(row.time);
    let took = settled.at.since(settled.contact).as_secs_f64();
    let readings = row.readings;
    let found = match settled.finding {
        Finding::Value(_) if row.step == Step::Sweep => {
            format!("followed the wiper for {took:.1} s until the lift, with {readings} readings")
        }
        Finding::Value(estimate) => {
            let u = 2.0 * estimate.standard_uncertainty;
            let value = format_with_uncertainty(settled.quantity, estimate.value, u);
            // The uncertainty has a paragraph of its own.
            let value = value.split(" ± ").next().unwrap_or_default();
            format!("settled {took:.2} s after contact at {value}, from {readings} readings")
        }
        Finding::Open => format!(
            "showed nothing for {readings} readings after the person had said that the probes are on the part: it is open"
        ),
        Finding::BeyondRange => {
            format!("was steadily beyond its range for {readings} readings")
        }
    };
    format!(
        "Attempt {} of the sitting {}, on {time}, with `{}`: the meter {found}.",
        row.attempt,
        row.sitting,
        &plan.profile_for(settled.quantity).name
    )
}

fn the_uncertainty(quantity: Quantity, estimate: Estimate) -> String {
    let shown = |value| format_value(quantity, value, 3);
    format!(
        "Its standard uncertainty is {} (components combined in quadrature, JCGM 100): {} from the meter's specification \
         (half-width a/√3), {} from the scatter of the readings, and {} because where they were going is known to {} \
         (half-width a/√3). Expanded, U = 2 u: {}.",
        shown(estimate.standard_uncertainty),
        shown(estimate.specification),
        shown(estimate.scatter),
        shown(estimate.remaining / 3f64.sqrt()),
        shown(estimate.remaining),
        format_with_uncertainty(
            quantity,
            estimate.value,
            2.0 * estimate.standard_uncertainty
        )
    )
}

/// Readings that an own value follows from.
fn the_own_value(row: &Row) -> String {
    let rows: Vec<String> = row.rests_on.iter().map(u32::to_string).collect();
    let from = match rows.as_slice() {
        _ if row.verdict == Verdict::Fail => format!(
            "What was read across it (row {}) proves it by itself: whatever is joined beside it can only lower that. It gives",
            rows.join(", ")
        ),
        [one] => format!(
            "Nothing on the list is in a loop with it, so that what was read across it (row {one}) is its own value"
        ),
        _ => format!(
            "Its own value follows from that and the other readings of rows {} of this sitting together",
            rows.join(", ")
        ),
    };
    let value = match row.value {
        Some(_) => format!(": {} (U = 2 u)", row.words()),
        None => ", which do not tell how large it is".to_owned(),
    };
    format!("{from}{value}. No tolerance of a neighbour goes into it.")
}

fn the_decision(row: &Row, judged: Uncertain) -> String {
    let probability = row.probability.map_or_else(String::new, |p| {
        format!(
            " The probability that the true value conforms is {} (JCGM 106, normal distribution).",
            percent(p)
        )
    });
    let rule = match (row.rule, row.guard) {
        (Rule::GuardBand, Some(guard)) => format!(
            "The rule is `guard-band` (ILAC-G8:09/2019): within {} of a limit (w = U) a verdict is conditional.",
            format_value(row.quantity, guard, 3)
        ),
        _ => "The rule is `simple` acceptance (ILAC-G8:09/2019): the limit itself decides."
            .to_owned(),
    };
    format!(
        "Compared with {}: {}, {}, is {}.{probability} {rule}",
        row.band_words(),
        row.words(),
        row.deviation(),
        distance(row, judged.value)
    )
}

/// Distance from the limits, inside or outside the band.
fn distance(row: &Row, value: f64) -> String {
    let band = row.band;
    let shown = |value| format_value(row.quantity, value, 3);
    if band.lower() == f64::NEG_INFINITY && value <= band.upper() {
        format!("inside, {} from the limit", shown(band.upper() - value))
    } else if value < band.lower() {
        format!("{} below the lower limit", shown(band.lower() - value))
    } else if value > band.upper() {
        format!("{} above the upper limit", shown(value - band.upper()))
    } else {
        let nearest = (value - band.lower()).min(band.upper() - value);
        format!("inside, {} from the nearest limit", shown(nearest))
    }
}

fn percent(p: f64) -> String {
    if p > 0.9999 {
        "over 99.99 %".to_owned()
    } else if p < 0.0001 {
        "under 0.01 %".to_owned()
    } else {
        format!("{:.2} %", 100.0 * p)
    }
}

fn the_reason(row: &Row) -> String {
    let value_is_good = matches!(row.value_verdict, Verdict::Pass | Verdict::ConditionalPass);
    match row.deciding() {
        Some(_) if value_is_good => format!(
            "The value of {} would do, but a check overrules it: {}.",
            row.title(),
            row.reason
        ),
        _ => format!("Because: {}.", row.reason),
    }
}

/// The measurement asked for and the limits expected of it; `None` for a value and for a leakage.
fn held_to(part: &Part) -> Option<String> {
    let row = part.row;
    let ohms = |digits| format_value(Quantity::Resistance, part.nominal.value(), digits);
    Some(match part.step {
        Step::Value | Step::Own | Step::Leakage | Step::Primary | Step::Secondary => return None,
        Step::Between => format!(
            "Two places of the circuit, with nothing unsoldered; across them: {}. What is read there is no verdict on a part by itself.",
            part.value_text
        ),
        Step::Stop => format!(
            "From its wiper at the stop to that end of the track there may be {} at most (row {row} of the list asks for it).",
            ohms(6)
        ),
        Step::Middle => format!(
            "From its wiper at half the travel to the end where it starts there should be {} of a nominal track, and {} conforms \
             (row {row} of the list asks for it, law {}); the share that holds for the track as it is stands below.",
            ohms(6),
            format_band(Quantity::Resistance, part.band),
            part.law
                .map_or("not stated", crate::engine::parts::Law::name)
        ),
        Step::Sweep => format!(
            "Its wiper was dragged over the track of {} nominally, as one touch (row {row} of the list asks for it): no dropout and \
             no jump may show on most of it. What is over between two readings of the meter leaves no trace.",
            ohms(6)
        ),
        Step::Make { number, of } => format!(
            "The contact was opened and closed between the touches; this is make {number} of {of} (row {row} of the list asks for \
             them), and each may have {} at most.",
            ohms(6)
        ),
    })
}

/// Impedance ratio n² and the reflected load n² Z of the ratio that was judged, beside what the list comes to; `None` for any
/// other part, without a ratio, and if the list states no load.
fn load(part: &Part, row: &Row) -> Option<String> {
    let ohms = part.load_ohm.filter(|_| part.step == Step::Secondary)?;
    let judged = row.value?;
    let turns = Measured::new(judged.value, judged.u).ok()?;
    let (listed, load) = (
        Measured::exact(part.nominal.value()).ok()?,
        Measured::exact(ohms).ok()?,
    );
    let square = impedance_ratio(turns);
    let seen = reflected_load(turns, load);
    let shown = |measured: Measured, quantity| {
        format_with_uncertainty(
            quantity,
            measured.value,
            2.0 * measured.standard_uncertainty,
        )
    };
    Some(format!(
        "Impedance ratio, n²: {} (U = 2 u). A load of {} on the secondary shows as {} on the primary, instead of {} with the listed \
         ratio; an ideal transformer, the resistances of the windings come on top.",
        shown(square, Quantity::Ratio),
        format_value(Quantity::Resistance, ohms, 6),
        shown(seen, Quantity::Resistance),
        format_value(Quantity::Resistance, reflected_load(listed, load).value, 3)
    ))
}

/// Charge that a capacitor which must be discharged before work may hold, how long its bleeder takes, and the caution; `None` for any
/// other part.
fn charge(part: &Part, list: &[Part]) -> Option<String> {
    let charged = ChargedPart::of(part, list)?;
    Some(format!("Charge of {charged}. {CAUTION}"))
}
