//! [`Network`]: the parts of a list, joined as it says.

use std::collections::BTreeMap;

use super::blocks::Blocks;
use super::element::{Element, LeftOut, elements, unknown_ends};
use super::nodes::{End, Nodes};
use super::positions::{Branch, Positions};
use crate::engine::parts::Part;

/// The parts of a list, joined as it says.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    nodes: Nodes,
    elements: Vec<Element>,
    left_out: Vec<(usize, LeftOut)>,
    unknown_ends: Vec<End>,
}

/// Elements side by side between the same two nodes; most often one alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The nodes, the smaller number first.
    pub ends: [usize; 2],
    /// The elements, as places among those of the network.
    pub members: Vec<usize>,
}

/// Resistance between two nodes, Ω.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// With everything as listed.
    pub ohms: f64,
    /// With every part somewhere within its limits, at least; and at most, infinite where there is no limit.
    pub within: [f64; 2],
}

impl Network {
    /// Of that list. A part that the list says is out of circuit counts as lifted, if any is said to be in.
    pub fn of(list: &[Part]) -> Self {
        let nodes = Nodes::of(list);
        let (elements, left_out) = elements(list, &nodes);
        let unknown_ends = unknown_ends(list, &nodes);
        Self {
            nodes,
            elements,
            left_out,
            unknown_ends,
        }
    }

    /// This, but with a lead of those parts lifted.
    #[must_use]
    pub fn without(&self, lifted: impl Fn(usize) -> bool) -> Self {
        let mut left = self.clone();
        left.elements.retain(|element| !lifted(element.part));
        let gone = self.elements.iter().filter(|element| lifted(element.part));
        left.left_out
            .extend(gone.map(|element| (element.part, LeftOut::Lifted)));
        left.left_out.sort_by_key(|(part, _)| *part);
        left.left_out.dedup();
        left
    }

    /// Its nodes.
    pub const fn nodes(&self) -> &Nodes {
        &self.nodes
    }

    /// Two nodes as they are said at the bench: `V1 grid to chassis`.
    pub fn pair_name(&self, [a, b]: [usize; 2]) -> String {
        let [a, b] = [a, b].map(|node| &self.nodes.all()[node].name);
        format!("{a} to {b}")
    }

    /// The two nodes of such a name.
    pub fn pair_named(&self, name: &str) -> Option<[usize; 2]> {
        name.match_indices(" to ").find_map(|(at, between)| {
            let ends = [&name[..at], &name[at + between.len()..]];
            let [a, b] = ends.map(|end| self.nodes.named(end));
            Some([a?, b?])
        })
    }

    /// Its elements, in the order of the list.
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The parts of the list that are no element, and why.
    pub fn left_out(&self) -> &[(usize, LeftOut)] {
        &self.left_out
    }

    /// The ends of parts that the list does not place: with one of them, nobody knows what is joined.
    pub fn unknown_ends(&self) -> &[End] {
        &self.unknown_ends
    }

    /// The elements that are chosen, those between the same nodes together; in the order of the list.
    pub fn groups(&self, chosen: impl Fn(&Element) -> bool) -> Vec<Group> {
        let mut places: BTreeMap<[usize; 2], usize> = BTreeMap::new();
        let mut groups: Vec<Group> = Vec::new();
        for (place, element) in self.elements.iter().enumerate() {
            if !chosen(element) {
                continue;
            }
            let ends = element.pair();
            let group = *places.entry(ends).or_insert_with(|| {
                groups.push(Group {
                    ends,
                    members: Vec::new(),
                });
                groups.len() - 1
            });
            groups[group].members.push(place);
        }
        groups
    }

    /// The pieces and blocks of some groups.
    pub fn blocks(&self, groups: &[Group]) -> Blocks {
        let ends: Vec<[usize; 2]> = groups.iter().map(|group| group.ends).collect();
        Blocks::of(self.nodes.all().len(), &ends)
    }

    /// Resistance between two nodes; `None` where nothing that conducts joins them.
    pub fn between(&self, ends: [usize; 2]) -> Option<Expected> {
        let with = |siemens: &dyn Fn(&Element) -> f64| {
            let branches: Vec<Branch> = self
                .elements
                .iter()
                .map(|element| Branch {
                    ends: element.ends,
                    siemens: siemens(element),
                })
                .collect();
            resistances(self.nodes.all().len(), &branches, &[ends])[0]
        };
        let ohms = with(&Element::listed_siemens)?;
        let upper = with(&|element| element.siemens_within_limits()[0]);
        let lower = with(&|element| element.siemens_within_limits()[1]);
        Some(Expected {
            ohms,
            within: [lower.unwrap_or(0.0), upper.unwrap_or(f64::INFINITY)],
        })
    }

    /// Resistance across each group with everything as listed, Ω; `None` where nothing conducts.
    pub fn expected(&self, groups: &[Group]) -> Vec<Option<f64>> {
        let branches: Vec<Branch> = self
            .elements
            .iter()
            .map(|element| Branch {
                ends: element.ends,
                siemens: element.listed_siemens(),
            })
            .collect();
        let pairs: Vec<[usize; 2]> = groups.iter().map(|group| group.ends).collect();
        resistances(self.nodes.all().len(), &branches, &pairs)
    }
}

/// Two nodes, the smaller number first.
pub(super) fn pair([a, b]: [usize; 2]) -> [usize; 2] {
    [a.min(b), a.max(b)]
}

/// The effective resistance between each of those pairs of nodes, Ω; `None` where nothing joins them. Branches that conduct nothing do
/// not count.
pub fn resistances(nodes: usize, branches: &[Branch], pairs: &[[usize; 2]]) -> Vec<Option<f64>> {
    let conducting: Vec<Branch> = branches
        .iter()
        .copied()
        .filter(|branch| branch.siemens > 0.0)
        .collect();
    let ends: Vec<[usize; 2]> = conducting.iter().map(|branch| branch.ends).collect();
    let piece = Blocks::of(nodes, &ends).piece;
    let mut placed: BTreeMap<usize, Option<(Positions, Vec<usize>)>> = BTreeMap::new();
    let mut found = Vec::with_capacity(pairs.len());
    for [a, b] in pairs {
        if piece[*a] != piece[*b] {
            found.push(None);
            continue;
        }
        let own = placed.entry(piece[*a]).or_insert_with(|| {
            let (count, numbers) = numbered(&piece, piece[*a]);
            let inside = conducting
                .iter()
                .filter(|branch| piece[branch.ends[0]] == piece[*a]);
            let inside: Vec<Branch> = inside
                .map(|branch| Branch {
                    ends: branch.ends.map(|end| numbers[end]),
                    ..*branch
                })
                .collect();
            Some((Positions::of(count, &inside)?, numbers))
        });
        let read = own
            .as_ref()
            .map(|(at, numbers)| at.resistance([numbers[*a], numbers[*b]]));
        found.push(read.filter(|ohms| ohms.is_finite()));
    }
    found
}

/// The nodes with that label, counted from zero.
fn numbered(labels: &[usize], label: usize) -> (usize, Vec<usize>) {
    let mut numbers = vec![usize::MAX; labels.len()];
    let mut count = 0;
    for (number, own) in numbers.iter_mut().zip(labels) {
        if *own == label {
            *number = count;
            count += 1;
        }
    }
    (count, numbers)
}
