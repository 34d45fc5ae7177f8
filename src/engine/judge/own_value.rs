//! [`judge_own`]: what the own value of a part, found with no lead lifted, is worth.
//!
//! A part of the list that is missing, or a capacitor that leaks, makes everything beside it read low. So a reading above the upper
//! limit is a fault whatever is missing; one below proves nothing; and a pass holds only as far as the list does.

use super::in_circuit::CONTACT_OHMS;
use super::verdict::Verdict;
use crate::engine::network::{Element, Method, Network, Own};
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::{Band, Quantity, format_value};

/// How far the list can be trusted to hold everything that is joined.
#[derive(Debug, Clone, PartialEq)]
pub enum Trust {
    /// It was declared complete there, and readings between nodes that no part joins agree.
    Complete,
    /// It was not, or there are no such readings.
    Assumed,
    /// Such readings contradict it, in these words.
    Contradicted(String),
}

/// The verdict on an own value.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnVerdict {
    /// The verdict.
    pub verdict: Verdict,
    /// Why, as a clause for people.
    pub words: String,
    /// Whether its lead is to be lifted to know more.
    pub lift: bool,
}

/// Judges the own value of a part of a group against its band; `None` for what has no band of resistance.
pub fn judge_own(
    list: &[Part],
    network: &Network,
    own: &Own,
    element: &Element,
    band: Band,
    trust: &Trust,
) -> Option<OwnVerdict> {
    let part = &list[element.part];
    if !element.is_resistive() || matches!(part.kind, Kind::Coil) {
        return None;
    }
    let said = |verdict, words: String, lift| {
        Some(OwnVerdict {
            verdict,
            words,
            lift,
        })
    };
    let inconclusive = |words: String| said(Verdict::Inconclusive, words, true);
    let Some(read) = own.read else {
        return said(Verdict::Inconclusive, "not read".to_owned(), false);
    };
    if read.at_least() - CONTACT_OHMS > band.upper() {
        let words = format!(
            "reads above its band by more than the uncertainty and {} for contacts, which nothing beside it can do",
            ohms(CONTACT_OHMS)
        );
        return said(Verdict::Fail, words, false);
    }
    let beside = resistive_beside(list, network, own, element);
    if !beside.is_empty() {
        return inconclusive(format!(
            "side by side with {beside}: only both together are known, lift a lead of one"
        ));
    }
    if element.half.is_some() {
        return inconclusive(
            "one side of a track has no band: turn the wiper to the end".to_owned(),
        );
    }
    let [low, high] = own.ohms();
    let between = if high.is_finite() {
        format!("{} to {}", ohms(low), ohms(high))
    } else {
        format!("{} or more", ohms(low))
    };
    if high < band.lower() {
        return inconclusive(format!(
            "suspect, its own value is {between}: lift this lead"
        ));
    }
    if low > band.upper() {
        let words = format!(
            "suspect, its own value is {between} although it does not read above its band: lift this lead"
        );
        return inconclusive(words);
    }
    if low < band.lower() || high > band.upper() {
        return inconclusive(format!(
            "its own value is {between}, which its limits do not hold: lift this lead"
        ));
    }
    if let Trust::Contradicted(words) = trust {
        return said(
            Verdict::Inconclusive,
            format!("inside its band, but {words}: no pass"),
            false,
        );
    }
    let lamp = own.block.iter().map(|other| &network.elements()[*other]);
    if let Some(lamp) = lamp
        .into_iter()
        .find(|other| is_nonlinear(&list[other.part]))
    {
        let lamp = &list[lamp.part].designator;
        return inconclusive(format!(
            "inside its band, but {lamp} in its loop reads otherwise at every current: take it out"
        ));
    }
    let leaks = capacitors(list, network, &own.unless);
    let verdict = match trust {
        Trust::Complete if leaks.is_empty() && network.unknown_ends().is_empty() => Verdict::Pass,
        _ => Verdict::ConditionalPass,
    };
    let how = match own.method {
        Method::Alone => "inside its band, in no loop",
        Method::Joint => "inside its band by all readings of its loop",
        Method::Bounds => "inside its band whatever its loop is",
    };
    let mut words = how.to_owned();
    if *trust != Trust::Complete {
        words += ", holds unless something is joined that the list does not have";
    }
    if !leaks.is_empty() {
        words = format!("{words}, unless {leaks} leaks");
    }
    said(verdict, words, false)
}

/// A lamp's filament has another resistance at every current.
const fn is_nonlinear(part: &Part) -> bool {
    matches!(part.kind, Kind::Lamp)
}

/// The other parts of the group that conduct, by their names.
fn resistive_beside(list: &[Part], network: &Network, own: &Own, element: &Element) -> String {
    let members = own
        .group
        .members
        .iter()
        .map(|member| &network.elements()[*member]);
    let others = members.filter(|other| other.is_resistive() && *other != element);
    let names: Vec<String> = others.map(|other| other.title(list)).collect();
    names.join(", ")
}

fn capacitors(list: &[Part], network: &Network, those: &[usize]) -> String {
    let names = those
        .iter()
        .map(|one| list[network.elements()[*one].part].designator.as_str());
    names.collect::<Vec<_>>().join(" or ")
}

fn ohms(value: f64) -> String {
    format_value(Quantity::Resistance, value, 4)
}
