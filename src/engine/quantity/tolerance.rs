//! [`Tolerance`]: how far a value may be from its nominal one, and [`Band`]: the values that conform.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::written_number::tidy;
use super::{Amount, Quantity, ValueError};

/// A tolerance. Never negative, never below a lower limit of zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance(Form);

/// The ways to state one. The numbers are finite and not negative.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    /// Parts of the nominal value, in per cent.
    Percent { minus: f64, plus: f64 },
    /// A difference in the SI base unit of the quantity, to both sides.
    Absolute { quantity: Quantity, half_width: f64 },
    /// The nominal value is the least, and there is no upper limit.
    GuaranteedMinimum,
    /// The nominal value is the most, and there is no lower limit.
    Maximum,
}

/// Reason why a text or a number is no tolerance.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ToleranceError {
    /// The text is in none of the forms.
    #[error(
        "found `{text}`, expected a tolerance such as `10%`, `-10/+50%`, `GMV`, `max`, `±2 pF` or a letter of IEC 60062"
    )]
    NotATolerance {
        /// As it was written.
        text: String,
    },
    /// A number without its unit.
    #[error("found `{text}` without a unit, expected `%` or, behind `±`, a unit such as `pF`")]
    NoUnit {
        /// As it was written.
        text: String,
    },
    /// A negative tolerance.
    #[error("found `{text}`, a negative tolerance, expected `±` or two limits such as `-10/+50%`")]
    Negative {
        /// As it was written.
        text: String,
    },
    /// Two limits on the same side of the nominal value.
    #[error(
        "found `{text}`, both limits on one side of the nominal value, expected one with `-` and one with `+`"
    )]
    Crossed {
        /// As it was written.
        text: String,
    },
    /// More than 100 % downward.
    #[error("found `{text}`, a lower limit below zero, expected at most 100 % downward")]
    BelowZero {
        /// As it was written.
        text: String,
    },
    /// Zero to both sides.
    #[error("found `{text}`, which no part can meet, expected a tolerance above zero")]
    Zero {
        /// As it was written.
        text: String,
    },
    /// A letter that lists read in more than one way.
    #[error(
        "found the letter `{letter}`, which is ambiguous ({meanings}), expected the tolerance in per cent"
    )]
    AmbiguousLetter {
        /// Letter as it was written.
        letter: char,
        /// Its meanings on lists.
        meanings: &'static str,
    },
    /// A letter that means nothing here.
    #[error("found the letter `{letter}`, expected a tolerance letter of IEC 60062 for {quantity}")]
    UnknownLetter {
        /// Letter as it was written.
        letter: char,
        /// The quantity it stands behind.
        quantity: Quantity,
    },
    /// The value behind `±` cannot be read.
    #[error("behind `±`: {source}")]
    Difference {
        /// Fault of it.
        source: Box<ValueError>,
    },
}

impl Tolerance {
    /// The nominal value is guaranteed as the minimum; there is no upper limit.
    pub const GUARANTEED_MINIMUM: Self = Self(Form::GuaranteedMinimum);

    /// The nominal value is the largest that conforms; there is no lower limit.
    pub const MAXIMUM: Self = Self(Form::Maximum);

    /// `percent` of the nominal value to both sides.
    ///
    /// # Errors
    /// As [`Tolerance::percent`].
    pub fn symmetric(percent: f64) -> Result<Self, ToleranceError> {
        Self::percent(percent, percent)
    }

    /// `minus` per cent downward (0 to 100) and `plus` per cent upward (0 or more).
    ///
    /// # Errors
    /// If a number is negative or not finite, `minus` exceeds 100, or both are zero.
    pub fn percent(minus: f64, plus: f64) -> Result<Self, ToleranceError> {
        let text = || format!("-{minus}/+{plus}%");
        match () {
            () if !(minus.is_finite() && plus.is_finite()) => {
                Err(ToleranceError::NotATolerance { text: text() })
            }
            () if minus < 0.0 || plus < 0.0 => Err(ToleranceError::Negative { text: text() }),
            () if minus > 100.0 => Err(ToleranceError::BelowZero { text: text() }),
            () if minus == 0.0 && plus == 0.0 => Err(ToleranceError::Zero { text: text() }),
            () => Ok(Self(Form::Percent { minus, plus })),
        }
    }

    /// `difference` to both sides, such as ±2 pF.
    ///
    /// # Errors
    /// If the difference is zero or negative.
    pub fn absolute(difference: Amount) -> Result<Self, ToleranceError> {
        let half_width = difference.value();
        match () {
            () if half_width < 0.0 => Err(ToleranceError::Negative {
                text: difference.to_string(),
            }),
            () if half_width == 0.0 => Err(ToleranceError::Zero {
                text: difference.to_string(),
            }),
            () => Ok(Self(Form::Absolute {
                quantity: difference.quantity(),
                half_width,
            })),
        }
    }

    /// The values that conform for a part of this nominal value; a value on a limit conforms.
    ///
    /// The limits are rounded to fourteen significant figures, so that 10 % of 47 nF ends at 51.7 nF and not beside it.
    /// The lower limit is never below zero where the quantity cannot be. Per cent of a negative value count its size: with
    /// -10/+50 % of -10 V conforms what lies from -15 V to -9 V.
    pub fn band(self, nominal: Amount) -> Band {
        let value = nominal.value();
        let (minus, plus) = match self.0 {
            Form::Percent { minus, plus } if value < 0.0 => {
                (-value * plus / 100.0, -value * minus / 100.0)
            }
            Form::Percent { minus, plus } => (value * minus / 100.0, value * plus / 100.0),
            Form::Absolute { half_width, .. } => (half_width, half_width),
            Form::GuaranteedMinimum => (0.0, f64::INFINITY),
            Form::Maximum => return Band::at_most(value).expect("an amount is finite"),
        };
        let floor = if nominal.quantity().is_signed() {
            f64::MIN
        } else {
            0.0
        };
        let lower = tidy(value - minus).max(floor).min(value);
        let upper = tidy(value + plus).max(value);
        Band::new(lower, upper).expect(
            "the lower limit is finite and not above the nominal value, the upper one not below it",
        )
    }
}

impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Form::Percent { minus, plus } if minus.to_bits() == plus.to_bits() => {
                write!(f, "±{plus} %")
            }
            Form::Percent { minus, plus } => write!(f, "-{minus}/+{plus} %"),
            Form::Absolute {
                quantity,
                half_width,
            } => {
                write!(f, "±{}", super::format_value(quantity, half_width, 6))
            }
            Form::GuaranteedMinimum => f.write_str("GMV"),
            Form::Maximum => f.write_str("max"),
        }
    }
}

/// The lower and upper limit of what conforms, both inside, in SI base units.
///
/// An upper limit of infinity means "no upper limit" (guaranteed minimum value), a lower limit of minus infinity "no lower
/// limit" (a contact that may have so much resistance at most).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(into = "BandLimits", try_from = "BandLimits")]
pub struct Band {
    lower: f64,
    upper: f64,
}

/// A band as plain data: a limit that is not there is `None`.
#[derive(Serialize, Deserialize)]
struct BandLimits {
    lower: Option<f64>,
    upper: Option<f64>,
}

impl From<Band> for BandLimits {
    fn from(band: Band) -> Self {
        let [lower, upper] = band.limits();
        Self { lower, upper }
    }
}

impl TryFrom<BandLimits> for Band {
    type Error = &'static str;

    fn try_from(limits: BandLimits) -> Result<Self, Self::Error> {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn nominal(farad: f64) -> Amount {
        Amount::new(Quantity::Capacitance, farad).unwrap()
    }

    #[test]
    fn a_value_on_the_limit_is_inside() {
        let band = Tolerance::symmetric(10.0).unwrap().band(nominal(47e-9));
        assert_eq!((band.lower(), band.upper()), (42.3e-9, 51.7e-9));
        assert!(band.contains(51.7e-9) && band.contains(42.3e-9));
        assert!(!band.contains(51.701e-9));
    }

    #[test]
    fn a_guaranteed_minimum_has_no_upper_limit() {
        let band = Tolerance::GUARANTEED_MINIMUM.band(nominal(10e-9));
        assert_eq!(Some(band), Band::new(10e-9, f64::INFINITY));
    }

    #[test]
    fn a_maximum_has_no_lower_limit() {
        let band = Tolerance::MAXIMUM.band(Amount::new(Quantity::Resistance, 0.05).unwrap());
        assert!(band.contains(-0.002) && band.contains(0.05) && !band.contains(0.051));
    }

    #[test]
    fn a_negative_voltage_has_its_limits_by_size() {
        let volt = |value| Amount::new(Quantity::Voltage, value).unwrap();
        let band = |tolerance: Tolerance, value| {
            let band = tolerance.band(volt(value));
            (band.lower(), band.upper())
        };
        let ten = Tolerance::symmetric(10.0).unwrap();
        assert_eq!(band(ten, -12.0), (-13.2, -10.8));
        let uneven = Tolerance::percent(10.0, 50.0).unwrap();
        assert_eq!(band(uneven, -10.0), (-15.0, -9.0));
        let wide = Tolerance::absolute(volt(2.0)).unwrap();
        assert_eq!(band(wide, 1.0), (-1.0, 3.0));
        assert_eq!(band(wide, -1.0), (-3.0, 1.0));
        assert_eq!(
            band(Tolerance::GUARANTEED_MINIMUM, -1.0),
            (-1.0, f64::INFINITY)
        );
    }

    #[test]
    fn a_difference_larger_than_the_value_ends_at_zero() {
        let tolerance = Tolerance::absolute(nominal(2e-12)).unwrap();
        assert_eq!(
            tolerance.band(nominal(1e-12)),
            Band::new(0.0, 3e-12).unwrap()
        );
        assert_eq!(tolerance.to_string(), "±2 pF");
    }

    #[test]
    fn impossible_tolerances_are_refused() {
        assert!(matches!(
            Tolerance::percent(-1.0, 5.0),
            Err(ToleranceError::Negative { .. })
        ));
        assert!(matches!(
            Tolerance::percent(101.0, 5.0),
            Err(ToleranceError::BelowZero { .. })
        ));
        assert!(matches!(
            Tolerance::symmetric(0.0),
            Err(ToleranceError::Zero { .. })
        ));
        assert!(matches!(
            Tolerance::symmetric(f64::NAN),
            Err(ToleranceError::NotATolerance { .. })
        ));
    }
}
