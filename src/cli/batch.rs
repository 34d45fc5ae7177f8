//! `batch`: new parts that were measured before, how they are spread, and which go together best.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::remark::remark;
use super::status::{BadInput, Status};
use super::table::Table;
use super::{batch_groups, batch_text};
use crate::books::batch::{self, Batch, bag_number};
use crate::books::job::Folder;

/// What became of new parts: each bag, their spread, and which of them go together best.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    job: PathBuf,
    /// Name of a batch, or one of its bags: `"bag 3"`. Without it every batch is listed, or, with --match, the last one taken.
    name: Option<String>,
    /// Find the parts that go together best: those whose values lie closest, over all groups.
    #[arg(long = "match", value_name = "KIND")]
    grouping: Option<Grouping>,
    /// So many groups. Without it, as many as the good parts are enough for.
    #[arg(long, value_name = "NUMBER", requires = "grouping")]
    groups: Option<usize>,
}

/// How many parts go together.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(super) enum Grouping {
    /// Two.
    Pairs,
    /// Four.
    Quads,
}

impl Grouping {
    /// How many parts are in a group.
    pub(super) const fn size(self) -> usize {
        match self {
            Self::Pairs => 2,
            Self::Quads => 4,
        }
    }

    /// What one is called.
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
        Some(grouping) => batch_groups::write(chosen, grouping, arguments.groups, out)?,
        None => batch_text::write(chosen, out)?,
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

fn list(batches: &[Batch]) -> Table<5> {
    let mut table = Table::new(["batch", "parts", "bags", "good", "not good"]);
    for batch in batches {
        let good = batch.good().len();
        let numbers = || batch.bags.iter().map(|bag| bag.number);
        table.push([
            batch.name.clone(),
            batch.article.to_string(),
            batch_text::run_of_bags(numbers().min().unwrap_or(0), numbers().max().unwrap_or(0)),
            good.to_string(),
            (batch.bags.len() - good).to_string(),
        ]);
    }
    table
}
