//! The engine: which part is in hand, what a touch means for it, what the person commands.
//!
//! How to drive it is shown in [`crate::engine`].

mod bench;
mod charged;
mod command;
mod discharge_stage;
mod earlier;
mod engine;
mod entries;
mod entry;
mod event;
#[cfg(test)]
pub(crate) mod examples;
mod latest_values;
mod likeness;
mod meters;
mod moment;
mod news;
mod outlook;
mod pair_plan;
mod plan;
mod progress;
mod refusal;
mod row;
mod row_words;
mod setup;
mod signalling;
mod soak_stage;
mod summary;
mod task;
mod zeroing;

pub use charged::Charge;
pub use command::{Command, UnknownCommand};
pub use earlier::{EarlierValue, earlier_table};
pub use engine::{Input, Sitting};
pub use entries::LeftOut;
pub use entry::{Entry, Limits, Next};
pub use event::{Event, LeadToLift, Live, Record, Resolve, Soaking, ToSoak, What};
pub use meters::FIRST_METER;
pub use news::{LinkNews, MeterNews};
pub use outlook::Outlook;
pub use plan::{LEAST_RANGE, Plan, PlanError, range_end};
pub use refusal::Refusal;
pub use row::{Row, RowPosition};
pub use row_words::{check_words, signed_percent};
pub use setup::Setup;
pub use summary::{Counts, Summary};
