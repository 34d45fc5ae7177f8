//! [`Part`]: one row of the parts list, understood.

use std::fmt;

use super::{Kind, Material};
use crate::quantity::{Amount, Band, Rating, Remark, Tolerance};

/// Where a part's tolerance came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ToleranceOrigin {
    /// The list states it.
    Stated,
    /// A letter behind the value states it: `473K`.
    Marked,
    /// Neither does: it is the default of the kind and material.
    Default,
}

impl fmt::Display for ToleranceOrigin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Stated => "stated",
            Self::Marked => "letter in the value",
            Self::Default => "default",
        })
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
    /// The nominal value as the list writes it.
    pub value_text: String,
    /// How far it may lie from the nominal value.
    pub tolerance: Tolerance,
    /// Where the tolerance came from.
    pub tolerance_origin: ToleranceOrigin,
    /// The values that conform: nominal value with its tolerance applied.
    pub band: Band,
    /// Voltage, power and safety class, as far as stated.
    pub rating: Rating,
    /// What it is made of, if stated.
    pub material: Option<Material>,
    /// What it does in the circuit, as the list words it; empty if not stated.
    pub role: String,
    /// The circuit node at its one end; empty if not stated.
    pub from: String,
    /// The circuit node at its other end; empty if not stated.
    pub to: String,
    /// Still connected on both sides: a parallel path may disturb the reading.
    pub in_circuit: bool,
    /// Anything the person noted; empty if nothing.
    pub note: String,
    /// What had to be decided while reading the row.
    pub remarks: Vec<Remark>,
    /// The line of the file that the row begins on, counted from one; zero for a part that comes from no file.
    pub row: usize,
    /// The text of the list's further columns, in the order of [`super::PartsList::extra_columns`].
    pub extra: Vec<String>,
}

impl Part {
    /// A part of which no more is known than this; its band follows from nominal value and tolerance.
    pub fn new(
        designator: impl Into<String>,
        kind: Kind,
        nominal: Amount,
        tolerance: Tolerance,
    ) -> Self {
        Self {
            designator: designator.into(),
            kind,
            nominal,
            value_text: nominal.to_string(),
            tolerance,
            tolerance_origin: ToleranceOrigin::Stated,
            band: tolerance.band(nominal),
            rating: Rating::default(),
            material: None,
            role: String::new(),
            from: String::new(),
            to: String::new(),
            in_circuit: false,
            note: String::new(),
            remarks: Vec::new(),
            row: 0,
            extra: Vec::new(),
        }
    }
}
