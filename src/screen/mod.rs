//! Views of the engine's events. A view holds no logic: what it shows follows from the events alone.

mod further;
mod line;
mod soak;
mod turns;

pub use line::{Line, Mood, line, to_do};
