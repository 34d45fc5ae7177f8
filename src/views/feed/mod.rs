//! What a view is told: one vocabulary for the terminal screen, the socket and the page.
//!
//! A [`Feed`] translates the engine's events into [`Item`]s, plain data with everything a view needs. A [`State`] is all that
//! a view shows at one moment, and is made of items alone: one that joins late gets the state as it is, and then every item
//! from [`State::last_id`] + 1 on.
//!
//! Pure: opens nothing, sleeps never, reads no clock, prints nothing.

mod band;
mod charge;
mod entry;
#[cfg(test)]
mod examples;
mod item;
mod judged;
mod news;
mod progress;
mod state;
mod trace;
mod translator;
mod word;

pub use band::Limits;
pub use charge::Charge;
pub use entry::{Entry, Next};
pub use item::{Item, VERSION};
pub use judged::{CheckWords, Judged};

pub use crate::engine::judge::Found;
pub use news::{Expected, Live, MeterWord, News, Soaking, Way};
pub use progress::{Counts, Progress};
pub use state::{Across, Link, Meter, Said, Soak, Stage, State};
pub use trace::{Point, Trace};
pub use translator::Feed;
