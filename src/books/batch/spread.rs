//! [`Spread`]: mean and standard deviation of the good parts of a batch, each with what it may be off.

use crate::engine::statistics::{
    Interval, chi_squared, deviation_interval, mean_and_deviation, mean_interval, square,
    tolerance_factor,
};

/// How sure an interval is.
const CONFIDENCE: f64 = 0.95;

/// How values lie, all in the SI unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// How many.
    pub count: usize,
    /// The smallest one.
    pub smallest: f64,
    /// The largest one.
    pub largest: f64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, with n - 1; zero for one value.
    pub deviation: f64,
    /// Root mean square of what the meter may be off, k = 1.
    pub meter: f64,
}

impl Spread {
    /// The spread of `values`, each with its standard uncertainty; `None` without any.
    pub fn of(values: &[(f64, f64)]) -> Option<Self> {
        let (first, _) = *values.first()?;
        let plain = || values.iter().map(|(value, _)| *value);
        let (mean, deviation) = mean_and_deviation(plain(), first)?;
        let count = values.len();
        let squares: f64 = values.iter().map(|(_, u)| u * u).sum();
        Some(Self {
            count,
            smallest: plain().fold(first, f64::min),
            largest: plain().fold(first, f64::max),
            mean,
            deviation,
            meter: (squares / count as f64).sqrt(),
        })
    }

    /// Where the mean of all parts made alike is, with 95 %, as far as chance decides; `None` for one value.
    pub fn mean_interval(&self) -> Option<Interval> {
        mean_interval(self.count, self.mean, self.deviation, CONFIDENCE)
    }

    /// Where their standard deviation is, with 95 %; `None` for one value.
    pub fn deviation_interval(&self) -> Option<Interval> {
        deviation_interval(self.count, self.deviation, CONFIDENCE)
    }

    /// What holds 95 % of all parts made alike, with 95 %; `None` for one value.
    pub fn tolerance_interval(&self) -> Option<Interval> {
        (self.count > 1).then(|| {
            let width = tolerance_factor(self.count, 0.95, CONFIDENCE) * self.deviation;
            Interval::around(self.mean, width)
        })
    }

    /// Whether the values lie further apart than the meter alone would make them with 95 %, were its whole uncertainty a matter
    /// of chance from part to part: (n-1) s²/u² above the quantile of χ². `None` for one value, or without an uncertainty.
    ///
    /// Test of a standard deviation against a given one: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.8 (from memory).
    pub fn exceeds_the_meter(&self) -> Option<bool> {
        let most = chi_squared(CONFIDENCE, self.degrees())?;
        let ratio = self.degrees() * square(self.deviation / self.meter);
        (self.meter > 0.0).then_some(ratio > most)
    }

    fn degrees(&self) -> f64 {
        self.count as f64 - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_has_no_spread_and_none_no_mean() {
        let one = Spread::of(&[(47e-6, 0.1e-6)]).unwrap();
        assert_eq!((one.count, one.mean, one.deviation), (1, 47e-6, 0.0));
        assert_eq!(one.mean_interval(), None);
        assert_eq!(one.deviation_interval(), None);
        assert_eq!(one.tolerance_interval(), None);
        assert_eq!(one.exceeds_the_meter(), None);
        assert_eq!(Spread::of(&[]), None);
    }

    #[test]
    fn a_spread_is_told_from_what_the_meter_adds() {
        let of = |u: f64| {
            let values = [46.0, 47.0, 48.0, 47.5, 46.5].map(|value| (value, u));
            Spread::of(&values).unwrap().exceeds_the_meter()
        };
        // s = 0.7906; for 4 degrees of freedom the quantile of 95 % is 9.488 (table of NIST/SEMATECH 1.3.6.7.4, from memory),
        // so a meter of u = 0.7906 √(4/9.488) = 0.5133 is the limit.
        assert_eq!(of(0.51), Some(true));
        assert_eq!(of(0.52), Some(false));
        assert_eq!(of(0.0), None);
    }
}
