//! [`MainsPlace`]: where a capacitor sits on the mains side.

use strum::{Display, IntoStaticStr};

/// Place of a capacitor on the mains side; decides which family of classes it needs. Each is stricter than the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Display, IntoStaticStr)]
pub enum MainsPlace {
    /// Nothing tells where it sits, and nothing that it is kept from the mains.
    #[strum(serialize = "place unknown")]
    Unknown,
    /// At the mains, but the list does not say between what.
    #[strum(serialize = "at the mains")]
    Unstated,
    /// From one line to the other: its failure burns, but shocks nobody. Needs X, or Y of the same rated voltage.
    #[strum(serialize = "across the line")]
    AcrossLine,
    /// From the mains to chassis, earth, aerial or a socket: its failure puts the mains on what people touch. Needs Y.
    #[strum(serialize = "line to chassis")]
    LineToChassis,
}

words!(MainsPlace: name);
