//! The two meters of the corpus.

use probewright::face::engine::meter::Shown;
use probewright::face::engine::probing::Specification;

/// A meter on a resistance range, with what it is specified to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Meter {
    /// Part of the reading, as a share of one.
    of_reading: f64,
    /// Part of the limit that does not grow with the reading, ohm.
    fixed: f64,
    /// One count, ohm.
    pub(crate) count: f64,
    /// The value that it is shown, ohm.
    pub(crate) value: f64,
}

/// A bench meter: 0.03 % of the reading and 0.005 % of a range of 10 kΩ, one count 0.1 Ω.
pub(crate) const BENCH: Meter = Meter {
    of_reading: 0.0003,
    fixed: 0.5,
    count: 0.1,
    value: 9000.0,
};

/// A hand-held: 0.5 % of the reading and 2 counts of 10 Ω, so that a count is 0.4 of its standard uncertainty.
pub(crate) const HAND_HELD: Meter = Meter {
    of_reading: 0.005,
    fixed: 20.0,
    count: 10.0,
    value: 4700.0,
};

impl Meter {
    /// Limit of error at its value, ohm.
    pub(crate) fn limit(self) -> f64 {
        self.of_reading * self.value + self.fixed
    }

    /// Standard uncertainty at its value, ohm: the unit in which a cell is described.
    pub(crate) fn u(self) -> f64 {
        self.limit() / 3f64.sqrt()
    }

    /// Display of a value.
    pub(crate) fn shows(self, ohms: f64) -> Shown {
        Shown::Value((ohms / self.count).round() * self.count)
    }
}

impl Specification for Meter {
    fn is_idle(&self, shown: Shown) -> bool {
        shown == Shown::Overload
    }

    fn standard_uncertainty(&self, value: f64) -> f64 {
        (self.of_reading * value.abs() + self.fixed) / 3f64.sqrt()
    }

    fn resolution(&self, _value: f64) -> f64 {
        self.count
    }
}
