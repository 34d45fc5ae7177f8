//! [`Line`]: an event as one line of the plain view, and the words of those that take more than a clause; [`Speech`], for the ear.

use serde::{Deserialize, Serialize};

use crate::engine::judge::{Aspect, Check, Verdict};
use crate::engine::parts::{Choice, Step};
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};
use crate::engine::sitting::{Entry, LeadToLift, Resolve, Row, Soaking, Summary, ToSoak};
use crate::views::sound::{Rank, spelled};

pub(super) use crate::engine::judge::discharge::CAUTION;
use crate::engine::judge::discharge::DISCHARGED_VOLTS;

/// Colour of a line where there is colour. The words alone carry the meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mood {
    /// Nothing special.
    #[default]
    Plain,
    /// In the background.
    Quiet,
    Good,
    /// To be looked at.
    Doubtful,
    /// Not to be told yet.
    Unsure,
    Bad,
}

/// A line of the plain view.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// Its text, without a line end.
    #[serde(rename = "line")]
    pub text: String,
    /// Its colour, where there is any.
    #[serde(default, skip_serializing_if = "Mood::is_plain")]
    pub mood: Mood,
}

impl Mood {
    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde calls it with a reference"
    )]
    fn is_plain(&self) -> bool {
        *self == Self::Plain
    }
}

/// The mood of a verdict, which has the same colour on every screen, on the page and in the report.
pub const fn mood(verdict: Verdict) -> Mood {
    match verdict {
        Verdict::Pass | Verdict::ConditionalPass => Mood::Good,
        Verdict::ConditionalFail => Mood::Doubtful,
        Verdict::Fail => Mood::Bad,
        Verdict::Inconclusive => Mood::Unsure,
    }
}

/// The mood of a row: a reading between two places is no verdict.
pub fn mood_of(row: &Row) -> Mood {
    if row.is_reading() {
        Mood::Plain
    } else {
        mood(row.verdict)
    }
}

/// The leads to lift, and what each settles.
pub(super) fn to_lift(leads: &[LeadToLift]) -> String {
    let lead = |lead: &LeadToLift| {
        let settles = lead.settles.join(" ");
        format!(
            "lift a lead of {}: settles {} ({settles})",
            lead.designator,
            lead.settles.len()
        )
    };
    let all: Vec<String> = leads.iter().map(lead).collect();
    match leads.first() {
        Some(first) => format!(
            "all is read; {}; say `lifted {}` when it is",
            all.join("; "),
            first.designator
        ),
        None => "all is read; no lead has to be lifted".to_owned(),
    }
}

/// Decision and reason: `replace: drifted`.
pub(super) fn resolve(resolve: &Resolve) -> String {
    let Resolve { choice, reason, .. } = resolve;
    let because = if reason.is_empty() { "" } else { ": " };
    format!("{choice}{because}{reason}")
}

/// Words about the part of that title.
pub(super) fn of(title: &str, words: &str) -> String {
    format!("{title:<8} {words}")
}

/// Words from the meter of that name, which only one of several has.
pub(super) fn from(meter: Option<&str>, words: &str) -> String {
    match meter {
        Some(name) => format!("{name}: {words}"),
        None => words.to_owned(),
    }
}

/// The meter to be taken, where there are several.
fn with(meter: Option<&str>) -> String {
    meter
        .map(|name| format!(" (with {name})"))
        .unwrap_or_default()
}

pub(super) fn in_hand(entry: &Entry) -> String {
    if entry.task {
        return format!("  {:<8} {}", entry.title(), entry.what);
    }
    let place = match (entry.from.as_str(), entry.to.as_str()) {
        ("", "") => String::new(),
        (from, "") => format!("   at {from}"),
        ("", to) => format!("   at {to}"),
        (from, to) => format!("   {from} to {to}"),
    };
    format!(
        "  {:<8} {} {}{place}{}",
        entry.designator,
        entry.kind,
        entry.nominal,
        with(entry.meter.as_deref())
    )
}

pub(super) fn to_discharge(entry: &Entry) -> String {
    let what = format!("{} {}", entry.nominal, entry.role);
    format!(
        "  {:<8} discharged? voltmeter across it ({}): {}, and leave the discharge resistor on until it is measured; \
         to go on without, say `override {}` and why{}",
        entry.designator,
        what.trim_end(),
        entry.band.words,
        entry.designator,
        with(entry.meter.as_deref())
    )
}

/// Said before power comes on; all of it common practice.
pub(crate) const POWER: [&str; 3] = [
    "POWER COMES ON NOW",
    "with it still off, clip the common lead on; then one hand only, and a probe that is insulated to its tip",
    "say `live` once it is on (`on` would mean an open circuit)",
];

pub(super) fn to_power(entry: &Entry) -> String {
    let words = format!("{}: {}", entry.what, POWER.join("; "));
    format!("  {:<8} {words}", entry.title())
}

/// Meaning of a voltage across a capacitor that is to be discharged, which is low enough below `limit`, V.
pub(super) fn charge(volts: f64, limit: f64) -> String {
    let shown = |volts| format_value(Quantity::Voltage, volts, 3);
    if volts.abs() < limit {
        return "discharged".to_owned();
    }
    if volts.abs() >= DISCHARGED_VOLTS {
        return "CHARGED: discharge it through a resistor, then measure again".to_owned();
    }
    format!(
        "NOT LOW ENOUGH FOR THE METER: below the {} that may hurt, but not below the {} that the meter needs (`residual_v` of its \
         profile, not the input protection of its manual); leave the discharge resistor on until it is measured, since electrolytics recover",
        shown(DISCHARGED_VOLTS),
        shown(limit)
    )
}

/// Going on without having seen a capacitor discharged, or all that were left.
pub(super) fn overridden(title: Option<&str>, reason: &str, left: &[String]) -> String {
    let what = title.unwrap_or("every capacitor");
    let left = match left {
        [] => "none is left to be seen".to_owned(),
        left => format!("still to be seen: {}", left.join(" ")),
    };
    format!("going on without having seen {what} discharged: {reason}; {left}")
}

pub(super) fn across(title: &str, volts: f64, word: &str) -> String {
    let shown = format_value(Quantity::Voltage, volts, 3);
    format!("{title:<8} {shown:<24} {word}")
}

/// Task, with the least that must be said before anyone applies hundreds of volts.
pub(super) fn to_soak(soak: &ToSoak) -> String {
    format!(
        "  {:<8} {}; one lead off, meter and a resistor in series, a supply with a current limit, nobody near. The voltage \
         kills; the part may burst. Time runs from the first current, or say `soak`{}",
        soak.entry.title(),
        soak.test,
        with(soak.entry.meter.as_deref())
    )
}

pub(super) fn soak_begun(title: &str, volts: f64, read_after_s: f64) -> String {
    let volts = format_value(Quantity::Voltage, volts, 4);
    let minutes = read_after_s / 60.0;
    let words = format!(
        "{volts} is on it from now on; the limit is for {minutes:.0} min; say `soak VOLT` if the voltage is another"
    );
    of(title, &words)
}

pub(super) fn soaking(soaking: &Soaking) -> String {
    let shown = |amperes| format_value(Quantity::Current, amperes, 3);
    let now = soaking.ampere.map_or("nothing".to_owned(), shown);
    let trend = soaking
        .trend
        .map(|trend| format!(", {}", trend.name()))
        .unwrap_or_default();
    let ahead = soaking.expected.map(|expected| {
        format!(
            "; expected after {:.0} min: {} to {} (95 %)",
            expected.after_s / 60.0,
            shown(expected.low),
            shown(expected.high)
        )
    });
    let ahead = ahead.unwrap_or_default();
    let seconds = soaking.elapsed_s as u64;
    let (minutes, seconds) = (seconds / 60, seconds % 60);
    let so_far = match soaking.verdict {
        Some(verdict) => format!("; {verdict} so far: {}", soaking.reason),
        None => String::new(),
    };
    of(
        &soaking.title,
        &format!("{minutes}:{seconds:02}  {now}{trend}{ahead}{so_far}"),
    )
}

pub(super) fn awaiting_zero(meter: Option<&str>) -> String {
    format!(
        "zero: hold the probes on each other, lift when told{}",
        with(meter)
    )
}

pub(super) fn zeroed(ohms: f64, uncertainty: f64) -> String {
    let leads = format_with_uncertainty(Quantity::Resistance, ohms, 2.0 * uncertainty);
    format!("leads    {leads:<24} taken off every resistance from now on")
}

pub(super) fn fixture(farads: f64, ohms: f64, hertz: f64) -> String {
    format!(
        "leads    {} across and {} in series, taken off every impedance at {hertz} Hz from now on",
        format_value(Quantity::Capacitance, farads, 3),
        format_value(Quantity::Resistance, ohms, 3)
    )
}

pub(super) fn gripped_again(next: &str, asked: bool) -> String {
    if asked {
        format!("gripped again, or is it {next}? say `next` if it is; nothing was written down")
    } else {
        format!(
            "gripped again, nothing was written down; {next} is still to be touched, or say `next` if that was it"
        )
    }
}

pub(super) fn at_place(entry: &Entry) -> String {
    format!("  {:<8} {}, in any order", entry.title(), entry.what)
}

/// The value, the parts that it may be of, and how to say which: by a key, a name, or for the set.
pub(super) fn which_part(
    quantity: Quantity,
    value: Option<f64>,
    candidates: &[String],
    alike: bool,
) -> String {
    let value = value.map_or("no value".to_owned(), |value| {
        format_value(quantity, value, 4)
    });
    let keys = (1..)
        .zip(candidates)
        .map(|(key, one)| format!("{key} is {one}"));
    let keys: Vec<String> = keys.collect();
    let set = if alike {
        "; `=` writes it down for the set, not for one of them"
    } else {
        ""
    };
    let first = candidates.first().map_or("", String::as_str);
    format!(
        "{value}: {}? {}; or say which, as in `is {first}`{set}",
        candidates.join(" or "),
        keys.join(", ")
    )
}

pub(super) fn reads_like(title: &str, candidates: &[String]) -> String {
    let which: Vec<String> = candidates
        .iter()
        .map(|one| format!("`was {one}`"))
        .collect();
    let words = format!(
        "reads like {}: {} if it was; or touch {title} once more",
        candidates.join(" or "),
        which.join(" or ")
    );
    of(title, &words)
}

/// Message about a part whose value was another's.
pub(super) fn moved(
    belongs_to: &str,
    choice: Option<Choice>,
    reason: &str,
    check_from: Option<&str>,
) -> String {
    let check = check_from
        .map(|first| format!("check from {first} on, those values fit their neighbours better"));
    let withdrawn = format!("its value belongs to {belongs_to} and is withdrawn");
    let words = [Some(withdrawn), decided_on(choice, reason), check];
    words.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// Message about a part whose value has settled elsewhere under the probes.
pub(super) fn settled_anew(
    quantity: Quantity,
    before: Option<f64>,
    choice: Option<Choice>,
    reason: &str,
) -> String {
    let before = before.map_or("beyond the range".to_owned(), |value| {
        format_value(quantity, value, 4)
    });
    let withdrawn = format!("it has settled elsewhere than before: {before} is withdrawn");
    let words = [Some(withdrawn), decided_on(choice, reason)];
    words.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// The decision on a value that is withdrawn.
fn decided_on(choice: Option<Choice>, reason: &str) -> Option<String> {
    let because = if reason.is_empty() { "" } else { ": " };
    choice.map(|choice| {
        format!("the decision on it stands until you decide again: {choice}{because}{reason}")
    })
}

pub(super) fn restless(title: &str, value: f64, quantity: Quantity) -> String {
    let now = format_value(quantity, value, 3);
    of(
        title,
        &format!("still moving, {now} now; lift to give up, hold to wait"),
    )
}

pub(super) fn unsettled(title: &str, lasted_s: f64, readings: u32) -> String {
    let words = format!(
        "did not settle in {lasted_s:.1} s ({readings} readings); nothing was written down"
    );
    of(title, &words)
}

pub(super) fn judged(row: &Row) -> String {
    let again = if row.attempt > 1 {
        format!(", attempt {}", row.attempt)
    } else {
        String::new()
    };
    let (value, why) = (row.words(), explanation(row));
    let verdict = row.word().to_uppercase();
    format!("{:<8} {value:<24} {verdict:<17} {why}{again}", row.title())
}

/// Deviation and band, after the verdict.
fn explanation(row: &Row) -> String {
    if row.is_reading() {
        return row.deviation();
    }
    if row.step == Step::Own {
        return format!("{}; {} ({})", row.deviation(), row.reason, row.band_words());
    }
    if let Some(found) = of_wiper(row).or_else(|| of_conduction(row)) {
        return found;
    }
    let class = row
        .deciding()
        .filter(|check| check.aspect == Aspect::SafetyClass);
    let reason = row.grounds().verdict().1;
    let below_zero = reason.is_below_zero();
    let reason = reason.words();
    let words = match row.value {
        Some(_) if below_zero => format!("{reason} ({})", row.band_words()),
        Some(_) => format!("{}, {reason} ({})", row.deviation(), row.band_words()),
        None => format!("{reason} ({})", row.deviation()),
    };
    let others = row.checks.iter().filter(|check| class != Some(*check));
    let remarks = others.filter_map(|check| remark(row, check));
    // A danger to life goes before how far off the value is.
    class
        .map(|_| row.reason.clone())
        .into_iter()
        .chain([words])
        .chain(remarks)
        .collect::<Vec<_>>()
        .join("; ")
}

/// Words on a check beside the value.
fn remark(row: &Row, check: &Check) -> Option<String> {
    match (check.verdict, check.aspect) {
        // The ESR of an electrolytic is wanted whatever follows from it.
        (Some(Verdict::Pass) | None, Aspect::Loss) if check.words.contains("ESR") => {
            Some(format!("loss: {}", check.brief()))
        }
        (Some(Verdict::Pass), _) => None,
        (Some(_), aspect) => Some(format!("{}: {}", aspect.name(), check.brief())),
        (None, Aspect::Loading) if row.quantity == Quantity::AcVoltage => {
            Some("band as listed".to_owned())
        }
        (None, Aspect::Loading) => Some("band for this meter".to_owned()),
        (None, Aspect::Replacement) => Some("policy: replace".to_owned()),
        (None, _) => None,
    }
}

/// Words after the verdict on a wiper between its stops; `None` for any other.
fn of_wiper(row: &Row) -> Option<String> {
    let aspect = match row.step {
        Step::Middle => Aspect::Law,
        Step::Sweep => Aspect::Sweep,
        _ => return None,
    };
    let words = row.check(aspect)?.brief();
    Some(match row.deciding() {
        Some(check) if check.aspect == aspect => words.to_owned(),
        _ => format!("{words}; {}", row.reason),
    })
}

/// Says that a part without a rating conducts, where nothing else decides.
fn of_conduction(row: &Row) -> Option<String> {
    let check = row.deciding()?;
    (check.aspect == Aspect::Rating).then(|| check.brief().to_owned())
}

pub(super) fn ended(summary: &Summary) -> String {
    let not_reached = (summary.counts.not_reached, "not reached");
    let counts = summary
        .named()
        .chain([not_reached].into_iter().filter(|(count, _)| *count > 0))
        .map(|(count, name)| format!("{count} {name}"))
        .collect::<Vec<_>>()
        .join(", ");
    if summary.in_circuit {
        let taken = summary.done.saturating_sub(summary.counts.skipped);
        return format!("{taken} of {} readings taken: {counts}", summary.parts);
    }
    format!(
        "{} of {} parts judged: {counts}",
        summary.judged(),
        summary.parts
    )
}

/// Words for the ear, and how much they matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Speech<'a> {
    designator: Option<&'a str>,
    words: &'static str,
    /// Rank among what waits to be heard.
    pub rank: Rank,
}

impl<'a> Speech<'a> {
    /// These words.
    pub(super) const fn words(words: &'static str, rank: Rank) -> Self {
        Self {
            designator: None,
            words,
            rank,
        }
    }

    /// These words about the part of that designator.
    pub(super) const fn of(designator: &'a str, words: &'static str, rank: Rank) -> Self {
        Self {
            designator: Some(designator),
            words,
            rank,
        }
    }

    /// As it is spoken: `R twelve, next`.
    pub fn text(&self) -> String {
        match self.designator {
            Some(designator) => format!("{}, {}", spelled(designator), self.words),
            None => self.words.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::Counts;

    #[test]
    fn a_summary_names_only_what_there_is() {
        let summary = Summary {
            parts: 3,
            counts: Counts {
                pass: 2,
                skipped: 1,
                ..Counts::default()
            },
            ..Summary::default()
        };
        assert_eq!(ended(&summary), "2 of 3 parts judged: 2 pass, 1 skipped");
    }
}
