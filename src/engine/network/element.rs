//! [`Element`]: what a part is to a small direct current between its two nodes.

use super::circuit::pair;
use super::nodes::{End, Nodes, Side};
use crate::engine::parts::{Kind, Part};

/// A part, or one side of a potentiometer, as a conductance between two nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Element {
    /// Place of the part in the list.
    pub part: usize,
    /// The end that this side of a potentiometer goes to from the wiper; `None` for the whole part.
    pub half: Option<Side>,
    /// Its nodes, which differ.
    pub ends: [usize; 2],
    pub conduction: Conduction,
}

/// Conduction of a small direct current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Conduction {
    /// Nominal resistance, within these limits, Ω.
    Resistance {
        nominal: f64,
        lower: f64,
        upper: f64,
    },
    /// One side of a potentiometer: anything up to the upper limit of its track, Ω.
    Half {
        /// Half the nominal resistance of the track.
        nominal: f64,
        /// Upper limit of the track.
        upper: f64,
    },
    /// Has only to conduct, up to so many ohm: a contact, a fuse, a lamp.
    UpTo(f64),
    /// A coil, whose resistance the list does not state.
    Wire,
    /// A capacitor, which conducts nothing unless it leaks.
    Blocks,
}

/// Reason why a part of the list is no element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeftOut {
    /// The list does not say where both its ends are.
    NoNodes,
    /// Both its ends are on one node.
    OneNode,
    /// A lead of it is lifted.
    Lifted,
    /// Copper of these windings in series once more.
    SameCopper([usize; 2]),
}

impl Element {
    /// Name in lists and at the bench: `R12`, `P1 from wiper to C2`.
    pub fn title(&self, list: &[Part]) -> String {
        let part = &list[self.part];
        match self.half {
            None => part.designator.clone(),
            Some(side) => format!("{} ({} side)", part.designator, side.column()),
        }
    }

    /// Its two nodes, the smaller number first.
    pub fn pair(&self) -> [usize; 2] {
        pair(self.ends)
    }

    /// Whether its resistance is more than a wire's and less than nothing at all: it makes loops.
    pub const fn is_resistive(&self) -> bool {
        !matches!(self.conduction, Conduction::Blocks)
    }

    /// The largest resistance that it may have, Ω; infinite where it may have any.
    pub const fn upper_limit(&self) -> f64 {
        match self.conduction {
            Conduction::Resistance { upper, .. }
            | Conduction::Half { upper, .. }
            | Conduction::UpTo(upper) => upper,
            Conduction::Wire | Conduction::Blocks => f64::INFINITY,
        }
    }

    /// The conductance that it has as listed, S; nothing of a capacitor, a good deal of a wire.
    pub fn listed_siemens(&self) -> f64 {
        match self.conduction {
            Conduction::Resistance { nominal, .. } | Conduction::Half { nominal, .. } => {
                (1.0 / nominal).min(WIRE)
            }
            Conduction::UpTo(limit) if limit.is_finite() => (2.0 / limit).min(WIRE),
            Conduction::UpTo(_) | Conduction::Wire => WIRE,
            Conduction::Blocks => 0.0,
        }
    }

    /// The conductances that it may have within its limits, S, the smallest first.
    pub fn siemens_within_limits(&self) -> [f64; 2] {
        match self.conduction {
            Conduction::Resistance { lower, upper, .. } => {
                [1.0 / upper, (1.0 / lower.max(0.0)).min(WIRE)]
            }
            Conduction::Half { upper, .. } | Conduction::UpTo(upper) => [1.0 / upper, WIRE],
            Conduction::Wire => [0.0, WIRE],
            Conduction::Blocks => [0.0, 0.0],
        }
    }
}

/// As good as a short: 0.1 mΩ, S.
pub(super) const WIRE: f64 = 1e4;

/// The elements of a list, and the parts that are none.
pub(super) fn elements(list: &[Part], nodes: &Nodes) -> (Vec<Element>, Vec<(usize, LeftOut)>) {
    let said = list.iter().any(|part| part.in_circuit);
    let mut elements = Vec::new();
    let mut out = Vec::new();
    for (place, part) in list.iter().enumerate() {
        let Some(conduction) = conduction(part) else {
            continue;
        };
        let why = if said && part.is_lifted {
            LeftOut::Lifted
        } else {
            match (nodes.of_part(place), nodes.wiper(part)) {
                ([Some(from), Some(to)], wiper) if from != to => {
                    match wiper.filter(|wiper| *wiper != from && *wiper != to) {
                        Some(wiper) => elements.extend(halves(place, part, wiper, [from, to])),
                        None => elements.push(Element {
                            part: place,
                            half: None,
                            ends: [from, to],
                            conduction,
                        }),
                    }
                    continue;
                }
                ([Some(_), Some(_)], _) => LeftOut::OneNode,
                _ => LeftOut::NoNodes,
            }
        };
        out.push((place, why));
    }
    let whole = whole_windings(list, &elements);
    elements.retain(|element| !whole.iter().any(|(part, _)| *part == element.part));
    out.extend(whole);
    out.sort_by_key(|(part, _)| *part);
    (elements, out)
}

/// Conduction of a part; `None` for what is no part of a circuit.
fn conduction(part: &Part) -> Option<Conduction> {
    Some(match part.kind {
        Kind::Resistor | Kind::Winding | Kind::Potentiometer => Conduction::Resistance {
            nominal: part.nominal.value(),
            lower: part.band.lower(),
            upper: part.band.upper(),
        },
        Kind::Switch | Kind::Fuse | Kind::Lamp => Conduction::UpTo(part.band.upper()),
        Kind::Coil => Conduction::Wire,
        Kind::Capacitor => Conduction::Blocks,
        Kind::Point | Kind::Ratio => return None,
    })
}

/// The two sides of a potentiometer whose wiper is joined.
fn halves(place: usize, part: &Part, wiper: usize, ends: [usize; 2]) -> [Element; 2] {
    let half = |side: Side| Element {
        part: place,
        half: Some(side),
        ends: [ends[side as usize], wiper],
        conduction: Conduction::Half {
            nominal: part.nominal.value() / 2.0,
            upper: part.band.upper(),
        },
    };
    Side::BOTH.map(half)
}

/// The windings that two others of the same transformer make up in series: one copper, listed twice.
fn whole_windings(list: &[Part], elements: &[Element]) -> Vec<(usize, LeftOut)> {
    let windings: Vec<&Element> = elements
        .iter()
        .filter(|element| list[element.part].kind == Kind::Winding)
        .collect();
    let mut found = Vec::new();
    for whole in &windings {
        let same = |other: &&&Element| {
            stem(&list[other.part].designator) == stem(&list[whole.part].designator)
        };
        let others: Vec<&&Element> = windings.iter().filter(same).collect();
        let pairs = others
            .iter()
            .flat_map(|one| others.iter().map(move |other| (one, other)));
        let series = pairs
            .filter(|(one, other)| one.part < other.part)
            .find(|(one, other)| makes_up(whole, one, other));
        if let Some((one, other)) = series {
            found.push((whole.part, LeftOut::SameCopper([one.part, other.part])));
        }
    }
    found
}

/// Name before the point: `T2` of `T2.a`.
fn stem(designator: &str) -> &str {
    designator.split('.').next().unwrap_or(designator)
}

/// Whether two elements in series lie between the ends of another, which has more resistance than either.
fn makes_up(whole: &Element, one: &Element, other: &Element) -> bool {
    let shared = one.ends.into_iter().find(|end| other.ends.contains(end));
    let Some(shared) = shared.filter(|shared| !whole.ends.contains(shared)) else {
        return false;
    };
    let far = |element: &Element| element.ends.into_iter().find(|end| *end != shared);
    let mut far = [far(one), far(other)];
    let mut ends = whole.ends.map(Some);
    far.sort_unstable();
    ends.sort_unstable();
    // Three windings in a ring are each made up of the two others, but for their resistance.
    let more = |part: &Element| whole.listed_siemens() < part.listed_siemens();
    far == ends && more(one) && more(other)
}

/// The other ends at the nodes of a part that belong to no element, so that nobody knows what they join.
pub(super) fn unknown_ends(list: &[Part], nodes: &Nodes) -> Vec<End> {
    let ends = (0..list.len()).flat_map(|part| Side::BOTH.map(|side| End { part, side }));
    let conducts = |end: &End| conduction(&list[end.part]).is_some();
    ends.filter(conducts)
        .filter(|end| nodes.of_part(end.part)[end.side as usize].is_none())
        .collect()
}
