//! [`News`]: what happened, as a view needs it.

use serde::{Deserialize, Serialize};

use super::charge::Charge;
use super::entry::{Entry, Next};
use super::judged::Judged;
use super::progress::Progress;
use super::word;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Quantity;

/// What happened. In JSON the field `what` holds the name of the variant. Values are in the SI unit of their quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum News {
    /// A sitting begins. Always the first item.
    Begun {
        /// Title of the job.
        title: String,
        /// When by the wall clock, RFC 3339.
        began: String,
        /// Name of the meter's profile.
        profile: String,
        /// Parts of the plan.
        parts: usize,
        /// Measurements of the plan: a part may have more than one.
        entries: usize,
    },
    /// A capacitor may hold a charge; told before anything is in hand.
    MayBeCharged(Charge),
    /// What is to be done about those.
    ChargeCaution {
        /// For people.
        text: String,
    },
    /// A part is in hand.
    InHand {
        /// What is to be measured.
        entry: Box<Entry>,
        /// What comes then, at most three.
        next: Vec<Next>,
    },
    /// No part is left.
    NothingLeft,
    /// A capacitor is to be seen discharged.
    ToDischarge {
        /// The capacitor; its band is that of the voltage across it.
        entry: Box<Entry>,
    },
    /// A voltage was found across a capacitor that is to be discharged.
    AcrossCapacitor {
        /// The capacitor.
        title: String,
        /// The voltage, V.
        volts: f64,
        /// Whether it is low enough to go on.
        discharged: bool,
    },
    /// The person goes on although not every capacitor was seen discharged.
    Overridden {
        /// Why.
        reason: String,
    },
    /// A leakage is in hand: voltage is to be applied.
    ToSoak {
        /// What is to be measured.
        entry: Box<Entry>,
        /// What comes then, at most three.
        next: Vec<Next>,
        /// What is to be done: `450 V for 5 min, then at most 0.3 mA`.
        test: String,
        /// The voltage to be applied, V.
        volts: f64,
        /// When the current is read, s after the voltage stands at the part.
        read_after_s: f64,
    },
    /// Voltage stands at the part.
    SoakBegun {
        /// The part.
        title: String,
        /// The voltage, V.
        volts: f64,
    },
    /// How the current of a part under voltage goes.
    Soaking(Soaking),
    /// No reading of the current came at the time of the limit.
    SoakMissed {
        /// The part.
        title: String,
    },
    /// A reading of what is in hand.
    Reading(Live),
    /// The probes touch something.
    Contact,
    /// The person says that the probes are on it; a steady nothing is awaited.
    AwaitingOpen {
        /// The part.
        title: String,
    },
    /// A value settled, was tagged to a part and judged.
    Judged(Box<Judged>),
    /// The probes have been on the part for a long time, and its value still moves.
    Restless {
        /// The part.
        title: String,
        /// The latest value.
        value: f64,
        /// What is measured.
        #[serde(with = "word::quantity")]
        quantity: Quantity,
    },
    /// A touch ended without a settled value.
    Unsettled {
        /// The part.
        title: String,
        /// How long it lasted, s.
        seconds: f64,
        /// How many readings it had.
        readings: u32,
    },
    /// The probes were lifted.
    Lifted,
    /// A part was left out.
    Skipped {
        /// The part.
        title: String,
    },
    /// A remark of the person.
    Noted {
        /// The part in hand, if any.
        title: Option<String>,
        /// The remark.
        text: String,
    },
    /// The person decided what becomes of a part.
    Decided {
        /// The part.
        designator: String,
        /// What: `keep`, `replace`, `order`, `fitted` or `accept`.
        choice: String,
        /// Why; may be empty.
        reason: String,
    },
    /// A command could not be followed.
    Refused {
        /// The command.
        command: String,
        /// Why.
        why: String,
    },
    /// The probes are said to be shorted; the resistance of the leads is awaited.
    AwaitingZero,
    /// The resistance of the leads is taken off from now on.
    Zeroed {
        /// It, Ω.
        ohms: f64,
        /// Its expanded uncertainty U = 2 u, Ω.
        uncertainty: f64,
    },
    /// What settled is no resistance of leads.
    NotZeroed,
    /// The leads are looked at as soon as every capacitor was seen discharged.
    ZeroLater,
    /// The probes are to be held apart; what the open leads add is awaited.
    AwaitingApart,
    /// What the leads add to an impedance is taken off from now on.
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
    /// The probes themselves said that: `redo` or `skip`.
    Signalled {
        /// What.
        signal: String,
    },
    /// The link to the meter.
    Link {
        /// Whether it is up.
        way: Way,
        /// Why it was lost.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
        /// Name of the meter, if it is not the first.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        meter: Option<String>,
    },
    /// The meter.
    Meter {
        /// What it is about.
        state: MeterWord,
        /// For people; of an identification what the meter said.
        text: String,
        /// Name of the meter, if it is not the first.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        meter: Option<String>,
    },
    /// How far the sitting is.
    Progress(Progress),
    /// The sitting is over. Always the last item.
    Ended(Progress),
}

/// A reading of what is in hand.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Live {
    /// What was measured.
    #[serde(with = "word::quantity")]
    pub quantity: Quantity,
    /// The value; `None` where the meter gave no number.
    pub value: Option<f64>,
    /// The meter said that the value is beyond its range; probes in the air mostly look like that.
    pub overload: bool,
    /// Whether the probes touch something.
    pub touching: bool,
}

/// How the current of a part under voltage goes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Soaking {
    /// The part.
    pub title: String,
    /// Since the voltage stands at it, s.
    pub elapsed_s: f64,
    /// The latest current, A.
    pub ampere: Option<f64>,
    /// Where it goes: `falling`, `level` or `rising`; `None` with too few readings.
    pub trend: Option<String>,
    /// What it will be when it is to be read, where that can be said.
    pub expected: Option<Expected>,
    /// The verdict so far.
    #[serde(with = "word::maybe_verdict")]
    pub verdict: Option<Verdict>,
    /// Why, or why not yet.
    pub reason: String,
}

/// A current to come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Expected {
    /// When, s after the voltage stands at the part.
    pub after_s: f64,
    /// Lower end of the 95 % interval, A.
    pub low: f64,
    /// Upper end of the 95 % interval, A.
    pub high: f64,
}

/// Whether the link is up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// It is up.
    Up,
    /// It is lost, and being tried again.
    Lost,
}

/// What news of the meter are about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeterWord {
    /// It said who it is.
    Identified,
    /// It is another meter than the profile expects.
    WrongMeter,
    /// It reported an error of its own.
    Trouble,
    /// It sent something that is no reading.
    NotUnderstood,
    /// It does not answer.
    Silent,
    /// It answers again.
    Answering,
    /// It measures another quantity than is needed.
    WrongQuantity,
    /// It has no function for what is needed.
    CannotMeasure,
}
