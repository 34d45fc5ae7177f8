//! [`Reading`]: one value that a meter sent.

use crate::engine::quantity::{Quantity, Stamp};

/// What a meter showed at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A finite number in the SI base unit of the reading's quantity.
    Value(f64),
    /// The meter said that the value is beyond its range.
    Overload,
    /// The meter said that it has no number to give (SCPI-1999: not a number).
    NotANumber,
}

/// One reading: when the last byte of its line arrived, of what quantity, and what was shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Arrival of the end of the line.
    pub at: Stamp,
    /// What the meter was measuring.
    pub quantity: Quantity,
    /// The first value of the line.
    pub shown: Shown,
    /// The second value of an LCR meter's line (its loss factor, resistance, ...), as the profile names it; `None` where the profile names none.
    pub second: Option<f64>,
}
