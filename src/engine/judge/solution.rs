//! [`Solution`]: what all readings in circuit come to.

use std::collections::{BTreeMap, BTreeSet};

use super::conditions::Conditions;
use super::own_value::{OwnVerdict, Trust, contradiction, judge_own, limits_of};
use super::verdict::Verdict;
use crate::engine::network::{
    Agreement, Element, Lift, Network, Own, Readings, lifts_behind, own_values,
};
use crate::engine::parts::Part;

/// Outcome of all readings in circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The own value of each group.
    pub owns: Vec<Own>,
    /// The verdict on each element that has a band, in the order of the own values.
    pub judged: Vec<Judged>,
    /// How many readings between nodes that no part joins there are.
    pub checks: usize,
    /// Contradiction of the list, in words.
    pub contradiction: Option<String>,
    /// The leads to lift, those first that settle most.
    pub leads: Vec<Lift>,
}

/// The verdict on an element.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The place of its own value in [`Solution::owns`].
    pub own: usize,
    /// Its place among the elements of the network.
    pub element: usize,
    /// The verdict.
    pub found: OwnVerdict,
}

impl Judged {
    /// The part that the element is of, by its place in the list.
    pub fn part(&self, network: &Network) -> usize {
        network.elements()[self.element].part
    }
}

impl Solution {
    /// Of these readings. `declared` says of parts whether the list was declared complete there; `known` are the parts of which a
    /// verdict stands, by their places in the list, so that no lead is lifted for them.
    pub fn of(
        (list, network): (&[Part], &Network),
        readings: &Readings,
        declared: &dyn Fn(&[&Part]) -> bool,
        known: &BTreeMap<usize, Verdict>,
        conditions: &Conditions,
    ) -> Self {
        let owns = own_values(network, readings);
        let agreement = Agreement::of(network, &owns, readings);
        let contradiction = contradiction(network, &agreement);
        let checked = match &contradiction {
            Some(words) => Some(Err(words.as_str())),
            None => agreement.agrees().then_some(Ok(())),
        };
        let mut judged = Vec::new();
        for (own, of_group) in owns.iter().enumerate() {
            let trust = Trust::around(list, network, of_group, declared, checked);
            for member in &of_group.group.members {
                let element = &network.elements()[*member];
                let found = judge_own(list, network, of_group, element, &trust, conditions);
                judged.extend(found.map(|found| Judged {
                    own,
                    element: *member,
                    found,
                }));
            }
        }
        let wanted: BTreeSet<usize> = judged
            .iter()
            .filter(|one| one.found.lift && !known.contains_key(&one.part(network)))
            .map(|one| one.part(network))
            .collect();
        let limits =
            |element: &Element| limits_of(&list[element.part], element, &conditions.policy);
        Self {
            leads: lifts_behind(network, &owns, &wanted, &limits),
            checks: agreement.compared.len(),
            owns,
            judged,
            contradiction,
        }
    }
}
