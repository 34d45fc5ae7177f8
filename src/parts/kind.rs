//! [`Kind`]: what kind of part it is.

use std::fmt;

use crate::quantity::Quantity;

/// What kind of part it is; decides which quantity is measured and how it is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A fixed resistor: its resistance.
    Resistor,
    /// A capacitor: its capacitance.
    Capacitor,
    /// A winding of a transformer, choke or loudspeaker: its direct-current resistance.
    Winding,
    /// A potentiometer: the resistance of its whole track.
    Potentiometer,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 4] = [
        Self::Resistor,
        Self::Capacitor,
        Self::Winding,
        Self::Potentiometer,
    ];

    /// The quantity that a touch of such a part measures.
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Resistor | Self::Winding | Self::Potentiometer => Quantity::Resistance,
            Self::Capacitor => Quantity::Capacitance,
        }
    }

    /// The word used in lists and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Resistor => "resistor",
            Self::Capacitor => "capacitor",
            Self::Winding => "winding",
            Self::Potentiometer => "potentiometer",
        }
    }

    /// The kind that a list's word means, upper and lower case alike: the names, and the usual short words.
    pub fn named(word: &str) -> Option<Self> {
        Some(match word.trim().to_ascii_lowercase().as_str() {
            "resistor" | "res" | "r" => Self::Resistor,
            "capacitor" | "cap" | "condenser" | "c" => Self::Capacitor,
            "winding" | "choke" | "coil" | "l" => Self::Winding,
            "potentiometer" | "pot" | "p" => Self::Potentiometer,
            _ => return None,
        })
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
