//! [`Function`]: how a meter measures one quantity.

use super::Fields;
use crate::meter::{Accuracy, Range};

/// What a meter shows with the probes in the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Idle {
    /// It says that it is beyond its range, as an ohmmeter does.
    Overload,
    /// Something smaller in size than this, in the SI base unit, as a capacitance meter does (the probe leads alone) and a
    /// voltmeter (next to nothing, of either sign).
    Below(f64),
}

/// What the data sheet says about the error of the second value of a reply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SecondLimit {
    /// In per cent of the second value. Not negative.
    pub percent_of_reading: f64,
    /// In the unit of the second value (none for a loss or quality factor). Not negative.
    pub absolute: f64,
}

impl SecondLimit {
    /// Standard uncertainty at a second value of `second`, in its unit: of a value known only to lie within ± the limit
    /// a = p·|x|/100 + b, evenly likely, a/√3 (JCGM 100:2008, 4.3.7, from memory).
    pub fn standard_uncertainty(&self, second: f64) -> f64 {
        (self.percent_of_reading * second.abs() / 100.0 + self.absolute) / 3.0_f64.sqrt()
    }
}

/// How a meter measures one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Function {
    pub(super) setup: Vec<String>,
    pub(super) query: String,
    pub(super) fields: Fields,
    pub(super) idle: Idle,
    pub(super) ranges: Vec<Range>,
    pub(super) frequency: Option<f64>,
    pub(super) second_limit: Option<SecondLimit>,
}

impl Function {
    /// Commands that choose the function, without line endings.
    pub fn setup(&self) -> &[String] {
        &self.setup
    }

    /// The question for a reading, without line ending; empty for a talk-only meter.
    pub fn query(&self) -> &str {
        &self.query
    }

    /// What the reply holds.
    pub const fn fields(&self) -> &Fields {
        &self.fields
    }

    /// What it shows with the probes in the air.
    pub const fn idle(&self) -> Idle {
        self.idle
    }

    /// The accuracy table, smallest range first; never empty.
    pub fn ranges(&self) -> &[Range] {
        &self.ranges
    }

    /// The test frequency of a capacitance or an inductance, in hertz, if the profile states it.
    pub const fn frequency(&self) -> Option<f64> {
        self.frequency
    }

    /// What the data sheet says about the second value, if the profile states it.
    pub const fn second_limit(&self) -> Option<SecondLimit> {
        self.second_limit
    }

    /// See [`Profile::accuracy`](super::Profile::accuracy).
    pub fn accuracy(&self, value: f64) -> Option<Accuracy> {
        let size = value.is_finite().then(|| value.abs())?;
        let range = self
            .ranges
            .iter()
            .find(|range| range.up_to >= size)
            .or(self.ranges.last())?;
        Some(range.accuracy(value))
    }
}
