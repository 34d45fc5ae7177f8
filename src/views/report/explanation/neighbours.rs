//! Effect of a value on the circuit that its part works in, and its comparison with the parts around it.

use super::Evidence;
use crate::engine::impedance::{Impedance, SIBLING_SPREAD, Uncertain, compare_windings};
use crate::engine::judge::Conditions;
use crate::engine::judge::drift::{Drift, Effect, Filter, Member, WorkingCircuit, circuit_of};
use crate::engine::judge::safety::{Mains, MainsPlace, compare_touch_current};
use crate::engine::judge::winding::{
    Balance, HALVES_LIMIT_PERCENT, Measured, balance, other_half, sibling,
};
use crate::engine::parts::{Part, Step};
use crate::engine::probing::Finding;
use crate::engine::quantity::{Quantity, format_value};
use crate::engine::sitting::{Plan, Record, Row};

/// Frequency at which a loss of bass is told, in hertz (common practice, no source).
const BASS_HERTZ: f64 = 50.0;
/// Frequency at which a loss of treble is told, in hertz (common practice, no source).
const TREBLE_HERTZ: f64 = 5000.0;
/// Frequency at which a change of smoothing is told, in hertz: the ripple of a full-wave rectifier at 50 Hz.
const RIPPLE_HERTZ: f64 = 100.0;
/// A low-pass with a corner below this, in hertz, keeps ripple and signal out, it shapes no tone (common practice, no source).
const SMOOTHING_BELOW_HERTZ: f64 = 20.0;

/// Effect of the judged value, in hertz and decibel, ampere or volt; `None` without a value, or where role and partners
/// say no circuit.
pub(super) fn drift(part: &Part, row: &Row, list: &[Part]) -> Option<String> {
    let (circuit, member) = circuit_of(part, list)?;
    let measured = row.value?.value;
    let effect = circuit.effect(&[Drift { member, measured }]).ok()?;
    let level = told_at(&effect).and_then(|hertz| effect.words_at(hertz).ok().flatten());
    let level = level.map_or_else(String::new, |level| format!(", {level}"));
    let doubt = if part.in_circuit && row.step != Step::Own {
        " It is still in circuit, so this holds only if nothing in parallel disturbs the reading."
    } else {
        ""
    };
    Some(format!(
        "What the drift changes: {effect}{level} ({}).{}{doubt}",
        setting(part, circuit, list),
        caveat(circuit, member)
    ))
}

/// The frequency at which a change of level is told.
fn told_at(effect: &Effect) -> Option<f64> {
    match effect {
        Effect::Filter(Filter::LowPass { corner }) if corner.nominal < SMOOTHING_BELOW_HERTZ => {
            Some(RIPPLE_HERTZ)
        }
        Effect::Filter(Filter::LowPass { .. }) => Some(TREBLE_HERTZ),
        Effect::Filter(_) => Some(BASS_HERTZ),
        Effect::Bypass(_) | Effect::Voltage(_) | Effect::Current(_) => None,
    }
}

/// `coupling with R1 of 470 kΩ as listed`, `cathode bias at 12.9 V`.
fn setting(part: &Part, circuit: WorkingCircuit, list: &[Part]) -> String {
    let partners: Vec<String> = list
        .iter()
        .filter(|other| part.partners.name(&other.designator))
        .map(|other| {
            let nominal = format_value(other.nominal.quantity(), other.nominal.value(), 6);
            format!("{} of {nominal}", other.designator)
        })
        .collect();
    let volts = |volts| format!(" at {}", format_value(Quantity::Voltage, volts, 6));
    match circuit {
        WorkingCircuit::SelfBias { cathode_volts, .. } => {
            format!("{}{}", circuit.name(), volts(cathode_volts))
        }
        WorkingCircuit::Divider { supply_volts, .. } => format!(
            "{}{} with {} as listed, without load",
            circuit.name(),
            volts(supply_volts),
            partners.join(", ")
        ),
        _ => format!("{} with {} as listed", circuit.name(), partners.join(", ")),
    }
}

/// Tells what the circuit does not settle.
const fn caveat(circuit: WorkingCircuit, member: Member) -> &'static str {
    match (circuit, member) {
        (WorkingCircuit::Bypass { .. }, Member::Capacitor) => {
            " The bass corner lies above that, how far depends on the valve; it moves by the same factor."
        }
        (WorkingCircuit::Bypass { .. }, _) => {
            " The bass corner lies above that, how far depends on the valve."
        }
        (WorkingCircuit::SelfBias { .. }, _) => {
            " That is the current that follows from the voltage; trust it only with the measured resistance."
        }
        _ => "",
    }
}

/// The touch current of the judged value, or of the nominal one where there is none, alone and together with the other
/// capacitors of the list from line to chassis; `None` for any other part, and if the mains is not stated.
pub(super) fn touch(
    part: &Part,
    row: &Row,
    conditions: &Conditions,
    list: &[Part],
) -> Option<String> {
    let is_line_to_chassis = |part: &Part| {
        let sited = conditions.places.at(part);
        sited.is_some_and(|sited| sited.place == MainsPlace::LineToChassis)
    };
    let mains = conditions.mains.filter(|_| is_line_to_chassis(part))?;
    let own = row
        .value
        .map_or(part.nominal.value(), |judged| judged.value);
    let others: Vec<&Part> = list
        .iter()
        .filter(|other| is_line_to_chassis(other) && other.designator != part.designator)
        .collect();
    let mut all: Vec<f64> = others.iter().map(|other| other.nominal.value()).collect();
    all.push(own);
    let together = if others.is_empty() {
        String::new()
    } else {
        let names: Vec<&str> = others
            .iter()
            .map(|other| other.designator.as_str())
            .collect();
        let against = against_limits(&all, mains)?;
        format!(" Together with {} as listed: {against}.", names.join(", "))
    };
    Some(format!(
        "Touch current, 2πfCV at {} V and {} Hz into a person who joins the chassis to earth: {}.{together}",
        mains.volts(),
        mains.hertz(),
        against_limits(&[own], mains)?
    ))
}

/// `2.21 mA, above 4 of the 7 limits for alternating current that are commonly quoted`
fn against_limits(farads: &[f64], mains: Mains) -> Option<String> {
    let compared = compare_touch_current(farads, mains).ok()?;
    let current = format_value(Quantity::Current, compared.first()?.amperes, 3);
    let exceeded = compared.iter().filter(|one| one.exceeded).count();
    Some(format!(
        "{current}, above {exceeded} of the {} limits for alternating current that are commonly quoted",
        compared.len()
    ))
}

/// The balance of a winding and its other half, if both were measured in the sitting; that it is not known, if the other one has
/// no value. `None` for a part that has no other half, and without a value of its own.
///
/// The values are those that were judged, without the leads; the temperature of the sitting is the same in both and cancels.
pub(super) fn halves(part: &Part, record: &Record, evidence: &Evidence<'_>) -> Option<String> {
    let other = other_half(part, evidence.list)?;
    let own = measured(record)?;
    let is_other =
        |record: &&Record| evidence.plan.parts()[record.part].title() == *other.designator;
    let Some(others) = evidence.records.iter().find(is_other).and_then(measured) else {
        return Some(format!(
            "The other half, {}, has no value in this sitting: the balance of the halves is not known.",
            other.designator
        ));
    };
    let balance = balance(own, others);
    let verdict = balance
        .verdict(HALVES_LIMIT_PERCENT, record.row.rule)
        .ok()?;
    Some(format!(
        "Balance of the halves {} and {}: their difference is {:+.2} % ± {:.2} % (U = 2 u) of their mean, and up to \
         ±{HALVES_LIMIT_PERCENT} % is put up with (common practice): {} ({verdict}).",
        part.designator,
        other.designator,
        balance.percent.value,
        2.0 * balance.percent.standard_uncertainty,
        Balance::words(verdict),
    ))
}

/// The value that was judged, if there is one.
fn measured(record: &Record) -> Option<Measured> {
    let judged = record.row.value?;
    Measured::new(judged.value, judged.u).ok()
}

/// Hints of L and Q of a coil beside those of its sibling. `None` for a coil without a sibling, in circuit, or without a
/// reading that tells its impedance; and without such a reading of the sibling.
pub(super) fn siblings(part: &Part, record: &Record, evidence: &Evidence<'_>) -> Option<String> {
    let other = sibling(part, evidence.list)?;
    if part.in_circuit || other.in_circuit {
        return None;
    }
    let is_other =
        |record: &&Record| evidence.plan.parts()[record.part].designator == other.designator;
    let others = evidence.records.iter().find(is_other)?;
    let comparison = compare_windings(
        &impedance(record, evidence.plan)?,
        &impedance(others, evidence.plan)?,
        SIBLING_SPREAD,
    )
    .ok()?;
    let ratio = |ratio: Uncertain| format!("{:.3} ± {:.3}", ratio.value, 2.0 * ratio.u);
    Some(format!(
        "Beside its sibling {}: L is {} and Q {} times as large (U = 2 u, other windings open); {}.",
        other.designator,
        ratio(comparison.inductance_ratio),
        ratio(comparison.quality_ratio),
        comparison.hint
    ))
}

/// The impedance that a record tells.
fn impedance(record: &Record, plan: &Plan) -> Option<Impedance> {
    let Finding::Value(estimate) = record.settled.finding else {
        return None;
    };
    let value = Uncertain::new(estimate.value, estimate.standard_uncertainty);
    plan.pair(&record.settled)?.impedance(value, None).ok()
}
