//! [`Refusal`]: why a command could not be followed.

use serde::{Deserialize, Serialize};

/// Reason why a command could not be followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Refusal {
    /// There is no following or preceding part.
    EndOfList,
    /// No part was judged yet.
    NothingToRedo,
    /// The plan has no part of that designator, and none at such a place.
    NoSuchPart,
    /// No value was judged yet that could be of another part.
    NothingToMove,
    /// The value reads like several parts, or like none.
    WhichPart,
    /// The part has another quantity, meter or discharge check than the value.
    OtherValue,
    /// The value is that part's already.
    SamePart,
    /// Nothing is to be measured at the place.
    NothingThere,
    /// No question stands.
    NothingAsked,
    /// The part is at another place.
    NotThere,
    /// The parts are not listed alike, or the value does not pass for each.
    NotAlike,
    /// No part is in hand.
    NothingInHand,
    /// The meter sees a contact already; there is nothing to say.
    ContactSeen,
    /// First every capacitor must be seen discharged, or overridden.
    DischargeFirst,
    /// A capacitor was just read as charged; no reason makes that safe.
    StillCharged,
    /// Whoever overrides names a capacitor, or says `all`.
    NameTheCapacitor,
    /// The capacitor is not among those that are held back.
    NotHeldBack,
    /// Nobody said why it is safe without.
    NoReasonToOverride,
    /// A test point waits for `live`.
    LiveFirst,
    /// No test point waits for the power.
    NothingToPower,
    /// No leakage is in hand.
    NothingToSoak,
    /// The cautions come before any voltage, and were not agreed to.
    HeedFirst,
    /// No caution is shown.
    NothingToHeed,
    /// There is nothing to be overridden.
    NothingToOverride,
    /// The meter measures no resistance.
    NoResistance,
    /// A capacitor is under voltage.
    UnderVoltage,
    /// A test point is in hand, and that is measured under power.
    UnderPower,
    /// No part was judged yet that a decision without a designator could be about.
    NothingToDecide,
    /// The decision needs a reason.
    NoReason,
    /// A part that the policy replaces is to stay, and nobody said why.
    NoReasonAgainstPolicy,
    /// A capacitor at the mains that has not the class its place needs is to stay, and nobody said why.
    NoReasonAtMains,
}

impl Refusal {
    /// The reason as a clause for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::EndOfList => "the list ends here",
            Self::NothingToRedo => "no part was judged yet",
            Self::NoSuchPart => {
                "this sitting has no part of that designator, and none at a place of that name"
            }
            Self::NothingToMove => "no value was judged yet",
            Self::WhichPart => "say which part it was, as in `was R3`",
            Self::OtherValue => {
                "that part has another quantity, another meter or another discharge check: measure it itself"
            }
            Self::SamePart => "the value is that part's already",
            Self::NothingThere => "nothing is to be measured at a place of that name",
            Self::NothingAsked => "nothing is asked",
            Self::NotThere => "that part is not measured at this place",
            Self::NotAlike => {
                "these parts are not listed alike, or the value does not pass for each: say which one it is"
            }
            Self::NothingInHand => "no part is in hand",
            Self::ContactSeen => "the meter sees the contact already",
            Self::DischargeFirst => {
                "first see every capacitor discharged, or say `override`, which one, and why that is safe"
            }
            Self::StillCharged => {
                "a capacitor was just read as charged, and no reason makes it harmless: leave the discharge resistor on, and measure again"
            }
            Self::NameTheCapacitor => {
                "say which capacitor and why, one at a time as in `override C5 it was taken out`, or `override all` and why"
            }
            Self::NotHeldBack => "that capacitor is not waited for, or not any more",
            Self::NoReasonToOverride => "say why it is safe, as in `override C5 it was taken out`",
            Self::LiveFirst => {
                "power comes on now: say `live` once it is on; `on` means that the probes are on something open"
            }
            Self::NothingToPower => "no test point waits for the power",
            Self::NothingToSoak => "no leakage is in hand",
            Self::HeedFirst => "first agree to each caution with `heed`",
            Self::NothingToHeed => "no caution is shown",
            Self::NothingToOverride => "nothing is held back",
            Self::UnderPower => {
                "a test point is in hand, under power: no resistance is measured there"
            }
            Self::UnderVoltage => "a capacitor is under voltage: no resistance is measured there",
            Self::NothingToDecide => {
                "no part was judged yet: say which one, as in `decide R12 keep`"
            }
            Self::NoReason => {
                "say why, as in `decide R12 accept 8 % high and nothing depends on it`"
            }
            Self::NoReasonAgainstPolicy => {
                "it is to be replaced by policy, whatever it reads: say why it may stay, as in `decide C6 keep it was renewed`"
            }
            Self::NoReasonAtMains => {
                "it may sit at the mains without the safety class that its place needs, and then it can kill: say why it may stay, as in \
                 `decide C6 accept it is disconnected`"
            }
            Self::NoResistance => "this meter measures no resistance",
        }
    }
}
