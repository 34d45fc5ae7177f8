//! [`told`]: what an event is to a person: its line, its mood, its sound and its speech. There is no other place that says so.
//!
//! Pure like the engine. What is costly is made only for events that are told; a reading costs nothing.

mod line;

pub(crate) use line::POWER;
pub use line::{Line, Mood, Speech, mood, mood_of};

use crate::engine::judge::{Reason, Verdict};
use crate::engine::parts::Step;
use crate::engine::quantity::with_minus;
use crate::engine::sitting::{LinkNews, MeterNews, Row, What};
use crate::views::sound::{Cue, Rank};
use Mood::{Bad, Doubtful, Good, Plain, Quiet};

/// An event as a person is told it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Told<'a> {
    /// The line of the plain view; `None` for what that passes over.
    pub line: Option<Line>,
    /// The sound. What the person has just asked for is not answered by one.
    pub cue: Option<Cue>,
    /// The words for the ear.
    pub speech: Option<Speech<'a>>,
}

/// Tells the event to a person.
#[expect(
    clippy::too_many_lines,
    reason = "one flat match, an arm for each event"
)]
pub fn told(what: &What) -> Told<'_> {
    match what {
        What::Reading(_)
        | What::Loops(_)
        | What::Lifted
        | What::Deciding(_)
        | What::Progress(_) => Told::default(),
        What::Contact => Told::default().heard(Cue::Contact),
        What::MayBeCharged(charge) => line(Doubtful, format!("may be charged: {}", charge.words)),
        What::ChargeCaution => line(Doubtful, line::CAUTION),
        What::InHand { entry, .. } => line(Quiet, line::in_hand(entry)).said(Speech::of(
            &entry.designator,
            "next",
            Rank::Next,
        )),
        What::NothingLeft => line(
            Plain,
            "every part of the list was taken in hand; `back`, `goto` and `redo` still work",
        )
        .said(Speech::words("end of the list", Rank::Next)),
        What::ToDischarge { entry } => line(Doubtful, line::to_discharge(entry)).said(Speech::of(
            &entry.designator,
            "discharged?",
            Rank::Next,
        )),
        What::AcrossCapacitor {
            title,
            volts,
            discharged,
            below_volt,
        } => {
            let line = |mood| {
                line(
                    mood,
                    line::across(title, *volts, &line::charge(*volts, *below_volt)),
                )
            };
            if *discharged {
                return line(Good).heard(Cue::Settled);
            }
            line(Bad)
                .heard(Cue::StillCharged)
                .said(Speech::words("still charged", Rank::Alarm))
        }
        What::ToPower { entry, .. } => line(Bad, line::to_power(entry)).said(Speech::of(
            &entry.designator,
            "power comes on, say live",
            Rank::Next,
        )),
        What::PowerOff => line(
            Bad,
            "POWER OFF: switch off and pull the plug; what comes next is measured without power",
        )
        .said(Speech::words("power off", Rank::Alarm)),
        What::ToSoak(soak) => line(Doubtful, line::to_soak(soak)).said(Speech::of(
            &soak.entry.designator,
            "leakage, next",
            Rank::Next,
        )),
        What::SoakCaution { number, of, text } => line(
            Doubtful,
            format!("  caution {number} of {of}: {text} `heed` agrees to it"),
        ),
        What::Heeded => line(
            Plain,
            "every caution is agreed to: apply the voltage now; time runs from the first current, or from `soak`",
        ),
        What::Unheeded { title } => {
            let words = "CURRENT FLOWS, and the cautions were not agreed to: take the voltage off. What is read now proves nothing";
            line(Bad, line::of(title, words)).heard(Cue::StillCharged)
        }
        What::SoakBegun {
            title,
            volts,
            read_after_s,
        } => line(Doubtful, line::soak_begun(title, *volts, *read_after_s)).heard(Cue::Contact),
        What::Soaking(soaking) => {
            let fails = matches!(
                soaking.verdict,
                Some(Verdict::Fail | Verdict::ConditionalFail)
            );
            line(if fails { Bad } else { Quiet }, line::soaking(soaking))
        }
        What::SoakMissed { title } => {
            let words = "no reading came at the time of the limit; nothing is judged. Say `soak` to begin again";
            line(Bad, line::of(title, words)).heard(Cue::NoValue)
        }
        What::Overridden {
            title,
            reason,
            left,
        } => line(Bad, line::overridden(title.as_deref(), reason, left)),
        What::AwaitingZero { meter } => line(Plain, line::awaiting_zero(meter.as_deref())),
        What::Zeroed { ohms, uncertainty } => {
            line(Good, line::zeroed(*ohms, *uncertainty)).heard(Cue::Settled)
        }
        What::NotZeroed => line(
            Doubtful,
            "that is not the resistance of leads; nothing is taken off",
        )
        .heard(Cue::Refused),
        What::ZeroLater => line(Quiet, "zero: after every capacitor was seen discharged"),
        What::AwaitingApart => line(
            Plain,
            "zero: now hold the probes apart, near each other and touching nothing",
        ),
        What::Fixture {
            farads,
            ohms,
            hertz,
        } => line(Good, line::fixture(*farads, *ohms, *hertz)).heard(Cue::Settled),
        What::NoFixture => line(Quiet, "leads    the open leads show nothing to take off"),
        What::Signalled { signal } => {
            line(Quiet, format!("probes: {}", signal.name())).heard(Cue::Settled)
        }
        What::Judged(record) => line(mood_of(&record.row), line::judged(&record.row))
            .heard(cue(&record.row))
            .said(spoken(&record.row)),
        What::GrippedAgain {
            title,
            in_hand,
            asked,
        } => {
            let words = line::gripped_again(in_hand, *asked);
            let spoken = if *asked {
                "same part, or the next?"
            } else {
                "gripped again"
            };
            line(Doubtful, line::of(title, &words))
                .heard(Cue::Again)
                .said(Speech::words(spoken, Rank::News))
        }
        What::AtPlace { entry, .. } => line(Quiet, line::at_place(entry)).said(Speech::of(
            &entry.designator,
            "any order",
            Rank::Next,
        )),
        What::WhichPart {
            place,
            quantity,
            value,
            candidates,
            alike,
        } => {
            let words = line::which_part(*quantity, *value, candidates, *alike);
            let line = line(Doubtful, line::of(place, &words)).heard(Cue::WhichPart);
            match candidates.first() {
                Some(first) => line.said(Speech::of(first, "or another?", Rank::News)),
                None => line,
            }
        }
        What::ReadsLike { title, candidates } => {
            let line = line(Doubtful, line::reads_like(title, candidates)).heard(Cue::ReadsLike);
            match candidates.first() {
                Some(first) => line.said(Speech::of(first, "it reads like that", Rank::News)),
                None => line,
            }
        }
        What::Moved {
            title,
            belongs_to,
            choice,
            reason,
            check_from,
        } => {
            let words = line::moved(belongs_to, *choice, reason, check_from.as_deref());
            line(Doubtful, line::of(title, &words)).heard(Cue::Settled)
        }
        What::SettledAnew {
            title,
            quantity,
            before,
            choice,
            reason,
        } => {
            let words = line::settled_anew(*quantity, *before, *choice, reason);
            line(Doubtful, line::of(title, &words))
                .heard(Cue::SettledAnew)
                .said(Speech::words("changed", Rank::News))
        }
        What::Restless {
            title,
            value,
            quantity,
        } => line(Doubtful, line::restless(title, *value, *quantity))
            .heard(Cue::NoValue)
            .said(Speech::words("still moving", Rank::News)),
        What::Unsettled {
            title,
            lasted_s,
            readings,
        } => line(Doubtful, line::unsettled(title, *lasted_s, *readings))
            .heard(Cue::NoValue)
            .said(Speech::words("not settled", Rank::News)),
        What::ToLift { leads } => line(Plain, line::to_lift(leads)),
        What::Lead {
            title,
            lifted: true,
        } => line(
            Plain,
            line::of(
                title,
                "a lead is lifted: measured out of circuit from now on",
            ),
        ),
        What::Lead { title, .. } => {
            line(Plain, line::of(title, "joined again: measured in circuit"))
        }
        What::StillLifted { parts } => line(
            Doubtful,
            format!(
                "still lifted: {}; join them again, or write `no` in the column in_circuit",
                parts.join(" ")
            ),
        ),
        What::AwaitingOpen { title } => line(
            Quiet,
            line::of(title, "probes on it: no reading from now on means open"),
        ),
        What::Skipped { title } => line(Doubtful, line::of(title, "skipped")),
        What::Noted {
            title: Some(title),
            text,
        } => line(Plain, line::of(title, &format!("note: {text}"))),
        What::Noted { title: None, text } => line(Plain, format!("note: {text}")),
        What::Decided(resolve) => {
            let words = format!("decided: {}", line::resolve(resolve));
            match &resolve.warning {
                Some(warning) => {
                    let words = format!("{words}. It can kill: {warning}");
                    line(Bad, line::of(&resolve.designator, &words))
                }
                None => line(Plain, line::of(&resolve.designator, &words)),
            }
        }
        What::NotDecided { resolve, obstacle } => {
            let words = format!("NOT WRITTEN DOWN: {}: {obstacle}", line::resolve(resolve));
            line(Bad, line::of(&resolve.designator, &words)).heard(Cue::Refused)
        }
        What::Refused { command, obstacle } => {
            line(Doubtful, format!("`{command}`: {}", obstacle.words())).heard(Cue::Refused)
        }
        What::Link { meter, news } => link(meter.as_deref(), news),
        What::Meter { meter, news } => of_meter(meter.as_deref(), news),
        What::Ended(summary) => line(Plain, line::ended(summary)),
    }
}

/// A charge or a voltage on what was taken for dead is an alarm.
fn spoken(row: &Row) -> Speech<'_> {
    match row.grounds().verdict().1 {
        Reason::Negative => Speech::words(Reason::Negative.words(), Rank::Alarm),
        _ if row.is_reading() => Speech::words("read", Rank::Verdict),
        _ if row.step == Step::Own => {
            Speech::of(&row.designator, row.verdict.name(), Rank::Verdict)
        }
        _ => Speech::words(row.verdict.name(), Rank::Verdict),
    }
}

/// Every verdict has a sound of its own; a reading below zero is refused.
fn cue(row: &Row) -> Cue {
    if row.grounds().verdict().1 == Reason::Negative {
        return Cue::Refused;
    }
    match row.verdict {
        _ if row.is_reading() => Cue::Settled,
        Verdict::Pass => Cue::Pass,
        Verdict::ConditionalPass => Cue::ConditionalPass,
        Verdict::ConditionalFail => Cue::ConditionalFail,
        Verdict::Fail => Cue::Fail,
        Verdict::Inconclusive => Cue::Inconclusive,
    }
}

fn link(meter: Option<&str>, news: &LinkNews) -> Told<'static> {
    match news {
        LinkNews::Up => line(Quiet, line::from(meter, "link up")).heard(Cue::LinkBack),
        LinkNews::Lost { reason } => {
            let words = format!("link lost: {reason}; trying again");
            line(Bad, line::from(meter, &words))
                .heard(Cue::LinkLost)
                .said(Speech::words("link lost", Rank::Alarm))
        }
    }
}

fn of_meter(meter: Option<&str>, news: &MeterNews) -> Told<'static> {
    let bad = |words: &str| line(Bad, line::from(meter, words));
    match news {
        // The name stands where the word `meter` does otherwise.
        MeterNews::Identified { text } => {
            line(Quiet, line::from(meter.or(Some("meter")), text))
        }
        MeterNews::Answering => line(Quiet, line::from(meter, "the meter answers again")).heard(Cue::LinkBack),
        MeterNews::Silent => {
            bad("the meter is silent; check that it is on, its cable, and the line settings of its profile")
                .heard(Cue::LinkLost)
                .said(Speech::words("the meter is silent", Rank::Alarm))
        }
        MeterNews::WrongMeter { found, expected } => {
            let expected = expected.as_deref().map(|text| format!(", expected `{text}` in it")).unwrap_or_default();
            bad(&format!("this is not the meter that the profile is for: it says `{found}`{expected}")).heard(Cue::Refused)
        }
        MeterNews::Trouble { code, text } => bad(&format!("the meter reports an error: `{code}` {text}")),
        MeterNews::Missed { bytes } => bad(&format!("the meter sends faster than it is read: {bytes} bytes were passed over; slow it down, or check what is at that port")),
        MeterNews::NotUnderstood { text } => bad(&format!("not understood: {text}; see `probewright meter try`")),
        MeterNews::WrongQuantity { expected, found } => {
            let found = found.map_or("something else", |quantity| quantity.name());
            bad(&format!("the meter sends {found}, this part needs {expected}: turn its knob")).heard(Cue::Refused)
        }
        MeterNews::CannotMeasure { quantity, discharge: true, .. } => {
            bad(&format!(
                "no meter here measures {quantity}: check with a voltmeter of your own that it is discharged, then say `override`, its designator and \
                 what you read"
            ))
            .heard(Cue::Refused)
        }
        MeterNews::CannotMeasure { quantity, in_profile: false, .. } if meter.is_some() => {
            let words = format!("no meter here measures {quantity}: `skip`, or come back with another meter");
            line(Bad, words).heard(Cue::Refused)
        }
        MeterNews::CannotMeasure { quantity, .. } => {
            bad(&format!("the meter cannot measure {quantity}: `skip`, or come back with another meter")).heard(Cue::Refused)
        }
    }
}

fn line(mood: Mood, text: impl Into<String>) -> Told<'static> {
    Told {
        line: Some(Line {
            text: with_minus(&text.into()),
            mood,
        }),
        ..Told::default()
    }
}

impl<'a> Told<'a> {
    fn heard(self, cue: Cue) -> Self {
        Self {
            cue: Some(cue),
            ..self
        }
    }

    fn said(self, speech: Speech<'a>) -> Self {
        Self {
            speech: Some(speech),
            ..self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::examples::{every_kind, judged};

    fn spoken(what: &What) -> Option<(String, Rank)> {
        told(what).speech.map(|speech| (speech.text(), speech.rank))
    }

    #[test]
    fn a_charged_capacitor_is_an_alarm_in_sound_and_in_words() {
        let across = |discharged| What::AcrossCapacitor {
            title: "C4".into(),
            volts: if discharged { 1.0 } else { 100.0 },
            discharged,
            below_volt: 2.0,
        };
        let alarm = Some(("still charged".to_owned(), Rank::Alarm));
        assert_eq!(told(&across(false)).cue, Some(Cue::StillCharged));
        assert_eq!(spoken(&across(false)), alarm);
        assert_eq!(told(&across(true)).cue, Some(Cue::Settled));
        assert_eq!(spoken(&across(true)), None);
    }

    #[test]
    fn what_is_in_hand_is_said_and_not_sounded() {
        for what in every_kind() {
            let words = match what {
                What::InHand { .. } => "R twelve, next",
                What::ToDischarge { .. } => "R twelve, discharged?",
                What::ToSoak(_) => "R twelve, leakage, next",
                What::ToPower { .. } => "R twelve, power comes on, say live",
                _ => continue,
            };
            assert_eq!(told(&what).cue, None);
            assert_eq!(spoken(&what), Some((words.to_owned(), Rank::Next)));
        }
    }

    #[test]
    fn every_verdict_has_its_own_cue() {
        for verdict in Verdict::ALL {
            let cue = told(&judged(verdict)).cue.unwrap();
            assert!(cue.is_verdict());
            assert_eq!(cue.name().replace('-', " "), verdict.name());
        }
    }
}
