//! [`Verdict`]: what the numbers say, and [`Reason`]: why.

use serde::{Deserialize, Serialize};
use strum::{Display, IntoStaticStr, VariantArray};

use super::Rule;
use crate::engine::quantity::Band;

/// Verdict of the numbers on a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[derive(Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
pub enum Verdict {
    /// Inside the limits by more than the guard band.
    Pass,
    /// Inside the limits, but not by more than the guard band.
    #[serde(rename = "conditional pass")]
    #[strum(serialize = "conditional pass")]
    ConditionalPass,
    /// Outside the limits, but not by more than the guard band.
    #[serde(rename = "conditional fail")]
    #[strum(serialize = "conditional fail")]
    ConditionalFail,
    /// Outside the limits by more than the guard band.
    Fail,
    /// The measurement does not support a verdict.
    Inconclusive,
}

words!(Verdict: ALL, name, named);

impl Verdict {
    /// Rank by badness, from 0 on: what is not known is worse than what is good, and better than what is bad.
    pub const fn severity(self) -> u8 {
        match self {
            Self::Pass => 0,
            Self::ConditionalPass => 1,
            Self::Inconclusive => 2,
            Self::ConditionalFail => 3,
            Self::Fail => 4,
        }
    }

    /// Its meaning under that rule, as a clause for people.
    pub const fn meaning(self, rule: Rule) -> &'static str {
        match (self, rule) {
            (Self::Pass, Rule::GuardBand) => "within its limits, by more than the uncertainty",
            (Self::Pass, Rule::Simple) => "within its limits",
            (Self::ConditionalPass, _) => "within its limits, but not by more than the uncertainty",
            (Self::ConditionalFail, _) => {
                "outside its limits, but not by more than the uncertainty"
            }
            (Self::Fail, Rule::GuardBand) => {
                "outside its limits by more than the uncertainty, or open"
            }
            (Self::Fail, Rule::Simple) => "outside its limits, or open",
            (Self::Inconclusive, _) => "measured, but that proves nothing",
        }
    }
}

/// On which side of its band a value lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Below the lower limit.
    Low,
    /// Inside, limits included.
    Inside,
    /// Above the upper limit.
    High,
}

impl Side {
    /// The side of `band` that `value` lies on.
    pub fn of(value: f64, band: Band) -> Self {
        if value < band.lower() {
            Self::Low
        } else if value > band.upper() {
            Self::High
        } else {
            Self::Inside
        }
    }
}

/// Reason why a verdict is what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// The value against its band; no more than that.
    Value(Side),
    /// Nothing conducts although the probes are on the part.
    Open,
    /// No voltage at a test point although the probes are on it.
    NoVoltage,
    /// More than the meter can show.
    BeyondRange,
    /// A voltage on a secondary, and none that is known on the primary.
    NoPrimary,
    /// A loss below zero by more than its uncertainty, which no part has.
    NegativeLoss,
    /// The reading is below zero by more than its uncertainty: a charge or a voltage is on the part.
    Negative,
    /// Below zero by more than its uncertainty once the leads are taken off.
    BelowZero,
    /// Above the limit of a part that has only to conduct by no more than leads have that nobody measured.
    LeadsMayDecide,
    /// A wiper kept contact from stop to stop, without a jump.
    Smooth,
    /// A sweep without a fault that did not cover most of the track.
    SweptTooLittle,
    /// In circuit, a low resistance may be the work of a parallel path.
    ParallelPathLowers,
    /// In circuit, a high capacitance may be the work of a parallel path.
    ParallelPathRaises,
    /// In circuit, a low capacitance may be the work of a coil.
    CoilMayLower,
    /// In circuit, contacts may add what a resistance is too high by.
    ContactsMayRaise,
    /// Inside the band, but in circuit a parallel path may hide a value beyond it.
    ParallelPathMayHide,
    /// Read between two places: what it says of the parts stands in their own values.
    BetweenPlaces,
    /// The own value from readings in circuit lies outside the band, which they cannot prove.
    OwnOutside,
    /// Readings in circuit do not tell how large the own value is at most.
    OwnUnknown,
}

impl Reason {
    /// Below zero by more than the uncertainty, where no part is: no verdict follows.
    pub const fn is_below_zero(self) -> bool {
        matches!(self, Self::Negative | Self::BelowZero)
    }

    /// The reason as a clause for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Value(Side::Low) => "below its band",
            Self::Value(Side::Inside) => "inside its band",
            Self::Value(Side::High) => "above its band",
            Self::Open => "open: nothing conducts with the probes on it",
            Self::NoVoltage => "no voltage with the probes on it",
            Self::BeyondRange => "beyond the range of the meter",
            Self::NoPrimary => {
                "not judged, the voltage on the primary is not known: measure that first"
            }
            Self::NegativeLoss => {
                "not judged, its loss is negative, which no part is: check the zero of the meter"
            }
            Self::Negative => "negative: look for a charge or a voltage",
            Self::BelowZero => "below zero with the leads taken off: zero again",
            Self::LeadsMayDecide => {
                "above its limit by no more than leads may have: take them off with `zero`"
            }
            Self::Smooth => "keeps contact from stop to stop",
            Self::SweptTooLittle => {
                "no fault, but too little of the track was seen: turn from stop to stop, and slower"
            }
            Self::ParallelPathLowers => {
                "low in circuit, a parallel path may do that: lift one lead"
            }
            Self::ParallelPathRaises => {
                "high in circuit, a parallel path may do that: lift one lead"
            }
            Self::CoilMayLower => {
                "low in circuit, a coil in a loop with it may do that: lift one lead"
            }
            Self::ContactsMayRaise => {
                "above its band in circuit, by no more than contacts may add (0.5 Ω)"
            }
            Self::BetweenPlaces => "read; what it says of the parts stands in their own values",
            Self::OwnOutside => "suspect by the readings around it: lift this lead",
            Self::OwnUnknown => "the readings around it do not tell its own value: lift this lead",
            Self::ParallelPathMayHide => {
                "inside its band in circuit: holds unless a parallel path hides a drift"
            }
        }
    }
}
