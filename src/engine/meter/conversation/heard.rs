//! [`Heard`]: what a conversation says.

use crate::engine::meter::{Reading, ReplyError};
use crate::engine::quantity::{Quantity, Stamp};

/// One thing that was learned from the meter, or from its silence. `at` is the time of the portion of bytes, or of the deadline, that told it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heard<'a> {
    /// A reading of the wanted quantity.
    Reading(Reading),
    /// The meter told what it is: the first time after the link came up, and whenever the answer changes.
    Identified {
        /// When.
        at: Stamp,
        /// Its answer.
        text: &'a str,
    },
    /// The meter told what it is, and it is not what the profile expects. Nothing is measured until the right one answers. Said once.
    WrongMeter {
        /// When.
        at: Stamp,
        /// Its answer.
        answer: &'a str,
        /// What the profile expects in it; `None` if any identification would do.
        expected: Option<&'a str>,
    },
    /// An entry of the meter's error queue.
    DeviceError {
        /// When.
        at: Stamp,
        /// Its number: negative ones belong to SCPI, positive ones to the device.
        code: i32,
        /// Its text.
        text: &'a str,
    },
    /// The meter reported errors behind its set-up for that quantity, and again when the set-up was repeated: it does not measure it.
    /// Whatever it would answer now would be taken for something else than it is, so it is not asked until something is wanted anew.
    Refused {
        /// When.
        at: Stamp,
        /// What it was set up for.
        quantity: Quantity,
    },
    /// A line with something else than printable ASCII in it: noise, or wrong line settings.
    Garbled {
        /// When.
        at: Stamp,
        /// The line.
        bytes: &'a [u8],
    },
    /// A line longer than the profile allows was skipped.
    TooLong {
        /// When.
        at: Stamp,
    },
    /// A line that is no reply of the form that the profile describes.
    NotUnderstood {
        /// When.
        at: Stamp,
        /// The line.
        line: &'a str,
        /// Why.
        why: ReplyError,
    },
    /// The meter does not answer, or sends nothing any more. Said once, until [`Answering`](Self::Answering).
    Silent {
        /// When this was noticed.
        at: Stamp,
        /// When it was asked, or sent its last line.
        since: Stamp,
    },
    /// The meter is heard again after it was silent.
    Answering {
        /// When.
        at: Stamp,
    },
    /// Readings of something else arrive: the knob has to be turned. Said once per change.
    WrongQuantity {
        /// When.
        at: Stamp,
        /// What is wanted.
        wanted: Quantity,
        /// What arrives; `None` for something that the program does not measure.
        arriving: Option<Quantity>,
    },
}

impl Heard<'_> {}
