//! [`Colour`]: the colours of IEC 60062 and what each stands for.

use std::fmt;

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
