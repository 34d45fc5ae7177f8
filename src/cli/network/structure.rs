//! The structure: pieces, blocks, what reads as its own, and what must be lifted.

use std::collections::BTreeSet;
use std::io::Write;

use anyhow::Result;

use super::Wired;
use super::names::write_asked;
use crate::cli::status::Status;
use crate::cli::table::wrapped;
use crate::engine::network::{Element, Group, Guess, LeftOut, Lift, foreseen, lifts};

pub(super) fn write(wired: &Wired, out: &mut dyn Write) -> Result<Status> {
    let network = &wired.network;
    let groups = network.groups(Element::is_resistive);
    let blocks = network.blocks(&groups);
    let nodes: BTreeSet<usize> = groups.iter().flat_map(|group| group.ends).collect();
    let pieces: BTreeSet<usize> = nodes.iter().map(|node| blocks.piece[*node]).collect();
    writeln!(
        out,
        "{} parts of {} conduct, between {} nodes in {} {}; capacitors are taken for good here",
        network
            .elements()
            .iter()
            .filter(|element| element.is_resistive())
            .count(),
        wired.list().len(),
        nodes.len(),
        pieces.len(),
        if pieces.len() == 1 { "piece" } else { "pieces" },
    )?;
    let (alone, loops): (Vec<_>, Vec<_>) = blocks
        .blocks
        .iter()
        .partition(|block| block.len() == 1 && groups[block[0]].members.len() == 1);
    let members = |block: &[usize]| -> Vec<usize> {
        block
            .iter()
            .flat_map(|group| groups[*group].members.clone())
            .collect()
    };
    let alone: Vec<usize> = alone.into_iter().flat_map(|block| members(block)).collect();
    list("in no loop, reads as its own", &wired.titles(&alone), out)?;
    for block in loops {
        let sort = if block.len() == 1 {
            "side by side"
        } else {
            "loops"
        };
        let members = members(block);
        let first = format!("{sort}, {} parts", members.len());
        list(&first, &wired.titles(&members), out)?;
    }
    write_beside(wired, &groups, out)?;
    write_left_out(wired, out)?;
    write_lifts(wired, out)?;
    Ok(Status::Done)
}

fn list(head: &str, names: &str, out: &mut dyn Write) -> Result<()> {
    if !names.is_empty() {
        wrapped(names, &format!("{head}: "), "    ", out)?;
    }
    Ok(())
}

/// The capacitors that would change what is read if they leaked.
fn write_beside(wired: &Wired, groups: &[Group], out: &mut dyn Write) -> Result<()> {
    let beside = wired.network.groups(|element| !element.is_resistive());
    for capacitor in &beside {
        let Some(group) = groups.iter().find(|group| group.ends == capacitor.ends) else {
            continue;
        };
        let (parts, leaks) = (
            wired.titles(&group.members),
            wired.titles(&capacitor.members),
        );
        writeln!(out, "beside a capacitor: {parts}, unless {leaks} leaks")?;
    }
    Ok(())
}

/// Parts that are in no network, each with its reason.
fn write_left_out(wired: &Wired, out: &mut dyn Write) -> Result<()> {
    for (part, why) in wired.network.left_out() {
        let part = &wired.list()[*part].designator;
        match why {
            LeftOut::NoNodes => writeln!(
                out,
                "not in the network: {part}, the list does not say where both its ends are"
            )?,
            LeftOut::OneNode => writeln!(
                out,
                "not in the network: {part}, both its ends are on one node"
            )?,
            LeftOut::Lifted => writeln!(
                out,
                "not in the network: {part}, a lead of it is lifted (in_circuit = no)"
            )?,
            LeftOut::SameCopper([one, other]) => writeln!(
                out,
                "not in the network: {part}, it is the same copper as {} in series",
                wired.designators([*one, *other])
            )?,
        }
    }
    write_asked(wired.list(), &wired.network, out)?;
    Ok(())
}

/// The leads to be lifted so that everything is known, if the parts are as listed.
pub(super) fn write_lifts(wired: &Wired, out: &mut dyn Write) -> Result<()> {
    let limits = |element: &Element| wired.limits(element);
    let guess = Guess {
        siemens: &Element::listed_siemens,
        limits: &limits,
    };
    let known = foreseen(&wired.network, &guess);
    let elements = wired.network.elements().iter();
    let wanted: BTreeSet<usize> = elements
        .filter(|element| wired.limits(element).is_some() && !known.contains(&element.part))
        .map(|element| element.part)
        .collect();
    list(
        "known with no lead lifted, if the parts are as listed",
        &wired.designators(known),
        out,
    )?;
    write_chosen(wired, &lifts(&wired.network, &wanted, &guess), out)
}

/// The leads that make these parts known, fewest first.
pub(super) fn write_chosen(wired: &Wired, chosen: &[Lift], out: &mut dyn Write) -> Result<()> {
    for lift in chosen {
        let part = &wired.list()[lift.part].designator;
        let settles = wired.designators(lift.settles.iter().copied());
        writeln!(
            out,
            "lift a lead of {part}: settles {} ({settles})",
            lift.settles.len()
        )?;
    }
    if chosen.is_empty() {
        writeln!(out, "no lead has to be lifted")?;
    }
    Ok(())
}
