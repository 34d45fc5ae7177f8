//! `batch`: new parts that were measured before, how they are spread, and which go together best.
//!
//! Groups of parts of a batch that go together best, for people.
//!
//! A batch of new parts for people: labels, spread, histogram.

use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::Result;

use super::remark::remark;
use super::status::{BadInput, Status};
use super::table::TextTable;
use crate::books::batch::{
    self, Bag, Batch, Centre, Group, Histogram, Spread, bag_label, bag_number, distinguishable,
    match_groups,
};
use crate::books::job::Folder;
use crate::books::when::day;
use crate::engine::judge::Verdict;
use crate::engine::parts::Article;
use crate::engine::quantity::{Quantity, format_steady, format_value, format_with_uncertainty};
use crate::engine::statistics::Interval;

/// Show how new parts measured: each bag, their spread, and which of them go together best.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    job: PathBuf,
    /// Name of a batch, or one of its bags: `"bag 3"`. Without it every batch is listed, or, with --match, the last one taken.
    name: Option<String>,
    /// Group the parts whose values are closest, taken over all groups.
    #[arg(long = "match", value_name = "KIND")]
    grouping: Option<Grouping>,
    /// Number of groups. Without it, as many as there are good parts for.
    #[arg(long, value_name = "NUMBER", requires = "grouping")]
    groups: Option<usize>,
}

/// Number of parts that go together.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(super) enum Grouping {
    /// Two.
    Pairs,
    /// Four.
    Quads,
}

impl Grouping {
    /// Parts in a group.
    pub(super) const fn size(self) -> usize {
        match self {
            Self::Pairs => 2,
            Self::Quads => 4,
        }
    }

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Pairs => "pair",
            Self::Quads => "quad",
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.job)?;
    let batches = batch::read(&folder)?;
    let Some(newest) = batches.last() else {
        if let Some(recording) = folder.batches()?.first() {
            remark(&format!(
                "incoming.csv has no row of what was recorded; `probewright replay {} --csv FILE` gives the rows of a batch again",
                recording.display()
            ));
            return Ok(Status::CheckFailed);
        }
        writeln!(
            out,
            "no new parts were measured yet; measure some with `probewright sit {} --batch \"47uF 450V\" --count 10`",
            arguments.job.display()
        )?;
        return Ok(Status::Done);
    };
    let chosen = match (&arguments.name, arguments.grouping) {
        (Some(name), _) => find(&batches, name)?,
        (None, Some(_)) => newest,
        (None, None) => {
            list(&batches).write(out)?;
            return Ok(Status::Done);
        }
    };
    match arguments.grouping {
        Some(grouping) => write_groups(chosen, grouping, arguments.groups, out)?,
        None => write_batch(chosen, out)?,
    }
    Ok(Status::Done)
}

/// The batch of that name, or the one with that bag.
fn find<'a>(batches: &'a [Batch], name: &str) -> Result<&'a Batch> {
    let stem = name.strip_suffix(".rec").unwrap_or(name);
    let number = bag_number(name);
    let fits = |batch: &&Batch| {
        batch.name == stem || number.is_some_and(|number| batch.bag(number).is_some())
    };
    let known = || {
        let names: Vec<&str> = batches.iter().map(|batch| batch.name.as_str()).collect();
        BadInput(format!(
            "found `{name}`, expected the name of a batch ({}) or one of its bags such as `bag 3`",
            names.join(", ")
        ))
    };
    batches.iter().find(fits).ok_or_else(|| known().into())
}

fn list(batches: &[Batch]) -> TextTable<5> {
    let mut table = TextTable::new(["batch", "parts", "bags", "good", "not good"]);
    for batch in batches {
        let good = batch.good().len();
        let numbers = || batch.bags.iter().map(|bag| bag.number);
        table.push([
            batch.name.clone(),
            batch.article.to_string(),
            run_of_bags(numbers().min().unwrap_or(0), numbers().max().unwrap_or(0)),
            good.to_string(),
            (batch.bags.len() - good).to_string(),
        ]);
    }
    table
}

/// The groups whose values lie closest, with what is assumed.
pub(super) fn write_groups(
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

fn table(good: &[&Bag], groups: &[Group], grouping: Grouping) -> TextTable<5> {
    let mut table = TextTable::new([
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

/// Grounds of the last column.
const ASSUMED: &str = "\
Good parts alone are used; no other choice has a smaller sum of spreads.
\"no\": one part, measured as often, would spread as far in one case of
twenty or more, if every error of the meter were chance. An error that is the same on
all parts cancels in a difference, so smaller differences may be real too.";

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

/// The tolerance that new parts are held to, and whether it was stated.
pub(super) fn tolerance(article: &Article) -> String {
    let tolerance = article.tolerance_or_usual();
    match article.tolerance {
        Some(_) => format!("held to {tolerance}"),
        None => format!("held to the usual {tolerance}, since no tolerance was given"),
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
pub(super) fn write_batch(batch: &Batch, out: &mut dyn Write) -> io::Result<()> {
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
fn labels(batch: &Batch) -> TextTable<5> {
    let mut table = TextTable::new(["bag", "value (k = 2)", "loss", "verdict", "measured"]);
    for bag in &batch.bags {
        table.push([
            bag.label(),
            bag.found(),
            bag.loss().to_owned(),
            bag.row.verdict.to_string(),
            day(bag.row.time),
        ]);
    }
    table
}

/// A figure with its name.
type Named = (&'static str, String);

/// Words about the good ones.
fn spread_lines(batch: &Batch, spread: &Spread, quantity: Quantity) -> Vec<Named> {
    let count = match batch.bags.len() - spread.count {
        0 => spread.count.to_string(),
        left => format!(
            "{}; the figures below are of these, not of the {left} left out",
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

/// Spread of the good ones.
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
    let such_parts = spread.tolerance_interval().map(|interval| {
        let few = if spread.count == 2 {
            "; two parts are too few to rely on that"
        } else {
            ""
        };
        let words = such_parts(batch, quantity, interval) + few;
        ("95 % of good ones", words)
    });
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
        "more than chance and the meter explain"
    } else {
        "chance and the meter may explain it"
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
