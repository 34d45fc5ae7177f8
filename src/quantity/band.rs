//! [`Band`]: the interval of values that conform, limits included.

/// The lower and upper limit of what conforms, both inside, in SI base units.
///
/// An upper limit of infinity means "no upper limit" (guaranteed minimum value).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    lower: f64,
    upper: f64,
}

impl Band {
    /// A band from `lower` to `upper`; `None` if a limit is not a number, the lower one is infinite, or they are crossed.
    pub fn new(lower: f64, upper: f64) -> Option<Self> {
        (lower.is_finite() && !upper.is_nan() && lower <= upper).then_some(Self { lower, upper })
    }

    /// The lower limit, which still conforms.
    pub const fn lower(self) -> f64 {
        self.lower
    }

    /// The upper limit, which still conforms; infinite where there is none.
    pub const fn upper(self) -> f64 {
        self.upper
    }

    /// Whether `value` lies inside, limits included.
    pub fn contains(self, value: f64) -> bool {
        self.lower <= value && value <= self.upper
    }
}
