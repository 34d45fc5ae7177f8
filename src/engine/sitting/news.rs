//! [`LinkNews`] and [`MeterNews`]: what becomes of a link, and what a meter says beside its readings.

use serde::{Deserialize, Serialize};

use crate::engine::meter::Heard;
use crate::engine::quantity::Quantity;

/// News of the link to a meter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "way", rename_all = "kebab-case")]
pub enum LinkNews {
    /// The link is up.
    Up,
    /// The link is lost; it is being tried again.
    Lost {
        /// The reason, in the words of the operating system.
        reason: String,
    },
}

/// News of a meter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "state", rename_all = "kebab-case")]
pub enum MeterNews {
    /// Identification that the profile allows.
    Identified {
        /// Text that it sent.
        text: String,
    },
    /// Identification of another meter than the profile expects.
    WrongMeter {
        /// Text that it sent.
        found: String,
        /// Text that the profile expects in it; `None` if any identification would do.
        expected: Option<String>,
    },
    /// Error of its own that it reported.
    Trouble {
        /// SCPI error number.
        code: i32,
        /// Text that the meter has for the code.
        text: String,
    },
    /// Bytes that are no reading. Said once until a good reading comes.
    NotUnderstood {
        /// Bytes it sent, and why they are no reading.
        text: String,
    },
    /// Bytes passed over up to an end of line, since it sends faster than it is read. Said at most every ten seconds.
    Missed {
        /// Number of bytes.
        bytes: u64,
    },
    /// No answer came in the time that the profile allows.
    Silent,
    /// An answer came again.
    Answering,
    /// Readings are of another quantity than the part in hand needs.
    WrongQuantity {
        /// Quantity that the part needs.
        expected: Quantity,
        /// The arriving quantity; `None` for something that the program does not measure.
        found: Option<Quantity>,
    },
    /// No function is there for what the part in hand needs.
    CannotMeasure {
        /// Quantity that the part needs.
        quantity: Quantity,
        /// Whether a profile at the bench has one all the same.
        in_profile: bool,
        /// Whether a capacitor is to be seen discharged with it, so that `skip` does not help.
        #[serde(default)]
        discharge: bool,
    },
}

impl MeterNews {
    /// The news in what was heard, while a capacitor is to be seen `discharged` or not; `None` for a reading.
    pub(super) fn of(heard: &Heard<'_>, discharge: bool) -> Option<Self> {
        Some(match *heard {
            Heard::Reading(_) => return None,
            Heard::Identified { text } => Self::Identified {
                text: text.to_owned(),
            },
            Heard::WrongMeter { answer, expected } => Self::WrongMeter {
                found: answer.to_owned(),
                expected: expected.map(str::to_owned),
            },
            Heard::DeviceError { code, text } => Self::Trouble {
                code,
                text: text.to_owned(),
            },
            // It was asked for it, so its profile has it.
            Heard::Refused { quantity } => Self::CannotMeasure {
                quantity,
                in_profile: true,
                discharge,
            },
            Heard::Garbled { bytes } => Self::NotUnderstood {
                text: format!("`{}`", bytes.escape_ascii()),
            },
            Heard::TooLong => Self::NotUnderstood {
                text: "a line longer than the profile allows".to_owned(),
            },
            Heard::NotUnderstood { line, why } => Self::NotUnderstood {
                text: format!("`{line}`: {why}"),
            },
            Heard::Missed { bytes } => Self::Missed { bytes },
            Heard::Silent => Self::Silent,
            Heard::Answering => Self::Answering,
            Heard::WrongQuantity { wanted, arriving } => Self::WrongQuantity {
                expected: wanted,
                found: arriving,
            },
        })
    }
}
