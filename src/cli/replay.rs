//! `replay`: a recording, or every one of a job, is computed again by the same engine and the same listener.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};

use super::chosen_parts::Stretch;
use super::listener::{Listener, Paint};
use super::new_file::NewFile;
use super::remark::remark;
use super::status::{BadInput, Status};
use crate::bench::recorded::{Played, Recorded, not_whole, sitting_name};
use crate::books::job::{Folder, folder_name, recordings_in};
use crate::books::results::Results;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{Plan, What};

/// Compute a recording again: the same lines, the same rows. For a job, the rows of all its sittings, in order.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The recording; or with --csv the folder of a job, or one with recordings, such as `incoming` of a job.
    file: PathBuf,
    /// Write the rows of the results to this file, which must not exist; - is standard output.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Speed: 1 is as it happened, 10 ten times as fast, max as fast as the machine can.
    #[arg(long, default_value = "max", value_name = "SPEED")]
    speed: Speed,
    /// End with status 3 unless every part of the plan passed; with --first or --last, every entry from the one to the other.
    #[arg(long)]
    expect_pass: bool,
    /// Show and write only what concerns this part and those behind it in the list: what was said while one of them was in hand,
    /// and their verdicts. The whole recording is computed all the same.
    #[arg(long, value_name = "PART")]
    first: Option<String>,
    /// Likewise, up to this part of the list.
    #[arg(long, value_name = "PART")]
    last: Option<String>,
}

/// The version that runs, and judges.
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Bench seconds a second; `None` for no waiting at all.
#[derive(Debug, Clone, Copy)]
struct Speed(Option<f64>);

impl FromStr for Speed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.parse::<f64>() {
            _ if text == "max" => Ok(Self(None)),
            Ok(speed) if (0.01..=10_000.0).contains(&speed) => Ok(Self(Some(speed))),
            _ => Err("expected `max` or a number from 0.01 to 10000".to_owned()),
        }
    }
}

/// Holds a replay back to its speed.
struct Pace {
    speed: Speed,
    began: Instant,
}

impl Pace {
    fn wait_for(&self, at: Stamp) {
        if let Some(speed) = self.speed.0 {
            let due = Duration::from_micros(at.micros()).div_f64(speed);
            thread::sleep(due.saturating_sub(self.began.elapsed()));
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    if arguments.file.is_dir() {
        return join(arguments, out);
    }
    let recorded = Recorded::open(&arguments.file)?;
    let plan = recorded.plan()?;
    let mut stretch = stretch(arguments, &plan)?;
    let file = arguments
        .csv
        .as_deref()
        .map(NewFile::only_new)
        .transpose()?;
    let mut csv = Vec::new();
    let mut rows = match &file {
        Some(_) => {
            recorded.begun()?;
            Some(rows_in(&mut csv)?)
        }
        None => None,
    };
    let mut nowhere = io::sink();
    let is_taken = file.as_ref().is_some_and(NewFile::is_stdout);
    let lines: &mut dyn Write = if is_taken { &mut nowhere } else { &mut *out };
    let mut listener = Listener::new(lines, Paint::for_stdout());
    let pace = Pace {
        speed: arguments.speed,
        began: Instant::now(),
    };
    let played = recorded.play(
        plan,
        |entry| pace.wait_for(entry.at),
        |event| {
            if stretch.as_mut().is_none_or(|stretch| stretch.hear(event)) {
                if let Some(rows) = &mut rows {
                    rows.hear(event).context("cannot write the results")?;
                }
                listener.hear(event)?;
            }
            Ok(())
        },
    )?;
    let summary = listener.summary();
    drop(rows);
    if let Some(file) = file {
        file.write(&csv, out)?;
    }
    let trouble = match &played {
        Played::UpToAFlaw(flaw) => Some(flaw.to_string()),
        Played::ToTheEnd(ending) => not_whole(ending.as_ref(), &arguments.file),
    };
    if let Some(trouble) = trouble {
        remark(&trouble);
        return Ok(Status::CheckFailed);
    }
    let passed = match stretch {
        Some(stretch) => stretch.all_passed(),
        None => summary.is_some_and(|summary| summary.count(Verdict::Pass) == summary.parts),
    };
    Ok(if arguments.expect_pass && !passed {
        Status::CheckFailed
    } else {
        Status::Done
    })
}

/// The part of the list that is asked for; `None` for all of it.
fn stretch(arguments: &Arguments, plan: &Plan) -> Result<Option<Stretch>> {
    let (first, last) = (arguments.first.as_deref(), arguments.last.as_deref());
    if first.is_none() && last.is_none() {
        return Ok(None);
    }
    Ok(Some(Stretch::of(plan, first, last)?))
}

/// Rows with the names of their columns; the file is written when all of them are there.
fn rows_in(csv: &mut Vec<u8>) -> Result<Results<&mut Vec<u8>>> {
    Results::new(csv, true).context("cannot write the results")
}

/// Writes the rows of every sitting of a job, in their order. What is damaged is told and left out from there on.
fn join(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = &arguments.file;
    let only_rows = arguments.speed.0.is_none()
        && !arguments.expect_pass
        && arguments.first.is_none()
        && arguments.last.is_none();
    let path = arguments.csv.as_ref().filter(|_| only_rows);
    let path = path.ok_or_else(|| {
        BadInput(format!(
            "{} is no recording, and of a folder only the rows are computed: `probewright replay FOLDER --csv NEW`, without other options",
            folder_name(folder)
        ))
    })?;
    let files = recordings(folder)?;
    if files.is_empty() {
        let none = format!("{} has no recording", folder_name(folder));
        return Err(BadInput(none).into());
    }
    let new_file = NewFile::only_new(path)?;
    let mut nowhere = io::sink();
    let lines: &mut dyn Write = if new_file.is_stdout() {
        &mut nowhere
    } else {
        &mut *out
    };
    let mut csv = Vec::new();
    let mut rows = rows_in(&mut csv)?;
    let (mut count, mut status) = (0, Status::Done);
    for file in &files {
        let (of_sitting, trouble) = add_rows(file, &mut rows)?;
        count += of_sitting;
        writeln!(lines, "{}: {of_sitting} rows", sitting_name(file))?;
        if let Some(trouble) = trouble {
            remark(&trouble);
            status = Status::CheckFailed;
        }
    }
    drop(rows);
    writeln!(
        lines,
        "{count} rows of {} recordings in `{}`, judged by {} {}",
        files.len(),
        path.display(),
        env!("CARGO_PKG_NAME"),
        VERSION
    )?;
    new_file.write(&csv, out)?;
    Ok(status)
}

/// The recordings of a job, or those that lie in a folder, the oldest first.
fn recordings(folder: &Path) -> Result<Vec<PathBuf>> {
    let files = match Folder::open(folder) {
        Ok(job) => job.recordings(),
        Err(_) => recordings_in(folder),
    };
    Ok(files?)
}

/// Adds the rows of a recording: how many there are, and what is wrong with it.
fn add_rows(file: &Path, rows: &mut Results<&mut Vec<u8>>) -> Result<(usize, Option<String>)> {
    let opened = Recorded::open(file).and_then(|recorded| {
        recorded.begun()?;
        Ok((recorded.plan()?, recorded))
    });
    let (plan, recorded) = match opened {
        Ok(opened) => opened,
        Err(error) => return Ok((0, Some(format!("`{}`: {error:#}", file.display())))),
    };
    if let Some((name, version)) = recorded
        .program()
        .filter(|(_, version)| *version != VERSION)
    {
        remark(&format!(
            "{}: recorded and judged by {name} {version}; its rows are judged again, and `probewright audit` tells what differs",
            recorded.name()
        ));
    }
    let mut count = 0;
    let played = recorded.play(
        plan,
        |_| (),
        |event| {
            count += usize::from(matches!(event.what, What::Judged(_)));
            rows.hear(event).context("cannot write the results")
        },
    )?;
    let trouble = match &played {
        Played::UpToAFlaw(flaw) => Some(flaw.to_string()),
        Played::ToTheEnd(ending) => not_whole(ending.as_ref(), file),
    };
    Ok((count, trouble))
}
