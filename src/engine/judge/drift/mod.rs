//! Effect of a drift on the circuit: the change of a corner, a level, a voltage or a current, from the part's role and the
//! parts that it works with.
//!
//! Pure formulas; no file, port, clock or printing. All of them follow from Ohm's law and the impedance of a capacitor; they
//! take partners at their nominal values and valves as unchanged, so they answer "how much", not "exactly what".

mod circuit_of;
mod effect;
mod working_circuit;

pub use circuit_of::{circuit_of, is_common};
pub use effect::{
    Change, Effect, Filter, corner_frequency, divider_volts, high_pass_decibels, low_pass_decibels,
    self_bias_amperes,
};
pub use working_circuit::{Drift, Member, WorkingCircuit};
