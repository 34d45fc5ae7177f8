//! [`walk`]: the readings that tell most, in the order in which the probes move least. [`further_pairs`]: those that show what the
//! list leaves out.

use std::collections::BTreeSet;

use super::circuit::{Group, Network};
use super::element::Element;
use super::own::numbered;
use super::positions::{Branch, Positions};
use crate::engine::network::Blocks;

/// Most readings between nodes that no part joins which are asked for.
pub const FURTHER_READINGS: usize = 20;

/// Pairs of nodes in the order in which the probes move least: after each the next one with which it shares a node, else the first that
/// is left.
pub fn walk(mut left: Vec<[usize; 2]>) -> Vec<[usize; 2]> {
    let mut order: Vec<[usize; 2]> = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let next = order.last().and_then(|last| {
            // The probe on the node where most is still to be read stays.
            let todo = |node: usize| left.iter().filter(|pair| pair.contains(&node)).count();
            let [a, b] = *last;
            let stays = if todo(a) >= todo(b) { [a, b] } else { [b, a] };
            let with = |node: usize| left.iter().position(|pair| pair.contains(&node));
            with(stays[0]).or_else(|| with(stays[1]))
        });
        order.push(left.remove(next.unwrap_or(0)));
    }
    order
}

/// A reading to be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// The two nodes.
    pub ends: [usize; 2],
    /// The elements across it; `None` of a pair that no part joins.
    pub across: Option<Group>,
    /// Resistance to be expected with everything as listed, Ω; `None` where nothing conducts.
    pub expected: Option<f64>,
}

/// The readings to be taken, in order: those across parts, then those between nodes that no part joins.
pub fn planned(network: &Network) -> Vec<Planned> {
    let groups = network.groups(|_| true);
    let expected = network.expected(&groups);
    let place = |ends: &[usize; 2]| groups.iter().position(|group| group.ends == *ends);
    let across = walk(groups.iter().map(|group| group.ends).collect());
    let across = across.into_iter().map(|ends| Planned {
        ends,
        across: place(&ends).map(|at| groups[at].clone()),
        expected: place(&ends).and_then(|at| expected[at]),
    });
    let further = walk(further_pairs(network, FURTHER_READINGS));
    let further = further.into_iter().map(|ends| Planned {
        ends,
        across: None,
        expected: network.between(ends).map(|expected| expected.ohms),
    });
    across.chain(further).collect()
}

/// Two pairs of nodes as seen from each other: the square of the cosine between them, from which such a pair shows a part across the
/// other that is missing from the list.
const SHOWS: f64 = 0.13;

/// Most pairs that are looked at, evenly picked.
const MOST_CANDIDATES: usize = 400;
const MOST_TARGETS: usize = 2000;

/// Pairs of nodes that no part joins, those first that show most of what may be missing, at most so many: from one loose end to
/// another, where there are enough of these.
///
/// A part that is missing across x and y changes what is read between a and b by the square of the cosine between the two pairs, taken as
/// vectors of the network; between two pieces every pair shows it.
pub fn further_pairs(network: &Network, most: usize) -> Vec<[usize; 2]> {
    let groups = network.groups(Element::is_resistive);
    let blocks = network.blocks(&groups);
    let joined: BTreeSet<[usize; 2]> = network
        .groups(|_| true)
        .into_iter()
        .map(|group| group.ends)
        .collect();
    let used: Vec<usize> = (0..network.nodes().all().len())
        .filter(|node| groups.iter().any(|group| group.ends.contains(node)))
        .collect();
    let unjoined = |nodes: &[usize]| -> Vec<[usize; 2]> {
        let pairs = nodes.iter().enumerate();
        let pairs = pairs.flat_map(|(at, a)| nodes[at + 1..].iter().map(move |b| [*a, *b]));
        pairs.filter(|pair| !joined.contains(pair)).collect()
    };
    let degree = |node: &usize| {
        groups
            .iter()
            .filter(|group| group.ends.contains(node))
            .count()
    };
    let loose: Vec<usize> = used
        .iter()
        .copied()
        .filter(|node| degree(node) == 1)
        .collect();
    let everywhere = unjoined(&used);
    let mut candidates = picked(unjoined(&loose), MOST_CANDIDATES);
    if candidates.len() < most {
        let more = picked(everywhere.clone(), MOST_CANDIDATES);
        let more: Vec<[usize; 2]> = more
            .into_iter()
            .filter(|pair| !candidates.contains(pair))
            .collect();
        candidates.extend(more);
    }
    let targets = picked(everywhere, MOST_TARGETS);
    let views = Views::of(network, &groups, &blocks);
    let shown = |pair: &[usize; 2]| -> Vec<usize> {
        let targets = targets.iter().enumerate();
        let shown = targets.filter(|(_, target)| views.shows(*pair, **target));
        shown.map(|(place, _)| place).collect()
    };
    let shown: Vec<Vec<usize>> = candidates.iter().map(shown).collect();
    greedily(&candidates, &shown, targets.len(), most)
}

/// Picks so many of the candidates, each time the first of those that show most of what none before it has shown.
fn greedily(
    candidates: &[[usize; 2]],
    shown: &[Vec<usize>],
    targets: usize,
    most: usize,
) -> Vec<[usize; 2]> {
    let mut left: Vec<usize> = (0..candidates.len()).collect();
    let mut is_new = vec![true; targets];
    let mut chosen = Vec::new();
    while chosen.len() < most && !left.is_empty() {
        let gain = |at: usize| {
            shown[left[at]]
                .iter()
                .filter(|target| is_new[**target])
                .count()
        };
        let best = (0..left.len()).max_by_key(|at| (gain(*at), usize::MAX - at));
        let candidate = left.remove(best.unwrap_or(0));
        shown[candidate]
            .iter()
            .for_each(|target| is_new[*target] = false);
        chosen.push(candidates[candidate]);
    }
    chosen
}

/// At most so many of them, evenly over all.
fn picked(all: Vec<[usize; 2]>, most: usize) -> Vec<[usize; 2]> {
    let step = all.len().div_ceil(most).max(1);
    all.into_iter().step_by(step).collect()
}

/// The network as listed, in which pairs of nodes are vectors.
struct Views {
    piece: Vec<usize>,
    /// Of each node its number within its piece.
    number: Vec<usize>,
    /// Of each piece the inner products of its nodes, and how many there are.
    products: Vec<Option<(Vec<f64>, usize)>>,
}

impl Views {
    fn of(network: &Network, groups: &[Group], blocks: &Blocks) -> Self {
        let piece = blocks.piece.clone();
        let pieces = piece.iter().max().map_or(0, |last| last + 1);
        let mut number = vec![0; piece.len()];
        let mut products = Vec::with_capacity(pieces);
        for one in 0..pieces {
            let inside: Vec<Group> = groups
                .iter()
                .filter(|group| piece[group.ends[0]] == one)
                .cloned()
                .collect();
            let (count, ends) = numbered(&inside);
            let mut branches = Vec::with_capacity(inside.len());
            for (group, own) in inside.iter().zip(&ends) {
                for (node, in_piece) in group.ends.iter().zip(own) {
                    number[*node] = *in_piece;
                }
                let listed = group
                    .members
                    .iter()
                    .map(|member| network.elements()[*member].listed_siemens());
                branches.push(Branch {
                    ends: *own,
                    siemens: listed.sum(),
                });
            }
            let at = Positions::of(count, &branches);
            products.push(at.filter(|_| count > 1).map(|at| (at.products(), count)));
        }
        Self {
            piece,
            number,
            products,
        }
    }

    /// Whether a reading between the one pair shows a part that is missing across the other.
    fn shows(&self, pair: [usize; 2], missing: [usize; 2]) -> bool {
        let pieces = |pair: [usize; 2]| pair.map(|node| self.piece[node]);
        let ([a, b], [x, y]) = (pieces(pair), pieces(missing));
        if a != b {
            return (a, b) == (x, y) || (a, b) == (y, x);
        }
        if x != y || x != a {
            return false;
        }
        let Some((products, count)) = &self.products[a] else {
            return false;
        };
        let product = |p: [usize; 2], q: [usize; 2]| {
            let at = |p: usize, q: usize| products[self.number[p] * count + self.number[q]];
            (at(p[0], q[0]) - at(p[0], q[1])) - (at(p[1], q[0]) - at(p[1], q[1]))
        };
        let across = product(pair, missing);
        across * across > SHOWS * product(pair, pair) * product(missing, missing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_probe_stays_where_there_is_most_to_read() {
        let pairs = vec![[0, 1], [2, 3], [1, 4], [0, 5], [0, 2]];
        assert_eq!(walk(pairs), [[0, 1], [0, 5], [0, 2], [2, 3], [1, 4]]);
    }
}
