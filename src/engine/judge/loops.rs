//! [`Loops`]: what the readings in circuit say of each loop, as plain data to be drawn.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use serde::{Deserialize, Serialize};

use super::solution::Judged;
use super::verdict::Verdict;
use crate::engine::network::{Group, Lift, Network, Own};
use crate::engine::parts::Part;

/// The loops that were read.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Loops {
    /// Groups that hang together: those of a loop. Of a very large one only what is in doubt and what is next to it is kept, which may
    /// come to several pieces.
    pub pieces: Vec<Vec<LoopGroup>>,
    /// Number of groups left out of very large loops.
    pub left_out: usize,
    /// Contradiction between the readings and the list, as a clause: no part passes there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contradiction: Option<String>,
}

/// Parts side by side between the same two places; most often one alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LoopGroup {
    /// Titles of the parts, in the order of the list.
    pub parts: Vec<String>,
    /// Names of the places.
    pub ends: [String; 2],
    /// The group's own resistance, Ω, at least; `None` if it was not read.
    pub lower_ohm: Option<f64>,
    /// The same at most; `None` where it may be as large as it likes, and if it was not read.
    pub upper_ohm: Option<f64>,
    /// Several parts of it conduct, so that only what they are together is known.
    pub together: bool,
    /// Share of the current that went through the group itself while it was read, 0 to 1; `None` where it tells nothing.
    pub share: Option<f64>,
    /// The worst verdict on its parts; `None` where none has a band.
    pub verdict: Option<Verdict>,
    /// It reads otherwise than it should, which a reading in circuit does not prove.
    pub suspect: bool,
    /// Designator of the part whose lead is to be lifted to know more; `None` where that is not needed or not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lift: Option<String>,
    /// Reasons for the verdicts, as clauses.
    pub reasons: Vec<String>,
}

/// Facts that loops are told from.
#[derive(Debug, Clone, Copy)]
pub struct LoopFacts<'a> {
    /// The parts list.
    pub list: &'a [Part],
    /// Its network.
    pub network: &'a Network,
    /// The own value of each group.
    pub owns: &'a [Own],
    /// The verdicts on elements.
    pub judged: &'a [Judged],
    /// The leads to lift, where they were looked for.
    pub leads: &'a [Lift],
    /// Contradiction of the list, in words.
    pub contradiction: Option<&'a str>,
    /// The verdicts that stand on parts, by their places in the list.
    pub known: &'a BTreeMap<usize, Verdict>,
}

impl Loops {
    /// Largest number of groups of a loop that is kept whole.
    pub const MOST: usize = 60;

    /// The loops with a reading, and parts in no loop that are in doubt.
    pub fn of(facts: &LoopFacts<'_>) -> Self {
        let owns = facts.owns;
        // A capacitor through which nothing goes closes no loop.
        let conducts = |own: &usize| {
            let leaks = owns[*own].read.is_some() && owns[*own].ohms()[1].is_finite();
            facts.resistive(&owns[*own]) > 0 || leaks
        };
        let those: Vec<usize> = (0..owns.len()).filter(conducts).collect();
        let groups: Vec<_> = those.iter().map(|own| owns[*own].group.clone()).collect();
        let mut found = Self {
            contradiction: facts.contradiction.map(str::to_owned),
            ..Self::default()
        };
        for block in facts.network.blocks(&groups).blocks {
            let block: Vec<usize> = block.into_iter().map(|group| those[group]).collect();
            let is_told = block.iter().any(|own| owns[*own].read.is_some());
            let is_loop = block.len() > 1 || facts.resistive(&owns[block[0]]) > 1;
            if !is_told || !(is_loop || facts.is_in_doubt(block[0])) {
                continue;
            }
            let chosen = facts.chosen(&block);
            found.left_out += block.len() - chosen.len();
            let told = |piece: Vec<usize>| piece.into_iter().map(|own| facts.told(own)).collect();
            found.pieces.extend(facts.pieces(&chosen).map(told));
        }
        found
    }

    /// Whether there is nothing to draw.
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }
}

impl LoopFacts<'_> {
    /// Number of elements of a group that conduct.
    fn resistive(&self, own: &Own) -> usize {
        let elements = self.network.elements();
        let members = own.group.members.iter();
        members
            .filter(|member| elements[**member].is_resistive())
            .count()
    }

    /// The verdicts on a group. One side of a track has no band, so that only its failing is one.
    fn judged(&self, own: usize) -> impl Iterator<Item = &Judged> {
        let elements = self.network.elements();
        self.judged.iter().filter(move |one| {
            let is_whole = elements[one.element].half.is_none();
            one.own == own && (is_whole || one.found.verdict == Verdict::Fail)
        })
    }

    /// Verdict that stands on a part, where the readings in circuit tell none.
    fn verdict(&self, one: &Judged) -> Verdict {
        match one.found.verdict {
            Verdict::Inconclusive => self.known.get(&one.part(self.network)).copied(),
            _ => None,
        }
        .unwrap_or(one.found.verdict)
    }

    fn is_in_doubt(&self, own: usize) -> bool {
        self.owns[own].read.is_some()
            && self
                .judged(own)
                .any(|one| self.verdict(one).severity() > Verdict::ConditionalPass.severity())
    }

    fn told(&self, own: usize) -> LoopGroup {
        let Own { group, read, .. } = &self.owns[own];
        let elements = self.network.elements();
        let title = |element: &usize| elements[*element].title(self.list);
        let judged: Vec<&Judged> = self.judged(own).collect();
        let verdicts = judged.iter().map(|one| self.verdict(one));
        let verdict = verdicts.max_by_key(|verdict| verdict.severity());
        let words = |one: &&Judged| match self.verdict(one) {
            verdict if verdict == one.found.verdict => one.found.words.clone(),
            verdict => format!("{} was measured since: {verdict}", title(&one.element)),
        };
        let mut reasons: Vec<String> = judged.iter().map(words).collect();
        reasons.dedup();
        let is_read = read.is_some();
        let is_open = is_read && verdict == Some(Verdict::Inconclusive);
        let settles = |lead: &&Lift| {
            let mut parts = judged.iter().map(|one| one.part(self.network));
            parts.any(|part| lead.settles.contains(&part))
        };
        let lead = self.leads.iter().find(|lead| is_open && settles(lead));
        let [lower, upper] = self.owns[own].ohms();
        let resistive = self.resistive(&self.owns[own]);
        let tells = is_read && (resistive == 1 || !self.owns[own].block.is_empty());
        LoopGroup {
            parts: group.members.iter().map(title).collect(),
            ends: group
                .ends
                .map(|place| self.network.nodes().all()[place].name.clone()),
            lower_ohm: Some(lower).filter(|_| is_read),
            upper_ohm: Some(upper).filter(|upper| is_read && upper.is_finite()),
            together: is_read && resistive > 1,
            share: self.owns[own].share.filter(|_| tells),
            verdict,
            suspect: is_open && judged.iter().any(|one| one.found.suspect),
            lift: lead.map(|lead| self.list[lead.part].designator.clone()),
            reasons,
        }
    }

    /// The groups of a loop that are kept: all of them, or of too many those in doubt and what is nearest to them.
    fn chosen(&self, block: &[usize]) -> Vec<usize> {
        if block.len() <= Loops::MOST {
            return block.to_vec();
        }
        let owns = self.owns;
        let doubtful = block.iter().copied().filter(|own| self.is_in_doubt(*own));
        let mut waiting: VecDeque<usize> = doubtful.collect();
        waiting.extend(block.first().filter(|_| waiting.is_empty()));
        let mut chosen = BTreeSet::new();
        while let Some(own) = waiting.pop_front() {
            if chosen.len() == Loops::MOST {
                break;
            }
            if chosen.insert(own) {
                let ends = owns[own].group.ends;
                let beside = block.iter().copied().filter(|other| {
                    let mut at = owns[*other].group.ends.into_iter();
                    at.any(|end| ends.contains(&end))
                });
                waiting.extend(beside);
            }
        }
        chosen.into_iter().collect()
    }

    /// The groups by what hangs together.
    fn pieces(&self, chosen: &[usize]) -> impl Iterator<Item = Vec<usize>> {
        let groups = chosen.iter().map(|own| self.owns[*own].group.clone());
        let groups: Vec<Group> = groups.collect();
        let piece = self.network.blocks(&groups).piece;
        let mut pieces: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for own in chosen {
            let [end, _] = self.owns[*own].group.ends;
            pieces.entry(piece[end]).or_default().push(*own);
        }
        pieces.into_values()
    }
}
