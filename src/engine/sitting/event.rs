//! [`Event`]: everything the engine says, as plain data. Lines, sounds, states and files are made of it and of nothing else.

use serde::{Deserialize, Serialize};

use super::charged::Charge;
use super::command::Command;
use super::entry::{Entry, Next};
use super::news::{LinkNews, MeterNews};
use super::refusal::Refusal;
use super::row::Row;
use super::summary::Summary;
use crate::engine::judge::capacitor::{Direction, SoakReport};
use crate::engine::judge::{Loops, Verdict};
use crate::engine::meter::{Reading, Shown};
use crate::engine::parts::{Choice, Title};
use crate::engine::probing::{SettledValue, Signal};
use crate::engine::quantity::{Quantity, Stamp};

/// Something happened, at that time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Microseconds since the sitting began.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// Event, as plain data.
    #[serde(rename = "news")]
    pub what: What,
}

/// An event. In JSON the field `what` holds the name of the variant. Values are in the SI unit of their quantity,
/// uncertainties are standard ones, k = 1. Parts and meters are named as people name them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
#[cfg_attr(
    test,
    derive(strum::EnumDiscriminants),
    strum_discriminants(
        derive(strum::IntoStaticStr, strum::VariantArray),
        strum(serialize_all = "kebab-case")
    )
)]
pub enum What {
    /// Before any work, once for each: this capacitor may hold a charge.
    MayBeCharged(Charge),
    /// Behind them: something is to be done about it.
    ChargeCaution,
    /// This part is now in hand.
    InHand {
        /// Measurement to be made.
        entry: Box<Entry>,
        /// Next parts, at most three.
        next: Vec<Next>,
    },
    /// In circuit, before `nothing-left`: the leads to lift, fewest first.
    ToLift {
        /// The leads; none where everything is known.
        leads: Vec<LeadToLift>,
    },
    /// In circuit, after each reading: what is known of the loops by now, to be drawn.
    Loops(Box<Loops>),
    /// No part is left to be taken in hand.
    NothingLeft,
    /// This capacitor is to be seen discharged: voltmeter across it.
    ToDischarge {
        /// The capacitor; its band is that of the voltage across it.
        entry: Box<Entry>,
    },
    /// A voltage was found across a capacitor that is to be discharged.
    AcrossCapacitor {
        /// Capacitor that the voltmeter is on.
        #[serde(flatten)]
        title: Title,
        /// The voltage, V.
        volts: f64,
        /// Whether it is low enough to go on.
        discharged: bool,
        /// Limit that it must be below, V.
        below_volt: f64,
    },
    /// A test point is in hand, and power comes on now: nothing is read before the person says `live`.
    ToPower {
        /// Measurement to be made.
        entry: Box<Entry>,
        /// Next parts, at most three.
        next: Vec<Next>,
    },
    /// Behind test points something is in hand that is measured without power.
    PowerOff,
    /// A leakage is in hand: voltage is to be applied.
    ToSoak(Box<ToSoak>),
    /// Before voltage: a caution that is to be agreed to with `heed`.
    SoakCaution {
        /// Its number, from 1.
        number: usize,
        /// Number of all cautions.
        of: usize,
        /// Sentences to be read and agreed to.
        #[serde(rename = "words")]
        text: String,
    },
    /// Every caution was agreed to: voltage may be applied.
    Heeded,
    /// A current flows although the cautions were not agreed to. What is read then proves nothing.
    Unheeded {
        /// Part in hand.
        #[serde(flatten)]
        title: Title,
    },
    /// Voltage is on the part.
    SoakBegun {
        /// Part in hand.
        #[serde(flatten)]
        title: Title,
        /// The voltage, V.
        volts: f64,
        /// When the current is read, s from now.
        read_after_s: f64,
    },
    /// Course of the current of a part under voltage.
    Soaking(Box<Soaking>),
    /// No reading of the current came at the time of the limit.
    SoakMissed {
        /// Part in hand, which is charged.
        #[serde(flatten)]
        title: Title,
    },
    /// The person goes on although a capacitor was not seen discharged.
    Overridden {
        /// The capacitor; `None` for all that were left.
        #[serde(flatten)]
        title: Option<Title>,
        /// Grounds in the person's words.
        reason: String,
        /// Capacitors that are still to be seen discharged.
        left: Vec<String>,
    },
    /// The probes are said to be shorted; the resistance of the leads is awaited.
    AwaitingZero {
        /// The meter to be taken, where there are several.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        meter: Option<String>,
    },
    /// The resistance of the leads is known, and is taken off every resistance from now on.
    Zeroed {
        /// The resistance, Ω.
        ohms: f64,
        /// Standard uncertainty, k = 1, Ω.
        uncertainty: f64,
    },
    /// The settled value is no resistance of leads: too large, or nothing.
    NotZeroed,
    /// The leads are looked at as soon as every capacitor was seen discharged.
    ZeroLater,
    /// The probes are to be held apart; what the open leads add is awaited.
    AwaitingApart,
    /// The addition of the leads to an impedance is known, and is taken off from now on.
    Fixture {
        /// Capacitance across the part, F.
        farads: f64,
        /// Resistance in series with it, Ω.
        ohms: f64,
        /// Frequency at which that holds, Hz.
        hertz: f64,
    },
    /// The open leads show nothing that could be taken off.
    NoFixture,
    /// The probes themselves said that.
    Signalled {
        /// What the probes said: redo or skip.
        signal: Signal,
    },
    /// A reading of what the part in hand needs has arrived.
    Reading(Live),
    /// The probes touch something.
    Contact,
    /// A value settled, was tagged to a part and judged.
    Judged(Box<Record>),
    /// Soon after a lift the same value settled again: that is taken for the same part, and tagged to nothing.
    GrippedAgain {
        /// The part that has the value already.
        #[serde(flatten)]
        title: Title,
        /// The part in hand, which waits for its own.
        in_hand: String,
        /// Whether the parts are equal by design, so that it may well be the next: the person is asked.
        asked: bool,
    },
    /// All parts at a place are in hand at once.
    AtPlace {
        /// The place, as if it were a part.
        entry: Box<Entry>,
        /// Parts still to be measured there.
        parts: Vec<String>,
    },
    /// A value at a place may be of several parts.
    WhichPart {
        /// Node, or word of the list, that was named with `at`.
        place: String,
        /// Quantity that was measured.
        quantity: Quantity,
        /// The value; `None` for what is open or beyond the range.
        value: Option<f64>,
        /// The parts, the likeliest first.
        candidates: Vec<String>,
        /// Whether they are so alike that it may be written down for none of them alone.
        alike: bool,
    },
    /// The value just judged reads like that of another part: the probes may be on the wrong one. Nothing follows by itself.
    ReadsLike {
        /// The part in hand.
        #[serde(flatten)]
        title: Title,
        /// The parts that it reads like, the likeliest first.
        candidates: Vec<String>,
    },
    /// The value just judged was that of another part, which has it now; the part that it was taken from is in hand again.
    Moved {
        /// The part that it was taken from.
        #[serde(flatten)]
        title: Title,
        /// The part that it belongs to.
        belongs_to: String,
        /// Decision on that value at the bench, which stands until it is decided anew.
        #[serde(rename = "decision", default, skip_serializing_if = "Option::is_none")]
        choice: Option<Choice>,
        /// Reason why it was decided so; empty where it was not said, or nothing decided.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        reason: String,
        /// The first of the parts just before whose values fit their neighbours better than themselves.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        check_from: Option<String>,
    },
    /// The probes stayed on the part judged last, and its value has settled once more, elsewhere: the next row takes the other back.
    SettledAnew {
        /// Part judged last.
        #[serde(flatten)]
        title: Title,
        /// Quantity that is measured.
        quantity: Quantity,
        /// The value as it was said before; `None` for what was beyond the range.
        before: Option<f64>,
        /// Decision on that value at the bench, which stands until it is decided anew.
        #[serde(rename = "decision", default, skip_serializing_if = "Option::is_none")]
        choice: Option<Choice>,
        /// Reason why it was decided so; empty where it was not said, or nothing decided.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        reason: String,
    },
    /// The probes have been on the part for a long time, and its value still moves.
    Restless {
        /// The part in hand.
        #[serde(flatten)]
        title: Title,
        /// The latest reading.
        value: f64,
        /// Quantity that is measured.
        quantity: Quantity,
    },
    /// A touch ended without a settled value.
    Unsettled {
        /// The part in hand.
        #[serde(flatten)]
        title: Title,
        /// Length of the touch, s.
        lasted_s: f64,
        /// Readings of the touch.
        readings: u32,
    },
    /// The probes were lifted.
    Lifted,
    /// The person says that a lead of the part is lifted, or joined again.
    Lead {
        /// Part whose lead it is.
        #[serde(flatten)]
        title: Title,
        /// Whether it is out of circuit from now on.
        lifted: bool,
    },
    /// Before the end: leads of these parts are still lifted.
    StillLifted {
        /// Their designators.
        parts: Vec<String>,
    },
    /// The person says that the probes are on the part; no reading from then on means open.
    AwaitingOpen {
        /// Part in hand.
        #[serde(flatten)]
        title: Title,
    },
    /// The part was left out.
    Skipped {
        /// Part that was in hand.
        #[serde(flatten)]
        title: Title,
    },
    /// A remark of the person.
    Noted {
        /// The part in hand, if any.
        #[serde(flatten)]
        title: Option<Title>,
        /// Remark in the person's words.
        text: String,
    },
    /// The person asks for a decision to be written down; what became of it is told next.
    Deciding(Resolve),
    /// The person decided what becomes of a part, and it is written down.
    Decided(Resolve),
    /// A decision could not be written down.
    NotDecided {
        /// Decision that is not on the disk.
        #[serde(flatten)]
        resolve: Resolve,
        /// Text that says why not.
        obstacle: String,
    },
    /// A command could not be followed.
    Refused {
        /// Command as it was understood.
        command: Command,
        /// Reason why it cannot be followed.
        obstacle: Refusal,
    },
    /// News of the link to a meter.
    Link {
        /// Name of the meter, where there are several.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        meter: Option<String>,
        /// State of the link from now on.
        #[serde(flatten)]
        news: LinkNews,
    },
    /// News of a meter.
    Meter {
        /// Its name, where there are several.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        meter: Option<String>,
        /// State of the meter, or what it said.
        #[serde(flatten)]
        news: MeterNews,
    },
    /// Advance of the sitting, after each verdict, each part left out and each touch without a value.
    Progress(Box<Summary>),
    /// The sitting is over. Always the last.
    Ended(Box<Summary>),
}

/// A settled value, tagged and judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// The part, as an index into the plan.
    pub part: usize,
    /// Finding as it was read.
    pub settled: SettledValue,
    /// Judgement: the row of the results.
    pub row: Row,
}

/// A lead that is to be lifted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeadToLift {
    #[serde(rename = "ref")]
    pub designator: String,
    /// The parts that are known then, itself among them.
    pub settles: Vec<String>,
}

/// Decision of the person on a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Resolve {
    #[serde(rename = "ref")]
    pub designator: String,
    /// Fate of the part.
    #[serde(rename = "decision")]
    pub choice: Choice,
    /// The reason; may be empty.
    pub reason: String,
    /// Danger in it, if there is any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub warning: Option<String>,
}

/// A reading of what is in hand.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Live {
    /// Quantity that was measured.
    pub quantity: Quantity,
    /// The value; `None` where the meter gave no number.
    pub value: Option<f64>,
    /// The meter said that the value is beyond its range; probes in the air mostly look like that.
    pub overload: bool,
    /// Whether the probes touch something.
    pub touching: bool,
}

/// A leakage in hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ToSoak {
    /// Measurement to be made.
    pub entry: Entry,
    /// Next parts, at most three.
    pub next: Vec<Next>,
    /// Task: `450 V for 5 min, then at most 0.3 mA`.
    pub test: String,
    /// The voltage to be applied, V.
    pub volts: f64,
    /// When the current is read, s after the voltage is on the part.
    pub read_after_s: f64,
}

/// Course of the current of a part under voltage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Soaking {
    /// Part under voltage.
    #[serde(flatten)]
    pub title: Title,
    /// Since the voltage is on it, s.
    pub elapsed_s: f64,
    /// The latest current, A.
    #[serde(rename = "amperes")]
    pub ampere: Option<f64>,
    /// Where it goes; `None` with too few readings.
    pub trend: Option<Direction>,
    /// Its expected value when it is to be read, where that can be said.
    pub expected: Option<Expected>,
    /// The verdict so far.
    pub verdict: Option<Verdict>,
    /// The reason, or why not yet.
    pub reason: String,
}

/// A current to come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// The time, s after the voltage is on the part.
    pub after_s: f64,
    /// Lower end of the 95 % interval, A.
    #[serde(rename = "lower")]
    pub low: f64,
    /// Upper end of the 95 % interval, A.
    #[serde(rename = "upper")]
    pub high: f64,
}

impl Live {
    /// Of that reading.
    pub(super) const fn of(reading: &Reading, touching: bool) -> Self {
        let value = match reading.shown {
            Shown::Value(value) => Some(value),
            Shown::Overload | Shown::NotANumber => None,
        };
        Self {
            quantity: reading.quantity,
            value,
            overload: matches!(reading.shown, Shown::Overload),
            touching,
        }
    }
}

impl Soaking {
    /// Of that report, on the part of that title.
    pub fn of(title: Title, report: &SoakReport) -> Self {
        let expected = report.forecast.and_then(Result::ok);
        Self {
            title,
            elapsed_s: report.elapsed.as_secs_f64(),
            ampere: report.latest_ampere,
            trend: report.trend,
            expected: expected.map(|forecast| Expected {
                after_s: forecast.after.as_secs_f64(),
                low: forecast.low_ampere,
                high: forecast.high_ampere,
            }),
            verdict: report.verdict,
            reason: report.reason.words().to_owned(),
        }
    }
}
