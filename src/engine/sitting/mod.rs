//! The engine: which part is in hand, what a touch means for it, what the person commands.
//!
//! How to drive it is shown in [`crate::engine`].

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
mod setup;
mod signalling;
mod soak_stage;
mod summary;
mod tally;
mod zeroing;

pub use command::{Command, UnknownCommand};
pub use engine::{Input, Sitting};
pub use event::{Event, LinkNews, MeterNews, Record, Refusal, What};
pub use meters::{FIRST_METER, PlannedMeter};
pub use plan::{Plan, PlanError};
pub use progress::Standing;
pub use row::{Place, Row};
pub use row_words::signed_percent;
pub use setup::Setup;
pub use summary::Summary;
pub use tally::Tally;
