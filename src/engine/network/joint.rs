//! [`Joint`]: all conductances of a block from all readings at once.

use super::bounds::Read;
use super::cholesky::Cholesky;
use super::positions::{Branch, Positions};

/// All conductances of a block that explain what was read across each.
///
/// With the conductances g as unknowns, log det L(g) - Σ r g is strictly concave (parallel parts being merged), and where it is
/// largest the effective resistances, its derivatives, are what was read. Damped Newton steps, 1/(1 + λ) of each, lead there from
/// any beginning. In units of 1/r the unknowns are the shares that each part has in its own reading.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joint {
    /// The share of the current that each branch carries when it is read, 0 to 1 but for what the readings are off.
    pub(super) shares: Vec<f64>,
    /// The conductances, S.
    pub(super) siemens: Vec<f64>,
    /// Their standard uncertainties, S.
    pub(super) u: Vec<f64>,
}

/// Newton steps after which it is given up.
const MOST_STEPS: usize = 100;

/// Gain of a step, λ², below which it is over.
const AT_REST: f64 = 1e-22;

/// Share by which a resistance of the solution may be off its reading.
const MEETS: f64 = 1e-9;

/// A network, and how its resistances follow from its conductances, both in units of what was read.
struct Sensitivity {
    /// Effective resistance over reading, minus one.
    off: Vec<f64>,
    /// Minus its derivatives by the shares, row by row.
    slopes: Vec<f64>,
}

/// Prior knowledge of a branch: read as so many ohm, with a standard uncertainty as a share of it, or a conductance that is
/// small.
struct Unknowns<'a> {
    nodes: usize,
    ends: &'a [[usize; 2]],
    /// Reading, Ω; of what is beyond the range the end of it.
    ohms: Vec<f64>,
    /// Its standard uncertainty as a share.
    u: Vec<f64>,
    /// Elements that are solved for.
    solved: Vec<usize>,
    /// Elements beyond the range: taken for nothing, and they may be up to 1/range.
    bounded: Vec<usize>,
}

/// A branch taken for beyond the range conducts so little, as a share of 1/range, that nothing comes of it but that all hangs together.
const NEXT_TO_NOTHING: f64 = 1e-3;

/// The standard uncertainty of what is nothing and may be up to one, so that twice of it reaches there.
const UP_TO_ONE: f64 = 0.5;

impl<'a> Unknowns<'a> {
    fn of(nodes: usize, ends: &'a [[usize; 2]], reads: &[Read]) -> Self {
        let ohms = |read: &Read| match read {
            Read::Ohms(read) => (read.value, read.u / read.value),
            Read::Beyond(range) => (*range, 0.0),
        };
        let (ohms, u) = reads.iter().map(ohms).unzip();
        let is_bounded = |place: &usize| matches!(reads[*place], Read::Beyond(_));
        let (bounded, solved) = (0..ends.len()).partition(is_bounded);
        Self {
            nodes,
            ends,
            ohms,
            u,
            solved,
            bounded,
        }
    }

    /// The network with these shares; `None` where there is none.
    fn sensitivity(&self, shares: &[f64]) -> Option<Sensitivity> {
        let branches: Vec<Branch> = (0..self.ends.len())
            .filter(|place| shares[*place] != 0.0)
            .map(|place| Branch {
                ends: self.ends[place],
                siemens: shares[place] / self.ohms[place],
            })
            .collect();
        let at = Positions::of(self.nodes, &branches)?;
        let products = at.products();
        let product = |a: usize, b: usize| products[a * self.nodes + b];
        let count = self.ends.len();
        let mut slopes = vec![0.0; count * count];
        for i in 0..count {
            let [a, b] = self.ends[i];
            for j in 0..=i {
                let [c, d] = self.ends[j];
                let transfer = (product(a, c) - product(a, d)) - (product(b, c) - product(b, d));
                let slope = transfer * transfer / (self.ohms[i] * self.ohms[j]);
                slopes[i * count + j] = slope;
                slopes[j * count + i] = slope;
            }
        }
        let off = self.ends.iter().zip(&self.ohms);
        let off = off.map(|(ends, ohms)| at.resistance(*ends) / ohms - 1.0);
        Some(Sensitivity {
            off: off.collect(),
            slopes,
        })
    }

    /// The slopes among those that are solved for, taken apart.
    fn taken_apart(&self, slopes: &[f64]) -> Option<Cholesky> {
        let (count, size) = (self.ends.len(), self.solved.len());
        let entries = self
            .solved
            .iter()
            .flat_map(|i| self.solved.iter().map(move |j| slopes[i * count + j]));
        let mut rows: Vec<f64> = entries.collect();
        // Rows that only rounding tells apart are not told apart.
        (0..size).for_each(|at| rows[at * size + at] *= 1.0 + 1e-13);
        Cholesky::of(rows, size)
    }

    /// The shares at which every reading is met; `None` if that was not found.
    fn solve(&self) -> Option<(Vec<f64>, Sensitivity)> {
        let mut shares = vec![NEXT_TO_NOTHING; self.ends.len()];
        // By Foster's theorem the shares of a network come to its nodes less one.
        let even = (self.nodes as f64 - 1.0) / self.solved.len().max(1) as f64;
        self.solved.iter().for_each(|place| shares[*place] = even);
        for _ in 0..MOST_STEPS {
            let here = self.sensitivity(&shares)?;
            let off: Vec<f64> = self.solved.iter().map(|place| here.off[*place]).collect();
            let step = self.taken_apart(&here.slopes)?.solve(off.clone());
            let gain: f64 = off.iter().zip(&step).map(|(off, step)| off * step).sum();
            if gain <= AT_REST || gain.is_nan() {
                let meets = off.iter().all(|off| off.abs() < MEETS);
                return meets.then_some((shares, here));
            }
            let whole = gain < 1.0 / 16.0;
            let damped = if whole {
                1.0
            } else {
                1.0 / (1.0 + gain.sqrt())
            };
            for (place, step) in self.solved.iter().zip(&step) {
                shares[*place] += damped * step;
            }
        }
        None
    }

    /// The standard uncertainty of each share, where the slopes are these: of those that are solved for from what their readings
    /// and the bounded ones are off.
    fn uncertainties(&self, slopes: &[f64]) -> Option<Vec<f64>> {
        let (count, size) = (self.ends.len(), self.solved.len());
        let inverse = self.taken_apart(slopes)?.inverse();
        let mut u = vec![UP_TO_ONE; count];
        for (place, row) in self.solved.iter().zip(inverse.chunks(size)) {
            let readings = row.iter().zip(&self.solved);
            let readings: f64 = readings
                .map(|(slope, from)| square(slope * self.u[*from]))
                .sum();
            let bounded = self.bounded.iter().map(|bounded| {
                let slope = row.iter().zip(&self.solved);
                let slope: f64 = slope
                    .map(|(slope, from)| slope * slopes[from * count + bounded])
                    .sum();
                square(slope * UP_TO_ONE)
            });
            u[*place] = (readings + bounded.sum::<f64>()).sqrt();
        }
        Some(u)
    }
}

fn square(value: f64) -> f64 {
    value * value
}

impl Joint {
    /// Conductances that meet these readings; `None` if none were found.
    pub(super) fn of(nodes: usize, ends: &[[usize; 2]], reads: &[Read]) -> Option<Self> {
        let unknowns = Unknowns::of(nodes, ends, reads);
        let (shares, here) = unknowns.solve()?;
        let u = unknowns.uncertainties(&here.slopes)?;
        let in_siemens = |shares: &[f64]| {
            let shares = shares.iter().zip(&unknowns.ohms);
            shares
                .map(|(share, ohms)| share / ohms)
                .collect::<Vec<f64>>()
        };
        Some(Self {
            siemens: in_siemens(&shares),
            u: in_siemens(&u),
            shares,
        })
    }

    /// Certainty of the conductances if they were these, from readings with these standard uncertainties, as shares of
    /// them; so are the results. `None` where that cannot be told.
    pub(super) fn foreseen(
        nodes: usize,
        ends: &[[usize; 2]],
        siemens: &[f64],
        u: &[f64],
    ) -> Option<Vec<f64>> {
        let branches = ends.iter().zip(siemens);
        let branches: Vec<Branch> = branches
            .map(|(ends, siemens)| Branch {
                ends: *ends,
                siemens: *siemens,
            })
            .collect();
        let at = Positions::of(nodes, &branches)?;
        let unknowns = Unknowns {
            nodes,
            ends,
            ohms: ends.iter().map(|ends| at.resistance(*ends)).collect(),
            u: u.to_vec(),
            solved: (0..ends.len()).collect(),
            bounded: Vec::new(),
        };
        let shares = siemens.iter().zip(&unknowns.ohms);
        let shares: Vec<f64> = shares.map(|(siemens, ohms)| siemens * ohms).collect();
        let u = unknowns.uncertainties(&unknowns.sensitivity(&shares)?.slopes)?;
        Some(u.iter().zip(&shares).map(|(u, share)| u / share).collect())
    }
}
