//! [`Cue`]: what a sound says, and [`Utterance`]: something to be heard, with its [`Rank`].

use std::fmt;

/// Something that the person at the bench is told by a sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
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

impl Cue {
    /// Every cue.
    pub const ALL: [Self; 12] = [
        Self::Contact,
        Self::Settled,
        Self::Pass,
        Self::ConditionalPass,
        Self::ConditionalFail,
        Self::Fail,
        Self::Inconclusive,
        Self::NoValue,
        Self::StillCharged,
        Self::Refused,
        Self::LinkLost,
        Self::LinkBack,
    ];

    /// Its name: small letters and hyphens, fit for a file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Contact => "contact",
            Self::Settled => "settled",
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional-pass",
            Self::ConditionalFail => "conditional-fail",
            Self::Fail => "fail",
            Self::Inconclusive => "inconclusive",
            Self::NoValue => "no-value",
            Self::StillCharged => "still-charged",
            Self::Refused => "refused",
            Self::LinkLost => "link-lost",
            Self::LinkBack => "link-back",
        }
    }

    /// What it means, as a clause for people.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Contact => "the probes touch something",
            Self::Settled => "measured, no verdict due: the leads, a discharged capacitor",
            Self::Pass => "inside the band",
            Self::ConditionalPass => "inside, but not by more than the uncertainty",
            Self::ConditionalFail => "outside, but not by more than the uncertainty",
            Self::Fail => "outside the band, or open",
            Self::Inconclusive => "measured, but that proves nothing",
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

impl fmt::Display for Cue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// How much it matters that something is heard, from little to much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rank {
    /// A contact: worth nothing a moment later.
    Contact,
    /// What comes next in words: worth nothing once something else is next.
    Next,
    /// News.
    News,
    /// A verdict.
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
        /// What is said: plain words.
        text: String,
        /// How much it matters.
        rank: Rank,
    },
}

impl Utterance {
    /// How much it matters.
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
