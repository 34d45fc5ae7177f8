//! [`substitutes`]: looks through what is on sale.

use super::candidate::Candidate;
use super::goods::Goods;
use super::need::unanswerable;
use super::pair_search::nearest_pairs;
use super::sort::Sort;
use super::want::{Preference, Want};
use super::{Answer, Arrangement, wording};
use crate::engine::quantity::Band;

/// How many pairs of a sort are looked at in each arrangement and on each side of the original.
const PAIRS_OF_A_SORT: usize = 2;

/// What may stand in for what is wanted among `goods`, the best first, `most` at most.
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
    warnings.extend(wording::warnings(want, &found));
    if found.is_empty() {
        let sorts: Vec<&Sort> = sorts(want, goods).map(|(_, sort)| sort).collect();
        warnings.push(wording::nothing(want, &sorts));
    }
    Answer {
        choices: found
            .iter()
            .filter_map(|one| wording::substitute(want, one))
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
