//! The views: what people are told, on screen, by sound, on a page, in a report.
//!
//! They use the books, the bench and the engine.

pub mod report;
pub mod screen;
pub mod serve;
pub mod sound;
pub mod state;
pub mod told;
