//! [`Centre`]: how far the mean of a batch lies from what is printed on the parts.

use super::Spread;

/// The mean of a batch against the nominal value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Centre {
    /// How far the mean lies from the nominal value, in parts of it; negative below.
    pub offset: f64,
    /// What chance and meter may add to that, with 95 %, in the same measure: half the interval of the mean, and 2 u of the meter,
    /// which may be off by as much on all parts at once, added as squares.
    pub uncertainty: f64,
}

impl Centre {
    /// The mean of that spread against `nominal`, which is not zero.
    pub fn of(spread: &Spread, nominal: f64) -> Self {
        let chance = spread
            .mean_interval()
            .map_or(0.0, |interval| (interval.to - interval.from) / 2.0);
        Self {
            offset: spread.mean / nominal - 1.0,
            uncertainty: libm::hypot(chance, 2.0 * spread.meter) / nominal.abs(),
        }
    }

    /// Whether the batch lies off its nominal value by more than chance and meter may make it.
    pub fn is_off(self) -> bool {
        self.offset.abs() > self.uncertainty
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_batch_is_off_only_beyond_what_chance_and_meter_may_add() {
        let of = |u: f64| {
            let values = [98.0, 98.1, 97.9].map(|value| (value, u));
            Centre::of(&Spread::of(&values).unwrap(), 100.0)
        };
        approx::assert_relative_eq!(of(0.1).offset, -0.02, max_relative = 1e-9);
        assert!(of(0.1).is_off());
        assert!(!of(1.5).is_off());
    }
}
