//! The own value of each part from what was read in circuit.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Result;
use serde::Serialize;

use super::Wired;
use super::read_file;
use super::readings::Taken;
use super::structure::write_chosen;
use crate::cli::status::{BadInput, Status};
use crate::cli::table::{TextTable, flowed};
use crate::engine::judge::{Judged, Solution, Verdict};
use crate::engine::network::{Method, Own, Read};
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Readings between nodes from a file as well: a table `from,to,ohm,uncertainty`
    #[arg(long, value_name = "FILE")]
    read: Option<PathBuf>,
    /// As JSON, for scripts
    #[arg(long)]
    json: bool,
}

/// Findings about a part, for scripts.
#[derive(Serialize)]
struct JsonRow {
    #[serde(rename = "ref")]
    title: String,
    /// Reading across it; `null` if nothing, or beyond the range.
    read_ohm: Option<f64>,
    /// Its own value is between these, U = 2 u; the upper one is `null` where it may be anything.
    own_lower_ohm: Option<f64>,
    own_upper_ohm: Option<f64>,
    /// Its share of the current when it is read, 0 to 1.
    share: Option<f64>,
    method: &'static str,
    verdict: &'static str,
    reason: String,
    /// Whether its lead is to be lifted to know more.
    lift: bool,
}

/// Everything that is known, for scripts.
#[derive(Serialize)]
struct Answer {
    parts: Vec<JsonRow>,
    /// Number of readings between nodes that no part joins.
    checks: usize,
    /// Contradiction of the list; `null` if nothing does.
    contradiction: Option<String>,
}

pub(super) fn write(wired: &Wired, arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let (solution, _) = solved(wired, arguments.read.as_deref())?;
    let parts = solution.judged.iter();
    let answer = Answer {
        parts: parts.map(|one| found(wired, &solution, one)).collect(),
        checks: solution.checks,
        contradiction: solution.contradiction.clone(),
    };
    if arguments.json {
        writeln!(out, "{}", serde_json::to_string(&answer)?)?;
        return Ok(Status::Done);
    }
    in_words(wired, &answer, &solution, out)?;
    Ok(Status::Done)
}

/// Solution of the readings of a job, with those of a file, and the verdicts that stand.
pub(super) fn solved(
    wired: &Wired,
    file: Option<&Path>,
) -> Result<(Solution, BTreeMap<usize, Verdict>)> {
    let mut taken = Taken::of_job(wired)?;
    if let Some(file) = file {
        read_file::add(wired, file, &mut taken.readings)?;
    }
    if taken.readings.all().next().is_none() {
        let words = "nothing was read in circuit: `probewright network JOB plan` says what to read, `sit` and `--read FILE` take it";
        return Err(BadInput(words.to_owned()).into());
    }
    Ok((wired.solution(&taken), taken.known))
}

fn found(wired: &Wired, solution: &Solution, one: &Judged) -> JsonRow {
    let (own, judged) = (&solution.owns[one.own], &one.found);
    let finite = |ohms: f64| Some(ohms).filter(|ohms| ohms.is_finite());
    let [from, to] = own.ohms();
    let read = match own.read {
        Some(Read::Ohms(read)) => Some(read.value),
        _ => None,
    };
    let known = own.read.is_some();
    JsonRow {
        title: wired.network.elements()[one.element].title(wired.list()),
        read_ohm: read,
        own_lower_ohm: finite(from).filter(|_| known),
        own_upper_ohm: finite(to).filter(|_| known),
        share: own.share,
        method: match own.method {
            Method::Alone => "alone",
            Method::Joint => "joint",
            Method::Bounds => "bounds",
        },
        verdict: judged.verdict.name(),
        reason: judged.words.clone(),
        lift: judged.lift,
    }
}

fn in_words(
    wired: &Wired,
    answer: &Answer,
    solution: &Solution,
    out: &mut dyn Write,
) -> Result<()> {
    let mut table = TextTable::new([
        "ref",
        "listed",
        "read",
        "own value",
        "share",
        "from",
        "verdict",
        "why",
    ]);
    for (found, one) in answer.parts.iter().zip(&solution.judged) {
        let own = &solution.owns[one.own];
        let part = one.part(&wired.network);
        let listed = wired.list()[part].nominal.to_string();
        let read = own.read.map_or(String::new(), |read| match read {
            Read::Ohms(read) => {
                format_with_uncertainty(Quantity::Resistance, read.value, 2.0 * read.u)
            }
            Read::Beyond(range) => format!("over {}", format_value(Quantity::Resistance, range, 3)),
        });
        let share = own
            .share
            .map_or(String::new(), |share| format!("{:.0} %", 100.0 * share));
        table.push([
            found.title.clone(),
            listed,
            read,
            own_words(own),
            share,
            found.method.to_owned(),
            found.verdict.to_owned(),
            found.reason.clone(),
        ]);
    }
    table.write(out)?;
    flowed(out, |out| {
        write_agreement(answer, out)?;
        write_chosen(wired, &solution.leads, out)
    })
}

/// Whether the readings between nodes that no part joins agree.
fn write_agreement(answer: &Answer, out: &mut dyn Write) -> Result<()> {
    match &answer.contradiction {
        Some(words) => writeln!(out, "no pass is given: {words}")?,
        None if answer.checks == 0 => writeln!(
            out,
            "nothing was read between nodes that no part joins, so that nothing shows what the list does not have"
        )?,
        None => writeln!(
            out,
            "{} readings between nodes that no part joins agree",
            answer.checks
        )?,
    }
    Ok(())
}

fn own_words(own: &Own) -> String {
    let ohms = |value| format_value(Quantity::Resistance, value, 4);
    match (own.read, own.ohms()) {
        (None, _) => String::new(),
        (_, [low, high]) if high.is_finite() => {
            let middle = f64::midpoint(low, high);
            format_with_uncertainty(Quantity::Resistance, middle, (high - low) / 2.0)
        }
        (_, [low, _]) => format!("{} or more", ohms(low)),
    }
}
