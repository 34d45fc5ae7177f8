//! [`Cue`]: what can be heard.

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
