//! [`line()`]: an event as one line of text, for the plain view and for replays.

use super::{further, meters, soak, turns};
use crate::engine::judge::discharge::{CAUTION, ChargedPart};
use crate::engine::judge::{Aspect, Verdict};
use crate::engine::parts::{Choice, Part};
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};
use crate::engine::sitting::{Event, Plan, Row, Summary, What};

/// How a line may be coloured where there is colour. The words alone carry the meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mood {
    /// Nothing special.
    Plain,
    /// In the background.
    Quiet,
    /// Good.
    Good,
    /// To be looked at.
    Doubtful,
    /// Bad.
    Bad,
}

/// A line of the plain view.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its text, without a line end.
    pub text: String,
    /// How it may be coloured.
    pub mood: Mood,
}

/// The event as a line; `None` for events that the plain view passes over.
pub fn line(event: &Event, plan: &Plan) -> Option<Line> {
    let (text, mood) = words(event, plan)?;
    let text = text + &meters::to_be_taken(&event.what, plan);
    Some(Line { text, mood })
}

fn words(event: &Event, plan: &Plan) -> Option<(String, Mood)> {
    let part = |index: usize| &plan.parts()[index];
    Some(match &event.what {
        What::MayBeCharged(index) => (
            may_be_charged(&plan.may_hold_charge()[*index]),
            Mood::Doubtful,
        ),
        What::ChargeCaution => (CAUTION.to_owned(), Mood::Doubtful),
        What::InHand(index) => (in_hand(part(*index)), Mood::Quiet),
        What::NothingLeft => (
            "every part of the list was taken in hand; `back`, `goto` and `redo` still work"
                .to_owned(),
            Mood::Plain,
        ),
        What::Judged(record) => (judged(&record.row), mood(record.row.verdict)),
        What::Restless { part: index, value } => (restless(part(*index), *value), Mood::Doubtful),
        What::Unsettled {
            part: index,
            seconds,
            readings,
        } => (unsettled(part(*index), *seconds, *readings), Mood::Doubtful),
        What::AwaitingOpen(index) => (
            said(part(*index), "the probes are said to be on it"),
            Mood::Quiet,
        ),
        What::Skipped(index) => (said(part(*index), "left out"), Mood::Doubtful),
        What::Noted {
            part: Some(index),
            text,
        } => (said(part(*index), &format!("note: {text}")), Mood::Plain),
        What::Noted { part: None, text } => (format!("note: {text}"), Mood::Plain),
        What::Decided {
            part: index,
            choice,
            reason,
        } => (decided(part(*index), *choice, reason), Mood::Plain),
        What::Refused { command, why } => (format!("`{command}`: {}", why.words()), Mood::Doubtful),
        What::ToDischarge(index) => (to_discharge(&plan.charged()[*index]), Mood::Doubtful),
        What::AcrossCapacitor {
            capacitor,
            volts,
            discharged,
        } => {
            let mood = if *discharged { Mood::Good } else { Mood::Bad };
            (
                across(&plan.charged()[*capacitor], *volts, *discharged),
                mood,
            )
        }
        What::ToSoak(index) => (soak::to_soak(plan, *index), Mood::Doubtful),
        What::SoakBegun { part: index, volts } => {
            (soak::begun(plan, *index, *volts), Mood::Doubtful)
        }
        What::Soaking {
            part: index,
            report,
        } => soak::soaking(part(*index), report),
        What::SoakMissed(index) => (soak::missed(part(*index)), Mood::Bad),
        What::Overridden { reason } => (
            format!("going on without having seen every capacitor discharged: {reason}"),
            Mood::Bad,
        ),
        What::AwaitingZero => (
            "zero: hold the probes on each other, lift when told".to_owned(),
            Mood::Plain,
        ),
        What::Zeroed {
            ohms,
            standard_uncertainty,
        } => (zeroed(*ohms, *standard_uncertainty), Mood::Good),
        What::ZeroLater => (
            "zero: once every capacitor was seen discharged".to_owned(),
            Mood::Quiet,
        ),
        What::AwaitingApart => (
            "zero: now hold the probes apart, near each other and touching nothing".to_owned(),
            Mood::Plain,
        ),
        What::Fixture {
            farads,
            ohms,
            hertz,
        } => (fixture(*farads, *ohms, *hertz), Mood::Good),
        What::NoFixture => (
            "leads    the open leads show nothing that could be taken off".to_owned(),
            Mood::Quiet,
        ),
        What::Signalled(signal) => (format!("probes: {}", signal.name()), Mood::Quiet),
        What::NotZeroed => (
            "that is no resistance of leads; nothing is taken off".to_owned(),
            Mood::Doubtful,
        ),
        What::Link { meter, news } => meters::link(plan, *meter, news),
        What::Meter { meter, news } => meters::meter(plan, *meter, news),
        What::Ended(summary) => (ended(summary), Mood::Plain),
        What::Contact | What::Lifted | What::Reading { .. } => return None,
    })
}

/// What is to be done for an entry that is more than a touch of a part; `None` for a value.
pub fn to_do(part: &Part) -> Option<String> {
    further::to_do(part).or_else(|| turns::to_do(part))
}

fn in_hand(part: &Part) -> String {
    if let Some(task) = to_do(part) {
        return format!("  {:<8} {task}", part.title());
    }
    let place = match (part.from.as_str(), part.to.as_str()) {
        ("", "") => String::new(),
        (from, "") => format!("   at {from}"),
        ("", to) => format!("   at {to}"),
        (from, to) => format!("   {from} to {to}"),
    };
    format!(
        "  {:<8} {} {}{place}",
        part.designator,
        part.kind.name(),
        nominal(part)
    )
}

fn nominal(part: &Part) -> String {
    format_value(part.nominal.quantity(), part.nominal.value(), 4)
}

fn judged(row: &Row) -> String {
    let again = if row.attempt > 1 {
        format!(", attempt {}", row.attempt)
    } else {
        String::new()
    };
    let (value, why) = (row.words(), explanation(row));
    let verdict = row.verdict.name().to_uppercase();
    format!("{:<8} {value:<24} {verdict:<17} {why}{again}", row.title())
}

/// What stands behind the verdict: how far off, and the band.
fn explanation(row: &Row) -> String {
    if let Some(found) = further::found(row) {
        return found;
    }
    let reason = row.grounds().verdict().1.words();
    let words = match row.value {
        Some(_) => format!("{}, {reason} ({})", row.deviation(), row.band_words()),
        None => format!("{reason} ({})", row.deviation()),
    };
    let remarks = row.checks.iter().filter_map(|check| match check.verdict {
        Some(verdict) if verdict != Verdict::Pass => {
            Some(format!("{}: {}", check.aspect.name(), check.brief()))
        }
        None if check.aspect == Aspect::Loading && row.quantity == Quantity::AcVoltage => {
            Some("band as listed".to_owned())
        }
        None if check.aspect == Aspect::Loading => Some("band for this meter".to_owned()),
        None if check.aspect == Aspect::Replacement => Some("policy: replace".to_owned()),
        _ => None,
    });
    std::iter::once(words)
        .chain(remarks)
        .collect::<Vec<_>>()
        .join("; ")
}

/// A decision is about the whole part, whichever of its entries was measured.
fn decided(part: &Part, choice: Choice, reason: &str) -> String {
    let because = if reason.is_empty() { "" } else { ": " };
    format!("{:<8} decided: {choice}{because}{reason}", part.designator)
}

fn may_be_charged(capacitor: &ChargedPart) -> String {
    format!("may be charged: {capacitor}")
}

fn to_discharge(part: &Part) -> String {
    let what = format!("{} {}", nominal(part), part.role);
    format!(
        "  {:<8} discharged? voltmeter across it ({}); `override` with a reason goes on without",
        part.designator,
        what.trim_end()
    )
}

fn across(part: &Part, volts: f64, discharged: bool) -> String {
    let shown = format_value(Quantity::Voltage, volts, 3);
    let word = if discharged {
        "discharged"
    } else {
        "CHARGED: discharge it through a resistor, then measure again"
    };
    format!("{:<8} {shown:<24} {word}", part.designator)
}

fn zeroed(ohms: f64, standard_uncertainty: f64) -> String {
    let leads = format_with_uncertainty(Quantity::Resistance, ohms, 2.0 * standard_uncertainty);
    format!("leads    {leads:<24} taken off every resistance from now on")
}

fn fixture(farads: f64, ohms: f64, hertz: f64) -> String {
    format!(
        "leads    {} across and {} in series, taken off every impedance at {hertz} Hz from now on",
        format_value(Quantity::Capacitance, farads, 3),
        format_value(Quantity::Resistance, ohms, 3)
    )
}

fn restless(part: &Part, value: f64) -> String {
    let now = format_value(part.measured(), value, 3);
    said(
        part,
        &format!("still moving, {now} now; lift to give up, hold to wait"),
    )
}

fn unsettled(part: &Part, seconds: f64, readings: u32) -> String {
    said(
        part,
        &format!(
            "did not settle in {seconds:.1} s ({readings} readings); nothing was written down"
        ),
    )
}

pub(super) fn said(part: &Part, text: &str) -> String {
    format!("{:<8} {text}", part.title())
}

pub(super) fn mood(verdict: Verdict) -> Mood {
    match verdict {
        Verdict::Pass => Mood::Good,
        Verdict::ConditionalPass | Verdict::Inconclusive => Mood::Doubtful,
        Verdict::ConditionalFail | Verdict::Fail => Mood::Bad,
    }
}

fn ended(summary: &Summary) -> String {
    let counts = Verdict::ALL
        .into_iter()
        .map(|verdict| (summary.count(verdict), verdict.name()))
        .chain([
            (summary.unsettled, "did not settle"),
            (summary.skipped, "left out"),
            (summary.not_reached, "not reached"),
        ])
        .filter(|(count, _)| *count > 0)
        .map(|(count, name)| format!("{count} {name}"))
        .collect::<Vec<_>>()
        .join(", ");
    format!(
        "{} of {} parts judged: {counts}",
        summary.judged(),
        summary.parts
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_summary_names_only_what_there_is() {
        let mut summary = Summary {
            parts: 3,
            skipped: 1,
            ..Summary::default()
        };
        summary.verdicts[0] = 2;
        assert_eq!(ended(&summary), "2 of 3 parts judged: 2 pass, 1 left out");
    }
}
