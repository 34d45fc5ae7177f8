//! [`nearest_pairs`]: of all pairs of values the ones that come nearest to a target, exactly.

use super::Combination;
use crate::engine::quantity::Band;

/// Two values of a table and what they make together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The smaller one.
    pub smaller: f64,
    /// The larger one; the two may be equal.
    pub larger: f64,
    /// What they make together.
    pub value: f64,
}

/// The `most` pairs of `values` (ascending, over zero) whose combination lies inside `within` and nearest to `target`, by
/// difference, among those that `fits` agrees to; the nearest first, of equally near ones the more even. A value may pair with
/// itself.
///
/// Exact: for each value the combination grows with its partner, so the partners that come nearest lie on both sides of one
/// place, which is found by halving; from there outwards no partner is left out before all that follow are further off than
/// what was found. With `n` values that is some n (log n + most) steps, unless `fits` turns many away.
pub fn nearest_pairs(
    values: &[f64],
    combination: Combination,
    target: f64,
    within: Band,
    most: usize,
    mut fits: impl FnMut(f64, f64) -> bool,
) -> Vec<Pair> {
    let mut found = Nearest {
        target,
        most,
        pairs: Vec::new(),
    };
    for (at, smaller) in values.iter().enumerate().rev() {
        let partners = &values[at..];
        let made = |larger: f64| combination.of(*smaller, larger);
        let below = |limit: f64| partners.partition_point(|larger| made(*larger) < limit);
        let up_from = below(target.max(within.lower()));
        let down_from = below(target).min(partners.partition_point(|l| made(*l) <= within.upper()));
        let mut take = |larger: &f64| {
            let value = made(*larger);
            if found.is_beaten_by(value) {
                return false;
            }
            if within.contains(value) && fits(*smaller, *larger) {
                found.insert(Pair {
                    smaller: *smaller,
                    larger: *larger,
                    value,
                });
            }
            within.lower() <= value && value <= within.upper()
        };
        partners[up_from..].iter().all(&mut take);
        partners[..down_from].iter().rev().all(take);
    }
    found.pairs
}

/// The nearest so far, the nearest first.
struct Nearest {
    target: f64,
    most: usize,
    pairs: Vec<Pair>,
}

impl Nearest {
    fn off(&self, value: f64) -> f64 {
        (value - self.target).abs()
    }

    /// Whether there are enough, none of which lies further off than `value`.
    fn is_beaten_by(&self, value: f64) -> bool {
        self.pairs.len() >= self.most
            && self
                .pairs
                .last()
                .is_none_or(|last| self.off(last.value) <= self.off(value))
    }

    fn insert(&mut self, pair: Pair) {
        let off = self.off(pair.value);
        let at = self
            .pairs
            .partition_point(|other| self.off(other.value) <= off);
        self.pairs.insert(at, pair);
        self.pairs.truncate(self.most);
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::quantity::Series;

    /// Every pair, tried.
    fn tried(
        values: &[f64],
        combination: Combination,
        target: f64,
        within: Band,
        most: usize,
        fits: impl Fn(f64, f64) -> bool,
    ) -> Vec<f64> {
        let mut off = Vec::new();
        for (at, smaller) in values.iter().enumerate() {
            for larger in &values[at..] {
                let value = combination.of(*smaller, *larger);
                if within.contains(value) && fits(*smaller, *larger) {
                    off.push((value - target).abs());
                }
            }
        }
        off.sort_by(f64::total_cmp);
        off.truncate(most);
        off
    }

    fn off(pairs: &[Pair], target: f64) -> Vec<f64> {
        pairs
            .iter()
            .map(|pair| (pair.value - target).abs())
            .collect()
    }

    proptest! {
        #[test]
        fn the_search_finds_what_trying_every_pair_finds(
            series in prop::sample::select(&Series::ALL[..]),
            decades in 0..4_i32,
            target in 0.05..5000.0_f64,
            lower in 0.5..1.2_f64,
            width in 0.0..1.0_f64,
            most in 0..12_usize,
            sum in any::<bool>(),
            ratio in 1.0..20.0_f64,
        ) {
            let values = series.between(0.1, 0.1 * libm::exp10(f64::from(decades)));
            let combination = if sum { Combination::Sum } else { Combination::Reciprocal };
            let within = Band::new(target * lower, target * (lower + width)).unwrap();
            let fits = |smaller: f64, larger: f64| larger <= ratio * smaller;
            let found = nearest_pairs(&values, combination, target, within, most, fits);
            prop_assert_eq!(
                off(&found, target),
                tried(&values, combination, target, within, most, fits)
            );
        }

        #[test]
        fn any_values_will_do(
            values in prop::collection::vec(1e-3..1e3_f64, 0..40),
            target in 1e-3..2e3_f64,
            sum in any::<bool>(),
        ) {
            let mut values = values;
            values.sort_by(f64::total_cmp);
            let combination = if sum { Combination::Sum } else { Combination::Reciprocal };
            let within = Band::new(0.0, f64::INFINITY).unwrap();
            let found = nearest_pairs(&values, combination, target, within, 5, |_, _| true);
            prop_assert_eq!(
                off(&found, target),
                tried(&values, combination, target, within, 5, |_, _| true)
            );
        }
    }

    #[test]
    fn the_largest_search_is_the_one_that_trying_finds_too() {
        // E192 over seven decades: 1344 values, 903 840 pairs.
        let values = Series::E192.between(1.0, 9.88e6);
        assert_eq!(values.len(), 7 * 192);
        let target = 123_456.7;
        let within = Band::new(0.99 * target, 1.01 * target).unwrap();
        for combination in [Combination::Sum, Combination::Reciprocal] {
            let found = nearest_pairs(&values, combination, target, within, 6, |_, _| true);
            let expected = tried(&values, combination, target, within, 6, |_, _| true);
            assert_eq!(off(&found, target), expected);
        }
    }
}
