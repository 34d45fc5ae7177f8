//! [`Function`]: how a meter measures one quantity.

use super::Fields;
use crate::meter::{Accuracy, Range};

/// What a meter shows with the probes in the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Idle {
    /// It says that it is beyond its range, as an ohmmeter does.
    Overload,
    /// Something smaller in size than this, in the SI base unit, as a capacitance meter does: the probe leads alone.
    Below(f64),
}

/// How a meter measures one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Function {
    pub(super) setup: Vec<String>,
    pub(super) query: String,
    pub(super) fields: Fields,
    pub(super) idle: Idle,
    pub(super) ranges: Vec<Range>,
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
