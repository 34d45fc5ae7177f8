//! [`Audible`]: what of a sitting is heard, and with what.

use super::sound_sources::sound_sources;
use crate::engine::sitting::{Event, What};
use crate::views::sound::{Cue, Sounder, Sources, Utterance};
use crate::views::told::told;

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
    /// The meters that went and did not come back yet, by the names that tell several apart.
    away: Vec<Option<String>>,
}

impl Audible {
    /// What is wanted but cannot be had is told once; a machine without any sound is as good as quiet.
    pub(crate) fn start(wanted: Wanted) -> Self {
        let sounder = (!wanted.quiet)
            .then(|| sound_sources(wanted).told())
            .and_then(start);
        Self {
            sounder,
            words: wanted.words,
            away: Vec::new(),
        }
    }

    /// Takes in an event. Never waits for the loudspeaker.
    pub(crate) fn hear(&mut self, event: &Event) {
        let told = told(&event.what);
        let cue = told.cue.filter(|cue| self.is_news(*cue, &event.what));
        let Some(sounder) = &self.sounder else { return };
        if let Some(cue) = cue {
            sounder.utter(Utterance::Cue(cue));
        }
        if let Some(speech) = told.speech.filter(|_| self.words) {
            sounder.utter(Utterance::Words {
                text: speech.text(),
                rank: speech.rank,
            });
        }
    }

    /// Whether it is to be heard now. Lost and back are heard once each for each meter, however many layers report it; that a
    /// link comes up at the start is no news.
    fn is_news(&mut self, cue: Cue, what: &What) -> bool {
        let (What::Link { meter, .. } | What::Meter { meter, .. }) = what else {
            return true;
        };
        let was_away = self.away.contains(meter);
        match cue {
            Cue::LinkLost if !was_away => self.away.push(meter.clone()),
            Cue::LinkBack if was_away => self.away.retain(|away| away != meter),
            Cue::LinkLost | Cue::LinkBack => return false,
            _ => {}
        }
        true
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
    use crate::engine::sitting::{LinkNews, MeterNews};

    /// What is heard of these, one after the other.
    fn heard(all: &[What]) -> Vec<Option<Cue>> {
        let mut audible = Audible {
            sounder: None,
            words: true,
            away: Vec::new(),
        };
        let mut heard = |what: &What| told(what).cue.filter(|cue| audible.is_news(*cue, what));
        all.iter().map(&mut heard).collect()
    }

    fn link(news: LinkNews) -> What {
        What::Link { meter: None, news }
    }

    fn lost() -> What {
        link(LinkNews::Lost {
            reason: "gone".to_owned(),
        })
    }

    fn meter(name: &str, news: MeterNews) -> What {
        let meter = (!name.is_empty()).then(|| name.to_owned());
        What::Meter { meter, news }
    }

    #[test]
    fn a_meter_that_goes_and_comes_back_is_heard_once_each_way() {
        let all = [
            link(LinkNews::Up),
            meter("", MeterNews::Silent),
            lost(),
            link(LinkNews::Up),
            meter("", MeterNews::Answering),
            lost(),
        ];
        let (lost, back) = (Some(Cue::LinkLost), Some(Cue::LinkBack));
        assert_eq!(heard(&all), [None, lost, None, back, None, lost]);
    }

    #[test]
    fn each_of_two_meters_is_heard_to_go_and_to_come_back() {
        let all = [
            meter("meter", MeterNews::Silent),
            meter("bridge", MeterNews::Silent),
            meter("meter", MeterNews::Answering),
            meter("meter", MeterNews::Answering),
            meter("bridge", MeterNews::Answering),
        ];
        let (lost, back) = (Some(Cue::LinkLost), Some(Cue::LinkBack));
        assert_eq!(heard(&all), [lost, lost, back, None, back]);
    }
}
