//! Views of the engine's events: lines, and the board. A view holds no logic: what it shows follows from the events alone.
//!
//! Pure like the engine: knows no terminal. `cli::display` puts the board on one.

mod board;
mod further;
mod line;
mod meters;
mod soak;
mod turns;

pub use board::{Aside, Look, Typing, draw};
pub use line::{Line, Mood, line, to_do};
pub(crate) use meters::with_meter;
