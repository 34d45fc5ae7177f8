//! [`Audible`]: what of a sitting is heard, and with what.

use super::sound_sources::sound_sources;
use crate::engine::judge::Verdict;
use crate::engine::parts::Part;
use crate::engine::sitting::{Event, LinkNews, MeterNews, Plan, What};
use crate::views::sound::{Cue, Rank, Sounder, Sources, Utterance, spelled};

/// What a person wants to hear.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Wanted {
    /// Nothing at all.
    pub(crate) quiet: bool,
    /// Words beside the tones.
    pub(crate) words: bool,
    /// Rather nothing than the bell of the terminal.
    pub(crate) no_bell: bool,
}

/// Listens to the events of a sitting and makes them heard.
pub(crate) struct Audible {
    sounder: Option<Sounder>,
    words: bool,
    designators: Vec<String>,
    capacitors: Vec<String>,
    /// The meters that went and did not come back yet.
    away: Vec<usize>,
}

impl Audible {
    /// For a sitting by that plan. What is wanted but cannot be had is told once; a machine without any sound is as good as quiet.
    pub(crate) fn start(wanted: Wanted, plan: &Plan) -> Self {
        let sounder = (!wanted.quiet)
            .then(|| sound_sources(wanted).told())
            .and_then(start);
        let spelled = |part: &Part| spelled(&part.designator);
        Self {
            sounder,
            words: wanted.words,
            designators: plan.parts().iter().map(spelled).collect(),
            capacitors: plan.charged().iter().map(spelled).collect(),
            away: Vec::new(),
        }
    }

    /// Takes in an event. Never waits for the loudspeaker.
    pub(crate) fn hear(&mut self, event: &Event) {
        let cue = self.cue(&event.what);
        let Some(sounder) = &self.sounder else { return };
        if let Some(cue) = cue {
            sounder.utter(Utterance::Cue(cue));
        }
        if self.words
            && let Some((text, rank)) = self.said(&event.what)
        {
            sounder.utter(Utterance::Words { text, rank });
        }
    }

    /// The cue of an event. What the person has just asked for is not answered by a sound.
    fn cue(&mut self, what: &What) -> Option<Cue> {
        Some(match what {
            What::Contact | What::SoakBegun { .. } => Cue::Contact,
            What::Judged(record) => of_verdict(record.row.verdict),
            What::Zeroed { .. }
            | What::Fixture { .. }
            | What::Signalled(_)
            | What::AcrossCapacitor {
                discharged: true, ..
            } => Cue::Settled,
            What::AcrossCapacitor { .. } => Cue::StillCharged,
            What::Restless { .. } | What::Unsettled { .. } | What::SoakMissed(_) => Cue::NoValue,
            What::Refused { .. } | What::NotZeroed => Cue::Refused,
            What::Link { meter, news } => return self.of_link(*meter, news),
            What::Meter { meter, news } => return self.of_meter(*meter, news),
            _ => return None,
        })
    }

    fn of_link(&mut self, meter: usize, news: &LinkNews) -> Option<Cue> {
        self.of_presence(meter, matches!(news, LinkNews::Up))
    }

    fn of_meter(&mut self, meter: usize, news: &MeterNews) -> Option<Cue> {
        match news {
            MeterNews::Silent => self.of_presence(meter, false),
            MeterNews::Answering => self.of_presence(meter, true),
            MeterNews::WrongMeter { .. }
            | MeterNews::WrongQuantity { .. }
            | MeterNews::CannotMeasure(_) => Some(Cue::Refused),
            MeterNews::Identified(_) | MeterNews::Trouble { .. } | MeterNews::NotUnderstood(_) => {
                None
            }
        }
    }

    /// Lost and back are heard once each, however many layers report it; that the link comes up at the start is no news.
    fn of_presence(&mut self, meter: usize, there: bool) -> Option<Cue> {
        let before = self.away.len();
        self.away.retain(|&away| away != meter);
        let was_away = self.away.len() < before;
        if !there {
            self.away.push(meter);
        }
        match (was_away, there) {
            (false, false) => Some(Cue::LinkLost),
            (true, true) => Some(Cue::LinkBack),
            _ => None,
        }
    }

    /// An event in words.
    fn said(&self, what: &What) -> Option<(String, Rank)> {
        Some(match what {
            What::InHand(part) => (format!("{}, next", self.designators[*part]), Rank::Next),
            What::ToDischarge(capacitor) => (
                format!("{}, discharged?", self.capacitors[*capacitor]),
                Rank::Next,
            ),
            What::ToSoak(entry) => (
                format!("{}, leakage, next", self.designators[*entry]),
                Rank::Next,
            ),
            What::NothingLeft => ("end of the list".to_owned(), Rank::Next),
            What::Judged(record) => (record.row.verdict.name().to_owned(), Rank::Verdict),
            What::Restless { .. } => ("still moving".to_owned(), Rank::News),
            What::Unsettled { .. } => ("not settled".to_owned(), Rank::News),
            What::AcrossCapacitor {
                discharged: false, ..
            } => ("still charged".to_owned(), Rank::Alarm),
            What::Link {
                news: LinkNews::Lost { .. },
                ..
            } => ("link lost".to_owned(), Rank::Alarm),
            What::Meter {
                news: MeterNews::Silent,
                ..
            } => ("the meter is silent".to_owned(), Rank::Alarm),
            _ => return None,
        })
    }
}

const fn of_verdict(verdict: Verdict) -> Cue {
    match verdict {
        Verdict::Pass => Cue::Pass,
        Verdict::ConditionalPass => Cue::ConditionalPass,
        Verdict::ConditionalFail => Cue::ConditionalFail,
        Verdict::Fail => Cue::Fail,
        Verdict::Inconclusive => Cue::Inconclusive,
    }
}

/// A sounder for these sources; none where nothing could be heard anyway.
fn start(sources: Sources) -> Option<Sounder> {
    if sources.is_mute() {
        return None;
    }
    // A machine that has no thread to spare has none for sounds.
    Sounder::start(sources).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn deaf() -> Audible {
        Audible {
            sounder: None,
            words: true,
            designators: vec!["R twelve".to_owned()],
            capacitors: vec!["C four".to_owned()],
            away: Vec::new(),
        }
    }

    fn lost() -> What {
        of_link(LinkNews::Lost {
            reason: "gone".to_owned(),
        })
    }

    fn of_link(news: LinkNews) -> What {
        What::Link { meter: 0, news }
    }

    fn of_meter(meter: usize, news: MeterNews) -> What {
        What::Meter { meter, news }
    }

    #[test]
    fn a_meter_that_goes_and_comes_back_is_heard_once_each_way() {
        let mut audible = deaf();
        let mut heard = |what: What| audible.cue(&what);
        assert_eq!(heard(of_link(LinkNews::Up)), None);
        assert_eq!(heard(of_meter(0, MeterNews::Silent)), Some(Cue::LinkLost));
        assert_eq!(heard(lost()), None);
        assert_eq!(heard(of_link(LinkNews::Up)), Some(Cue::LinkBack));
        assert_eq!(heard(of_meter(0, MeterNews::Answering)), None);
        assert_eq!(heard(lost()), Some(Cue::LinkLost));
    }

    #[test]
    fn each_of_two_meters_is_heard_to_go_and_to_come_back() {
        let mut audible = deaf();
        let mut heard = |meter, news| audible.cue(&of_meter(meter, news));
        assert_eq!(heard(0, MeterNews::Silent), Some(Cue::LinkLost));
        assert_eq!(heard(1, MeterNews::Silent), Some(Cue::LinkLost));
        assert_eq!(heard(0, MeterNews::Answering), Some(Cue::LinkBack));
        assert_eq!(heard(0, MeterNews::Answering), None);
        assert_eq!(heard(1, MeterNews::Answering), Some(Cue::LinkBack));
    }

    #[test]
    fn a_charged_capacitor_is_an_alarm_in_sound_and_in_words() {
        let mut audible = deaf();
        let across = |discharged| What::AcrossCapacitor {
            capacitor: 0,
            volts: 100.0,
            discharged,
        };
        assert_eq!(audible.cue(&across(false)), Some(Cue::StillCharged));
        assert_eq!(
            audible.said(&across(false)),
            Some(("still charged".to_owned(), Rank::Alarm))
        );
        assert_eq!(audible.cue(&across(true)), Some(Cue::Settled));
        assert_eq!(audible.said(&across(true)), None);
    }

    #[test]
    fn what_is_in_hand_is_said_and_not_sounded() {
        let mut audible = deaf();
        assert_eq!(audible.cue(&What::InHand(0)), None);
        let (text, rank) = audible.said(&What::InHand(0)).unwrap();
        assert_eq!((text.as_str(), rank), ("R twelve, next", Rank::Next));
        let (text, _) = audible.said(&What::ToDischarge(0)).unwrap();
        assert_eq!(text, "C four, discharged?");
    }

    #[test]
    fn every_verdict_has_its_own_cue() {
        let cues = Verdict::ALL.map(of_verdict);
        assert!(cues.iter().all(|cue| cue.is_verdict()));
        for (cue, verdict) in cues.iter().zip(Verdict::ALL) {
            assert_eq!(cue.name().replace('-', " "), verdict.name());
        }
    }
}
