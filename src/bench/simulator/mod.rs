//! A simulated meter that probes simulated parts, served on a real pseudo-terminal or on TCP, with faults to order.
//!
//! The demonstration and the tests talk to it as to any meter: through the operating system, byte by byte.
//!
//! # What it models
//! - Time that can be scaled ([`BenchClock`]): every wait of the meter and every change at the probes divides by the same speed.
//! - Probes that bounce on contact, slip and are lifted ([`Probes`]), on parts whose reading is steady, approaches its end value,
//!   climbs while a capacitor charges, or wanders and never settles ([`Component`]).
//! - A front end (`FrontEnd`) with ranges and autorange, counts and their quantisation, Gaussian noise, an error of gain, a
//!   conversion rate, overload, stray capacitance and lead resistance.
//! - A SCPI dialect with long and short headers and an error queue, one or two values in an answer; or a meter that only talks.
//! - A line that drops, delays, garbles, echoes or goes silent (`Faults`), and a cable that is pulled ([`Running::cut_cable`]).
//!
//! # What it does not model
//! The time of a character at a baud rate (a pseudo-terminal takes any), parity and framing, handshake lines, integration over a
//! conversion (a reading sees the probes at one moment, its end), thermal and long-term drift of the meter, status registers
//! beyond the error queue, and circuits: a part is what its meter would read in its place, parallel paths included.
//!
//! It imports nothing of the crate but [`Quantity`](crate::engine::quantity::Quantity) and the platform, and shares no code with the parser that it tests.

mod component;
mod dialect;
mod front_end;
mod instrument;
mod options;
mod outbox;
mod probes;
mod running;
mod wording;

pub use component::{Behaviour, Component, Scale};
pub use options::{Ending, Fault, Manner, Options, RangeChange, Serve};
pub use probes::Probes;
pub use running::{BenchClock, Running, SimulatedMeter};
pub use wording::Wording;
