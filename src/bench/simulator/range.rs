//! [`Scale`]: the ranges of a meter and what they resolve.

/// Decade ranges of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Full scale of the lowest range, in SI base units, over zero.
    pub lowest: f64,
    /// How many ranges, each ten times the one before; at least one.
    pub ranges: u32,
    /// Counts of a full scale: a range resolves its full scale divided by this; at least one.
    pub counts: u32,
}

impl Scale {
    /// 600 Ω to 60 MΩ in six ranges of 60,000 counts.
    pub const OHM: Self = Self {
        lowest: 600.0,
        ranges: 6,
        counts: 60_000,
    };

    /// 6 nF to 6 mF in seven ranges of 6,000 counts.
    pub const FARAD: Self = Self {
        lowest: 6e-9,
        ranges: 7,
        counts: 6_000,
    };

    /// 100 µH to 100 H in seven ranges of 10,000 counts.
    pub const HENRY: Self = Self {
        lowest: 100e-6,
        ranges: 7,
        counts: 10_000,
    };

    /// 100 mV to 1 kV in five ranges of 100,000 counts.
    pub const VOLT: Self = Self {
        lowest: 100e-3,
        ranges: 5,
        counts: 100_000,
    };

    /// 100 µA to 1 A in five ranges of 100,000 counts.
    pub const AMPERE: Self = Self {
        lowest: 100e-6,
        ranges: 5,
        counts: 100_000,
    };

    /// The highest range.
    pub(super) const fn top(&self) -> u32 {
        self.ranges.saturating_sub(1)
    }

    /// Full scale of `range`.
    pub(super) fn full_scale(&self, range: u32) -> f64 {
        self.lowest * libm::exp10(f64::from(range.cast_signed()))
    }

    /// One count of `range`.
    pub(super) fn resolution(&self, range: u32) -> f64 {
        self.full_scale(range) / f64::from(self.counts)
    }

    /// `value` in whole counts of `range`; `None` if that is beyond full scale.
    pub(super) fn quantise(&self, value: f64, range: u32) -> Option<f64> {
        let counts = (value / self.resolution(range)).round();
        // The product of a whole number keeps the shown digits exact to the last place of a double.
        (counts.abs() <= f64::from(self.counts)).then(|| counts * self.resolution(range))
    }

    /// The range that autorange picks for `value`, coming from `current`: up beyond full scale, down below 9.5 % of it.
    pub(super) fn fitting(&self, value: f64, current: u32) -> u32 {
        let mut range = current.min(self.top());
        while range < self.top() && value.abs() > self.full_scale(range) {
            range += 1;
        }
        while range > 0 && value.abs() < 0.095 * self.full_scale(range) {
            range -= 1;
        }
        range
    }

    /// The lowest range whose full scale holds `value`; the highest if none does.
    pub(super) fn holding(&self, value: f64) -> u32 {
        (0..self.top())
            .find(|&range| value.abs() <= self.full_scale(range))
            .unwrap_or(self.top())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_reading_is_a_whole_number_of_counts() {
        // The 6 kΩ range of 60,000 counts resolves 0.1 Ω [by definition of counts].
        assert_relative_eq!(
            Scale::OHM.quantise(4712.345, 1).unwrap(),
            4712.3,
            max_relative = 1e-12
        );
        assert!(Scale::OHM.quantise(6000.1, 1).is_none());
    }

    #[test]
    fn autorange_goes_up_beyond_full_scale_and_down_with_hysteresis() {
        assert_eq!(Scale::OHM.fitting(6100.0, 0), 2);
        assert_eq!(Scale::OHM.fitting(5900.0, 2), 2, "5.9 kΩ stays on 60 kΩ");
        assert_eq!(Scale::OHM.fitting(5600.0, 2), 1);
        assert_eq!(
            Scale::OHM.fitting(1e12, 0),
            5,
            "there is nothing above the top range"
        );
    }

    #[test]
    fn a_range_is_chosen_by_the_value_it_must_hold() {
        assert_eq!(Scale::OHM.holding(1000.0), 1);
        assert_eq!(Scale::OHM.holding(600.0), 0);
        assert_eq!(Scale::OHM.holding(1e9), 5);
    }
}
