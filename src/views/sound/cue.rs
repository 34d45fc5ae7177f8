//! [`Cue`]: what a sound says, with its [`Pattern`] of tones in one table; [`Utterance`]: something to be heard, with its [`Rank`].
//!
//! # Why they sound as they do
//! - **Rhythm alone tells them apart.** Not everybody hears high tones, and few can name a pitch. So no two cues have the same rhythm: they differ in the number of tones, or one has a
//!   long tone where the other has a short one. Short and long are one and three units with one unit between, the proportions
//!   of the Morse code (ITU-R M.1677-1, Part I, 2), which people tell apart without effort.
//! - **Pitch says the same again.** Good news rises by a fifth, bad news falls by a fifth, doubt goes up and comes back, and
//!   what asks for patience stays level. Good and conditionally good share their pitches: the long last tone is the "but".
//! - **The better the news, the shorter.** Most parts pass, and a pass is over in 150 ms.
//! - **A contact is a tick**: one short tone, over before the value settles, and higher than any first tone of a verdict.
//! - **Danger goes on and on.** A charged capacitor is the only cue of many tones, and the only one that trills.
//! - **Between 400 and 2000 Hz**: small loudspeakers give little below, old ears hear little above (from memory, ISO 7029: the
//!   loss of hearing with age begins at the high frequencies). The pitches are notes of equal temperament at A4 = 440 Hz
//!   (ISO 16), rounded to whole hertz.

use std::time::Duration;

use strum::{Display, IntoStaticStr, VariantArray};

/// Something that the person at the bench is told by a sound.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Display, IntoStaticStr, VariantArray,
)]
#[strum(serialize_all = "kebab-case")]
pub enum Cue {
    /// The probes touch something.
    Contact,
    /// Something was measured that gets no verdict: the leads, a discharged capacitor.
    Settled,
    /// Verdict: pass.
    Pass,
    /// Verdict: conditional pass.
    ConditionalPass,
    /// Verdict: conditional fail.
    ConditionalFail,
    /// Verdict: fail.
    Fail,
    /// Verdict: inconclusive.
    Inconclusive,
    /// The part judged last was gripped again; nothing is written down.
    Again,
    /// The value reads like that of another part.
    ReadsLike,
    /// A value at a place may be of several parts.
    WhichPart,
    /// The probes stayed on, and the value has settled elsewhere than was said.
    SettledAnew,
    /// No value: it does not come to rest, or the probes were lifted too soon.
    NoValue,
    /// A capacitor still holds a voltage that can hurt.
    StillCharged,
    /// It cannot be done so; the screen says why.
    Refused,
    /// Nothing comes from the meter any more.
    LinkLost,
    /// The meter is heard again.
    LinkBack,
}

words!(Cue: name);

impl Cue {
    /// Every cue.
    pub const ALL: &'static [Self] = Self::VARIANTS;

    /// Meaning, as a clause for people.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Contact => "the probes touch something",
            Self::Settled => "measured, no verdict due: the leads, a discharged capacitor",
            Self::Pass => "inside the band",
            Self::ConditionalPass => "inside, but not by more than the uncertainty",
            Self::ConditionalFail => "outside, but not by more than the uncertainty",
            Self::Fail => "outside the band, or open",
            Self::Inconclusive => "measured, but that proves nothing",
            Self::Again => "the same part gripped again, nothing is written down",
            Self::ReadsLike => "it reads like another part, the screen says which",
            Self::WhichPart => "which part is it? the screen names those that it may be",
            Self::SettledAnew => {
                "the value has changed under the probes, what was said before is withdrawn"
            }
            Self::NoValue => "not at rest yet, or lifted too soon",
            Self::StillCharged => "a capacitor still holds a dangerous voltage",
            Self::Refused => "that cannot be done so, the screen says why",
            Self::LinkLost => "nothing comes from the meter any more",
            Self::LinkBack => "the meter is heard again",
        }
    }

    /// Whether it is one of the five verdicts.
    pub const fn is_verdict(self) -> bool {
        matches!(
            self,
            Self::Pass
                | Self::ConditionalPass
                | Self::ConditionalFail
                | Self::Fail
                | Self::Inconclusive
        )
    }
}

/// Rank by which one thing is heard before another, from little to much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rank {
    /// A contact: worth nothing a moment later.
    Contact,
    /// Words about what comes next: worth nothing once something else is next.
    Next,
    News,
    Verdict,
    /// Danger, or nothing being measured any more.
    Alarm,
}

/// One thing to be heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Utterance {
    /// A pattern of tones.
    Cue(Cue),
    /// Words, and how much they matter.
    Words {
        /// Plain words, to be spoken.
        text: String,
        /// Rank among what waits to be heard.
        rank: Rank,
    },
}

impl Utterance {
    /// Rank among what waits to be heard.
    pub const fn rank(&self) -> Rank {
        match self {
            Self::Words { rank, .. } => *rank,
            Self::Cue(Cue::Contact) => Rank::Contact,
            Self::Cue(Cue::StillCharged | Cue::LinkLost) => Rank::Alarm,
            Self::Cue(cue) if cue.is_verdict() => Rank::Verdict,
            Self::Cue(_) => Rank::News,
        }
    }
}

/// One unit of the rhythm: a short tone, and the silence between two tones.
pub const UNIT: Duration = Duration::from_millis(50);

/// Length of a tone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Length {
    /// One unit.
    Short,
    /// Three units.
    Long,
}

impl Length {
    /// As a time.
    pub const fn duration(self) -> Duration {
        match self {
            Self::Short => UNIT,
            Self::Long => Duration::from_millis(150),
        }
    }
}

/// One tone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tone {
    /// Its frequency, Hz.
    pub hertz: u16,
    /// Length of the tone.
    pub length: Length,
}

/// Tones with one unit of silence between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pattern {
    tones: &'static [Tone],
}

const fn short(hertz: u16) -> Tone {
    Tone {
        hertz,
        length: Length::Short,
    }
}

const fn long(hertz: u16) -> Tone {
    Tone {
        hertz,
        length: Length::Long,
    }
}

const A4: u16 = 440;
const B4: u16 = 494;
const D5: u16 = 587;
const E5: u16 = 659;
const G5: u16 = 784;
const A5: u16 = 880;
const D6: u16 = 1175;
const E6: u16 = 1319;

impl Cue {
    /// Its tones.
    pub const fn pattern(self) -> Pattern {
        Pattern {
            tones: match self {
                Self::Contact => const { &[short(E6)] },
                Self::Settled => const { &[long(A5)] },
                Self::Pass => const { &[short(G5), short(D6)] },
                Self::ConditionalPass => const { &[short(G5), long(D6)] },
                Self::ConditionalFail => const { &[long(E5), short(A4)] },
                Self::Fail => const { &[long(E5), long(A4)] },
                Self::Inconclusive => const { &[short(E5), short(A5), short(E5)] },
                Self::Again => const { &[short(D5), long(G5), long(D5)] },
                Self::ReadsLike => const { &[long(A5), short(E5), long(A5)] },
                Self::WhichPart => const { &[long(D5), long(D5), short(G5)] },
                Self::SettledAnew => const { &[short(D5), long(A5), short(D5), long(A5)] },
                Self::NoValue => const { &[short(D5), long(D5), short(D5)] },
                Self::StillCharged => {
                    const {
                        &[
                            short(G5),
                            short(E6),
                            short(G5),
                            short(E6),
                            short(G5),
                            short(E6),
                            short(G5),
                            short(E6),
                        ]
                    }
                }
                Self::Refused => const { &[long(B4), short(B4), short(B4)] },
                Self::LinkLost => const { &[long(A5), long(E5), long(A4)] },
                Self::LinkBack => const { &[short(A4), short(E5), long(A5)] },
            },
        }
    }
}

impl Pattern {
    pub const fn tones(self) -> &'static [Tone] {
        self.tones
    }

    /// From the beginning of the first tone to the end of the last.
    pub fn duration(self) -> Duration {
        let sounding: Duration = self.tones.iter().map(|tone| tone.length.duration()).sum();
        let gaps = self.tones.len().saturating_sub(1);
        sounding + UNIT * u32::try_from(gaps).unwrap_or(u32::MAX)
    }

    /// The rhythm for people: a dot for a short tone, a dash for a long one.
    pub fn rhythm(self) -> String {
        let sign = |tone: &Tone| match tone.length {
            Length::Short => '·',
            Length::Long => '–',
        };
        self.tones.iter().map(sign).collect()
    }
}

/// Strokes of the terminal's bell for a cue, from none to five.
///
/// A bell has neither pitch nor length, so only the count is left, and people count to three without effort: one is good,
/// two asks for a look, three is bad. A contact does not ring: it would be taken for a verdict.
pub const fn bells(cue: Cue) -> u32 {
    match cue {
        Cue::Contact => 0,
        Cue::Settled | Cue::Pass | Cue::LinkBack => 1,
        Cue::ConditionalPass
        | Cue::Inconclusive
        | Cue::Again
        | Cue::ReadsLike
        | Cue::WhichPart
        | Cue::SettledAnew
        | Cue::NoValue
        | Cue::Refused => 2,
        Cue::ConditionalFail | Cue::Fail => 3,
        Cue::LinkLost => 4,
        Cue::StillCharged => 5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    /// ISO 16: A4 = 440 Hz; an octave has twelve equal steps. Semitones from A4 by the names of the notes.
    #[test]
    fn the_pitches_are_notes_of_equal_temperament() {
        for (hertz, semitones) in [
            (A4, 0),
            (B4, 2),
            (D5, 5),
            (E5, 7),
            (G5, 10),
            (A5, 12),
            (D6, 17),
            (E6, 19),
        ] {
            let exact = 440.0 * libm::exp2(f64::from(semitones) / 12.0);
            assert!(
                (f64::from(hertz) - exact).abs() <= 0.5,
                "{hertz} is not {exact}"
            );
        }
    }

    /// The margin: another number of tones, or somewhere a long tone (three units) against a short one (one unit).
    #[test]
    fn any_two_cues_differ_in_rhythm() {
        for (index, &one) in Cue::ALL.iter().enumerate() {
            for other in &Cue::ALL[index + 1..] {
                let (one_is, other_is) = (one.pattern().tones(), other.pattern().tones());
                let apart = one_is.len() != other_is.len()
                    || one_is.iter().zip(other_is).any(|(one, other)| {
                        let [shorter, longer] = {
                            let mut lengths = [one.length.duration(), other.length.duration()];
                            lengths.sort();
                            lengths
                        };
                        longer >= shorter * 3
                    });
                assert!(apart, "{one} and {other}");
            }
        }
    }

    #[test]
    fn good_news_rises_by_a_fifth_and_bad_news_falls_by_one() {
        let fall = |cue: Cue| {
            let tones = cue.pattern().tones();
            f64::from(tones[tones.len() - 1].hertz) / f64::from(tones[0].hertz)
        };
        for cue in [Cue::Pass, Cue::ConditionalPass] {
            assert!(fall(cue) > 1.49, "{cue}");
        }
        for cue in [Cue::Fail, Cue::ConditionalFail, Cue::LinkLost] {
            assert!(fall(cue) < 0.67, "{cue}");
        }
    }

    #[test]
    fn tones_keep_within_what_small_loudspeakers_give_and_old_ears_hear() {
        for &cue in Cue::ALL {
            for tone in cue.pattern().tones() {
                assert!((400..=2000).contains(&tone.hertz), "{cue}: {}", tone.hertz);
            }
        }
    }

    #[test]
    fn a_contact_is_a_tick_and_a_verdict_is_over_in_half_a_second() {
        let most = |cue: Cue, milliseconds| {
            let duration = cue.pattern().duration();
            assert!(
                duration <= Duration::from_millis(milliseconds),
                "{cue}: {duration:?}"
            );
        };
        most(Cue::Contact, 60);
        for &cue in Cue::ALL.iter().filter(|cue| cue.is_verdict()) {
            most(cue, 500);
        }
        for &cue in Cue::ALL {
            most(cue, 1000);
        }
    }

    #[test]
    fn every_pattern_begins_and_ends_with_a_tone() {
        for &cue in Cue::ALL {
            assert!(!cue.pattern().tones().is_empty(), "{cue}");
        }
        assert_eq!(Cue::ConditionalPass.pattern().rhythm(), "·–");
        assert_eq!(
            Cue::ConditionalPass.pattern().duration(),
            Duration::from_millis(250)
        );
    }

    #[test]
    fn good_doubtful_bad_and_dangerous_ring_differently() {
        let counts = [
            Cue::Contact,
            Cue::Pass,
            Cue::Inconclusive,
            Cue::Fail,
            Cue::LinkLost,
            Cue::StillCharged,
        ]
        .map(bells);
        assert_eq!(counts, [0, 1, 2, 3, 4, 5]);
    }
}
