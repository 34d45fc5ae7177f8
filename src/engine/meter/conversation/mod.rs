//! [`Conversation`]: talks to one meter without touching a port or a clock.
//!
//! # The loop
//! 1. Call what happened, with its time: [`link_up`](Conversation::link_up), [`link_lost`](Conversation::link_lost),
//!    [`measure`](Conversation::measure), [`receive`](Conversation::receive). Before it, call [`tick`](Conversation::tick) with the same time.
//! 2. Send what [`transmit`](Conversation::transmit) hands out, until it hands out nothing.
//! 3. Sleep until bytes arrive or [`deadline`](Conversation::deadline) has come; then call `tick`, and so on.
//!
//! What it says depends on the inputs and their times alone, not on when `transmit` is called: the same inputs again say the same again.
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

mod heard;
mod outgoing;
mod query;
mod talk;

use std::sync::Arc;

pub use heard::Heard;
use query::Query;
use talk::Talk;

use super::{Lines, Mode, Profile};
use crate::engine::quantity::{Quantity, Stamp};

/// The profile has no function for a quantity.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the profile `{profile}` has no function for {quantity}: choose a meter that measures it")]
pub struct UnsupportedQuantity {
    /// The profile's name.
    pub profile: String,
    /// What was wanted.
    pub quantity: Quantity,
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
        let lines = Lines::new(profile.line().longest_reply);
        let side = match profile.mode() {
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
                profile: self.profile.name().to_owned(),
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

    /// What is to be sent, with line endings; call until `None`.
    pub fn transmit(&mut self) -> Option<&[u8]> {
        match &mut self.side {
            Side::Query(query) => query.transmit(),
            Side::Talk(_) => None,
        }
    }
}

/// What arrives instead of the wanted quantity.
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

/// What a deadline is for. At most one runs at a time.
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
