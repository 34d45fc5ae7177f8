//! [`Group`]: parts of a batch that are matched with each other.

/// Parts matched with each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Their places among the values, the smallest value first.
    pub members: Vec<usize>,
    /// The largest value less the smallest.
    pub spread: f64,
}

/// The `groups` groups of `size` values each, no value in two of them, whose spreads have the smallest sum; the closest group
/// first. `None` if there are too few values, or `size` is no more than one.
///
/// Exact: if one of two groups reaches into the other, their members in order of value, cut in the middle, have no larger sum of
/// spreads; and an unused value within a group can take the place of its largest one. So there is a best choice in which every
/// group is a run of neighbours in the order of value, and the best of those is found value by value (dynamic programming).
pub fn match_groups(values: &[f64], size: usize, groups: usize) -> Option<Vec<Group>> {
    if size < 2 || groups > values.len() / size {
        return None;
    }
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]).then(a.cmp(b)));
    let spread = |end: usize| values[order[end - 1]] - values[order[end - size]];
    // best[g][n]: the smallest sum for g groups among the n smallest values.
    let mut best = vec![vec![0.0; order.len() + 1]];
    for g in 1..=groups {
        let mut row = vec![f64::INFINITY; order.len() + 1];
        for end in size * g..=order.len() {
            row[end] = row[end - 1].min(best[g - 1][end - size] + spread(end));
        }
        best.push(row);
    }
    let mut found = Vec::new();
    let mut end = order.len();
    for g in (1..=groups).rev() {
        while best[g][end - 1] <= best[g][end] {
            end -= 1;
        }
        found.push(Group {
            members: order[end - size..end].to_vec(),
            spread: spread(end),
        });
        end -= size;
    }
    found.sort_by(|a, b| a.spread.total_cmp(&b.spread));
    Some(found)
}

/// The spread of a group of `size` equal parts that a meter with the standard uncertainty `u` exceeds in one of twenty cases:
/// below it, the meter cannot tell them apart. Infinite for a size that is not 2, 3 or 4.
///
/// The range of independent normal errors: quantile of 95 % of the studentized range with infinite degrees of freedom
/// (table of any handbook, from memory, and scipy 1.17, `stats.studentized_range.ppf`).
pub fn distinguishable(size: usize, u: f64) -> f64 {
    let factor = match size {
        2 => 2.772,
        3 => 3.314,
        4 => 3.633,
        _ => f64::INFINITY,
    };
    factor * u
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;

    fn total(groups: &[Group]) -> f64 {
        groups.iter().map(|group| group.spread).sum()
    }

    /// The smallest sum over every way to choose: the first value left over goes unused or into each possible group.
    fn by_trial(left: &[f64], size: usize, groups: usize) -> f64 {
        if groups == 0 {
            return 0.0;
        }
        if left.len() < size * groups {
            return f64::INFINITY;
        }
        let mut best = by_trial(&left[1..], size, groups);
        for mask in 0_u32..1 << (left.len() - 1) {
            if mask.count_ones() as usize != size - 1 {
                continue;
            }
            let (mut group, mut rest) = (vec![left[0]], Vec::new());
            for (at, value) in left[1..].iter().enumerate() {
                if mask >> at & 1 == 1 {
                    group.push(*value);
                } else {
                    rest.push(*value);
                }
            }
            let largest = group.iter().copied().fold(f64::MIN, f64::max);
            let smallest = group.iter().copied().fold(f64::MAX, f64::min);
            best = best.min(largest - smallest + by_trial(&rest, size, groups - 1));
        }
        best
    }

    #[test]
    fn the_closest_neighbours_become_pairs_and_the_odd_one_is_left_out() {
        let found = match_groups(&[10.0, 12.0, 10.1, 20.0, 12.3], 2, 2).unwrap();
        let members: Vec<_> = found.iter().map(|group| group.members.clone()).collect();
        assert_eq!(members, [vec![0, 2], vec![1, 4]]);
    }

    #[test]
    fn taking_the_closest_pair_first_would_be_worse() {
        // Greedy takes 1.0 and 1.1 and leaves 0.8 to 3.0 apart: 2.3. The best is 0.2 + 1.9.
        let found = match_groups(&[0.8, 1.0, 1.1, 3.0], 2, 2).unwrap();
        approx::assert_relative_eq!(total(&found), 2.1, max_relative = 1e-12);
    }

    #[test]
    fn more_groups_than_there_are_parts_for_are_none() {
        assert_eq!(match_groups(&[1.0, 2.0, 3.0], 2, 2), None);
        assert_eq!(match_groups(&[1.0, 2.0], 1, 1), None);
        assert_eq!(match_groups(&[1.0, 2.0, 3.0], 4, 0), Some(Vec::new()));
    }

    proptest! {
        #[test]
        fn the_choice_is_as_good_as_the_best_of_all(
            values in prop::collection::vec(0_i32..60, 2..9),
            size in 2_usize..5,
            groups in 1_usize..5,
        ) {
            // Whole numbers: sums are exact, and equal values come up.
            let values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let found = match_groups(&values, size, groups);
            prop_assert_eq!(found.is_some(), groups * size <= values.len());
            if let Some(found) = found {
                prop_assert_eq!(total(&found), by_trial(&values, size, groups));
                let used: BTreeSet<usize> = found.iter().flat_map(|group| group.members.clone()).collect();
                prop_assert_eq!(used.len(), size * groups);
                for group in &found {
                    let of = |place: usize| values[group.members[place]];
                    prop_assert_eq!(group.spread, of(size - 1) - of(0));
                }
            }
        }
    }
}
