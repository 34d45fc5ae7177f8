//! [`before_reading`]: what to pull, to take out and to leave alone before anything is read in circuit, and what cannot be read.

use std::collections::BTreeSet;

use super::{LeftOut, Network};
use crate::engine::parts::{Kind, Part};

/// Steps before anything is read, a clause each.
pub fn before_reading(list: &[Part], network: &Network) -> Vec<String> {
    let nodes = network.nodes().all().iter();
    let valves: BTreeSet<&str> = nodes
        .filter_map(|node| node.name.split_whitespace().next())
        .filter(|word| is_valve(word))
        .collect();
    let mut all = Vec::new();
    if !valves.is_empty() {
        let valves: Vec<&str> = valves.into_iter().collect();
        let valves = valves.join(" ");
        all.push(format!("pull {valves}; a heater and a diode conduct"));
    }
    for (kind, words) in [
        (Kind::Lamp, "take out"),
        (
            Kind::Switch,
            "leave every switch as it is from the first reading to the last:",
        ),
        (
            Kind::Potentiometer,
            "leave the wipers where they are, or at an end:",
        ),
    ] {
        let parts = network.elements().iter().map(|element| element.part);
        let of_kind: BTreeSet<usize> = parts.filter(|part| list[*part].kind == kind).collect();
        let names = of_kind.iter().map(|part| list[*part].designator.as_str());
        let names: Vec<&str> = names.collect();
        if !names.is_empty() {
            all.push(format!("{words} {}", names.join(" ")));
        }
    }
    for (why, words) in [
        (LeftOut::OneNode, "both ends are on one node"),
        (
            LeftOut::NoNodes,
            "the list does not say where both ends are",
        ),
    ] {
        let left_out = network.left_out().iter().filter(|(_, of)| *of == why);
        let names = left_out.map(|(part, _)| list[*part].designator.as_str());
        let names: Vec<&str> = names.collect();
        if !names.is_empty() {
            let names = names.join(" ");
            all.push(format!("nothing is read of {names}, since {words}"));
        }
    }
    all
}

/// `V1`, `V12`: a valve, by the usual letter (common practice, no source).
fn is_valve(word: &str) -> bool {
    let number = word.strip_prefix(['V', 'v']);
    number.is_some_and(|number| {
        !number.is_empty() && number.bytes().all(|sign| sign.is_ascii_digit())
    })
}
