//! [`Band`]: the interval of values that conform, limits included.

use serde::{Deserialize, Serialize};

/// The lower and upper limit of what conforms, both inside, in SI base units.
///
/// An upper limit of infinity means "no upper limit" (guaranteed minimum value), a lower limit of minus infinity "no lower
/// limit" (a contact that may have so much resistance at most).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(into = "Limits", try_from = "Limits")]
pub struct Band {
    lower: f64,
    upper: f64,
}

/// A band as plain data: a limit that is not there is `None`.
#[derive(Serialize, Deserialize)]
struct Limits {
    lower: Option<f64>,
    upper: Option<f64>,
}

impl From<Band> for Limits {
    fn from(band: Band) -> Self {
        let [lower, upper] = band.limits();
        Self { lower, upper }
    }
}

impl TryFrom<Limits> for Band {
    type Error = &'static str;

    fn try_from(limits: Limits) -> Result<Self, Self::Error> {
        Self::within(limits.lower, limits.upper).ok_or("expected limits that are not crossed")
    }
}

impl Band {
    /// A band between limits of which one may be lacking; `None` without any, or if they are crossed or no finite numbers.
    pub fn within(lower: Option<f64>, upper: Option<f64>) -> Option<Self> {
        if upper.is_some_and(f64::is_infinite) {
            return None;
        }
        match lower {
            Some(lower) => Self::new(lower, upper.unwrap_or(f64::INFINITY)),
            None => Self::at_most(upper?),
        }
    }

    /// The lower and the upper limit, as far as there are.
    pub fn limits(self) -> [Option<f64>; 2] {
        [self.lower, self.upper].map(|limit| limit.is_finite().then_some(limit))
    }

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
