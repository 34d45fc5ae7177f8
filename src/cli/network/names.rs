//! The nodes of a list by their names, and what is to be asked about them.

use std::io::{self, Write};

use crate::cli::table::wrapped;
use crate::engine::network::{Element, End, Network, Node};
use crate::engine::parts::Part;

/// Writes each node with its parts, the pieces, nodes named once, names that may mean one node, and ends that are to be asked for. Nothing for
/// a list without nodes.
pub(in crate::cli) fn write_names(list: &[Part], out: &mut dyn Write) -> io::Result<()> {
    let network = Network::of(list);
    let nodes = network.nodes();
    if nodes.all().is_empty() {
        return Ok(());
    }
    for node in nodes.all() {
        let ends = node
            .ends
            .iter()
            .map(|end| list[end.part].designator.as_str());
        let ends: Vec<&str> = ends.collect();
        let first = format!("node {}: ", node.name);
        wrapped(&ends.join(" "), &first, "    ", out)?;
    }
    write_pieces(&network, out)?;
    let alone: Vec<&str> = nodes
        .named_once(list)
        .map(|node| node.name.as_str())
        .collect();
    if !alone.is_empty() {
        let first = "named once, so that nothing else of the list is there: ";
        wrapped(&alone.join(", "), first, "    ", out)?;
    }
    for [one, other] in nodes.near_twins() {
        let (one, other) = (&one.name, &other.name);
        writeln!(
            out,
            "may be one node: `{one}` and `{other}`; write one name if so"
        )?;
    }
    write_asked(list, &network, out)
}

/// The pieces that hang together for a direct current.
fn write_pieces(network: &Network, out: &mut dyn Write) -> io::Result<()> {
    let groups = network.groups(Element::is_resistive);
    let piece = network.blocks(&groups).piece;
    let pieces = piece.iter().max().map_or(0, |last| last + 1);
    let mut count = 0;
    for number in 0..pieces {
        let nodes: Vec<&Node> = network
            .nodes()
            .all()
            .iter()
            .zip(&piece)
            .filter(|(_, own)| **own == number)
            .map(|(node, _)| node)
            .collect();
        let names: Vec<&str> = nodes.iter().map(|node| node.name.as_str()).collect();
        // A node by itself hangs together with nothing.
        if names.len() == 1 {
            continue;
        }
        count += 1;
        let first = format!("piece {count}: ");
        wrapped(&names.join(", "), &first, "    ", out)?;
    }
    Ok(())
}

/// The ends that name a part which does not name them back.
pub(super) fn write_asked(list: &[Part], network: &Network, out: &mut dyn Write) -> io::Result<()> {
    for asked in network.nodes().asked() {
        let End { part, side } = asked.end;
        let (part, other) = (&list[part].designator, &list[asked.names]);
        let ends = [&other.from, &other.to].map(|end| end.trim());
        writeln!(
            out,
            "where is {part}? its `{}` names {}, whose own ends are `{}` and `{}`: write the node there",
            side.column(),
            other.designator,
            ends[0],
            ends[1]
        )?;
    }
    Ok(())
}
