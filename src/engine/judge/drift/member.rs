//! [`Member`]: which part of a circuit drifted, and [`Drift`]: to what.

use std::fmt;

/// A part's place in its circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Member {
    /// The resistor, where there is one.
    Resistor,
    /// The capacitor.
    Capacitor,
    /// The divider's resistor at the supply.
    Upper,
    /// The divider's resistor at chassis.
    Lower,
}

impl Member {
    /// The words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Resistor => "resistor",
            Self::Capacitor => "capacitor",
            Self::Upper => "upper resistor",
            Self::Lower => "lower resistor",
        }
    }
}

impl fmt::Display for Member {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A part that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift {
    /// Which part of the circuit.
    pub member: Member,
    /// Its measured value, in the SI base unit (ohm, farad).
    pub measured: f64,
}
