//! Sounds at the bench: short patterns of tones, words where they are wanted, and how both get out of the machine.
//!
//! Both hands hold probes and the eyes are on the chassis, so the ear is told. Nothing here knows meters, parts or verdicts:
//! [`told`](crate::views::told) says which [`Cue`] an event is. Nothing here is of the engine;
//! it prints nothing and reads no environment.
//!
//! # From a cue to the ear
//! [`Cue`] → [`Cue::pattern`] (one table) → `samples` → `write_wav` → an audio program of the machine
//! ([`OutsideProgram`]), on a thread of its own ([`Sounder`]).
//!
//! # What must never happen
//! A sound must not hold up the meter. So [`Sounder`] takes an utterance, puts it into a short queue and returns; what the
//! queue lets go of when the player is slow is said in one place, `Queue`. Missing or failing players are no errors of a
//! sitting: they are told once, the next one is tried, at last the terminal's bell, and then there is silence.

mod cue;
mod outside_program;
mod samples;
mod sounder;
mod sources;
mod spelling;

pub use cue::{Cue, Rank, Utterance, bells};
pub use outside_program::{NoSuchProgram, OutsideProgram, PLAYERS, SPEAKERS};
pub use samples::save;
pub use sounder::{CAPACITY, GRACE, Sounder};
pub use sources::Sources;
pub use spelling::spelled;
