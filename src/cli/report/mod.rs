//! `report`: what was found in a piece of equipment and what was done about it, for its owner and the next technician.
//!
//! The files of a job that a report is made from, with their digests.
//!
//! [`most_telling`]: the touch of a sitting that shows best what settling looks like.

mod sittings;

use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use chrono::{DateTime, FixedOffset, Local, SubsecRound as _};
use clap::ValueEnum;
use sha2::{Digest as _, Sha256};

use super::network::{Taken, Wired};
use super::new_file::NewFile;
use super::remark::remark;
use super::status::Status;
use crate::bench::recorded::Recorded;
use crate::books::batch::Bags;
use crate::books::job::Folder;
use crate::books::ledger::{Book, read_incoming};
use crate::engine::judge::policy::Policy;
use crate::engine::parts::Step;
use crate::engine::quantity::{Quantity, Stamp, counted, format_with_uncertainty};
use crate::engine::sitting::{Live, Plan, Record, What};
use crate::views::report::owner::{
    Facts, FileFacts, Proof, SittingFacts, Touch, TouchPoint, json, page, short_page, table,
};

/// Make a report of a job: one HTML file for the owner and the next technician, or the same as CSV or JSON.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    job: PathBuf,
    /// Write it to this file; - is standard output. Without it, HTML goes to report.html in the folder of the job, CSV and JSON to
    /// standard output.
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[arg(long, value_enum, default_value_t = Format::Html, value_name = "FORMAT")]
    format: Format,
    /// The owner's form, two sheets for a job of fifty parts: every part at a glance, what was done, and what to know before
    /// switching on. Goes to report-short.html.
    #[arg(long, conflicts_with = "format")]
    short: bool,
    /// Replace a file that is there.
    #[arg(long)]
    force: bool,
    /// When the report says it was made, such as 2056-11-25T18:00:00+01:00; without it, now.
    #[arg(long, value_name = "TIME", value_parser = DateTime::parse_from_rfc3339)]
    made: Option<DateTime<FixedOffset>>,
}

/// A form of the report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// One page with everything in it.
    Html,
    /// A row for each step of each part.
    Csv,
    /// Everything, for programs.
    Json,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.job)?;
    let file = file(arguments, &folder)?;
    let book = Book::open(&folder)?;
    let policy_text = folder.read_policy()?;
    let own_policy = !policy_text.is_empty();
    let wired = Wired::of(book, Policy::of_job(&policy_text)?);
    let book = &wired.book;
    let html = arguments.format == Format::Html;
    let incoming = read_incoming(&folder.read_incoming()?)?;
    let bags = Bags::of(&incoming);
    let (sittings, touch) = sittings::look_at(&folder, &book.measurements, &incoming, html)?;
    let photos = if html {
        sittings::of(&folder)?
    } else {
        sittings::Photos::default()
    };
    for sentence in &photos.left_out {
        remark(&format!("photos: {sentence}"));
    }
    let files = digests_of(&folder)?;
    let title = folder.heading(&book.settings.title);
    let taken = Taken::of_job(&wired)
        .inspect_err(|error| remark(&format!("what was read in circuit is left out: {error:#}")));
    let taken = taken
        .ok()
        .filter(|taken| taken.readings.all().next().is_some());
    let loops = taken.map(|taken| wired.loops(&wired.solution(&taken), &taken.known));
    let facts = Facts {
        title: &title,
        made: made(arguments),
        program: env!("CARGO_PKG_VERSION"),
        book,
        bags: &bags,
        policy: wired.policy(),
        own_policy,
        sittings: &sittings,
        files: &files,
        photos: &photos.shown,
        left_out: &photos.left_out,
        touch: touch.as_ref(),
        circuit: loops.as_ref(),
    };
    let bytes = match arguments.format {
        Format::Html if arguments.short => short_page(&facts).into_bytes(),
        Format::Html => page(&facts).into_bytes(),
        Format::Csv => table(&facts),
        Format::Json => json(&facts).into_bytes(),
    };
    let damaged = warn(&sittings);
    if let Some((file, path)) = file {
        file.write(&bytes, out)?;
        writeln!(out, "made {}", path.display())?;
        writeln!(out, "{}", told(&facts))?;
    } else {
        out.write_all(&bytes)
            .and_then(|()| out.flush())
            .context("cannot write the report to standard output")?;
    }
    Ok(if damaged {
        Status::CheckFailed
    } else {
        Status::Done
    })
}

/// The file that the report goes to and its name; `None` for standard output.
fn file(arguments: &Arguments, folder: &Folder) -> Result<Option<(NewFile, PathBuf)>> {
    let path = match (&arguments.output, arguments.format) {
        (Some(path), _) if path == Path::new("-") => return Ok(None),
        (Some(path), _) => path.clone(),
        (None, Format::Html) if arguments.short => folder.root().join("report-short.html"),
        (None, Format::Html) => folder.root().join("report.html"),
        (None, Format::Csv | Format::Json) => return Ok(None),
    };
    Ok(Some((NewFile::at(&path, arguments.force)?, path)))
}

fn made(arguments: &Arguments) -> DateTime<FixedOffset> {
    arguments
        .made
        .unwrap_or_else(|| Local::now().fixed_offset().trunc_subsecs(0))
}

/// Tells which sittings cannot be proven; whether one is damaged.
fn warn(sittings: &[SittingFacts]) -> bool {
    let mut damaged = false;
    for sitting in sittings {
        let why = match &sitting.proof {
            Proof::Sealed { .. } => continue,
            Proof::Unsealed => "has no seal: it was not ended; its lines are good",
            Proof::Damaged(why) => {
                damaged = true;
                why
            }
            Proof::Missing(why) => why,
        };
        remark(&format!("{}: {why}; the report says so", sitting.file()));
    }
    damaged
}

fn told(facts: &Facts<'_>) -> String {
    let batches = facts.sittings.iter().filter(|one| one.of_new_parts).count();
    let mut words = vec![
        counted(facts.book.list.parts.len(), "part"),
        counted(facts.sittings.len() - batches, "sitting"),
    ];
    if batches > 0 {
        words.push(format!("{} of new parts", counted(batches, "batch")));
    }
    words.push(counted(facts.photos.len(), "photo"));
    words.join(", ")
}

const NAMES: [&str; 6] = [
    "job.toml",
    "parts.csv",
    "policy.toml",
    "results.csv",
    "decisions.csv",
    "incoming.csv",
];

/// Files that are there.
fn digests_of(folder: &Folder) -> Result<Vec<FileFacts>> {
    let mut files = Vec::new();
    for name in NAMES {
        let path = folder.root().join(name);
        let bytes = match fs::read(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
            read => read.with_context(|| format!("cannot read `{}`", path.display()))?,
        };
        files.push(FileFacts {
            name: name.to_owned(),
            bytes: bytes.len() as u64,
            digest: hexadecimal(&Sha256::digest(&bytes)),
        });
    }
    Ok(files)
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("a text takes every letter");
        text
    })
}

/// No more readings of a touch are kept than this; a longer one is none that settled.
const MOST: usize = 20_000;

/// Of the touches of this sitting and `best` the one that has most to show.
fn most_telling(recorded: &Recorded, mut best: Option<Touch>) -> Result<Option<Touch>> {
    let plan = recorded.plan()?;
    let sitting = recorded.name();
    let mut readings: Vec<(Stamp, Quantity, f64)> = Vec::new();
    recorded.play(
        plan.clone(),
        |_| (),
        |event| {
            match &event.what {
                What::Reading(Live {
                    quantity,
                    value: Some(value),
                    ..
                }) if readings.len() < MOST => readings.push((event.at, *quantity, *value)),
                What::Lifted | What::InHand { .. } => readings.clear(),
                What::Judged(record) => {
                    let touch = touch(&plan, record, &readings, &sitting);
                    best = better(best.take(), touch);
                }
                _ => {}
            }
            Ok(())
        },
    )?;
    Ok(best)
}

fn better(best: Option<Touch>, other: Option<Touch>) -> Option<Touch> {
    let telling = |touch: &Option<Touch>| touch.as_ref().map_or(0.0, Touch::telling);
    if telling(&other) > telling(&best) {
        other
    } else {
        best
    }
}

/// The touch that a record came of; `None` if it yielded no value.
fn touch(
    plan: &Plan,
    record: &Record,
    readings: &[(Stamp, Quantity, f64)],
    sitting: &str,
) -> Option<Touch> {
    let part = &plan.parts()[record.part];
    let settled = &record.settled;
    let (judged, read) = record.row.value.zip(record.row.read)?;
    let words = |value| format_with_uncertainty(settled.quantity, value, 2.0 * judged.u);
    let own = settled.quantity == part.nominal.quantity() && part.step == Step::Value;
    let of_touch = readings.iter().filter(|(at, quantity, _)| {
        (settled.contact..=settled.at).contains(at) && *quantity == settled.quantity
    });
    // A drawing of readings from which something was taken off would show other digits than the verdict.
    (own && words(read) == words(judged.value)).then(|| Touch {
        title: part.title().into(),
        sitting: sitting.to_owned(),
        quantity: settled.quantity,
        points: of_touch
            .map(|(at, _, value)| TouchPoint {
                at_s: at.since(settled.contact).as_secs_f64(),
                value: *value,
            })
            .collect(),
        settled_s: settled.at.since(settled.contact).as_secs_f64(),
        value: judged.value,
        uncertainty: judged.u,
        band: record.row.band,
    })
}
