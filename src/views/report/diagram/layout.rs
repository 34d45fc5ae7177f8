//! [`placed`]: places and parts as boxes in columns, by layered placement.
//!
//! The columns are how far something is from the place where most parts meet: places and parts take turns, so that every line goes from
//! a column to the next one, and none behind a box.

use std::collections::VecDeque;

use rust_sugiyama::configure::Config;
use rust_sugiyama::from_vertices_and_edges;

/// Boxes in their places, in pixels.
#[derive(Debug, PartialEq)]
pub(super) struct Layout {
    /// Each box, in the order in which they were given.
    pub(super) spots: Vec<Spot>,
    /// The left and the right edge of each column.
    pub(super) columns: Vec<[f64; 2]>,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// A box in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub(super) column: usize,
    pub(super) left: f64,
    /// Of its middle.
    pub(super) y: f64,
    pub(super) size: [f64; 2],
}

impl Spot {
    pub(super) fn right(&self) -> f64 {
        self.left + self.size[0]
    }

    pub(super) fn top(&self) -> f64 {
        self.y - self.size[1] / 2.0
    }
}

/// Between two columns.
const GAP: f64 = 36.0;

/// Between two boxes of a column, at least.
const APART: f64 = 10.0;

/// Around everything.
const MARGIN: f64 = 4.0;

/// The boxes of so many places, and behind them those of the parts between these places, which hang together.
pub(super) fn placed(places: usize, ends: &[[usize; 2]], sizes: &[[f64; 2]]) -> Layout {
    let depth = depths(places, ends);
    let column = |vertex: usize| match vertex.checked_sub(places) {
        None => 2 * depth[vertex],
        Some(part) => {
            2 * ends[part]
                .map(|end| depth[end])
                .into_iter()
                .min()
                .unwrap_or(0)
                + 1
        }
    };
    let middles = middles(places, ends, &depth, sizes);
    let highest = (0..sizes.len()).map(|vertex| middles[vertex] - sizes[vertex][1] / 2.0);
    let highest = highest.fold(f64::INFINITY, f64::min);
    let count = (0..sizes.len())
        .map(column)
        .max()
        .map_or(0, |last| last + 1);
    let mut widest = vec![0.0; count];
    for (vertex, size) in sizes.iter().enumerate() {
        widest[column(vertex)] = f64::max(widest[column(vertex)], size[0]);
    }
    let mut columns = Vec::with_capacity(count);
    let mut left = MARGIN;
    for width in widest {
        columns.push([left, left + width]);
        left += width + GAP;
    }
    let spot = |(vertex, size): (usize, &[f64; 2])| {
        let [left, right] = columns[column(vertex)];
        Spot {
            column: column(vertex),
            left: (f64::midpoint(left, right) - size[0] / 2.0).round(),
            y: (middles[vertex] - highest + MARGIN).round(),
            size: *size,
        }
    };
    let spots: Vec<Spot> = sizes.iter().enumerate().map(spot).collect();
    let lowest = spots.iter().map(|spot| spot.y + spot.size[1] / 2.0);
    Layout {
        width: left - GAP + MARGIN,
        height: lowest.fold(0.0, f64::max) + MARGIN,
        spots,
        columns,
    }
}

/// How many parts each place is away from the one where most meet.
fn depths(places: usize, ends: &[[usize; 2]]) -> Vec<usize> {
    let mut beside = vec![Vec::new(); places];
    for [a, b] in ends {
        beside[*a].push(*b);
        beside[*b].push(*a);
    }
    let hub = (0..places).rev().max_by_key(|place| beside[*place].len());
    let mut depth = vec![None; places];
    let mut reached: VecDeque<usize> = hub.into_iter().collect();
    if let Some(hub) = hub {
        depth[hub] = Some(0);
    }
    while let Some(place) = reached.pop_front() {
        for next in &beside[place] {
            if depth[*next].is_none() {
                depth[*next] = depth[place].map(|depth: usize| depth + 1);
                reached.push_back(*next);
            }
        }
    }
    depth.into_iter().map(Option::unwrap_or_default).collect()
}

/// The middles of the boxes, from top to bottom. The crate places layers below each other; here they stand beside each other.
fn middles(places: usize, ends: &[[usize; 2]], depth: &[usize], sizes: &[[f64; 2]]) -> Vec<f64> {
    let number = |vertex: usize| u32::try_from(vertex).unwrap_or(u32::MAX);
    let vertices: Vec<(u32, (f64, f64))> = sizes
        .iter()
        .enumerate()
        .map(|(vertex, size)| (number(vertex), (size[1], 1.0)))
        .collect();
    let mut edges = Vec::with_capacity(2 * ends.len());
    for (part, [a, b]) in ends.iter().enumerate() {
        let part = number(places + part);
        let [near, far] = if depth[*a] <= depth[*b] {
            [*a, *b]
        } else {
            [*b, *a]
        };
        edges.push((number(near), part));
        edges.push(if depth[near] == depth[far] {
            (number(far), part)
        } else {
            (part, number(far))
        });
    }
    let config = Config {
        vertex_spacing: APART,
        ..Config::default()
    };
    let mut middles = vec![0.0; sizes.len()];
    for (layout, _, _) in from_vertices_and_edges(&vertices, &edges, &config) {
        for (vertex, (along, _)) in layout {
            middles[vertex] = along;
        }
    }
    middles
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A network in one piece: each place is joined to an earlier one, and further parts lie anywhere.
    fn invented(places: usize, parts: usize) -> Vec<[usize; 2]> {
        let mut random = fastrand::Rng::with_seed((places * parts) as u64);
        let mut ends: Vec<[usize; 2]> = (1..places)
            .map(|place| [random.usize(0..place), place])
            .collect();
        while ends.len() < parts {
            let one = random.usize(1..places);
            ends.push([random.usize(0..one), one]);
        }
        ends
    }

    #[test]
    fn no_box_covers_another_and_a_line_goes_to_the_next_column() {
        for (places, parts) in [(2, 1), (3, 3), (4, 6), (10, 23), (30, 60)] {
            let ends = invented(places, parts);
            let size = |vertex: usize| {
                [
                    40.0 + (vertex * 7 % 90) as f64,
                    22.0 + (vertex * 5 % 30) as f64,
                ]
            };
            let sizes: Vec<[f64; 2]> = (0..places + parts).map(size).collect();
            let layout = placed(places, &ends, &sizes);
            assert_eq!(layout, placed(places, &ends, &sizes));
            for (number, one) in layout.spots.iter().enumerate() {
                let [left, right] = layout.columns[one.column];
                assert!(one.left >= left - 0.5 && one.right() <= right + 0.5);
                assert!(one.top() >= 0.0 && one.y + one.size[1] / 2.0 <= layout.height);
                for other in &layout.spots[number + 1..] {
                    let apart = (one.y - other.y).abs() - f64::midpoint(one.size[1], other.size[1]);
                    assert!(
                        one.column != other.column || apart >= APART - 2.0,
                        "{one:?} {other:?}"
                    );
                }
            }
            for (part, ends) in ends.iter().enumerate() {
                let column = layout.spots[places + part].column;
                for end in ends {
                    assert_eq!(layout.spots[*end].column.abs_diff(column), 1);
                }
            }
        }
    }
}
