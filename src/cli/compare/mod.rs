//! `compare`: two sittings of a job side by side, or the drift of the parts of many jobs.

mod drift;
mod drift_rows;
mod side_by_side;
mod side_rows;
mod words;

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::ValueEnum;

use super::status::{BadInput, Status};
use crate::books::comparison::By;
use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::engine::parts::Selection;
use crate::engine::source::csv_writer;

/// Set what was measured before beside what was measured after, and tell which changes are real; or, with --by, how far the parts of
/// many jobs have drifted from their nominal values.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of a job; with --by any number of them.
    #[arg(required = true, value_name = "JOB")]
    jobs: Vec<PathBuf>,
    /// The earlier sitting, by its name or how that begins; if left out, the first measurement of each part that was found.
    #[arg(long, value_name = "SITTING", conflicts_with = "by")]
    from: Option<String>,
    /// The later sitting; if left out, the last measurement of each part that is in now.
    #[arg(long, value_name = "SITTING", conflicts_with = "by")]
    to: Option<String>,
    /// Only these parts, such as `R*,C4`.
    #[arg(long, value_name = "PARTS")]
    only: Option<String>,
    /// Show the drift of parts as they were found, put together by this.
    #[arg(long, value_name = "WHAT")]
    by: Option<Grouping>,
    /// Write the rows to this file as well, which must not exist.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Replace the file of --csv if it exists.
    #[arg(long, requires = "csv")]
    force: bool,
    /// Print JSON instead of a table.
    #[arg(long)]
    json: bool,
}

/// What parts are put together by.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Grouping {
    /// Resistors, capacitors, ...
    Kind,
    /// Carbon resistors, paper capacitors, ...
    Material,
    /// Resistors of 50 to 59 years, ...; needs `made` in job.toml.
    Age,
}

impl From<Grouping> for By {
    fn from(grouping: Grouping) -> Self {
        match grouping {
            Grouping::Kind => Self::Kind,
            Grouping::Material => Self::Material,
            Grouping::Age => Self::Age,
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let only = selection(arguments.only.as_deref())?;
    match (arguments.by, &arguments.jobs[..]) {
        (Some(by), jobs) => drift::run(arguments, by.into(), jobs, only.as_ref(), out),
        (None, [job]) => side_by_side::run(arguments, job, only.as_ref(), out),
        (None, jobs) => Err(BadInput(format!(
            "found {} jobs: give one, or say with --by kind, --by material or --by age how to compare many",
            jobs.len()
        ))
        .into()),
    }
}

fn selection(text: Option<&str>) -> Result<Option<Selection>> {
    let parse = |text| Selection::parse(text).map_err(|error| BadInput(format!("--only: {error}")));
    Ok(text.map(parse).transpose()?)
}

/// The ledger of the job in `root`; an error names the folder.
fn book(root: &Path) -> Result<Book> {
    let folder = Folder::open(root)?;
    Book::open(&folder).with_context(|| format!("`{}`", root.display()))
}

/// The bytes of a CSV file with these rows (RFC 4180).
fn csv_bytes(rows: &[impl serde::Serialize]) -> Result<Vec<u8>> {
    let mut writer = csv_writer(Vec::new());
    for row in rows {
        writer.serialize(row)?;
    }
    Ok(writer.into_inner()?)
}
