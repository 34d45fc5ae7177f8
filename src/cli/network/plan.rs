//! Which readings to take with no lead lifted, and which leads to lift then.

use std::collections::BTreeSet;
use std::io::Write;

use anyhow::Result;

use super::Wired;
use super::structure::write_lifts;
use crate::cli::status::Status;
use crate::cli::table::TextTable;
use crate::engine::judge::discharge::CAUTION;
use crate::engine::network::{FURTHER_READINGS, further_pairs, walk};
use crate::engine::parts::Kind;
use crate::engine::quantity::{Quantity, format_value};

pub(super) fn write(wired: &Wired, out: &mut dyn Write) -> Result<Status> {
    writeln!(out, "{CAUTION}")?;
    write_before(wired, out)?;
    let groups = wired.network.groups(|_| true);
    if groups.is_empty() {
        writeln!(
            out,
            "nothing to read: of no part does the list say where both its ends are (columns from and to)"
        )?;
        return Ok(Status::Done);
    }
    let expected = wired.network.expected(&groups);
    let mut table = TextTable::new(["", "from", "to", "across", "expect"]);
    let order = walk(groups.iter().map(|group| group.ends).collect());
    let place = |ends: &[usize; 2]| groups.iter().position(|group| group.ends == *ends);
    for (number, ends) in order.iter().enumerate() {
        let across = place(ends).map(|at| (wired.titles(&groups[at].members), expected[at]));
        let (across, ohms) = across.unwrap_or_default();
        table.push(row(wired, number + 1, *ends, across, ohms));
    }
    let further = walk(further_pairs(&wired.network, FURTHER_READINGS));
    for (number, ends) in further.iter().enumerate() {
        let ohms = wired.network.between(*ends).map(|expected| expected.ohms);
        let across = "no part".to_owned();
        table.push(row(wired, order.len() + number + 1, *ends, across, ohms));
    }
    writeln!(
        out,
        "resistances to read, in this order; the last {} show what the list does not have:",
        further.len()
    )?;
    table.write(out)?;
    write_lifts(wired, out)?;
    Ok(Status::Done)
}

fn row(
    wired: &Wired,
    number: usize,
    [a, b]: [usize; 2],
    across: String,
    ohms: Option<f64>,
) -> [String; 5] {
    let expect = ohms.map_or("overload".to_owned(), |ohms| {
        format_value(Quantity::Resistance, ohms, 3)
    });
    [
        number.to_string(),
        wired.name(a).to_owned(),
        wired.name(b).to_owned(),
        across,
        expect,
    ]
}

/// Words on what to pull, take out and leave before anything is read.
fn write_before(wired: &Wired, out: &mut dyn Write) -> Result<()> {
    let valves: BTreeSet<&str> = wired
        .network
        .nodes()
        .all()
        .iter()
        .filter_map(|node| node.name.split_whitespace().next())
        .filter(|word| is_valve(word))
        .collect();
    if !valves.is_empty() {
        let valves: Vec<&str> = valves.into_iter().collect();
        writeln!(
            out,
            "before you read: pull {}; a heater and a diode conduct",
            valves.join(" ")
        )?;
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
        let elements = wired.network.elements().iter();
        let of_kind: BTreeSet<usize> = elements
            .filter(|element| wired.list()[element.part].kind == kind)
            .map(|element| element.part)
            .collect();
        if !of_kind.is_empty() {
            writeln!(
                out,
                "before you read: {words} {}",
                wired.designators(of_kind)
            )?;
        }
    }
    Ok(())
}

/// `V1`, `V12`: a valve, by the usual letter (common practice, no source).
fn is_valve(word: &str) -> bool {
    let number = word.strip_prefix(['V', 'v']);
    number.is_some_and(|number| {
        !number.is_empty() && number.bytes().all(|sign| sign.is_ascii_digit())
    })
}
