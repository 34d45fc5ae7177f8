//! [`Material`]: what a part is made of.

use std::fmt;

use super::Kind;

/// What a resistor's element or a capacitor's dielectric is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Material {
    /// Carbon composition: resistors, potentiometers.
    Carbon,
    /// Carbon or metal film: resistors, potentiometers. Plastic film: capacitors.
    Film,
    /// Resistance wire: resistors, potentiometers.
    Wirewound,
    /// Waxed or moulded paper: capacitors.
    Paper,
    /// Electrolytic: capacitors.
    Electrolytic,
    /// Mica, silvered or stacked: capacitors.
    Mica,
    /// Ceramic: capacitors.
    Ceramic,
    /// Paper in oil: capacitors.
    Oil,
}

impl Material {
    /// Every material.
    pub const ALL: [Self; 8] = [
        Self::Carbon,
        Self::Film,
        Self::Wirewound,
        Self::Paper,
        Self::Electrolytic,
        Self::Mica,
        Self::Ceramic,
        Self::Oil,
    ];

    /// The word used in lists and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Carbon => "carbon",
            Self::Film => "film",
            Self::Wirewound => "wirewound",
            Self::Paper => "paper",
            Self::Electrolytic => "electrolytic",
            Self::Mica => "mica",
            Self::Ceramic => "ceramic",
            Self::Oil => "oil",
        }
    }

    /// Whether a part of this kind can be made of it. A list states none for the other kinds.
    pub const fn suits(self, kind: Kind) -> bool {
        match kind {
            Kind::Resistor | Kind::Potentiometer => {
                matches!(self, Self::Carbon | Self::Film | Self::Wirewound)
            }
            Kind::Capacitor => !matches!(self, Self::Carbon | Self::Wirewound),
            Kind::Winding
            | Kind::Coil
            | Kind::Switch
            | Kind::Fuse
            | Kind::Lamp
            | Kind::Point
            | Kind::Ratio => false,
        }
    }

    /// The material that a list's word means, upper and lower case alike: the names, and the usual other words.
    pub fn named(word: &str) -> Option<Self> {
        Some(match word.trim().to_ascii_lowercase().as_str() {
            "carbon" | "composition" | "carbon composition" => Self::Carbon,
            "film" | "carbon film" | "metal film" | "metal oxide" | "polyester"
            | "polypropylene" | "polystyrene" => Self::Film,
            "wirewound" | "wire-wound" | "wire wound" | "ww" => Self::Wirewound,
            "paper" | "waxed paper" | "moulded paper" | "molded paper" => Self::Paper,
            "electrolytic" | "elko" => Self::Electrolytic,
            "mica" | "silver mica" | "silvered mica" => Self::Mica,
            "ceramic" => Self::Ceramic,
            "oil" | "paper in oil" | "oiled paper" => Self::Oil,
            _ => return None,
        })
    }
}

impl fmt::Display for Material {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
