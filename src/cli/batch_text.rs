//! A batch of new parts for people: labels, spread, histogram.

use std::io::{self, Write};

use super::table::Table;
use crate::books::batch::{Bag, Batch, Centre, Histogram, Spread, bag_label};
use crate::engine::judge::Verdict;
use crate::engine::parts::Article;
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};
use crate::engine::statistics::Interval;

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

/// Fewer values than these are seen at a glance without bars.
const FEWEST_FOR_BARS: usize = 4;

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
    let values: Vec<f64> = batch.good().iter().filter_map(|bag| bag.value()).collect();
    let histogram = Histogram::of(quantity, &values).filter(|_| values.len() >= FEWEST_FOR_BARS);
    if let Some(histogram) = histogram {
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
    let mut words = vec![format!("{} measured: {good} good", batch.bags.len())];
    let those = |wanted: fn(Verdict) -> bool| {
        let bags = batch.bags.iter().filter(|bag| wanted(bag.row.verdict));
        bags.map(Bag::label).collect::<Vec<_>>()
    };
    let bad = those(|verdict| matches!(verdict, Verdict::Fail | Verdict::ConditionalFail));
    let open = those(|verdict| verdict == Verdict::Inconclusive);
    for (bags, name) in [(bad, "not good"), (open, "inconclusive")] {
        if !bags.is_empty() {
            words.push(format!("{} {name}: {}", bags.len(), bags.join(", ")));
        }
    }
    words.join("; ")
}

/// A line for each bag, to be written on it.
fn labels(batch: &Batch) -> Table<5> {
    let mut table = Table::new(["bag", "value (k = 2)", "loss", "verdict", "measured"]);
    for bag in &batch.bags {
        table.push([
            bag.label(),
            bag.found(),
            bag.loss().to_owned(),
            bag.row.verdict.to_string(),
            bag.row.time.format("%Y-%m-%d").to_string(),
        ]);
    }
    table
}

/// A figure with its name.
type Named = (&'static str, String);

/// What is to be said about the good ones.
fn spread_lines(batch: &Batch, spread: &Spread, quantity: Quantity) -> Vec<Named> {
    let count = match batch.bags.len() - spread.count {
        0 => spread.count.to_string(),
        left => format!(
            "{}; the figures below are theirs, and tell nothing of the {left} left out",
            spread.count
        ),
    };
    let mean = match spread.mean_interval() {
        Some(interval) => format!("{} (95 %)", around(quantity, spread.mean, interval)),
        None => format_value(quantity, spread.mean, 6),
    };
    let mut lines = vec![
        ("good parts", count),
        ("mean", mean),
        ("against nominal", against_nominal(batch, spread)),
    ];
    if spread.count > 1 {
        lines.push(("smallest", the_one_with(batch, spread.smallest)));
        lines.push(("largest", the_one_with(batch, spread.largest)));
        lines.extend(deviation_lines(batch, spread, quantity));
    }
    lines
}

/// The good bag with that value.
fn the_one_with(batch: &Batch, value: f64) -> String {
    let mut good = batch.good().into_iter();
    let bag = good.find(|bag| bag.value() == Some(value));
    bag.map_or_else(String::new, |bag| {
        format!("{} in {}", bag.found(), bag.label())
    })
}

/// How far the good ones lie apart.
fn deviation_lines(
    batch: &Batch,
    spread: &Spread,
    quantity: Quantity,
) -> impl Iterator<Item = Named> {
    let short = |value: f64| format_value(quantity, value, 2);
    let deviation = spread.deviation_interval().map(|interval| {
        let [found, from, to] = [spread.deviation, interval.from, interval.to].map(short);
        let words = format!("{found}, between {from} and {to} (95 %)");
        ("standard deviation", words)
    });
    let meter = short(spread.meter);
    let against_the_meter = spread.exceeds_the_meter().map(|exceeds| {
        let words = if exceeds {
            format!("more than its u = {meter} explains: the parts differ")
        } else {
            format!("its u = {meter} may explain it: no proof that they differ")
        };
        ("against the meter", words)
    });
    let such_parts = spread
        .tolerance_interval()
        .map(|interval| ("95 % of good ones", such_parts(batch, quantity, interval)));
    [deviation, against_the_meter, such_parts]
        .into_iter()
        .flatten()
}

fn around(quantity: Quantity, centre: f64, interval: Interval) -> String {
    format_with_uncertainty(quantity, centre, (interval.to - interval.from) / 2.0)
}

fn against_nominal(batch: &Batch, spread: &Spread) -> String {
    let nominal = batch.article.nominal;
    let centre = Centre::of(spread, nominal.value());
    let words = if centre.is_off() {
        "more than chance and meter make"
    } else {
        "chance and meter may make it so"
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
    let beyond = if inside { "" } else { "; beyond the band" };
    let (from, to) = (
        format_value(quantity, interval.from, 4),
        format_value(quantity, interval.to, 4),
    );
    format!("{from} to {to} (95 %, if normally distributed){beyond}")
}

/// Limits and nominal value, as far as there are any.
fn marks(batch: &Batch) -> Vec<(&'static str, f64)> {
    let bag = batch.good().into_iter().next();
    let of = |find: fn(&Bag) -> Option<f64>| bag.and_then(find);
    let marks = [
        ("lower limit", of(|bag| bag.row.band.limits()[0])),
        ("nominal", of(|bag| Some(bag.row.nominal))),
        ("upper limit", of(|bag| bag.row.band.limits()[1])),
    ];
    let known = marks
        .into_iter()
        .filter_map(|(name, value)| Some((name, value?)));
    known.collect()
}
