//! [`Conversation`]: talks to one meter without touching a port or a clock.
//!
//! # The loop
//! 1. Call what happened, with its time: [`link_up`](Conversation::link_up), [`link_lost`](Conversation::link_lost),
//!    [`measure`](Conversation::measure), [`receive`](Conversation::receive). Before it, call [`tick`](Conversation::tick) with the same time.
//! 2. Send what [`transmit`](Conversation::transmit) hands out, until it hands out nothing.
//! 3. Sleep until bytes arrive or [`deadline`](Conversation::deadline) has come; then call `tick`, and so on.
//!
//! Its events depend on the inputs and their times alone, not on when `transmit` is called: the same inputs again say the same again.
//!
//! ```
//! use std::sync::Arc;
//! use probewright::face::engine::meter::{Conversation, Heard, Profile, shipped_profile};
//! use probewright::face::engine::quantity::{Quantity, Stamp};
//!
//! let shipped = shipped_profile("talk-only-line-meter").expect("it is shipped");
//! let profile = Profile::parse(shipped.text, shipped.name).expect("it is well-formed");
//! let mut conversation = Conversation::new(Arc::new(profile));
//! conversation.measure(Quantity::Resistance, Stamp::ZERO).expect("it measures resistance");
//! conversation.link_up(Stamp::ZERO);
//! let mut ohms = Vec::new();
//! conversation.receive(b"3 OHM\r\n4.7 kOHM\r\n", Stamp::from_micros(100), &mut |heard| {
//!     if let Heard::Reading(reading) = heard {
//!         ohms.push(reading.shown);
//!     }
//! });
//! // The first line is not taken: nobody knows whether its beginning was missed.
//! assert_eq!(ohms, [probewright::face::engine::meter::Shown::Value(4700.0)]);
//! ```

mod query;
mod talk;

use std::sync::Arc;

use query::Query;
use talk::Talk;

use super::{Function, Lines, Mode, Profile, Reply};
use crate::engine::meter::{Ending, Reading, ReplyError};
use crate::engine::quantity::{Quantity, Stamp};

/// The profile has no function for a quantity.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the profile `{profile}` has no function for {quantity}: choose a meter that measures it")]
pub struct UnsupportedQuantity {
    /// The profile's name.
    pub profile: String,
    /// The wanted quantity.
    pub quantity: Quantity,
}

/// The reply, unless no meter of those ranges can show it: a damaged line.
fn shown_by(function: &Function, reply: Reply) -> Result<Reply, ReplyError> {
    let possible = function.can_show(reply.shown);
    possible.then_some(reply).ok_or(ReplyError::BeyondRanges)
}

/// Takes what is heard.
type Ear<'e> = &'e mut dyn FnMut(Heard<'_>);

/// The conversation with one meter.
#[derive(Debug, Clone)]
pub struct Conversation {
    profile: Arc<Profile>,
    lines: Lines,
    side: Side,
    up: bool,
}

#[derive(Debug, Clone)]
enum Side {
    Query(Query),
    Talk(Talk),
}

impl Conversation {
    /// A conversation over a link that is not up yet.
    pub fn new(profile: Arc<Profile>) -> Self {
        let lines = Lines::new(profile.line.longest_reply);
        let side = match profile.mode {
            Mode::Query => Side::Query(Query::new(Arc::clone(&profile))),
            Mode::Talk => Side::Talk(Talk::new(Arc::clone(&profile))),
        };
        Self {
            profile,
            lines,
            side,
            up: false,
        }
    }

    /// The link is up (again). Call `transmit` afterwards.
    pub fn link_up(&mut self, now: Stamp) {
        self.up = true;
        match &mut self.side {
            Side::Query(query) => {
                self.lines.clear();
                query.link_up(now);
            }
            Side::Talk(talk) => {
                self.lines.skip_to_end();
                talk.link_up(now);
            }
        }
    }

    /// The link is gone; nothing is sent and no deadline runs until it is up again.
    pub fn link_lost(&mut self, _now: Stamp) {
        self.up = false;
        self.lines.clear();
        match &mut self.side {
            Side::Query(query) => query.link_lost(),
            Side::Talk(talk) => talk.link_lost(),
        }
    }

    /// Wants readings of `quantity` from now on. Call `transmit` afterwards.
    ///
    /// # Errors
    /// If the profile has no function for it; then nothing changes.
    pub fn measure(&mut self, quantity: Quantity, now: Stamp) -> Result<(), UnsupportedQuantity> {
        if self.profile.function(quantity).is_none() {
            return Err(UnsupportedQuantity {
                profile: self.profile.name.clone(),
                quantity,
            });
        }
        match &mut self.side {
            Side::Query(query) => query.measure(quantity, now),
            Side::Talk(talk) => talk.measure(quantity),
        }
        Ok(())
    }

    /// Bytes arrived at `now`. Call `tick` with the same time before, `transmit` afterwards. Ignored while the link is down.
    pub fn receive(&mut self, bytes: &[u8], now: Stamp, heard: &mut impl FnMut(Heard<'_>)) {
        if !self.up || bytes.is_empty() {
            return;
        }
        let side = &mut self.side;
        if let Side::Query(query) = side {
            query.portion(now);
        }
        self.lines.feed(bytes, |line| match side {
            Side::Query(query) => query.line(line, now, heard),
            Side::Talk(talk) => talk.line(line, now, heard),
        });
    }

    /// Bytes were passed over, up to an end of line: what was held of a line is no beginning of the next one.
    pub fn missed(&mut self, bytes: u64, now: Stamp, heard: &mut impl FnMut(Heard<'_>)) {
        self.lines.clear();
        heard(Heard::Missed { bytes });
        if let Side::Query(query) = &mut self.side {
            query.spoilt(now);
        }
    }

    /// Passes over the rounds up to `now` in which a silent meter is asked in vain and nothing is heard: they leave behind what
    /// one by one they would.
    pub fn pass_silence(&mut self, now: Stamp) {
        if let Side::Query(query) = &mut self.side {
            query.pass_silence(now);
        }
    }

    /// Fires every deadline that has come by `now`, in order, each at its own time. Call `transmit` afterwards.
    pub fn tick(&mut self, now: Stamp, heard: &mut impl FnMut(Heard<'_>)) {
        match &mut self.side {
            Side::Query(query) => query.tick(now, heard),
            Side::Talk(talk) => talk.tick(now, heard),
        }
    }

    /// When `tick` has to be called at the latest; `None` if nothing happens by itself.
    pub fn deadline(&self) -> Option<Stamp> {
        match &self.side {
            Side::Query(query) => query.deadline(),
            Side::Talk(talk) => talk.deadline(),
        }
    }

    /// Lines to be sent, with their endings; call until `None`.
    pub fn transmit(&mut self) -> Option<&[u8]> {
        match &mut self.side {
            Side::Query(query) => query.transmit(),
            Side::Talk(_) => None,
        }
    }
}

/// A quantity that arrives instead of the wanted one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Mismatch {
    /// The wanted quantity arrives, as far as is known.
    #[default]
    None,
    /// Another one that the program measures.
    Measured(Quantity),
    /// Something that the program does not measure.
    Foreign,
}

impl Mismatch {
    /// Takes note of what arrives; whether that was not said before.
    pub(super) fn is_news(&mut self, arriving: Option<Quantity>) -> bool {
        let now = arriving.map_or(Self::Foreign, Self::Measured);
        std::mem::replace(self, now) != now
    }
}

/// Purpose of a deadline. At most one runs at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Timer {
    /// Query: a question for a reading, or to the error queue, has waited `answer_within`. The meter is silent; find its place again.
    Answer,
    /// Query: an identification has waited its patience (`answer_within`, doubling up to 5 s). Ask again.
    Identification,
    /// Query, without identification: the line was quiet for `answer_within`. What was asked before is taken as lost; go on.
    Quiet,
    /// Query: the pause between an answer and the next question is over. Ask.
    Pause,
    /// Talk: no line for `silent_after`. The meter is silent.
    Silence,
}

/// A timer with the moment when it fires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Alarm {
    pub(super) timer: Timer,
    pub(super) at: Stamp,
}

impl Alarm {
    /// The alarm in `slot`, taken out, if it is due at `now`.
    pub(super) fn take_due(slot: &mut Option<Self>, now: Stamp) -> Option<Self> {
        slot.take_if(|alarm| alarm.at <= now)
    }
}

/// One thing that was learned from the meter, or from its silence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Heard<'a> {
    /// A reading of the wanted quantity.
    Reading(Reading),
    /// The meter told what it is: the first time after the link came up, and whenever the answer changes.
    Identified {
        /// Identification, as it came.
        text: &'a str,
    },
    /// The meter told what it is, and it is not what the profile expects. Nothing is measured until the right one answers. Said once.
    WrongMeter {
        /// Identification, as it came.
        answer: &'a str,
        /// Text that the profile expects in it; `None` if any identification would do.
        expected: Option<&'a str>,
    },
    /// An entry of the meter's error queue.
    DeviceError {
        /// Its number: negative ones belong to SCPI, positive ones to the device.
        code: i32,
        /// Text that the meter has for the code.
        text: &'a str,
    },
    /// The meter reported errors behind its set-up for that quantity, and again when the set-up was repeated: it does not measure it.
    /// Whatever it would answer now would be taken for something else than it is, so it is not asked until something is wanted anew.
    Refused {
        /// Quantity it was set up for.
        quantity: Quantity,
    },
    /// A line with something else than printable ASCII in it: noise, or wrong line settings.
    Garbled {
        /// Line without its end.
        bytes: &'a [u8],
    },
    /// The meter sends faster than it is read: bytes were passed over.
    Missed {
        /// Number of bytes.
        bytes: u64,
    },
    /// A line longer than the profile allows was skipped.
    TooLong,
    /// A line that is no reply of the form that the profile describes.
    NotUnderstood {
        /// Line without its end.
        line: &'a str,
        /// Fault of the line by the grammar of the profile.
        why: ReplyError,
    },
    /// The meter does not answer, or sends nothing any more. Said once, until [`Answering`](Self::Answering).
    Silent,
    /// The meter is heard again after it was silent.
    Answering,
    /// Readings of something else arrive: the knob has to be turned. Said once per change.
    WrongQuantity {
        /// Quantity that was asked for.
        wanted: Quantity,
        /// The arriving one; `None` for something that the program does not measure.
        arriving: Option<Quantity>,
    },
}

/// Commands that wait to be sent, each with its line ending. The buffer is kept.
#[derive(Debug, Clone)]
struct Outgoing {
    ending: Ending,
    bytes: Vec<u8>,
    handed_out: bool,
}

impl Outgoing {
    const fn new(ending: Ending) -> Self {
        Self {
            ending,
            bytes: Vec::new(),
            handed_out: false,
        }
    }

    fn push(&mut self, command: &str) {
        if self.handed_out {
            self.clear();
        }
        self.bytes.extend_from_slice(command.as_bytes());
        self.bytes.extend_from_slice(self.ending.bytes());
    }

    fn clear(&mut self) {
        self.bytes.clear();
        self.handed_out = false;
    }

    /// Everything pushed since the last call.
    fn take(&mut self) -> Option<&[u8]> {
        if self.handed_out {
            self.clear();
        }
        self.handed_out = !self.bytes.is_empty();
        self.handed_out.then_some(self.bytes.as_slice())
    }
}
