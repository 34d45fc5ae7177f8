//! The bench: where the world comes in. Links to meters, the loop of a sitting, recordings, a simulated meter.
//!
//! It uses the engine and nothing above itself.

pub(crate) mod clock;
pub(crate) mod intake;
pub mod link;
pub(crate) mod live;
pub(crate) mod profile;
pub(crate) mod recorded;
pub mod recording;
pub mod simulator;
