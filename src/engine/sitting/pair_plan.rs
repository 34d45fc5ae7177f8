//! [`PairPlan`]: the network of a sitting in which nothing is unsoldered, and the readings that it takes.

use super::entries::Entries;
use crate::engine::network::{Network, Planned, before_reading, planned};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::quantity::{Amount, Band, Quantity, Tolerance};
use crate::engine::settings::Complete;

/// The network of the list, the pairs of places to be read, and which entry of the plan is which.
#[derive(Debug, Clone)]
pub(super) struct PairPlan {
    pub(super) list: Vec<Part>,
    pub(super) network: Network,
    pub(super) complete: Complete,
    /// The pairs of places, which are the first entries of the plan.
    pub(super) pairs: Vec<Planned>,
    /// The places in the list of the parts behind them.
    parts: Vec<usize>,
    /// The end of the ohmmeter's range, Ω.
    pub(super) range: f64,
    /// Of each pair its block among those of the whole network; `None` of a pair that no part joins.
    blocks: Vec<Option<usize>>,
    /// Of each node its piece.
    piece: Vec<usize>,
}

impl PairPlan {
    /// Of that list; `None` if no part of it has both its nodes.
    pub(super) fn of(list: Vec<Part>, complete: Complete, range: f64) -> Option<Self> {
        let network = Network::of(&list);
        let pairs = planned(&network);
        let groups = network.groups(|_| true);
        let found = network.blocks(&groups);
        let block_of = |pair: &Planned| {
            let group = groups.iter().position(|group| group.ends == pair.ends)?;
            found.blocks.iter().position(|block| block.contains(&group))
        };
        let is_part = |place: &usize| !matches!(list[*place].kind, Kind::Point | Kind::Ratio);
        let parts = (0..list.len()).filter(is_part).collect();
        (!groups.is_empty()).then(|| Self {
            blocks: pairs.iter().map(block_of).collect(),
            piece: found.piece.clone(),
            network,
            complete,
            pairs,
            parts,
            range,
            list,
        })
    }

    /// Steps before anything is read.
    pub(super) fn before_reading(&self) -> Vec<String> {
        before_reading(&self.list, &self.network)
    }

    /// The pairs as entries of a plan, and behind them the parts.
    pub(super) fn entries(&self) -> Entries {
        let pairs = self.pairs.iter().map(|pair| self.pair(pair));
        let parts = self.parts.iter().map(|place| Part {
            also: Vec::new(),
            in_circuit: true,
            ..self.list[*place].clone()
        });
        Entries::in_circuit(pairs.collect(), parts.collect())
    }

    /// A pair of places as what is in hand.
    fn pair(&self, pair: &Planned) -> Part {
        let [from, to] = pair.ends.map(|node| &self.network.nodes().all()[node].name);
        let expected = self.network.between(pair.ends);
        let expected = expected.filter(|expected| expected.ohms.is_finite() && expected.ohms > 0.0);
        let within = expected.map_or([0.0, f64::INFINITY], |expected| expected.within);
        let is_complete = self.complete.holds(self.list.iter());
        let lower = if is_complete { within[0] } else { 0.0 };
        let band = expected.and_then(|_| Band::new(lower, within[1]));
        let nominal = expected.map_or(self.range, |expected| expected.ohms);
        let nominal = Amount::new(Quantity::Resistance, nominal);
        let nominal = nominal.unwrap_or(self.list[0].nominal);
        let across = pair.across.iter().flat_map(|group| &group.members);
        let titles = across.map(|member| self.network.elements()[*member].title(&self.list));
        let titles: Vec<String> = titles.collect();
        let name = self.network.pair_name(pair.ends);
        Part {
            step: Step::Between,
            band: band
                .or_else(|| Band::new(0.0, f64::INFINITY))
                .unwrap_or(self.list[0].band),
            value_text: if titles.is_empty() {
                "no part".to_owned()
            } else {
                titles.join(" ")
            },
            from: from.clone(),
            to: to.clone(),
            in_circuit: true,
            ..Part::new(name, Kind::Resistor, nominal, Tolerance::MAXIMUM)
        }
    }

    /// The entry of a part of the list.
    pub(super) fn entry_of(&self, part: usize) -> Option<usize> {
        let place = self.parts.iter().position(|place| *place == part)?;
        Some(self.pairs.len() + place)
    }

    /// The part of the list that an entry is; `None` of a pair.
    pub(super) fn part_of(&self, entry: usize) -> Option<usize> {
        self.parts
            .get(entry.checked_sub(self.pairs.len())?)
            .copied()
    }

    /// The pair that a part lies across.
    pub(super) fn across(&self, part: usize) -> Option<usize> {
        let is_it = |member: &usize| self.network.elements()[*member].part == part;
        let lies = |pair: &Planned| {
            pair.across
                .iter()
                .any(|group| group.members.iter().any(is_it))
        };
        self.pairs.iter().position(lies)
    }

    /// Whether a lead of that part, lifted or joined, changes what is read between a pair: it is in the same block, or, of a pair that no
    /// part joins, in the same piece.
    pub(super) fn touches(&self, part: usize, pair: usize) -> bool {
        let mut elements = self.network.elements().iter();
        let mut own = elements.by_ref().filter(|element| element.part == part);
        own.any(|element| {
            let Some(block) = self.blocks[pair] else {
                let piece = |node: usize| self.piece[node];
                let at = piece(element.ends[0]);
                return self.pairs[pair].ends.iter().any(|end| piece(*end) == at);
            };
            let ends = element.pair();
            let mut pairs = self.pairs.iter().zip(&self.blocks);
            pairs.any(|(other, of)| other.ends == ends && *of == Some(block))
        })
    }
}
