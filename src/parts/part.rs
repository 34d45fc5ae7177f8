//! [`Part`]: one row of the parts list, understood.

use crate::quantity::{Amount, Band, Quantity};

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
    /// The quantity that a touch of such a part measures.
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Resistor | Self::Winding | Self::Potentiometer => Quantity::Resistance,
            Self::Capacitor => Quantity::Capacitance,
        }
    }
}

/// One part of the equipment.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Reference designator, as printed in the maker's list: `R12`, `C4`, `T1.pri`.
    pub designator: String,
    /// What kind of part.
    pub kind: Kind,
    /// Nominal value.
    pub nominal: Amount,
    /// The values that conform: nominal value with its tolerance applied.
    pub band: Band,
    /// Still connected on both sides: a parallel path may disturb the reading.
    pub in_circuit: bool,
}
