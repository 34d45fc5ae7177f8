//! [`Colour`]: a colour of a marking, and [`ColourCode`]: what the colours of a resistor say.

use std::fmt;

use thiserror::Error;

use super::{Amount, Quantity, Remark, Tolerance};

/// A colour of the code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Colour {
    /// Figure 0.
    Black,
    /// Figure 1.
    Brown,
    /// Figure 2.
    Red,
    /// Figure 3.
    Orange,
    /// Figure 4.
    Yellow,
    /// Figure 5.
    Green,
    /// Figure 6.
    Blue,
    /// Figure 7.
    Violet,
    /// Figure 8.
    Grey,
    /// Figure 9.
    White,
    /// Multiplier 0.1, tolerance 5 %.
    Gold,
    /// Multiplier 0.01, tolerance 10 %.
    Silver,
    /// Multiplier 0.001, since IEC 60062:2016.
    Pink,
}

impl Colour {
    /// Every colour: first those of the figures 0 to 9, in their order.
    pub const ALL: [Self; 13] = [
        Self::Black,
        Self::Brown,
        Self::Red,
        Self::Orange,
        Self::Yellow,
        Self::Green,
        Self::Blue,
        Self::Violet,
        Self::Grey,
        Self::White,
        Self::Gold,
        Self::Silver,
        Self::Pink,
    ];

    /// The colour's name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Brown => "brown",
            Self::Red => "red",
            Self::Orange => "orange",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Grey => "grey",
            Self::White => "white",
            Self::Gold => "gold",
            Self::Silver => "silver",
            Self::Pink => "pink",
        }
    }

    /// The colour of that name, upper and lower case alike; `gray` and `purple` are known too.
    pub fn named(word: &str) -> Option<Self> {
        match word.to_lowercase().as_str() {
            "gray" => Some(Self::Grey),
            "purple" => Some(Self::Violet),
            lower => Self::ALL.into_iter().find(|colour| colour.name() == lower),
        }
    }

    /// Its figure; `None` for the metallic colours and pink.
    pub fn figure(self) -> Option<u8> {
        let place = Self::ALL.into_iter().position(|colour| colour == self);
        place
            .and_then(|place| u8::try_from(place).ok())
            .filter(|figure| *figure <= 9)
    }

    /// The power of ten that it stands for as a multiplier.
    pub fn power(self) -> i32 {
        match self {
            Self::Gold => -1,
            Self::Silver => -2,
            Self::Pink => -3,
            other => other.figure().map_or(0, i32::from),
        }
    }

    /// Its tolerance in per cent, IEC 60062:2016 (black to yellow as quoted in a public table, violet and grey from
    /// memory); `None` for black, white and pink.
    pub const fn tolerance_percent(self) -> Option<f64> {
        Some(match self {
            Self::Brown => 1.0,
            Self::Red => 2.0,
            Self::Orange => 0.05,
            Self::Yellow => 0.02,
            Self::Green => 0.5,
            Self::Blue => 0.25,
            Self::Violet => 0.1,
            Self::Grey => 0.01,
            Self::Gold => 5.0,
            Self::Silver => 10.0,
            Self::Black | Self::White | Self::Pink => return None,
        })
    }

    /// Its temperature coefficient in 1e-6 per kelvin, IEC 60062 (black to green as quoted in public tables, the others
    /// from memory); `None` for white, pink and the metallic colours.
    pub const fn temperature_coefficient(self) -> Option<f64> {
        Some(match self {
            Self::Black => 250.0,
            Self::Brown => 100.0,
            Self::Red => 50.0,
            Self::Orange => 15.0,
            Self::Yellow => 25.0,
            Self::Green => 20.0,
            Self::Blue => 10.0,
            Self::Violet => 5.0,
            Self::Grey => 1.0,
            Self::White | Self::Gold | Self::Silver | Self::Pink => return None,
        })
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A resistor's colours, understood.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourCode {
    /// The resistance.
    pub amount: Amount,
    /// The tolerance.
    pub tolerance: Tolerance,
    /// The temperature coefficient in 1e-6 per kelvin, where a band gives one.
    pub temperature_coefficient: Option<f64>,
    /// What had to be decided while reading.
    pub remarks: Vec<Remark>,
}

/// Why colours are no code.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColourError {
    /// A word that is no colour.
    #[error("found `{word}` as {place}, expected a colour")]
    NotAColour {
        /// Which band, or body, end or dot.
        place: &'static str,
        /// The word.
        word: String,
    },
    /// Too few or too many.
    #[error("found {found} colour{s}, expected {expected}", s = if *found == 1 { "" } else { "s" })]
    WrongCount {
        /// How many there are.
        found: usize,
        /// How many there may be.
        expected: &'static str,
    },
    /// A colour that cannot stand in its place.
    #[error("found {colour} as {place}, which is no {meaning}, expected {expected}")]
    Impossible {
        /// Which band, or body, end or dot.
        place: &'static str,
        /// The colour.
        colour: Colour,
        /// What the place stands for.
        meaning: &'static str,
        /// Which colours can stand there, or what to try.
        expected: &'static str,
    },
}

/// Makes a code of its figures, power of ten and tolerance.
pub(super) fn colour_code(figures: &[u8], power: i32, tolerance: f64) -> ColourCode {
    let figures: String = figures.iter().map(u8::to_string).collect();
    let value = format!("{figures}e{power}").parse().ok();
    let amount = value.and_then(|value| Amount::new(Quantity::Resistance, value));
    ColourCode {
        amount: amount.expect(
            "at most three figures and a power of ten between -3 and 9 make a finite number",
        ),
        tolerance: Tolerance::symmetric(tolerance)
            .expect("the tolerances of the colours are above zero"),
        temperature_coefficient: None,
        remarks: Vec::new(),
    }
}

/// The figure that `colour` stands for; the first one of a code is not black, since no value begins with a nought.
pub(super) fn figure(colour: Colour, place: &'static str, first: bool) -> Result<u8, ColourError> {
    let expected = if first {
        "brown to white; a code that begins otherwise may have been read from the wrong end"
    } else {
        "black to white"
    };
    let figure = colour.figure().filter(|figure| !(first && *figure == 0));
    figure.ok_or(ColourError::Impossible {
        place,
        colour,
        meaning: if first { "first figure" } else { "figure" },
        expected,
    })
}
