//! [`Kind`]: what kind of part it is.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::engine::quantity::Quantity;

/// What kind of part it is; decides which quantity is measured and how it is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// A fixed resistor: its resistance.
    Resistor,
    /// A capacitor: its capacitance.
    Capacitor,
    /// A winding of a transformer, choke or loudspeaker: its direct-current resistance.
    Winding,
    /// A potentiometer: the resistance of its whole track.
    Potentiometer,
    /// A coil of which the inductance is listed.
    Coil,
    /// A switch or relay contact: its resistance when closed.
    Switch,
    /// A fuse: whether it conducts.
    Fuse,
    /// A lamp: whether its filament conducts.
    Lamp,
    /// A test point of the powered equipment: its direct or alternating voltage.
    Point,
    /// The ratio of turns of two windings, primary to secondary: two alternating voltages, while a small one is fed in.
    Ratio,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Resistor,
        Self::Capacitor,
        Self::Winding,
        Self::Potentiometer,
        Self::Coil,
        Self::Switch,
        Self::Fuse,
        Self::Lamp,
        Self::Point,
        Self::Ratio,
    ];

    /// Whether a part of the kind can be bought by value, rating and material alone.
    pub const fn is_asked_for_by_value(self) -> bool {
        matches!(self, Self::Resistor | Self::Capacitor | Self::Coil)
    }

    /// Whether the part has only to conduct: its nominal value is then the largest resistance it may have.
    pub const fn conducts(self) -> bool {
        matches!(self, Self::Switch | Self::Fuse | Self::Lamp)
    }

    /// The names of all, for messages: `` `resistor`, ... or `ratio` ``.
    pub fn names() -> String {
        let names = Self::ALL.map(|kind| format!("`{kind}`"));
        let (last, others) = names.split_last().expect("there are kinds");
        format!("{} or {last}", others.join(", "))
    }

    /// The quantity of a part whose value is written like this: a point whose voltage is marked as an alternating one, `6.3 V AC`
    /// or `6.3 V~`, is measured as that. Otherwise that of the kind.
    pub fn quantity_of(self, value: &str) -> Quantity {
        let value = value.trim_end().trim_end_matches('.').to_ascii_lowercase();
        let alternating = ["ac", "a.c", "~"].iter().any(|mark| value.ends_with(mark));
        if self == Self::Point && alternating {
            Quantity::AcVoltage
        } else {
            self.quantity()
        }
    }

    /// The quantity of its value, which is also what a touch measures unless the value follows from several, or it [is written otherwise](Self::quantity_of).
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Resistor
            | Self::Winding
            | Self::Potentiometer
            | Self::Switch
            | Self::Fuse
            | Self::Lamp => Quantity::Resistance,
            Self::Capacitor => Quantity::Capacitance,
            Self::Coil => Quantity::Inductance,
            Self::Point => Quantity::Voltage,
            Self::Ratio => Quantity::Ratio,
        }
    }

    /// The word used in lists and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Resistor => "resistor",
            Self::Capacitor => "capacitor",
            Self::Winding => "winding",
            Self::Potentiometer => "potentiometer",
            Self::Coil => "coil",
            Self::Switch => "switch",
            Self::Fuse => "fuse",
            Self::Lamp => "lamp",
            Self::Point => "point",
            Self::Ratio => "ratio",
        }
    }

    /// The kind that a list's word means, upper and lower case alike: the names, and the usual short words.
    pub fn named(word: &str) -> Option<Self> {
        Some(match word.trim().to_ascii_lowercase().as_str() {
            "resistor" | "res" | "r" => Self::Resistor,
            "capacitor" | "cap" | "condenser" | "c" => Self::Capacitor,
            "winding" | "choke" | "l" => Self::Winding,
            "potentiometer" | "pot" | "p" => Self::Potentiometer,
            "coil" | "inductor" => Self::Coil,
            "switch" | "contact" => Self::Switch,
            "fuse" => Self::Fuse,
            "lamp" | "bulb" => Self::Lamp,
            "point" | "test point" | "tp" => Self::Point,
            "ratio" | "turns ratio" => Self::Ratio,
            _ => return None,
        })
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
