//! [`Event`]: everything the engine says. Screen, CSV and summary only listen.

use super::command::Command;
use super::row::Row;
use super::summary::Summary;
use crate::engine::judge::capacitor::SoakReport;
use crate::engine::meter::{Heard, Shown};
use crate::engine::parts::Choice;
use crate::engine::probing::{SettledValue, Signal};
use crate::engine::quantity::{Quantity, Stamp};

/// Something happened, at that time. Parts are named by their index in the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// When.
    pub at: Stamp,
    /// What.
    pub what: What,
}

/// What happened.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Before any work, once for each: this capacitor ([`super::Plan::may_hold_charge`]) may hold a charge.
    MayBeCharged(usize),
    /// Behind them: what is to be done about it.
    ChargeCaution,
    /// This part is now in hand.
    InHand(usize),
    /// No part is left to be taken in hand.
    NothingLeft,
    /// This capacitor ([`super::Plan::charged`]) is to be seen discharged: voltmeter across it.
    ToDischarge(usize),
    /// A voltage was found across a capacitor that is to be discharged.
    AcrossCapacitor {
        /// The capacitor, as an index into [`super::Plan::charged`].
        capacitor: usize,
        /// The voltage, V.
        volts: f64,
        /// Whether it is low enough to go on.
        discharged: bool,
    },
    /// This entry of the plan is a leakage: voltage is to be applied.
    ToSoak(usize),
    /// Voltage stands at the part.
    SoakBegun {
        /// The entry in hand.
        part: usize,
        /// The voltage, V.
        volts: f64,
    },
    /// How the current of a part under voltage goes.
    Soaking {
        /// The entry in hand.
        part: usize,
        /// What it has shown so far.
        report: Box<SoakReport>,
    },
    /// No reading of the current came at the time of the limit.
    SoakMissed(usize),
    /// The person goes on although not every capacitor was seen discharged.
    Overridden {
        /// Why.
        reason: String,
    },
    /// The probes are said to be shorted; the resistance of the leads is awaited.
    AwaitingZero,
    /// The resistance of the leads is known, and is taken off every resistance from now on.
    Zeroed {
        /// It, ohm.
        ohms: f64,
        /// Its standard uncertainty, ohm.
        standard_uncertainty: f64,
    },
    /// What settled is no resistance of leads: too large, or nothing.
    NotZeroed,
    /// The leads are looked at as soon as every capacitor was seen discharged.
    ZeroLater,
    /// The probes are to be held apart; what the open leads add is awaited.
    AwaitingApart,
    /// What the leads add to an impedance is known, and is taken off from now on.
    Fixture {
        /// Capacitance across the part, F.
        farads: f64,
        /// Resistance in series with it, ohm.
        ohms: f64,
        /// Frequency at which that holds, Hz.
        hertz: f64,
    },
    /// The open leads show nothing that could be taken off.
    NoFixture,
    /// The probes themselves said that.
    Signalled(Signal),
    /// A reading of what the part in hand needs has arrived.
    Reading {
        /// What was measured.
        quantity: Quantity,
        /// What was shown.
        shown: Shown,
        /// Whether the probes touch something.
        touching: bool,
    },
    /// The probes touch something.
    Contact,
    /// A settled value was tagged to a part and judged.
    Judged(Box<Record>),
    /// The probes have been on the part for a long time, and its value still moves.
    Restless {
        /// The part in hand.
        part: usize,
        /// The latest reading, in the SI unit of the part's quantity.
        value: f64,
    },
    /// A touch ended without a settled value.
    Unsettled {
        /// The part in hand.
        part: usize,
        /// How long the touch lasted, s.
        seconds: f64,
        /// How many readings it had.
        readings: u32,
    },
    /// The probes were lifted.
    Lifted,
    /// The person says that the probes are on the part; a steady nothing is awaited.
    AwaitingOpen(usize),
    /// The part was left out.
    Skipped(usize),
    /// A remark of the person.
    Noted {
        /// The part in hand, if any.
        part: Option<usize>,
        /// The remark.
        text: String,
    },
    /// The person decided what becomes of a part.
    Decided {
        /// The part, by the first of its entries.
        part: usize,
        /// What.
        choice: Choice,
        /// Why; may be empty.
        reason: String,
    },
    /// A command could not be followed.
    Refused {
        /// The command.
        command: Command,
        /// Why.
        why: Refusal,
    },
    /// News of the link to a meter.
    Link {
        /// The meter, as an index into [`super::Plan::meters`].
        meter: usize,
        /// The news.
        news: LinkNews,
    },
    /// News of a meter.
    Meter {
        /// The meter, as an index into [`super::Plan::meters`].
        meter: usize,
        /// The news.
        news: MeterNews,
    },
    /// The sitting is over.
    Ended(Summary),
}

/// A settled value, tagged and judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// The part.
    pub part: usize,
    /// What was found, as it was read.
    pub settled: SettledValue,
    /// What was judged and how: the row of the results.
    pub row: Row,
}

/// Why a command could not be followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// There is no following or preceding part.
    EndOfList,
    /// No part was judged yet.
    NothingToRedo,
    /// The plan has no part of that designator.
    NoSuchPart,
    /// No part is in hand.
    NothingInHand,
    /// The meter sees a contact already; there is nothing to say.
    ContactSeen,
    /// First every capacitor must be seen discharged, or overridden.
    DischargeFirst,
    /// A capacitor was just read as charged; no reason makes that safe.
    StillCharged,
    /// No leakage is in hand.
    NothingToSoak,
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
    /// What was decided needs a reason.
    NoReason,
}

impl Refusal {
    /// The reason as a clause for people.
    pub const fn words(&self) -> &'static str {
        match self {
            Self::EndOfList => "the list ends here",
            Self::NothingToRedo => "no part was judged yet",
            Self::NoSuchPart => "this sitting has no part of that designator",
            Self::NothingInHand => "no part is in hand",
            Self::ContactSeen => "the meter sees the contact already",
            Self::DischargeFirst => {
                "first see every capacitor discharged, or say `override` and why that is safe"
            }
            Self::StillCharged => {
                "a capacitor was just read as charged: discharge it and measure again"
            }
            Self::NothingToSoak => "no leakage is in hand",
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
            Self::NoResistance => "this meter measures no resistance",
        }
    }
}

/// News of the link to the meter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkNews {
    /// The link is up.
    Up,
    /// The link is lost; it is being tried again.
    Lost {
        /// The reason, in the words of the operating system.
        reason: String,
    },
}

/// News of the meter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MeterNews {
    /// It said who it is.
    Identified(String),
    /// It is another meter than the profile expects.
    WrongMeter {
        /// What it said.
        found: String,
        /// What the profile expects in it; `None` if any identification would do.
        expected: Option<String>,
    },
    /// It reported an error of its own.
    Trouble {
        /// SCPI error number.
        code: i32,
        /// Its text.
        text: String,
    },
    /// It sent something that is no reading. Said once until a good reading comes.
    NotUnderstood(String),
    /// It does not answer.
    Silent,
    /// It answers again.
    Answering,
    /// It measures another quantity than the part in hand needs.
    WrongQuantity {
        /// What the part needs.
        wanted: Quantity,
        /// What arrives; `None` for something that the program does not measure.
        found: Option<Quantity>,
    },
    /// It has no function for what the part in hand needs.
    CannotMeasure(Quantity),
}

impl MeterNews {
    /// The news in what was heard; `None` for a reading.
    pub(super) fn of(heard: &Heard<'_>) -> Option<Self> {
        Some(match *heard {
            Heard::Reading(_) => return None,
            Heard::Identified { text, .. } => Self::Identified(text.to_owned()),
            Heard::WrongMeter {
                answer, expected, ..
            } => Self::WrongMeter {
                found: answer.to_owned(),
                expected: expected.map(str::to_owned),
            },
            Heard::DeviceError { code, text, .. } => Self::Trouble {
                code,
                text: text.to_owned(),
            },
            Heard::Refused { quantity, .. } => Self::CannotMeasure(quantity),
            Heard::Garbled { bytes, .. } => {
                Self::NotUnderstood(format!("`{}`", bytes.escape_ascii()))
            }
            Heard::TooLong { .. } => {
                Self::NotUnderstood("a line longer than the profile allows".to_owned())
            }
            Heard::NotUnderstood { line, why, .. } => {
                Self::NotUnderstood(format!("`{line}`: {why}"))
            }
            Heard::Silent { .. } => Self::Silent,
            Heard::Answering { .. } => Self::Answering,
            Heard::WrongQuantity {
                wanted, arriving, ..
            } => Self::WrongQuantity {
                wanted,
                found: arriving,
            },
        })
    }
}
