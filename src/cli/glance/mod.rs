//! The glance: where a job stands, without any word but its folder.
//!
//! [`LastSitting`]: the newest sitting of a job.
//!
//! Hints on what to type next.
//!
//! The glance as JSON, for scripts. The fields are described in `src/cli/manual/json.md`; what is only added does not raise the version.

mod text;

use std::ffi::OsStr;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use anyhow::Result;
use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::Serialize;

use super::is_command;
use super::job_word::{Hint, quoted};
use super::remark::remark;
use super::status::Status;
use crate::bench::recorded::{Recorded, sitting_name};
use crate::books::batch::Bags;
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Account, Book, Decision, Glance, Row, Standing};
use crate::engine::judge::Verdict;

/// Where a job stands: what is good, what is to do, and what comes next.
#[derive(Debug, clap::Parser)]
#[command(name = "probewright", disable_version_flag = true)]
pub(crate) struct Arguments {
    /// The folder of the job; without it the one that you are in.
    #[arg(default_value = ".", hide_default_value = true)]
    job: PathBuf,
    /// As JSON, for scripts.
    #[arg(long)]
    json: bool,
}

/// Whether these are arguments of the glance, the first behind the name of the program: none or `--json` in the folder of a
/// job, or a folder that is no command.
pub(crate) fn is_meant(first: Option<&OsStr>) -> bool {
    match first.map(|word| (word, word.to_str())) {
        None | Some((_, Some("--json"))) => Folder::open(Path::new(".")).is_ok(),
        Some((_, Some(word))) if is_command(word) || word.starts_with('-') => false,
        Some((word, _)) => Path::new(word).is_dir(),
    }
}

/// Writes the glance.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.job)?;
    let book = Book::open(&folder)?;
    for one in &book.remarks {
        remark(one);
    }
    let glance = Glance::at(&book);
    let last = LastSitting::of(&folder, &book)?;
    if arguments.json {
        write_json(&book, &glance, last.as_ref(), out)?;
    } else {
        let bags = Bags::named_in(&book.decisions, &folder)?;
        text::write(&folder, &book, &glance, &bags, last.as_ref(), out)?;
    }
    Ok(Status::Done)
}

/// The newest sitting of a job.
#[derive(Debug, Clone, PartialEq)]
struct LastSitting {
    /// Name of its recording.
    name: String,
    /// When it began, if its recording can be read.
    began: Option<DateTime<FixedOffset>>,
    /// Rows of the results that it made.
    values: usize,
}

impl LastSitting {
    /// The sitting of the newest recording; `None` if there is none.
    ///
    /// # Errors
    /// If the recordings cannot be listed.
    fn of(folder: &Folder, book: &Book) -> Result<Option<Self>, JobError> {
        let recordings = folder.recordings()?;
        Ok(recordings.last().map(|file| {
            let name = sitting_name(file);
            let began = Recorded::open(file).and_then(|recorded| recorded.begun());
            let of_it = book.measurements.iter().filter(|one| one.sitting == name);
            Self {
                values: of_it.count(),
                began: began.ok(),
                name,
            }
        }))
    }
}

/// The commands that take the job further, the most urgent first.
fn next<'a>(glance: &Glance<'_>, job: &'a Path) -> Vec<Hint<'a>> {
    let first = |standing| {
        glance
            .of(standing)
            .next()
            .map(|account| quoted(name(account)))
    };
    let mut all = Vec::new();
    let hint = |command, after: &str, what_for| Hint::new(job, command, after, what_for);
    let mut parts = glance.parts.iter();
    if parts.all(|(_, one)| one.measurements.is_empty()) {
        all.push(hint("sit", "", "measure it"));
    } else if glance.to_measure().next().is_some() {
        all.push(hint("sit", "--todo", "measure what is left"));
    }
    if glance.count(Standing::Unjudged) > 0 {
        all.push(hint(
            "parts check",
            "",
            "once the list says what is missing",
        ));
    }
    if let Some(part) = first(Standing::Undecided) {
        let choices = "or keep, order, fitted, accept; with --reason";
        all.push(hint("why", &part, "see the reasons for a verdict"));
        all.push(hint("decide", &format!("{part} replace"), choices));
    }
    if let Some(after) = by_policy(glance) {
        let overruled = "what the policy replaces; `keep` with a reason overrules it";
        all.push(hint("decide", &after, overruled));
    }
    if let Some(part) = first(Standing::ToReplace) {
        let ordered = "once the new one is on order";
        all.push(hint("order", "", "what is to be bought"));
        all.push(hint("decide", &format!("{part} order"), ordered));
    }
    if let Some(part) = first(Standing::OnOrder) {
        let fitted = "once the new one is in";
        all.push(hint("decide", &format!("{part} fitted"), fitted));
    }
    if all.is_empty() {
        all.push(hint("compare", "", "what has changed"));
        all.push(hint("report", "", "a record for the owner"));
    }
    all
}

/// Words of `decide` about all parts which the policy replaces; `None` if nobody is waited for.
pub(in crate::cli) fn by_policy(glance: &Glance<'_>) -> Option<String> {
    let names: Vec<&str> = glance.of(Standing::ByPolicy).map(name).collect();
    let names = (!names.is_empty()).then(|| quoted(&names.join(",")))?;
    Some(format!("{names} replace --reason policy"))
}

fn name<'a>(account: &Account<'a>) -> &'a str {
    &account.part.designator
}

/// Version of the form.
const VERSION: u32 = 2;

#[derive(Serialize)]
struct Json<'a> {
    version: u32,
    title: &'a str,
    parts: Vec<OfPart<'a>>,
    last_sitting: Option<OfSitting<'a>>,
    decided_strangers: &'a [&'a str],
    measured_strangers: &'a [&'a str],
}

#[derive(Serialize)]
struct OfPart<'a> {
    #[serde(rename = "ref")]
    designator: &'a str,
    kind: &'a str,
    listed: &'a str,
    group: &'a str,
    standing: &'a str,
    to_do: bool,
    verdict: Option<&'a str>,
    measured: Option<OfMeasurement<'a>>,
    missing: Vec<String>,
    left_out: Vec<String>,
    decision: Option<OfDecision<'a>>,
    worse_since: bool,
}

#[derive(Serialize)]
struct OfMeasurement<'a> {
    time: String,
    sitting: &'a str,
    step: String,
    quantity: &'a str,
    value: Option<f64>,
    uncertainty: Option<f64>,
    nominal: f64,
    off_percent: Option<f64>,
    words: String,
    reason: &'a str,
}

#[derive(Serialize)]
struct OfDecision<'a> {
    time: String,
    decision: &'a str,
    reason: &'a str,
    article: &'a str,
    bag: Option<u32>,
}

#[derive(Serialize)]
struct OfSitting<'a> {
    name: &'a str,
    began: Option<String>,
    values: usize,
}

/// Writes the glance as one object.
fn write_json(
    book: &Book,
    glance: &Glance<'_>,
    last: Option<&LastSitting>,
    out: &mut dyn Write,
) -> io::Result<()> {
    let parts = glance.parts.iter();
    let json = Json {
        version: VERSION,
        title: &book.settings.title,
        parts: parts
            .map(|(standing, account)| of_part(*standing, account))
            .collect(),
        last_sitting: last.map(|last| OfSitting {
            name: &last.name,
            began: last.began.map(time),
            values: last.values,
        }),
        decided_strangers: &glance.decided_strangers,
        measured_strangers: &glance.measured_strangers,
    };
    serde_json::to_writer_pretty(&mut *out, &json)?;
    writeln!(out)
}

fn of_part<'a>(standing: Standing, account: &Account<'a>) -> OfPart<'a> {
    OfPart {
        designator: &account.part.designator,
        kind: account.part.kind.name(),
        listed: &account.part.value_text,
        group: &account.part.group,
        standing: standing.words(),
        to_do: standing.is_to_do(),
        verdict: account.verdict().map(Verdict::name),
        measured: account.worst().map(of_measurement),
        missing: account.missing(),
        left_out: account.left_out.iter().map(ToString::to_string).collect(),
        decision: account.decision().map(of_decision),
        worse_since: account.worse_since(),
    }
}

fn of_measurement(one: &Row) -> OfMeasurement<'_> {
    OfMeasurement {
        time: time(one.time),
        sitting: &one.sitting,
        step: one.step.to_string(),
        quantity: one.quantity.name(),
        value: one.value.map(|judged| judged.value),
        uncertainty: one.value.map(|judged| judged.u),
        nominal: one.nominal,
        off_percent: one.percent_off(),
        words: one.words(),
        reason: &one.reason,
    }
}

fn of_decision(one: &Decision) -> OfDecision<'_> {
    OfDecision {
        time: time(one.time),
        decision: one.choice.name(),
        reason: &one.reason,
        article: &one.article,
        bag: one.bag,
    }
}

fn time(time: DateTime<FixedOffset>) -> String {
    time.to_rfc3339_opts(SecondsFormat::Millis, false)
}
