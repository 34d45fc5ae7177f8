//! [`bounds`]: between which limits each conductance of a block lies, whatever the others are.

use super::positions::{Branch, Positions};
use crate::engine::impedance::Uncertain;

/// Reading of an ohmmeter across a branch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Read {
    /// Resistance in ohm.
    Ohms(Uncertain),
    /// More ohm than this, the end of its range.
    Beyond(f64),
}

impl Read {
    /// The smallest resistance that it may mean, U = 2 u below but never less than a short has, Ω.
    pub fn at_least(self) -> f64 {
        match self {
            Self::Ohms(read) => (read.value - 2.0 * read.u).max(1.0 / SHORT),
            Self::Beyond(range) => range,
        }
    }

    /// The largest, Ω; infinite beyond the range.
    pub fn at_most(self) -> f64 {
        match self {
            Self::Ohms(read) => read.value + 2.0 * read.u,
            Self::Beyond(_) => f64::INFINITY,
        }
    }
}

/// Between which conductances a branch lies, S.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// The smallest one, from 0.
    pub lower: f64,
    /// The largest one.
    pub upper: f64,
}

/// A branch that nobody read may be as good as a short: 0.1 mΩ, S.
const SHORT: f64 = 1e4;

/// Rounds after which nothing more is expected of another one.
const MOST_ROUNDS: usize = 200;

/// Bounds that move by less than this share are at rest.
const AT_REST: f64 = 1e-9;

/// Between which limits each branch of a block lies, from what was read across each.
///
/// All of a block together conducts 1/R across a branch, so g ≤ 1/(r - U); what the others conduct there is by Rayleigh's law at most
/// what they do with all of them at their upper bounds, so g ≥ 1/(r + U) - G. Each bound that moves helps the others; so it goes on
/// until nothing moves. No tolerance is used.
pub(super) fn bounds(nodes: usize, ends: &[[usize; 2]], reads: &[Option<Read>]) -> Vec<Between> {
    let largest =
        |read: &Option<Read>| read.map_or(SHORT, |read| (1.0 / read.at_least()).min(SHORT));
    let mut between: Vec<Between> = reads
        .iter()
        .map(|read| Between {
            lower: 0.0,
            upper: largest(read),
        })
        .collect();
    for _ in 0..MOST_ROUNDS {
        let most = others(nodes, ends, between.iter().map(|one| one.upper));
        let least = others(nodes, ends, between.iter().map(|one| one.lower));
        let mut moved = false;
        for (place, one) in between.iter_mut().enumerate() {
            let Some(read) = reads[place] else { continue };
            let lower = (1.0 / read.at_most() - most[place]).max(one.lower);
            let upper = (1.0 / read.at_least() - least[place]).min(one.upper);
            // Readings that contradict each other leave nothing in between; the upper bound then stays.
            let upper = if upper >= lower { upper } else { one.upper };
            let lower = lower.min(upper);
            moved |= lower > one.lower * (1.0 + AT_REST) || upper < one.upper * (1.0 - AT_REST);
            *one = Between { lower, upper };
        }
        if !moved {
            break;
        }
    }
    between
}

/// Conductance of all but one across each branch, S, if they are like this.
fn others(
    nodes: usize,
    ends: &[[usize; 2]],
    siemens: impl Iterator<Item = f64> + Clone,
) -> Vec<f64> {
    let branches: Vec<Branch> = ends
        .iter()
        .zip(siemens.clone())
        .filter(|(_, siemens)| *siemens > 0.0)
        .map(|(ends, siemens)| Branch {
            ends: *ends,
            siemens,
        })
        .collect();
    // Pieces that do not hang together are taken for conducting nothing, which is on the safe side of a lower bound.
    let Some(at) = Positions::of(nodes, &branches) else {
        return vec![0.0; ends.len()];
    };
    let beside = |(ends, own): (&[usize; 2], f64)| (1.0 / at.resistance(*ends) - own).max(0.0);
    ends.iter().zip(siemens).map(beside).collect()
}
