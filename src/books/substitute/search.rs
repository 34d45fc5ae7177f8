//! [`substitutes`]: looks through what is on sale.
//!
//! [`nearest_pairs`]: of all pairs of values the ones that come nearest to a target, exactly.

use super::candidate::Candidate;
use super::goods::{Goods, Sort};
use super::need::unanswerable;
use super::want::{Preference, Want};
use super::{Answer, Arrangement, Combination, answer};
use crate::engine::quantity::Band;

/// Most pairs of a sort that are looked at in each arrangement and on each side of the original.
const PAIRS_OF_A_SORT: usize = 2;

/// Substitutes for what is wanted among `goods`, the best first, `most` at most.
///
/// A single part comes before any pair, unless no single part stays inside the allowed band with its tolerance; only then, or
/// where they are asked for, pairs are looked for at all, of one sort each and over all its values, and never at the mains.
pub fn substitutes(want: &Want, goods: &Goods, most: usize) -> Answer {
    let mut warnings = want.warnings.clone();
    if let Some(reason) = unanswerable(want) {
        warnings.push(reason);
        return Answer {
            choices: Vec::new(),
            warnings,
        };
    }
    let mut found = candidates(want, goods);
    found.truncate(most);
    warnings.extend(answer::warnings(want, &found));
    if found.is_empty() {
        let sorts: Vec<&Sort> = sorts(want, goods).map(|(_, sort)| sort).collect();
        warnings.push(answer::nothing(want, &sorts));
    }
    Answer {
        choices: found
            .iter()
            .filter_map(|one| answer::substitute(want, one))
            .collect(),
        warnings,
    }
}

/// Everything that may stand in, the best first.
fn candidates<'a>(want: &'a Want, goods: &'a Goods) -> Vec<Candidate<'a>> {
    let Some(within) = want.values else {
        return Vec::new();
    };
    let mut found = singles(want, goods, within);
    if want.at_mains.is_none() && (want.pairs_too || !found.iter().any(Candidate::keeps_band)) {
        found.extend(pairs(want, goods, within));
    }
    found.sort_by(Candidate::by_rank);
    let all = found.clone();
    found.retain(|one| {
        let needless = |better| one.is_needless_beside(better, want.preference);
        !all.iter().any(needless)
    });
    found
}

/// The sorts that may stand in whatever their value, with their place in the table.
fn sorts<'a>(want: &'a Want, goods: &'a Goods) -> impl Iterator<Item = (usize, &'a Sort)> {
    goods.sorts().iter().enumerate().filter(|(_, sort)| {
        sort.kind == want.original.kind
            && want.materials().contains(&sort.material)
            && (sort.stable || !want.needs_stability())
            && !(sort.inductive && want.bars_inductance)
    })
}

fn singles<'a>(want: &'a Want, goods: &'a Goods, within: Band) -> Vec<Candidate<'a>> {
    let of_sort = |(row, sort): (usize, &'a Sort)| {
        let made = |value: &f64| Candidate::single(want, row, sort, *value);
        nearest(want, sort, within, made)
    };
    sorts(want, goods).flat_map(of_sort).collect()
}

/// The nearest value of a sort on each side of the original, and the nearest that stays inside the allowed band.
fn nearest<'a>(
    want: &Want,
    sort: &Sort,
    within: Band,
    made: impl Fn(&f64) -> Option<Candidate<'a>>,
) -> Vec<Candidate<'a>> {
    let nominal = want.original.nominal.value();
    let (first, above) = (
        sort.values.partition_point(|value| *value < within.lower()),
        sort.values.partition_point(|value| *value < nominal),
    );
    let last = sort
        .values
        .partition_point(|value| *value <= within.upper());
    let stays_below = |value: &&f64| match (want.preference, &want.ceiling) {
        (Preference::AtOrBelow, Some(ceiling)) => sort
            .band(**value)
            .is_some_and(|band| band.upper() <= ceiling.value),
        _ => true,
    };
    let up = sort.values.get(above.max(first)..last).unwrap_or_default();
    let down = sort.values.get(first..above.min(last)).unwrap_or_default();
    let mut found = nearest_two(up.iter().filter(stays_below).filter_map(&made));
    if found
        .first()
        .is_some_and(|one| one.value == nominal && one.keeps_band())
    {
        found.truncate(1);
        return found;
    }
    found.extend(nearest_two(
        down.iter().rev().filter(stays_below).filter_map(made),
    ));
    found
}

/// The first, and the first that stays inside the allowed band if that is another one.
fn nearest_two<'a>(mut from: impl Iterator<Item = Candidate<'a>>) -> Vec<Candidate<'a>> {
    let Some(first) = from.next() else {
        return Vec::new();
    };
    let keeps = first.keeps_band();
    let mut found = vec![first];
    if !keeps {
        found.extend(from.find(Candidate::keeps_band));
    }
    found
}

fn pairs<'a>(want: &'a Want, goods: &'a Goods, within: Band) -> Vec<Candidate<'a>> {
    let nominal = want.original.nominal.value();
    let sides = match want.preference {
        Preference::Nearest => vec![within],
        _ => [
            (within.lower().max(nominal), within.upper()),
            (within.lower(), within.upper().min(nominal)),
        ]
        .into_iter()
        .filter_map(|(lower, upper)| Band::new(lower, upper))
        .collect(),
    };
    let mut found = Vec::new();
    for (row, sort) in sorts(want, goods) {
        for arrangement in Arrangement::PAIRS {
            for side in &sides {
                found.extend(pairs_of(want, row, sort, arrangement, *side));
            }
        }
    }
    found
}

/// The nearest pairs of a sort: those that stay inside the allowed band, or else any.
fn pairs_of<'a>(
    want: &'a Want,
    row: usize,
    sort: &'a Sort,
    arrangement: Arrangement,
    within: Band,
) -> Vec<Candidate<'a>> {
    let Some(combination) = arrangement.combination(sort.kind) else {
        return Vec::new();
    };
    let made = |a: f64, b: f64| Candidate::pair(want, row, sort, arrangement, [a, b]);
    let search = |fits: &dyn Fn(&Candidate<'a>) -> bool| {
        nearest_pairs(
            &sort.values,
            combination,
            want.original.nominal.value(),
            within,
            PAIRS_OF_A_SORT,
            |a, b| made(a, b).is_some_and(|one| fits(&one)),
        )
    };
    let inside = search(&Candidate::keeps_band);
    let found = if inside.is_empty() {
        search(&|_| true)
    } else {
        inside
    };
    found
        .iter()
        .filter_map(|pair| made(pair.smaller, pair.larger))
        .collect()
}

/// Two values of a table and what they make together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    pub smaller: f64,
    /// The larger one; the two may be equal.
    pub larger: f64,
    /// Value of the pair.
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
