//! [`Agreement`]: whether readings between nodes that no part joins are what the own values make of the network.
//!
//! The own values meet the readings across the parts whatever was left out of the list; only such further readings can tell.

use super::bounds::Read;
use super::circuit::{Network, pair, resistances};
use super::own::{Own, Readings};
use super::positions::Branch;
use crate::engine::impedance::Uncertain;
use crate::engine::statistics::chi_squared;

/// A reading between two nodes that no part joins, against what the own values make of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    pub ends: [usize; 2],
    pub read: Read,
    /// Resistance by the own values, Ω; `None` where nothing joins the nodes.
    pub expected: Option<Uncertain>,
    /// Distance of the two, in standard uncertainties; infinite where one conducts and the other does not.
    pub off: f64,
}

/// Finding of such readings together.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Agreement {
    /// Each of them, in the order of the nodes.
    pub compared: Vec<Compared>,
}

/// Distance by which a single reading may be off, in standard uncertainties.
const MOST_OFF: f64 = 4.0;

/// The probability with which readings that agree may be called off, all together.
const BY_CHANCE: f64 = 0.01;

impl Agreement {
    /// Holds the readings against the own values, those that such values tell anything of.
    pub fn of(network: &Network, owns: &[Own], readings: &Readings) -> Self {
        let joined = |ends: [usize; 2]| owns.iter().any(|own| own.group.ends == ends);
        let beside = network.groups(|_| true);
        let listed = |ends: [usize; 2]| beside.iter().any(|group| group.ends == ends);
        let further = readings
            .all()
            .filter(|(ends, _)| !joined(*ends) && !listed(*ends));
        let values = Values::of(network, owns);
        let compared = further.filter_map(|(ends, read)| values.compare(ends, read));
        Self {
            compared: compared.collect(),
        }
    }

    /// The one that is off the most, if they do not agree: one by more than 4 u, or all together (χ², p < 0.01).
    pub fn contradiction(&self) -> Option<&Compared> {
        let worst = self
            .compared
            .iter()
            .max_by(|a, b| a.off.total_cmp(&b.off))?;
        let sum: f64 = self.compared.iter().map(|one| one.off * one.off).sum();
        let most = chi_squared(1.0 - BY_CHANCE, self.compared.len() as f64);
        let agrees = worst.off <= MOST_OFF && most.is_some_and(|most| sum <= most);
        (!agrees).then_some(worst)
    }

    /// Whether there are readings, and all agree.
    pub fn agrees(&self) -> bool {
        !self.compared.is_empty() && self.contradiction().is_none()
    }
}

/// The own values of a network as one conductance each.
struct Values {
    nodes: usize,
    branches: Vec<Branch>,
    /// Their standard uncertainties, S.
    u: Vec<f64>,
    /// Groups of which next to nothing is known.
    unknown: Vec<[usize; 2]>,
}

impl Values {
    fn of(network: &Network, owns: &[Own]) -> Self {
        let mut values = Self {
            nodes: network.nodes().all().len(),
            branches: Vec::new(),
            u: Vec::new(),
            unknown: Vec::new(),
        };
        for own in owns {
            let ends = own.group.ends;
            match own.conductance() {
                Some(one) => {
                    values.branches.push(Branch {
                        ends,
                        siemens: one.value,
                    });
                    values.u.push(one.u);
                }
                None => values.unknown.push(ends),
            }
        }
        values
    }

    /// Comparison of a reading; `None` where too little is known, or where both say nothing conducts.
    fn compare(&self, ends: [usize; 2], read: Read) -> Option<Compared> {
        let expected = resistances(self.nodes, &self.branches, &[ends])[0];
        let expected = expected.map(|ohms| Uncertain::new(ohms, self.u_of(ends, ohms)));
        let through_unknown = || {
            let mut branches = self.branches.clone();
            let unknown = self.unknown.iter();
            branches.extend(unknown.map(|ends| Branch {
                ends: *ends,
                siemens: 1.0,
            }));
            let open = resistances(self.nodes, &self.branches, &[ends])[0];
            let joined = resistances(self.nodes, &branches, &[ends])[0];
            match (open, joined) {
                (Some(open), Some(joined)) => joined < open * (1.0 - 1e-9),
                (None, Some(_)) => true,
                _ => false,
            }
        };
        if !self.unknown.is_empty() && through_unknown() {
            return None;
        }
        let off = match (read, expected) {
            (Read::Ohms(read), Some(expected)) => {
                (read.value - expected.value).abs() / libm::hypot(read.u, expected.u)
            }
            (Read::Beyond(range), Some(expected)) => {
                ((range - expected.value) / expected.u).max(0.0)
            }
            (Read::Ohms(_), None) => f64::INFINITY,
            (Read::Beyond(_), None) => 0.0,
        };
        (!off.is_nan()).then_some(Compared {
            ends: pair(ends),
            read,
            expected,
            off,
        })
    }

    /// The standard uncertainty of a resistance between two nodes: of each conductance g it changes by the square of the voltage that an
    /// ampere makes across that, which follows from four resistances. Their correlation is left out: that makes it a little too large.
    fn u_of(&self, [a, b]: [usize; 2], ohms: f64) -> f64 {
        let pairs: Vec<[usize; 2]> = self
            .branches
            .iter()
            .flat_map(|branch| {
                let [c, d] = branch.ends;
                [[a, d], [b, c], [a, c], [b, d]]
            })
            .collect();
        let read = resistances(self.nodes, &self.branches, &pairs);
        let terms = read.chunks(4).zip(&self.u).map(|(four, u)| {
            let [Some(ad), Some(bc), Some(ac), Some(bd)] = four else {
                return 0.0;
            };
            let volts = (ad + bc - ac - bd) / 2.0;
            libm::pow(volts * volts * u, 2.0)
        });
        let u = terms.sum::<f64>().sqrt();
        u.max(ohms * LEAST_U)
    }
}

/// No resistance is known better than this, as a share: rounding.
const LEAST_U: f64 = 1e-9;

impl Own {
    /// One conductance for it with its standard uncertainty, S; `None` where next to nothing is known.
    pub fn conductance(&self) -> Option<Uncertain> {
        if let Some(joint) = self.siemens {
            return Some(joint);
        }
        let (lower, upper) = (self.between.lower, self.between.upper);
        match self.read? {
            Read::Beyond(range) => Some(Uncertain::new(0.0, 0.5 / range)),
            Read::Ohms(read) if self.block.is_empty() && read.value > 0.0 => Some(Uncertain::new(
                1.0 / read.value,
                read.u / (read.value * read.value),
            )),
            Read::Ohms(_) => (lower > 0.5 * upper).then(|| {
                // Twice the standard uncertainty reaches from the middle to both bounds.
                Uncertain::new(f64::midpoint(lower, upper), (upper - lower) / 4.0)
            }),
        }
    }
}
