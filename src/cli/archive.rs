//! `archive`: all jobs below a folder in one database, and questions to it.

use std::fmt::Display;
use std::io::{self, IsTerminal as _, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use chrono::{Datelike as _, Local};

use super::progress::Steps;
use super::remark::remark;
use super::status::Status;
use super::table::write_aligned;
use crate::books::archive::{Build, FILE_NAME, JobEntry, ask, find_jobs};
use crate::engine::quantity::counted;
use crate::engine::source::{cell, csv_writer};

/// Gather all jobs below a folder in one SQLite database, or query one. The files of the jobs remain the originals: build it again whenever they change.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder that the jobs are in, at any depth.
    dir: PathBuf,
    /// The database; if left out, `archive.sqlite` in that folder.
    #[arg(long, value_name = "FILE")]
    database: Option<PathBuf>,
    /// Replace the database even if it was not made by this program.
    #[arg(long, conflicts_with = "query")]
    force: bool,
    /// Ask the database as it is, in SQL: prints a table on a terminal, else CSV. Nothing is changed.
    #[arg(long, value_name = "SQL")]
    query: Option<String>,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let in_folder = || arguments.dir.join(FILE_NAME);
    let database = arguments.database.clone().unwrap_or_else(in_folder);
    match &arguments.query {
        Some(question) => print(&database, question, out),
        None => build(&arguments.dir, &database, arguments.force, out),
    }
}

fn build(dir: &Path, database: &Path, force: bool, out: &mut dyn Write) -> Result<Status> {
    let found = find_jobs(dir).with_context(|| format!("`{}`", dir.display()))?;
    let mut build = Build::begin(database, force)?;
    let mut steps = Steps::of(found.jobs.len());
    let mut troubles = found.closed.len();
    let (mut kept, mut sittings, mut batches, mut measurements) = (0, 0, 0, 0);
    for (folder, error) in &found.closed {
        tell(&mut steps, &format!("`{}`: {error}", folder.display()));
    }
    for root in &found.jobs {
        steps.next(|number, of| format!("{number} of {of}: {}", root.display()));
        match JobEntry::read(root, name(dir, root), Local::now().year()) {
            Ok(job) => {
                for trouble in &job.troubles {
                    tell(&mut steps, &format!("`{}`: {trouble}", root.display()));
                }
                troubles += job.troubles.len();
                build.add(&job)?;
                kept += 1;
                let new = job.sittings.iter().filter(|one| one.of_new_parts).count();
                sittings += job.sittings.len() - new;
                batches += new;
                measurements += job.book.measurements.len() + job.incoming.len();
            }
            Err(error) => {
                tell(
                    &mut steps,
                    &format!("`{}` was left out: {}", root.display(), in_a_line(&error)),
                );
                troubles += 1;
            }
        }
    }
    steps.clear();
    build.finish()?;
    let mut words = vec![
        format!("{kept} of {}", counted(found.jobs.len(), "job")),
        counted(sittings, "sitting"),
    ];
    if batches > 0 {
        words.push(format!("{} of new parts", counted(batches, "batch")));
    }
    words.push(counted(measurements, "measurement"));
    writeln!(out, "{}: {}", database.display(), words.join(", "))?;
    Ok(if troubles == 0 {
        Status::Done
    } else {
        Status::CheckFailed
    })
}

/// An error in one line: its place, where it has one, and its first words.
fn in_a_line(error: &impl Display) -> String {
    let words = error.to_string();
    let mut lines = words.lines();
    let first = lines.next().unwrap_or_default();
    let first = first.trim_start_matches("error: ");
    let place = lines.find_map(|line| line.trim_start().strip_prefix("--> "));
    let place = place.map(|place| format!("{}: ", place.trim()));
    format!("{}{first}", place.unwrap_or_default())
}

/// Says something between two steps.
fn tell(steps: &mut Steps, text: &str) {
    steps.clear();
    remark(text);
}

/// The folder of a job as seen from the folder that all are in.
fn name(dir: &Path, root: &Path) -> String {
    let inner = root.strip_prefix(dir).unwrap_or(root).to_string_lossy();
    if inner.is_empty() {
        ".".to_owned()
    } else {
        inner.into_owned()
    }
}

/// Rows that are aligned with each other; those behind them are printed by themselves, however many there are.
const BLOCK: usize = 1000;

fn print(database: &Path, question: &str, out: &mut dyn Write) -> Result<Status> {
    if io::stdout().is_terminal() {
        print_aligned(database, question, out)?;
        return Ok(Status::Done);
    }
    let mut writer = csv_writer(&mut *out);
    let mut first = true;
    ask(database, question, &mut |row| {
        // Names of columns stand as they are.
        let guard = !std::mem::take(&mut first);
        let cells = row
            .iter()
            .map(|text| if guard { guarded(text) } else { text.clone() });
        Ok(writer.write_record(cells)?)
    })?;
    writer.flush()?;
    Ok(Status::Done)
}

fn print_aligned(database: &Path, question: &str, out: &mut dyn Write) -> Result<()> {
    let (mut block, mut lines) = (Vec::new(), 0);
    ask(database, question, &mut |row| {
        block.push(row);
        lines += 1;
        if block.len() == BLOCK {
            aligned(&std::mem::take(&mut block), out)?;
        }
        Ok(())
    })?;
    aligned(&block, out)?;
    let rows = lines - 1;
    writeln!(out, "{}", counted(rows, "row"))?;
    Ok(())
}

/// A cell that no spreadsheet takes for a formula; a number stays one.
fn guarded(text: &str) -> String {
    if text.parse::<f64>().is_ok() {
        text.to_owned()
    } else {
        cell(text)
    }
}

/// Writes lines in columns as wide as their widest cell. What would break a line is left out of it.
fn aligned(lines: &[Vec<String>], out: &mut dyn Write) -> io::Result<()> {
    let clean = |text: &String| text.replace(char::is_control, " ");
    let lines: Vec<Vec<String>> = lines
        .iter()
        .map(|row| row.iter().map(clean).collect())
        .collect();
    let lines: Vec<Vec<&str>> = lines
        .iter()
        .map(|line| line.iter().map(String::as_str).collect())
        .collect();
    write_aligned(&lines, 0, out)
}
