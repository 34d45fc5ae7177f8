//! [`lifts`]: the leads to be lifted, fewest first.

use std::collections::{BTreeMap, BTreeSet};

use super::circuit::{Group, Network};
use super::element::Element;
use super::joint::Joint;
use super::own::{Own, numbered};

/// A lead to be lifted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lift {
    /// The part, by its place in the list.
    pub part: usize,
    /// The parts that are known once it is, itself among them.
    pub settles: Vec<usize>,
}

/// Elements as they are taken for known before they are read, or from readings.
pub struct Guess<'a> {
    /// The conductance of an element, S.
    pub siemens: &'a dyn Fn(&Element) -> f64,
    /// The limits of its resistance, Ω; `None` where it has none.
    pub limits: &'a dyn Fn(&Element) -> Option<[f64; 2]>,
}

/// Standard uncertainty of a reading as a share, for what is only foreseen (common practice, no source).
const READING_U: f64 = 1e-3;

/// Most leads of a block that are tried, of the parts that stand first in the list.
const MOST_TRIED: usize = 24;

/// Parts up to which a block has that many tried. Of a larger one fewer are, since each takes the cube of its size.
const LARGE: usize = 32;

/// The parts whose own value readings will tell well enough to judge it, if they are what is guessed.
pub fn foreseen(network: &Network, guess: &Guess<'_>) -> BTreeSet<usize> {
    let groups = network.groups(Element::is_resistive);
    let mut known = BTreeSet::new();
    for block in network.blocks(&groups).blocks {
        let block: Vec<&Group> = block.into_iter().map(|place| &groups[place]).collect();
        let siemens: Vec<f64> = block
            .iter()
            .map(|group| {
                let members = group
                    .members
                    .iter()
                    .map(|member| &network.elements()[*member]);
                members.map(guess.siemens).sum()
            })
            .collect();
        let u = if block.len() == 1 {
            Some(vec![READING_U])
        } else {
            let owned: Vec<Group> = block.iter().map(|group| (*group).clone()).collect();
            let (nodes, ends) = numbered(&owned);
            Joint::foreseen(nodes, &ends, &siemens, &vec![READING_U; block.len()])
        };
        let Some(u) = u else { continue };
        for ((group, siemens), u) in block.iter().zip(siemens).zip(u) {
            let [member] = group.members[..] else {
                continue;
            };
            let element = &network.elements()[member];
            let Some([lower, upper]) = (guess.limits)(element).filter(|_| element.half.is_none())
            else {
                continue;
            };
            let ohms = 1.0 / siemens;
            let (low, high) = (ohms / (1.0 + 2.0 * u), ohms / (1.0 - 2.0 * u).max(0.0));
            // Too high for its band is told by the reading alone only where that is its own.
            let high_enough = block.len() == 1 && low > upper;
            if (low >= lower && high <= upper) || high_enough {
                known.insert(element.part);
            }
        }
    }
    known
}

/// The leads to be lifted until all of the wanted parts are known, each time the one that settles most. A part whose lead is lifted is
/// known, and leaves its loops.
pub fn lifts(network: &Network, wanted: &BTreeSet<usize>, guess: &Guess<'_>) -> Vec<Lift> {
    let mut left = wanted.clone();
    let mut network = network.clone();
    let mut chosen = Vec::new();
    while let Some(lift) = best(&network, &left, guess) {
        left.retain(|part| !lift.settles.contains(part));
        network = network.without(|part| part == lift.part);
        chosen.push(lift);
    }
    chosen
}

/// Leads to lift behind readings: the wanted parts are those that they do not tell, the others are what they came to.
pub fn lifts_behind(
    network: &Network,
    owns: &[Own],
    wanted: &BTreeSet<usize>,
    limits: &dyn Fn(&Element) -> Option<[f64; 2]>,
) -> Vec<Lift> {
    let alone = owns.iter().filter(|own| own.group.members.len() == 1);
    let known = alone.filter_map(|own| {
        let siemens = own.conductance()?.value;
        let part = network.elements()[own.group.members[0]].part;
        (siemens > 0.0).then_some((part, siemens))
    });
    let known: BTreeMap<usize, f64> = known.collect();
    let siemens = |element: &Element| {
        let whole = known.get(&element.part).filter(|_| element.half.is_none());
        whole.copied().unwrap_or_else(|| element.listed_siemens())
    };
    let guess = Guess {
        siemens: &siemens,
        limits,
    };
    lifts(network, wanted, &guess)
}

/// The lead that settles most of what is left; nothing if nothing is.
fn best(network: &Network, left: &BTreeSet<usize>, guess: &Guess<'_>) -> Option<Lift> {
    let groups = network.groups(Element::is_resistive);
    let mut best: Option<Lift> = None;
    let mut tried = BTreeSet::new();
    for block in network.blocks(&groups).blocks {
        let members: Vec<usize> = block
            .iter()
            .flat_map(|place| groups[*place].members.clone())
            .collect();
        let parts: BTreeSet<usize> = members
            .iter()
            .map(|member| network.elements()[*member].part)
            .collect();
        let of_block = network.without(|part| !parts.contains(&part));
        let here: BTreeSet<usize> = parts.intersection(left).copied().collect();
        let tried_here = (MOST_TRIED * LARGE / parts.len().max(LARGE)).max(2);
        for part in here.iter().copied().take(tried_here) {
            tried.insert(part);
            let after = foreseen(&of_block.without(|other| other == part), guess);
            let settles: Vec<usize> = here
                .iter()
                .copied()
                .filter(|other| *other == part || after.contains(other))
                .collect();
            if best
                .as_ref()
                .is_none_or(|best| settles.len() > best.settles.len())
            {
                best = Some(Lift { part, settles });
            }
        }
    }
    // An element in no network, since a lead of it is lifted or its nodes are not known, settles itself.
    best.or_else(|| {
        let part = left.iter().copied().find(|part| !tried.contains(part))?;
        Some(Lift {
            part,
            settles: vec![part],
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    #[test]
    fn one_lead_of_two_side_by_side_settles_both() {
        let text = "ref,kind,value,tolerance,from,to\nR1,resistor,1k,10%,a,b\nR2,resistor,1k,10%,a,b\nR3,resistor,1k,10%,b,c\n";
        let list = read(text.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        let network = Network::of(&list);
        let guess = Guess {
            siemens: &Element::listed_siemens,
            limits: &|element| Some([900.0, 1100.0]).filter(|_| element.part < 3),
        };
        let known = foreseen(&network, &guess);
        assert_eq!(known, BTreeSet::from([2]));
        let found = lifts(&network, &BTreeSet::from([0, 1]), &guess);
        let expected = Lift {
            part: 0,
            settles: vec![0, 1],
        };
        assert_eq!(found, [expected]);
    }
}
