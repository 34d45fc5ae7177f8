//! The engine: which part is in hand, what a touch means for it, what the person commands.
//!
//! Pure: opens nothing, sleeps never, reads no clock, prints nothing. Live work, replay, demonstration and tests all drive
//! the same [`Sitting`] and get the same events for the same inputs.
//!
//! # How to drive it
//! 1. Make a [`Plan`] and [`Sitting::begin`].
//! 2. Hand in each input with its time: [`Sitting::handle`], or [`Sitting::handle_from`] where there are several meters. Times must not run backwards. Timers that ran out before the
//!    input are dealt with first, at the time they were due, so that it does not matter how late the caller woke up:
//!    this is why a recording needs no entries for timers and still replays the same.
//! 3. Send what [`Sitting::transmit_to`] has for the meters, until it has nothing.
//! 4. If nothing comes in before [`Sitting::deadline`], hand in [`Input::Tick`].
//! 5. After [`What::Ended`] nothing more happens.

mod bench;
mod charged;
mod command;
mod discharge_stage;
mod engine;
mod entries;
mod event;
mod found;
mod meters;
mod plan;
mod progress;
mod row;
mod row_words;
mod signalling;
mod soak_stage;
mod summary;
mod tally;
mod zeroing;

pub use command::{Command, UnknownCommand};
pub use engine::{Input, Sitting};
pub use event::{Event, LinkNews, MeterNews, Record, Refusal, What};
pub use meters::{FIRST_METER, FurtherMeter, PlannedMeter};
pub use plan::{Plan, PlanError, PlanTexts};
pub use progress::Standing;
pub use row::{Place, Row};
pub use row_words::signed_percent;
pub use summary::Summary;
pub use tally::Tally;
