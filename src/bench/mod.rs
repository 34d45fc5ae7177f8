//! The bench: where the world comes in. Links to meters, recordings, a simulated meter.
//!
//! It uses the engine and nothing above itself.

pub mod link;
pub mod recording;
pub mod simulator;
