//! [`Reading`]: one value that a meter sent.
//!
//! [`Range`] and [`Accuracy`]: what a meter's data sheet says about the error of a reading.

use crate::engine::quantity::{Quantity, Stamp};

/// Showing of a meter at one moment.
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
    /// Quantity the meter was measuring.
    pub quantity: Quantity,
    /// The first value of the line.
    pub shown: Shown,
    /// The second value of an LCR meter's line (its loss factor, resistance, ...), as the profile names it; `None` where the profile names none.
    pub second: Option<f64>,
}

/// One row of a meter's accuracy table. Ohm or farad, like the quantity of its function.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Full scale R: the largest value that the range shows. Positive.
    pub up_to: f64,
    /// One count q: the smallest step of the last digit. Positive, smaller than `up_to`.
    pub resolution: f64,
    /// p, in per cent of the reading. Not negative.
    pub percent_of_reading: f64,
    /// r, in per cent of full scale. Not negative.
    pub percent_of_range: f64,
    /// n, in counts of the last digit. Not negative.
    pub counts: f64,
}

impl Range {
    /// The specified limit of error at a reading of `value`: a = p·|x|/100 + r·R/100 + n·q.
    ///
    /// The sum of the three terms is the common reading of such a specification (common practice, no source);
    /// the voltmeter example of JCGM 100:2008, 4.3.7, adds its two terms the same way (from memory).
    pub fn accuracy(&self, value: f64) -> Accuracy {
        let of_reading = self.percent_of_reading * value.abs() / 100.0;
        let of_range = self.percent_of_range * self.up_to / 100.0;
        Accuracy {
            limit: of_reading + of_range + self.counts * self.resolution,
            resolution: self.resolution,
            full_scale: self.up_to,
        }
    }
}

/// Accuracy of one reading, in the unit of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Half-width a of the interval in which the specification promises the error to lie.
    pub limit: f64,
    /// One count q of the range.
    pub resolution: f64,
    /// Full scale R of the range.
    pub full_scale: f64,
}

impl Accuracy {
    /// Standard uncertainty of a quantity known only to lie within ± the limit, evenly likely: a/√3 (JCGM 100:2008, 4.3.7, from memory).
    ///
    /// The resolution is not added again: a specification that counts digits already contains it.
    pub fn standard_uncertainty(&self) -> f64 {
        self.limit / 3.0_f64.sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_adds_reading_range_and_counts_and_ignores_the_sign() {
        let range = Range {
            up_to: 1000.0,
            resolution: 0.1,
            percent_of_reading: 1.0,
            percent_of_range: 0.5,
            counts: 3.0,
        };
        let limit = range.accuracy(200.0).limit;
        assert!(
            (limit - 7.3).abs() < 1e-12,
            "2 + 5 + 0.3 was expected, found {limit}"
        );
        assert_eq!(range.accuracy(-200.0), range.accuracy(200.0));
    }
}
