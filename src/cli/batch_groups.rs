//! Which parts of a batch go together best, for people.

use std::io::Write;

use anyhow::Result;

use super::batch::Grouping;
use super::status::BadInput;
use super::table::Table;
use crate::books::batch::{Bag, Batch, Group, distinguishable, match_groups};
use crate::engine::quantity::{format_steady, format_value};

/// The groups whose values lie closest, with what is assumed.
pub(super) fn write(
    batch: &Batch,
    grouping: Grouping,
    wanted: Option<usize>,
    out: &mut dyn Write,
) -> Result<()> {
    let good = good_with_value(batch);
    let groups = matched(batch, &good, grouping, wanted)?;
    writeln!(out, "batch {}: {}", batch.name, batch.article)?;
    table(&good, &groups, grouping).write(out)?;
    let used: Vec<usize> = groups.iter().flat_map(|it| it.members.clone()).collect();
    let left = (0..good.len()).filter(|place| !used.contains(place));
    let left: Vec<String> = left.map(|place| good[place].label()).collect();
    if !left.is_empty() {
        writeln!(out, "left over: {}", left.join(", "))?;
    }
    writeln!(out, "{ASSUMED}")?;
    Ok(())
}

/// The numbers of the bags of each of those groups.
pub(super) fn numbers(
    batch: &Batch,
    grouping: Grouping,
    wanted: Option<usize>,
) -> Result<Vec<Vec<u32>>> {
    let good = good_with_value(batch);
    let groups = matched(batch, &good, grouping, wanted)?;
    let numbers = |group: &Group| {
        let members = group.members.iter();
        members.map(|place| good[*place].number).collect()
    };
    Ok(groups.iter().map(numbers).collect())
}

fn good_with_value(batch: &Batch) -> Vec<&Bag> {
    let mut good = batch.good();
    good.retain(|bag| bag.row.value.is_some());
    good
}

/// The groups among the good bags; at least one.
fn matched(
    batch: &Batch,
    good: &[&Bag],
    grouping: Grouping,
    wanted: Option<usize>,
) -> Result<Vec<Group>> {
    let values: Vec<f64> = good.iter().filter_map(|bag| bag.value()).collect();
    let most = values.len() / grouping.size();
    let groups = match_groups(&values, grouping.size(), wanted.unwrap_or(most));
    let too_few = || {
        let (name, good, kind) = (&batch.name, values.len(), grouping.name());
        BadInput(format!(
            "batch {name}: {good} good parts are enough for {most} {kind}s; ask for at least 1 and no more than that, or measure more"
        ))
    };
    let groups = groups.filter(|groups| !groups.is_empty());
    groups.ok_or_else(|| too_few().into())
}

fn table(good: &[&Bag], groups: &[Group], grouping: Grouping) -> Table<5> {
    let mut table = Table::new([
        "group",
        "bags",
        "values",
        "spread",
        "told apart by the meter",
    ]);
    for (number, group) in (1..).zip(groups) {
        let members: Vec<&Bag> = group.members.iter().map(|place| good[*place]).collect();
        let of = |text: fn(&Bag) -> String| {
            let texts: Vec<String> = members.iter().map(|bag| text(bag)).collect();
            texts.join(", ")
        };
        table.push([
            format!("{} {number}", grouping.name()),
            of(Bag::label),
            of(|bag| format_steady(bag.row.quantity, bag.value().unwrap_or_default(), 5)),
            format!("{:.2} %", 100.0 * share(group.spread, &members)),
            told_apart(group.spread, &members),
        ]);
    }
    table
}

/// What the last column rests on.
const ASSUMED: &str = "\
Good parts alone are used; no other choice has a smaller sum of spreads.
\"no\": one part, measured as often, would be spread as far in one of twenty cases
or more, were all that the meter may be off a matter of chance. What it is off on
all parts alike cancels in a difference, so smaller differences may be real too.";

/// A spread in parts of the members' mean.
fn share(spread: f64, members: &[&Bag]) -> f64 {
    let sum: f64 = members.iter().filter_map(|bag| bag.value()).sum();
    spread * members.len() as f64 / sum.abs()
}

fn told_apart(spread: f64, members: &[&Bag]) -> String {
    let squares: f64 = members
        .iter()
        .filter_map(|bag| bag.row.value)
        .map(|value| value.u * value.u)
        .sum();
    let least = distinguishable(members.len(), (squares / members.len() as f64).sqrt());
    let word = if spread > least { "yes" } else { "no" };
    let least = members
        .first()
        .map(|bag| format_value(bag.row.quantity, least, 2));
    format!("{word} (from {} on)", least.unwrap_or_default())
}
