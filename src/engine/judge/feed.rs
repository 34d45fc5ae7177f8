//! [`Feeds`]: what feeds each test point of a list and what it feeds: the resistance behind it, and the capacitors that bear
//! its voltage.
//!
//! Names of nodes are read exactly here, but for upper and lower case: a wrong guess would move limits. A linear circuit seen
//! from one node is a source behind a resistance (Thévenin): the resistors between it and what is stiff, found by nodal
//! analysis. Valves are in no list. What they draw makes the resistance smaller, never larger.

use std::collections::{BTreeMap, BTreeSet};

use crate::engine::judge::drift::is_common;
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::Rating;

/// Nodes that are named as a supply (common practice, no source).
const SUPPLIES: [&str; 9] = [
    "ht",
    "ht+",
    "+ht",
    "b+",
    "+b",
    "v+",
    "supply",
    "ht supply",
    "b supply",
];

/// First rails, which are one where the list has no reservoir (common practice, no source).
const FIRST_RAILS: [&str; 6] = ["ht1", "ht1+", "b1", "b1+", "b+1", "+b1"];

/// The negative side of a supply: where it is not the chassis, next to it (common practice, no source).
const RETURNS: [&str; 6] = ["b-", "-b", "ht-", "-ht", "b−", "ht−"];

/// More nodes than any rail is fed through; solving takes the third power of it.
const MOST_NODES: usize = 100;

/// Findings about the test points of a list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Feeds(BTreeMap<String, Feed>);

/// Findings about a test point.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Feed {
    /// The resistance behind it; `None` if the list does not tell.
    pub(super) source: Option<Source>,
    /// The capacitors at it.
    pub(super) capacitors: Vec<Bearing>,
}

/// The resistance behind a point, from a list.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Source {
    /// Its bounds, Ω: equal where it is known.
    pub(super) ohms: (f64, f64),
    /// From what, as a clause.
    pub(super) because: String,
}

/// A capacitor at a point.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bearing {
    pub(super) designator: String,
    pub(super) rating: Rating,
    /// Whether the whole voltage of the point stands across it; otherwise its other end is fed as well.
    pub(super) whole: bool,
}

impl Feeds {
    /// The test points of `list`.
    pub fn of(list: &[Part]) -> Self {
        let points = || list.iter().filter(|part| part.kind == Kind::Point);
        if points().next().is_none() {
            return Self::default();
        }
        let net = Net::of(list);
        let feed = |point: &Part| Some((point.designator.clone(), net.feed(point)?));
        Self(points().filter_map(feed).collect())
    }

    pub(super) fn at(&self, point: &Part) -> Option<&Feed> {
        self.0.get(&point.designator)
    }
}

/// A way between two nodes that has a resistance.
#[derive(Debug, Clone, Copy)]
struct Way<'a> {
    ends: [usize; 2],
    ohms: f64,
    designator: &'a str,
}

/// The nodes of a list, those that parts without resistance join being one, and the ways between them.
struct Net<'a> {
    list: &'a [Part],
    nodes: BTreeMap<String, usize>,
    /// Of each node the one that stands for it.
    stands_for: Vec<usize>,
    /// The ways at each node.
    ways: BTreeMap<usize, Vec<Way<'a>>>,
    /// Nodes whose voltage no meter moves, with why.
    stiff: BTreeMap<usize, String>,
    common: BTreeSet<usize>,
}

impl<'a> Net<'a> {
    fn of(list: &'a [Part]) -> Self {
        let mut net = Self {
            list,
            nodes: BTreeMap::new(),
            stands_for: Vec::new(),
            ways: BTreeMap::new(),
            stiff: BTreeMap::new(),
            common: BTreeSet::new(),
        };
        for name in list.iter().flat_map(|part| [&part.from, &part.to]) {
            let new = net.stands_for.len();
            let name = plain(name);
            if !name.is_empty() && !net.nodes.contains_key(&name) {
                net.nodes.insert(name, new);
                net.stands_for.push(new);
            }
        }
        let joins = |part: &&Part| matches!(part.kind, Kind::Coil | Kind::Fuse);
        for part in list.iter().filter(joins) {
            if let [Some(a), Some(b)] = net.ends(part) {
                net.stands_for[a] = b;
            }
        }
        net.find_stiff();
        for part in list {
            let resists = matches!(part.kind, Kind::Resistor | Kind::Winding);
            let ohms = part.nominal.value();
            if let ([Some(a), Some(b)], true) =
                (net.ends(part), resists && ohms > 0.0 && a_way(part))
            {
                let way = Way {
                    ends: [a, b],
                    ohms,
                    designator: &part.designator,
                };
                for end in BTreeSet::from([a, b]) {
                    net.ways.entry(end).or_default().push(way);
                }
            }
        }
        net
    }

    fn find_stiff(&mut self) {
        let named = self.nodes.clone();
        let returns = |name: &&String| is_common(name) || RETURNS.contains(&name.as_str());
        self.common = (named.keys().filter(returns))
            .filter_map(|name| self.node(name))
            .collect();
        let mut stiff = BTreeMap::new();
        for part in self.list.iter().filter(|part| part.kind == Kind::Capacitor) {
            if let Some(hot) = self.above_common(part)
                && plain(&part.role).contains("reservoir")
            {
                stiff.insert(hot, format!("the reservoir {}", part.designator));
            }
        }
        let has_reservoir = !stiff.is_empty();
        for name in named.keys() {
            let first = !has_reservoir && FIRST_RAILS.contains(&name.as_str());
            if let Some(node) = self
                .node(name)
                .filter(|_| first || SUPPLIES.contains(&name.as_str()))
            {
                stiff
                    .entry(node)
                    .or_insert_with(|| format!("the supply `{name}`"));
            }
        }
        self.stiff = stiff;
    }

    fn node(&self, name: &str) -> Option<usize> {
        let mut node = *self.nodes.get(&plain(name))?;
        while self.stands_for[node] != node {
            node = self.stands_for[node];
        }
        Some(node)
    }

    fn ends(&self, part: &Part) -> [Option<usize>; 2] {
        [self.node(&part.from), self.node(&part.to)]
    }

    /// The node of a part whose other end is common, or not stated.
    fn above_common(&self, part: &Part) -> Option<usize> {
        let at_common = |end: Option<usize>| end.is_none_or(|end| self.common.contains(&end));
        match self.ends(part) {
            [Some(hot), other] if at_common(other) && !at_common(Some(hot)) => Some(hot),
            [other, Some(hot)] if at_common(other) && !at_common(Some(hot)) => Some(hot),
            _ => None,
        }
    }

    fn feed(&self, point: &Part) -> Option<Feed> {
        let node = self.above_common(point)?;
        Some(Feed {
            source: self.source(node),
            capacitors: self.capacitors(node),
        })
    }

    /// The resistance behind a node. It is known of a rail, which a capacitor keeps smooth and resistors feed; of any other
    /// node, where a valve may draw as much as the resistors do, only the largest.
    fn source(&self, node: usize) -> Option<Source> {
        if let Some(why) = self.stiff.get(&node) {
            let because = format!("since {why} is stiff");
            return Some(Source {
                ohms: (0.0, 0.0),
                because,
            });
        }
        let island = Island::around(node, self);
        let ohms = island.resistance()?;
        let from = island
            .borders
            .iter()
            .filter_map(|border| self.stiff.get(border));
        let from: Vec<&str> = from.map(String::as_str).collect();
        let resistors = island.resistors().join(", ");
        let smooth =
            |part: &&Part| part.kind == Kind::Capacitor && self.above_common(part) == Some(node);
        let is_rail = !from.is_empty() && self.list.iter().any(|part| smooth(&part));
        Some(if is_rail {
            let because = format!("by {resistors} from {}", from.join(" and "));
            Source {
                ohms: (ohms, ohms),
                because,
            }
        } else {
            let because = format!("by {resistors}; what a valve draws there makes it less");
            Source {
                ohms: (0.0, ohms),
                because,
            }
        })
    }

    fn capacitors(&self, node: usize) -> Vec<Bearing> {
        let at =
            |part: &&Part| part.kind == Kind::Capacitor && self.ends(part).contains(&Some(node));
        let bearing = |part: &Part| {
            let [a, b] = self.ends(part);
            let other = if a == Some(node) { b } else { a };
            let fed = other.is_some_and(|other| self.is_fed(other));
            (a != b).then(|| Bearing {
                designator: part.designator.clone(),
                rating: part.rating.clone(),
                whole: !fed,
            })
        };
        self.list.iter().filter(at).filter_map(bearing).collect()
    }

    /// Whether resistors bring a supply to that node.
    fn is_fed(&self, node: usize) -> bool {
        if self.common.contains(&node) || self.stiff.contains_key(&node) {
            return !self.common.contains(&node);
        }
        let borders = Island::around(node, self).borders;
        borders.iter().any(|border| self.stiff.contains_key(border))
    }
}

/// The ways around a node, up to what is stiff.
struct Island<'a> {
    /// Its nodes; the first is the one it was made for.
    nodes: Vec<usize>,
    borders: BTreeSet<usize>,
    ways: Vec<Way<'a>>,
}

impl<'a> Island<'a> {
    fn around(node: usize, net: &Net<'a>) -> Self {
        let mut island = Self {
            nodes: vec![node],
            borders: BTreeSet::new(),
            ways: Vec::new(),
        };
        let mut at = 0;
        while let Some(&here) = island.nodes.get(at).filter(|_| at <= MOST_NODES) {
            at += 1;
            for way in net.ways.get(&here).into_iter().flatten() {
                let [a, b] = way.ends;
                let there = if a == here { b } else { a };
                if there == here {
                    continue;
                }
                if net.stiff.contains_key(&there) || net.common.contains(&there) {
                    island.borders.insert(there);
                } else if !island.nodes.contains(&there) {
                    island.nodes.push(there);
                } else if island.nodes.iter().position(|node| *node == there) < Some(at) {
                    // This way was met from its other end.
                    continue;
                }
                island.ways.push(*way);
            }
        }
        island.drop_dead_ends();
        island
    }

    /// Branches on one way only carry no current.
    fn drop_dead_ends(&mut self) {
        let mut before = usize::MAX;
        while self.ways.len() < before {
            before = self.ways.len();
            let first = self.nodes[0];
            let mut ways_at: BTreeMap<usize, usize> = BTreeMap::new();
            for end in self.ways.iter().flat_map(|way| way.ends) {
                *ways_at.entry(end).or_default() += 1;
            }
            let borders = &self.borders;
            let dead = |end: &usize| *end != first && !borders.contains(end) && ways_at[end] < 2;
            self.ways.retain(|way| !way.ends.iter().any(dead));
            self.nodes
                .retain(|node| *node == first || ways_at.get(node).is_some_and(|ways| *ways > 1));
        }
    }

    fn resistors(&self) -> Vec<&'a str> {
        self.ways.iter().map(|way| way.designator).collect()
    }

    /// The resistance between its first node and all borders together, Ω; `None` where no way leads to one, or too many do.
    fn resistance(&self) -> Option<f64> {
        let count = self.nodes.len();
        if self.borders.is_empty() || count > MOST_NODES {
            return None;
        }
        let place = |node: usize| self.nodes.iter().position(|one| *one == node);
        // Kirchhoff: conductances between the nodes, with one ampere into the first.
        let mut rows = vec![vec![0.0; count + 1]; count];
        rows[0][count] = 1.0;
        for way in &self.ways {
            let siemens = 1.0 / way.ohms;
            let [a, b] = way.ends.map(place);
            for (one, other) in [(a, b), (b, a)] {
                let Some(one) = one else { continue };
                rows[one][one] += siemens;
                if let Some(other) = other {
                    rows[one][other] -= siemens;
                }
            }
        }
        first_unknown(rows)
    }
}

/// The first unknown of a system of linear equations whose diagonal outweighs its rows, by elimination from the last on.
fn first_unknown(mut rows: Vec<Vec<f64>>) -> Option<f64> {
    let count = rows.len();
    for pivot in (1..count).rev() {
        let row = rows[pivot].clone();
        if row[pivot] <= 0.0 {
            return None;
        }
        for other in &mut rows[..pivot] {
            let share = other[pivot] / row[pivot];
            for (cell, of_pivot) in other.iter_mut().zip(&row) {
                *cell -= share * of_pivot;
            }
        }
    }
    let value = rows[0][count] / rows[0][0];
    (value.is_finite() && value > 0.0).then_some(value)
}

/// Resistors whose two ends are told apart.
fn a_way(part: &Part) -> bool {
    plain(&part.from) != plain(&part.to)
}

fn plain(name: &str) -> String {
    name.trim().to_lowercase()
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::engine::parts::{ListSettings, read};

    /// The bounds of the resistance behind `P1` at that node, and from what.
    fn source(node: &str, rows: &str) -> Option<((f64, f64), String)> {
        let list = format!("ref,kind,value,role,from,to\nP1,point,250V,,{node},chassis\n{rows}");
        let parts = read(list.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        let source = Feeds::of(&parts).at(&parts[0])?.source.clone()?;
        Some((source.ohms, source.because))
    }

    const SUPPLY: &str = "\
C1,capacitor,32uF,reservoir,HT1,chassis
C2,capacitor,16uF,smoothing,HT2,chassis
R1,resistor,10k,dropper,HT1,HT2
";

    #[test]
    fn a_reservoir_and_a_named_supply_are_stiff() {
        let (ohms, because) = source("HT1", SUPPLY).unwrap();
        assert_eq!(
            (ohms, because.as_str()),
            ((0.0, 0.0), "since the reservoir C1 is stiff")
        );
        let named = source("b+", "R1,resistor,10k,,B+,A1\n").unwrap();
        assert_eq!(named.0, (0.0, 0.0));
        assert_eq!(
            source("HT1", "R1,resistor,10k,,HT1,A1\n").unwrap().0,
            (0.0, 0.0)
        );
        // A first rail is none where another one has the reservoir.
        let rows = "C1,capacitor,32uF,reservoir,HT0,chassis\nC2,capacitor,8uF,,HT1,chassis\nR1,resistor,5k,,HT0,HT1\n";
        assert_eq!(source("HT1", rows).unwrap().0, (5e3, 5e3));
    }

    #[test]
    fn a_rail_is_behind_its_dropper_in_parallel_with_what_loads_it() {
        let (ohms, because) = source("ht2", SUPPLY).unwrap();
        assert_eq!(ohms, (10e3, 10e3));
        assert_eq!(because, "by R1 from the reservoir C1");
        // 10 kΩ in parallel with 40 kΩ are 8 kΩ; an anode load at whose end nothing of the list goes on carries nothing.
        let loaded = format!(
            "{SUPPLY}R2,resistor,40k,bleeder,HT2,chassis\nR3,resistor,100k,anode load,HT2,A1\n"
        );
        let (ohms, because) = source("HT2", &loaded).unwrap();
        assert_relative_eq!(ohms.0, 8e3, max_relative = 1e-12);
        assert_eq!(
            (ohms.0, because.as_str()),
            (ohms.1, "by R1, R2 from the reservoir C1")
        );
    }

    #[test]
    fn chokes_windings_and_fuses_are_ways_too() {
        let rows = "C1,capacitor,32uF,reservoir,HT1,chassis\nC2,capacitor,16uF,,HT2,chassis\nF1,fuse,500 mA,,HT1,F\nT1.x,winding,250R,,F,G\nL1,coil,10H,,G,HT2\n";
        assert_eq!(source("HT2", rows).unwrap().0, (250.0, 250.0));
    }

    #[test]
    fn of_a_node_that_a_valve_draws_from_only_the_largest_is_known() {
        let rows = format!(
            "{SUPPLY}R3,resistor,100k,anode load,HT2,A1\nC3,capacitor,10 nF,coupling,A1,G2\nR4,resistor,1M,grid leak,G2,chassis\n"
        );
        let (ohms, because) = source("A1", &rows).unwrap();
        assert_relative_eq!(ohms.1, 110e3, max_relative = 1e-12);
        assert_eq!(ohms.0, 0.0);
        assert!(because.contains("makes it less"), "{because}");
        assert_eq!(
            source("K1", "R1,resistor,2k2,,K1,chassis\n").unwrap().0,
            (0.0, 2.2e3)
        );
    }

    #[test]
    fn what_the_list_does_not_tell_stays_unknown() {
        assert_eq!(source("HT2", "R1,resistor,10k,,HT2,A1\n"), None);
        assert_eq!(source("HT2", "C1,capacitor,16uF,,HT2,chassis\n"), None);
        assert_eq!(source("", SUPPLY), None);
    }

    /// A bridge of five resistors, by the delta-star transformation: 10 Ω and 20 Ω to two nodes that 30 Ω join, 40 Ω and
    /// 50 Ω from there on. Worked by hand: the delta 10, 20, 30 is a star of 10/3, 5 and 10, so 10/3 + (45 ∥ 60).
    #[test]
    fn a_bridge_is_solved() {
        let rows = "R1,resistor,10R,,P,Q\nR2,resistor,20R,,P,S\nR3,resistor,30R,,Q,S\nR4,resistor,40R,,Q,HT\nR5,resistor,50R,,S,HT\n";
        let expected = 10.0 / 3.0 + 45.0 * 60.0 / 105.0;
        assert_relative_eq!(
            source("P", rows).unwrap().0.1,
            expected,
            max_relative = 1e-12
        );
    }

    #[test]
    fn a_capacitor_whose_other_end_is_fed_does_not_bear_it_all() {
        let rows = format!(
            "{SUPPLY}C3,capacitor,10 nF,coupling,HT2,G2\nR4,resistor,1M,grid leak,G2,chassis\nC4,capacitor,1uF,,HT2,HT1\n"
        );
        let list = format!("ref,kind,value,role,from,to\nP1,point,250V,,HT2,\n{rows}");
        let parts = read(list.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        let feeds = Feeds::of(&parts);
        let bearing = &feeds.at(&parts[0]).unwrap().capacitors;
        let found: Vec<_> = bearing
            .iter()
            .map(|one| (one.designator.as_str(), one.whole))
            .collect();
        assert_eq!(found, [("C2", true), ("C3", true), ("C4", false)]);
    }
}
