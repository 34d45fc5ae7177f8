//! The engine: from the readings of a meter to verdicts.
//!
//! It opens nothing, sleeps never, reads no clock or environment, and prints nothing: every input carries its time.
//! It uses no other wing.

pub mod impedance;
pub mod judge;
pub mod meter;
pub mod parts;
pub mod probing;
pub mod quantity;
pub mod settings;
pub mod sitting;
pub mod statistics;
