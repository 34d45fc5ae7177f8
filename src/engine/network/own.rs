//! [`own_values`]: each part's own value from what was read while all are joined.

use std::collections::BTreeMap;

use super::bounds::{Between, Read, bounds};
use super::circuit::{Group, Network, pair};
use super::joint::Joint;
use crate::engine::impedance::Uncertain;

/// Readings between pairs of nodes, the last of each.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Readings(BTreeMap<[usize; 2], Read>);

impl Readings {
    /// Adds what was read between two nodes, in the place of an earlier one.
    pub fn add(&mut self, ends: [usize; 2], read: Read) {
        self.0.insert(pair(ends), read);
    }

    /// Reading between two nodes.
    pub fn of(&self, ends: [usize; 2]) -> Option<Read> {
        self.0.get(&pair(ends)).copied()
    }

    /// Each pair of nodes, the smaller number first, with what was read there.
    pub fn all(&self) -> impl Iterator<Item = ([usize; 2], Read)> {
        self.0.iter().map(|(ends, read)| (*ends, *read))
    }
}

/// From what an own value follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// In no loop: what is read across it is its own.
    Alone,
    /// From the readings of all parts of its block at once.
    Joint,
    /// Between limits that hold whatever the others are.
    Bounds,
}

/// Estimate of a group's own value.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// The elements; what is known is of all of them side by side.
    pub group: Group,
    /// Reading across it.
    pub read: Option<Read>,
    /// From what its value follows.
    pub method: Method,
    /// Between which conductances it lies for sure, S.
    pub between: Between,
    /// Its conductance from all readings at once, S, where that can be trusted.
    pub siemens: Option<Uncertain>,
    /// Share of the current that it carries itself when it is read, 0 to 1.
    pub share: Option<f64>,
    /// The other elements in its block.
    pub block: Vec<usize>,
    /// The capacitors that would change it if they leaked: beside it, or in a loop with it, and not read.
    pub unless: Vec<usize>,
}

/// The largest standard uncertainty of a conductance from all readings at once, as a share of it: beyond that the first order
/// does not tell how sure it is.
const LARGEST_U: f64 = 0.2;

/// Distance that it may lie outside the limits that hold for sure, in standard uncertainties.
const OUTSIDE: f64 = 3.0;

/// Amount by which a share may lie outside of 0 to 1 through the uncertainty of the readings.
const SLACK: f64 = 0.02;

impl Own {
    /// Between which resistances it lies, Ω, with an expanded uncertainty of 2 u; the upper one may be infinite.
    pub fn ohms(&self) -> [f64; 2] {
        match self.siemens {
            Some(one) => {
                let least = one.value - 2.0 * one.u;
                let most = if least > 0.0 {
                    1.0 / least
                } else {
                    f64::INFINITY
                };
                [1.0 / (one.value + 2.0 * one.u), most]
            }
            None => [1.0 / self.between.upper, 1.0 / self.between.lower],
        }
    }
}

/// Estimate for each group of a network. A capacitor that was not read counts as a good one, and is named.
pub fn own_values(network: &Network, readings: &Readings) -> Vec<Own> {
    let all = network.groups(|_| true);
    let counts = |group: &Group| {
        let mut members = group.members.iter();
        members.any(|member| network.elements()[*member].is_resistive())
            || readings.of(group.ends).is_some()
    };
    let (known, unread): (Vec<Group>, Vec<Group>) = all.into_iter().partition(counts);
    let everything: Vec<Group> = known.iter().chain(&unread).cloned().collect();
    let unless = capacitors_beside(network, &everything, &known);
    let blocks = network.blocks(&known).blocks;
    let mut found: Vec<Option<Own>> = vec![None; known.len()];
    for block in blocks {
        let groups: Vec<Group> = block.iter().map(|place| known[*place].clone()).collect();
        let owns = of_block(network, &groups, readings);
        for (place, own) in block.iter().zip(owns) {
            let unless = unless[*place].clone();
            found[*place] = Some(Own { unless, ..own });
        }
    }
    found.into_iter().flatten().collect()
}

/// Of each of the first groups the capacitors that nobody knows to block: those beside it, and the unread ones in a loop with it.
fn capacitors_beside(network: &Network, all: &[Group], known: &[Group]) -> Vec<Vec<usize>> {
    let is_capacitor = |member: &usize| !network.elements()[*member].is_resistive();
    let resistive = |group: &Group| !group.members.iter().all(is_capacitor);
    let mut found = vec![Vec::new(); known.len()];
    for block in network.blocks(all).blocks {
        let unread = block.iter().filter(|place| **place >= known.len());
        let unread: Vec<usize> = unread
            .flat_map(|place| all[*place].members.clone())
            .collect();
        for place in block.into_iter().filter(|place| *place < known.len()) {
            let own = all[place].members.iter().copied().filter(is_capacitor);
            found[place].extend(own.filter(|_| resistive(&all[place])));
            found[place].extend(unread.iter().copied());
        }
    }
    found
}

/// Estimates for the groups of a block.
fn of_block(network: &Network, groups: &[Group], readings: &Readings) -> Vec<Own> {
    let reads: Vec<Option<Read>> = groups.iter().map(|group| readings.of(group.ends)).collect();
    let (nodes, ends) = numbered(groups);
    let between = bounds(nodes, &ends, &reads);
    let joint = jointly(network, groups, nodes, &ends, &reads);
    let member = |place: usize| groups[place].members.clone();
    let others = |place: usize| (0..groups.len()).filter(move |other| *other != place);
    let own = |(place, group): (usize, &Group)| {
        let mut own = Own {
            group: group.clone(),
            read: reads[place],
            method: Method::Bounds,
            between: between[place],
            siemens: None,
            share: None,
            block: others(place).flat_map(member).collect(),
            unless: Vec::new(),
        };
        if groups.len() == 1 {
            own.method = Method::Alone;
            own.share = Some(1.0);
        } else if let Some((joint, foreseen)) = &joint {
            own.trust(joint, foreseen, place);
        }
        own
    };
    groups.iter().enumerate().map(own).collect()
}

impl Own {
    /// Takes the estimate from all readings at once, if it can be trusted.
    fn trust(&mut self, joint: &Joint, foreseen: &[f64], place: usize) {
        let (siemens, u) = (joint.siemens[place], joint.u[place]);
        // Beyond that the readings contradict each other, and the share is none.
        let share = joint.shares[place];
        self.share = (-SLACK..=1.0 + SLACK)
            .contains(&share)
            .then(|| share.clamp(0.0, 1.0));
        let inside = siemens >= self.between.lower - OUTSIDE * u
            && siemens <= self.between.upper + OUTSIDE * u;
        let sure = u <= LARGEST_U * siemens && foreseen[place] <= LARGEST_U;
        if inside && sure && matches!(self.read, Some(Read::Ohms(_))) {
            self.method = Method::Joint;
            self.siemens = Some(Uncertain::new(siemens, u));
        }
    }
}

/// All conductances of a block at once, and how sure they would be if every part were as listed; `None` where a reading is missing
/// or says too little.
fn jointly(
    network: &Network,
    groups: &[Group],
    nodes: usize,
    ends: &[[usize; 2]],
    reads: &[Option<Read>],
) -> Option<(Joint, Vec<f64>)> {
    if groups.len() == 1 {
        return None;
    }
    let reads: Vec<Read> = reads.iter().copied().collect::<Option<_>>()?;
    if reads.iter().any(|read| read.at_least() <= 0.0) {
        return None;
    }
    let joint = Joint::of(nodes, ends, &reads)?;
    let listed = groups.iter().enumerate().map(|(place, group)| {
        let listed = |member: &usize| network.elements()[*member].listed_siemens();
        let listed: f64 = group.members.iter().map(listed).sum();
        let stated = listed > 0.0 && listed < super::element::WIRE;
        let found = joint.siemens[place].max(SCARCELY);
        if stated { listed } else { found }
    });
    let listed: Vec<f64> = listed.collect();
    let u: Vec<f64> = reads
        .iter()
        .map(|read| match read {
            Read::Ohms(read) => read.u / read.value,
            Read::Beyond(_) => 0.0,
        })
        .collect();
    let foreseen = Joint::foreseen(nodes, ends, &listed, &u)?;
    Some((joint, foreseen))
}

/// Conductance of a capacitor that does not leak, S: next to nothing, so that its share can be reckoned with.
const SCARCELY: f64 = 1e-12;

/// The nodes of a block counted from zero, and the ends of its groups in these numbers.
pub(super) fn numbered(groups: &[Group]) -> (usize, Vec<[usize; 2]>) {
    let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
    let mut ends = Vec::with_capacity(groups.len());
    for group in groups {
        ends.push(group.ends.map(|end| {
            let next = numbers.len();
            *numbers.entry(end).or_insert(next)
        }));
    }
    (numbers.len(), ends)
}
