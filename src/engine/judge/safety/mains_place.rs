//! [`MainsPlace`]: where a capacitor sits on the mains side.

use std::fmt;

/// Where a capacitor sits on the mains side; decides which family of classes it needs. Each is stricter than the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum MainsPlace {
    /// Nothing tells where it sits, and nothing that it is kept from the mains.
    Unknown,
    /// At the mains, but the list does not say between what.
    Unstated,
    /// From one line to the other: its failure burns, but shocks nobody. Needs X, or Y of the same rated voltage.
    AcrossLine,
    /// From the mains to chassis, earth, aerial or a socket: its failure puts the mains on what people touch. Needs Y.
    LineToChassis,
}

impl MainsPlace {
    /// The words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Unknown => "place unknown",
            Self::Unstated => "at the mains",
            Self::AcrossLine => "across the line",
            Self::LineToChassis => "line to chassis",
        }
    }
}

impl fmt::Display for MainsPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
