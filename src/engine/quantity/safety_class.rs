//! [`SafetyClass`]: the class of a capacitor across or from the mains.

use std::fmt;

/// Classes of capacitors for suppression of mains interference, IEC 60384-14 (as quoted in makers' public sheets).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SafetyClass {
    /// Between lines, high pulses.
    X1,
    /// Between lines, general.
    X2,
    /// Between lines, low pulses; withdrawn in later editions.
    X3,
    /// Line to chassis, bridges double or reinforced insulation.
    Y1,
    /// Line to chassis, bridges basic insulation.
    Y2,
    /// Line to chassis; withdrawn in later editions.
    Y3,
    /// Line to chassis below 150 V.
    Y4,
}

impl SafetyClass {
    /// Every class.
    pub const ALL: [Self; 7] = [
        Self::X1,
        Self::X2,
        Self::X3,
        Self::Y1,
        Self::Y2,
        Self::Y3,
        Self::Y4,
    ];

    /// The class as it is printed on the part.
    pub const fn name(self) -> &'static str {
        match self {
            Self::X1 => "X1",
            Self::X2 => "X2",
            Self::X3 => "X3",
            Self::Y1 => "Y1",
            Self::Y2 => "Y2",
            Self::Y3 => "Y3",
            Self::Y4 => "Y4",
        }
    }

    /// The class of that name, upper and lower case alike.
    pub fn named(text: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|class| class.name().eq_ignore_ascii_case(text))
    }
}

impl fmt::Display for SafetyClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
