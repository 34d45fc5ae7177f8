//! The glance as JSON, for scripts. The fields are described in DEVELOPERS.md; what is only added does not raise the version.

use std::io::{self, Write};

use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::Serialize;

use super::last_sitting::LastSitting;
use crate::books::ledger::{Account, Book, Decision, Glance, Row, Standing};
use crate::engine::judge::Verdict;

/// Version of the form.
const VERSION: u32 = 1;

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
    designator: &'a str,
    kind: &'a str,
    listed: &'a str,
    standing: &'a str,
    open: bool,
    verdict: Option<&'a str>,
    measured: Option<OfMeasurement<'a>>,
    missing: Vec<String>,
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
    percent_off: Option<f64>,
    words: String,
    reason: &'a str,
}

#[derive(Serialize)]
struct OfDecision<'a> {
    time: String,
    choice: &'a str,
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
pub(super) fn write(
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
        standing: standing.words(),
        open: standing.is_open(),
        verdict: account.verdict().map(Verdict::name),
        measured: account.worst().map(of_measurement),
        missing: account.missing(),
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
        uncertainty: one.value.map(|judged| 2.0 * judged.u),
        nominal: one.nominal,
        percent_off: one.percent_off(),
        words: one.words(),
        reason: &one.reason,
    }
}

fn of_decision(one: &Decision) -> OfDecision<'_> {
    OfDecision {
        time: time(one.time),
        choice: one.choice.name(),
        reason: &one.reason,
        article: &one.article,
        bag: one.bag,
    }
}

fn time(time: DateTime<FixedOffset>) -> String {
    time.to_rfc3339_opts(SecondsFormat::Millis, false)
}
