//! A batch of new parts for people: labels, spread, histogram, groups.

use std::io::{self, Write};

use anyhow::Result;

use super::batch::Grouping;
use super::status::BadInput;
use super::table::Table;
use crate::batch::{
    Bag, Batch, Centre, Histogram, Interval, Spread, bag_label, distinguishable, match_groups,
};
use crate::judge::Verdict;
use crate::parts::Article;
use crate::quantity::{Quantity, format_value, format_with_uncertainty};

/// The tolerance that new parts are held to, and whether it was stated.
pub(super) fn tolerance(article: &Article) -> String {
    let tolerance = article.tolerance_or_usual();
    match article.tolerance {
        Some(_) => format!("held to {tolerance}"),
        None => format!("held to {tolerance}, which is usual, since no tolerance was given"),
    }
}

/// `bag 1 to bag 10`.
pub(super) fn run_of_bags(first: u32, last: u32) -> String {
    if first == last {
        bag_label(first)
    } else {
        format!("{} to {}", bag_label(first), bag_label(last))
    }
}

/// Everything about a batch.
pub(super) fn write(batch: &Batch, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "batch {}: {}", batch.name, batch.article)?;
    writeln!(out, "{}", counts(batch))?;
    writeln!(out)?;
    labels(batch).write(out)?;
    let Some(spread) = batch.spread() else {
        return Ok(());
    };
    let quantity = batch.article.nominal.quantity();
    writeln!(out)?;
    for (name, words) in spread_lines(batch, &spread, quantity) {
        writeln!(out, "{name:<19} {words}")?;
    }
    let values: Vec<f64> = batch.good().iter().filter_map(|bag| bag.value).collect();
    if let Some(histogram) = Histogram::of(quantity, &values) {
        writeln!(out)?;
        for line in histogram.lines(&marks(batch)) {
            writeln!(out, "{line}")?;
        }
    }
    Ok(())
}

/// `10 measured: 9 good, 1 not good: bag 4`.
fn counts(batch: &Batch) -> String {
    let good = batch.good().len();
    let mut words = format!("{} measured: {good} good", batch.bags.len());
    let those = |wanted: fn(Verdict) -> bool| {
        let bags = batch.bags.iter().filter(|bag| wanted(bag.verdict));
        bags.map(Bag::label).collect::<Vec<_>>()
    };
    let bad = those(|verdict| matches!(verdict, Verdict::Fail | Verdict::ConditionalFail));
    let open = those(|verdict| verdict == Verdict::Inconclusive);
    for (bags, name) in [(bad, "not good"), (open, "inconclusive")] {
        if !bags.is_empty() {
            words += &format!("; {} {name}: {}", bags.len(), bags.join(", "));
        }
    }
    words
}

/// A line for each bag, to be written on it.
fn labels(batch: &Batch) -> Table<5> {
    let mut table = Table::new(["bag", "value", "loss", "verdict", "measured"]);
    for bag in &batch.bags {
        table.push([
            bag.label(),
            bag.found(),
            bag.loss().to_owned(),
            bag.verdict.to_string(),
            bag.time.format("%Y-%m-%d").to_string(),
        ]);
    }
    table
}

/// What is to be said about the good ones, each with its name.
fn spread_lines(batch: &Batch, spread: &Spread, quantity: Quantity) -> Vec<(&'static str, String)> {
    let short = |value: f64| format_value(quantity, value, 2);
    let mut lines = vec![(
        "good parts",
        format!("{}; the figures below are theirs", spread.count),
    )];
    let mean = match spread.mean_interval() {
        Some(interval) => format!("{} (95 %)", around(quantity, spread.mean, interval)),
        None => format_value(quantity, spread.mean, 6),
    };
    lines.push(("mean", mean));
    lines.push(("against nominal", against_nominal(batch, spread)));
    let extremes = |value: f64| {
        let bag = batch
            .good()
            .into_iter()
            .find(|bag| bag.value == Some(value));
        bag.map_or_else(String::new, |bag| {
            format!("{} in {}", bag.found(), bag.label())
        })
    };
    let Some(interval) = spread.deviation_interval() else {
        return lines;
    };
    lines.push(("smallest", extremes(spread.smallest)));
    lines.push(("largest", extremes(spread.largest)));
    lines.push((
        "standard deviation",
        format!(
            "{}, between {} and {} (95 %)",
            short(spread.deviation),
            short(interval.from),
            short(interval.to)
        ),
    ));
    lines.extend(spread.exceeds_the_meter().map(|exceeds| {
        let words = if exceeds {
            "more than its uncertainty explains: the parts differ"
        } else {
            "no more than its uncertainty may explain: the parts may be alike"
        };
        (
            "against the meter",
            format!("{words} ({} standard)", short(spread.meter)),
        )
    }));
    lines.extend(
        spread
            .tolerance_interval()
            .map(|interval| ("95 % of such parts", such_parts(batch, quantity, interval))),
    );
    lines
}

fn around(quantity: Quantity, centre: f64, interval: Interval) -> String {
    format_with_uncertainty(quantity, centre, (interval.to - interval.from) / 2.0)
}

fn against_nominal(batch: &Batch, spread: &Spread) -> String {
    let nominal = batch.article.nominal;
    let centre = Centre::of(spread, nominal.value());
    let words = if centre.is_off() {
        "off by more than chance and meter may make it"
    } else {
        "no more than chance and meter may make it"
    };
    let percent = |share: f64| format!("{:.2} %", 100.0 * share);
    format!(
        "{}{} ± {} from {}: {words}",
        if centre.offset < 0.0 { "" } else { "+" },
        percent(centre.offset),
        percent(centre.uncertainty),
        format_value(nominal.quantity(), nominal.value(), 6)
    )
}

/// Where most parts made alike lie, and whether that is inside the band.
fn such_parts(batch: &Batch, quantity: Quantity, interval: Interval) -> String {
    let band = batch
        .article
        .tolerance_or_usual()
        .band(batch.article.nominal);
    let inside = band.contains(interval.from) && band.contains(interval.to);
    let beyond = if inside {
        ""
    } else {
        ", which reaches beyond the band"
    };
    let (from, to) = (
        format_value(quantity, interval.from, 4),
        format_value(quantity, interval.to, 4),
    );
    format!("{from} to {to} (95 %, if their values follow a normal distribution){beyond}")
}

/// Limits and nominal value, as far as there are any.
fn marks(batch: &Batch) -> Vec<(&'static str, f64)> {
    let bag = batch.good().into_iter().next();
    let of = |find: fn(&Bag) -> Option<f64>| bag.and_then(find);
    let marks = [
        ("lower limit", of(|bag| bag.limits.0)),
        ("nominal", of(|bag| bag.nominal)),
        ("upper limit", of(|bag| bag.limits.1)),
    ];
    let known = marks
        .into_iter()
        .filter_map(|(name, value)| Some((name, value?)));
    known.collect()
}

/// The groups whose values lie closest, with what is assumed.
pub(super) fn write_groups(
    batch: &Batch,
    grouping: Grouping,
    wanted: Option<usize>,
    out: &mut dyn Write,
) -> Result<()> {
    let mut good = batch.good();
    good.retain(|bag| bag.value.is_some());
    let values: Vec<f64> = good.iter().filter_map(|bag| bag.value).collect();
    let (size, name) = (grouping.size(), grouping.name());
    let most = values.len() / size;
    let groups = match_groups(&values, size, wanted.unwrap_or(most))
        .filter(|groups| !groups.is_empty())
        .ok_or_else(|| {
            let good = values.len();
            BadInput(format!(
                "batch {} has {good} good parts, which make {most} {name}s; measure more, or ask for fewer groups",
                batch.name
            ))
        })?;
    writeln!(out, "batch {}: {}", batch.name, batch.article)?;
    let mut table = Table::new([
        "group",
        "bags",
        "values",
        "spread",
        "told apart by the meter",
    ]);
    for (number, group) in (1..).zip(&groups) {
        let members: Vec<&Bag> = group.members.iter().map(|place| good[*place]).collect();
        let of = |text: fn(&Bag) -> String| {
            members
                .iter()
                .map(|bag| text(bag))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let quantity = batch.article.nominal.quantity();
        let digits = |bag: &Bag| format_value(bag.quantity, bag.value.unwrap_or_default(), 5);
        table.push([
            format!("{name} {number}"),
            of(Bag::label),
            of(digits),
            format!("{:.2} %", 100.0 * share(group.spread, &members)),
            told_apart(group.spread, &members, quantity),
        ]);
    }
    table.write(out)?;
    let used: Vec<usize> = groups
        .iter()
        .flat_map(|group| group.members.clone())
        .collect();
    let left = good
        .iter()
        .enumerate()
        .filter(|(place, _)| !used.contains(place));
    let left: Vec<String> = left.map(|(_, bag)| bag.label()).collect();
    if !left.is_empty() {
        writeln!(out, "left over: {}", left.join(", "))?;
    }
    writeln!(out, "{ASSUMED}")?;
    Ok(())
}

/// What the last column rests on.
const ASSUMED: &str = "\
Only good parts are used; no other choice has a smaller sum of spreads. \"No\": the same part measured as often would be spread as far
in one of twenty cases or more, if all that the meter may be off were a matter of chance. What it is off on all parts alike cancels in
a difference, so smaller differences may be real too.";

/// A spread in parts of the members' mean.
fn share(spread: f64, members: &[&Bag]) -> f64 {
    let sum: f64 = members.iter().filter_map(|bag| bag.value).sum();
    spread * members.len() as f64 / sum.abs()
}

fn told_apart(spread: f64, members: &[&Bag], quantity: Quantity) -> String {
    let squares: f64 = members
        .iter()
        .filter_map(|bag| bag.uncertainty)
        .map(|u| u * u)
        .sum();
    let least = distinguishable(members.len(), (squares / members.len() as f64).sqrt());
    let word = if spread > least { "yes" } else { "no" };
    format!("{word} (from {} on)", format_value(quantity, least, 2))
}
