//! [`Band`]: the interval of values that conform, limits included.

/// The lower and upper limit of what conforms, both inside, in SI base units.
///
/// An upper limit of infinity means "no upper limit" (guaranteed minimum value), a lower limit of minus infinity "no lower
/// limit" (a contact that may have so much resistance at most).
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

    /// Everything up to `upper`; `None` if that is no finite number.
    ///
    /// There is no lower limit, not even zero: where nothing can be below zero, a reading below it is noise, and a guard
    /// band inside zero would hold the best of contacts for doubtful.
    pub fn at_most(upper: f64) -> Option<Self> {
        upper.is_finite().then_some(Self {
            lower: f64::NEG_INFINITY,
            upper,
        })
    }

    /// The lower limit, which still conforms; minus infinity where there is none.
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
