//! [`Kind`]: what kind of part it is.
//!
//! [`Material`]: what a part is made of.
//!
//! [`Law`]: how the resistance of a potentiometer follows the travel of its wiper.

use serde::{Deserialize, Serialize};
use strum::{Display, IntoStaticStr, VariantArray};

use super::optional_cell::{Belongs, optional_cell};
use crate::engine::quantity::Quantity;
use crate::engine::source::Problem;

/// Kind of a part; decides which quantity is measured and how it is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[derive(Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
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

words!(Kind: ALL, name);

impl Kind {
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

    /// The kind that a list's word means, upper and lower case alike: the names, and the usual short words.
    pub fn named(word: &str) -> Option<Self> {
        let word = word.trim().to_ascii_lowercase();
        Some(match word.as_str() {
            "r" => Self::Resistor,
            "c" => Self::Capacitor,
            "l" => Self::Winding,
            "p" => Self::Potentiometer,
            "tp" => Self::Point,
            word => return Self::spelled(word),
        })
    }

    /// Reads it so, but for words of one or two letters: those may be units.
    pub(super) fn spelled(word: &str) -> Option<Self> {
        let word = word.trim_end_matches('.').to_ascii_lowercase();
        Some(match word.strip_suffix('s').unwrap_or(&word) {
            "resistor" | "res" => Self::Resistor,
            "capacitor" | "cap" | "condenser" => Self::Capacitor,
            "winding" | "choke" => Self::Winding,
            "potentiometer" | "pot" => Self::Potentiometer,
            "coil" | "inductor" => Self::Coil,
            "switch" | "contact" => Self::Switch,
            "fuse" => Self::Fuse,
            "lamp" | "bulb" => Self::Lamp,
            "point" | "test point" => Self::Point,
            "ratio" | "turns ratio" => Self::Ratio,
            _ if word == "switches" => Self::Switch,
            _ if word == "res" => Self::Resistor,
            _ => return None,
        })
    }

    /// The kinds that a designator with these letters stands for (common practice, no source).
    pub(super) fn of_designator(designator: &str) -> &'static [Self] {
        let letters = designator.find(|c: char| !c.is_ascii_alphabetic());
        let letters = designator[..letters.unwrap_or(designator.len())].to_ascii_uppercase();
        match letters.as_str() {
            "R" => &[Self::Resistor],
            "VR" | "RV" | "P" | "POT" => &[Self::Potentiometer],
            "C" | "VC" => &[Self::Capacitor],
            "L" | "CH" | "LF" => &[Self::Coil, Self::Winding],
            "T" | "TR" => &[Self::Winding, Self::Ratio],
            "S" | "SW" => &[Self::Switch],
            "F" | "FS" => &[Self::Fuse],
            "LP" | "PL" => &[Self::Lamp],
            "TP" => &[Self::Point],
            _ => &[],
        }
    }
}

/// Material of a resistor's element or of a capacitor's dielectric.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Display, IntoStaticStr, VariantArray,
)]
#[strum(serialize_all = "lowercase")]
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

words!(Material: ALL, name);

impl Material {
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
        let word = word.trim().trim_end_matches('.').to_ascii_lowercase();
        Some(match word.replace('-', " ").as_str() {
            "carbon" | "composition" | "carbon composition" | "carbon comp" | "carbon rod" => {
                Self::Carbon
            }
            "film" | "carbon film" | "metal film" | "metal oxide" | "polyester"
            | "polypropylene" | "polystyrene" | "plastic film" => Self::Film,
            "wirewound" | "wire wound" | "ww" | "w/w" => Self::Wirewound,
            "paper" | "waxed paper" | "wax paper" | "paper wax" | "moulded paper"
            | "molded paper" | "tubular paper" | "paper tubular" => Self::Paper,
            "electrolytic" | "elko" | "electro" | "elec" | "elect" => Self::Electrolytic,
            "mica" | "silver mica" | "silvered mica" | "moulded mica" | "molded mica" => Self::Mica,
            "ceramic" | "ceramic disc" | "disc ceramic" | "ceramic disk" | "disk ceramic"
            | "ceramic tubular" | "tubular ceramic" => Self::Ceramic,
            "oil" | "paper in oil" | "oiled paper" | "oil paper" => Self::Oil,
            _ => return None,
        })
    }

    /// The kinds that can be made of it.
    pub(super) fn kinds(self) -> impl Iterator<Item = Kind> {
        Kind::ALL.into_iter().filter(move |kind| self.suits(*kind))
    }
}

/// Law by which the resistance from the wiper to the end where it starts follows its travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
pub enum Law {
    /// In proportion.
    Linear,
    /// Slowly first and fast in the end, as a volume control.
    Audio,
    /// Fast first and slowly in the end.
    Reverse,
}

/// Parts that have a wiper.
const OF_WIPERS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Potentiometer),
    otherwise: "nothing; only a potentiometer has a law",
};

words!(Law: ALL, name);

impl Law {
    /// The law that a word means, upper and lower case alike. Log is what a volume control is called (common practice, no source).
    pub(super) fn named(word: &str) -> Option<Self> {
        let word = word.trim_end_matches('.').to_ascii_lowercase();
        Some(match word.replace('-', " ").as_str() {
            "linear" | "lin" => Self::Linear,
            "audio" | "log" | "logarithmic" => Self::Audio,
            "reverse" | "antilog" | "anti log" | "reverse log" | "rev log" => Self::Reverse,
            _ => return None,
        })
    }

    /// Reads the cell: a word of [`Self::named`]. The letters of makers are refused, since the same letter means linear in one country
    /// and audio in another.
    pub(super) fn read(text: &str, kind: Option<Kind>) -> Result<Option<Self>, Problem> {
        let is_letter = text.chars().count() == 1 && text.chars().all(char::is_alphabetic);
        let expected = if is_letter {
            "`linear`, `audio` or `reverse`: the letter means different laws in different countries"
        } else {
            "`linear`, `audio`, `reverse` or nothing"
        };
        optional_cell(text, kind, &OF_WIPERS, Self::named, expected)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laws_are_words_and_letters_are_refused_with_the_reason() {
        let read = |text| Law::read(text, Some(Kind::Potentiometer));
        assert_eq!(read("Linear"), Ok(Some(Law::Linear)));
        assert_eq!(read(""), Ok(None));
        for letter in ["A", "b", "C"] {
            let said = read(letter).unwrap_err().to_string();
            assert!(
                said.contains("means different laws in different countries"),
                "{said}"
            );
        }
        assert_eq!(read("log"), Ok(Some(Law::Audio)));
        let said = read("bent").unwrap_err().to_string();
        assert!(said.ends_with("`reverse` or nothing"), "{said}");
        let said = Law::read("linear", Some(Kind::Resistor)).unwrap_err();
        assert!(said.to_string().contains("for a resistor"), "{said}");
    }
}
