//! Views of the engine's events. A view holds no logic: what it shows follows from the events alone.

mod board;
mod line;
mod soak;

pub use board::{Aside, Look, Typing, draw};
pub use line::{Line, Mood, line};
