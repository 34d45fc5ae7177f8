//! Two sittings of a job side by side, as a table.
//!
//! [`SideBySide`]: a row of a comparison for files and programs.

use std::collections::HashSet;
use std::io::Write;
use std::path::Path;

use anyhow::Result;
use chrono::SecondsFormat;
use serde::Serialize;

use super::{Arguments, book, change_words, csv_bytes, nine_figures, ratio, value};
use crate::books::comparison::{Change, Obstacle, Outcome, Pair, Pairs, When, pairs};
use crate::books::ledger::{Book, Found, Row};
use crate::cli::new_file::NewFile;
use crate::cli::status::{BadInput, Status};
use crate::cli::table::TextTable;
use crate::engine::parts::{Kind, Selection, Step};
use crate::engine::source::cell;
use crate::engine::statistics::benjamini_hochberg;

/// Runs the command.
pub(super) fn run(
    arguments: &Arguments,
    job: &Path,
    only: Option<&Selection>,
    out: &mut dyn Write,
) -> Result<Status> {
    let book = book(job)?;
    let before = named(&book, arguments.before.as_deref(), "--before")?;
    let after = named(&book, arguments.after.as_deref(), "--after")?;
    in_order(&book, before, after)?;
    let mut accounts = book.accounts();
    if let Some(only) = only {
        let chosen = only.among(&book.list.parts).into_iter();
        let chosen: HashSet<&str> = chosen.map(|part| part.designator.as_str()).collect();
        accounts.retain(|account| chosen.contains(account.part.designator.as_str()));
    }
    let found = pairs(
        &accounts,
        before.map_or(When::First, When::Sitting),
        after.map_or(When::Last, When::Sitting),
    );
    if let Some(path) = &arguments.csv {
        let mut rows = rows(&found);
        rows.iter_mut().for_each(SideBySide::guard);
        let file = NewFile::at(path, arguments.force)?;
        file.write(&csv_bytes(&rows)?, out)?;
        if file.is_stdout() {
            return Ok(Status::Done);
        }
    }
    if arguments.json {
        let json = serde_json::json!({
            "title": book.settings.title,
            "before": before,
            "after": after,
            "compared": found.compared(),
            "expected_by_chance": Change::expected_by_chance(found.compared()),
            "without": found.without,
            "rows": rows(&found),
        });
        writeln!(out, "{json}")?;
    } else {
        heading(&book, before, after, out)?;
        tables(&found, out)?;
        remarks(&found, out)?;
    }
    Ok(Status::Done)
}

/// The names of the sittings that measured something, the oldest first.
fn sittings(book: &Book) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for one in &book.measurements {
        if !names.contains(&one.sitting.as_str()) {
            names.push(&one.sitting);
        }
    }
    names
}

/// The sitting that is meant.
fn named<'a>(book: &'a Book, text: Option<&str>, option: &str) -> Result<Option<&'a str>> {
    let Some(text) = text else {
        return Ok(None);
    };
    let names = sittings(book);
    let begins: Vec<&str> = names
        .iter()
        .copied()
        .filter(|name| name.starts_with(text))
        .collect();
    let found = names.iter().find(|name| **name == text);
    match (found, &begins[..]) {
        (Some(name), _) | (None, [name]) => Ok(Some(name)),
        (None, [_, _, ..]) => Err(BadInput(format!(
            "{option}: found `{text}`, with which {} sittings begin: {}; write more of the name of one",
            begins.len(),
            begins.join(", ")
        ))
        .into()),
        _ => Err(BadInput(format!(
            "{option}: found `{text}`, expected the name of a sitting that measured something, or how only one begins: {}",
            if names.is_empty() { "there is none yet".to_owned() } else { names.join(", ") }
        ))
        .into()),
    }
}

/// Refuses sittings in the wrong order, in which every change would go the wrong way.
fn in_order(book: &Book, before: Option<&str>, after: Option<&str>) -> Result<()> {
    let names = sittings(book);
    let place = |wanted: &str| names.iter().position(|name| *name == wanted);
    let (Some(before), Some(after)) = (before, after) else {
        return Ok(());
    };
    if place(before) < place(after) {
        return Ok(());
    }
    let refused = format!(
        "found --before {before} and --after {after}, expected the earlier sitting after --before"
    );
    Err(BadInput(refused).into())
}

fn heading(
    book: &Book,
    before: Option<&str>,
    after: Option<&str>,
    out: &mut dyn Write,
) -> Result<()> {
    if !book.settings.title.is_empty() {
        writeln!(out, "{}", book.settings.title)?;
    }
    let before = before.map_or_else(
        || "first measurement of the part that was found".to_owned(),
        |name| format!("sitting {name}"),
    );
    let after = after.map_or_else(
        || "last measurement of the part now fitted".to_owned(),
        |name| format!("sitting {name}"),
    );
    writeln!(out, "before: {before}\nafter:  {after}")?;
    Ok(())
}

fn tables(found: &Pairs<'_>, out: &mut dyn Write) -> Result<()> {
    type Belongs = fn(&Outcome) -> bool;
    let groups: [(&str, Belongs); 4] = [
        ("changed", |one| matches!(one, Outcome::Changed { .. })),
        ("cannot be compared", |one| {
            matches!(one, Outcome::NotComparable(_))
        }),
        ("another part was fitted", |one| *one == Outcome::Fitted),
        ("no change that the meter could tell", |one| {
            *one == Outcome::NoChange
        }),
    ];
    for (title, belongs) in groups {
        let members = found.pairs.iter().filter(|pair| belongs(&pair.outcome));
        let mut table = TextTable::new(["part", "before", "after", "change", "d/u(d)", ""]);
        let before = table.len();
        members.for_each(|pair| table.push(row(pair)));
        let count = table.len() - before;
        if count > 0 {
            writeln!(out, "\n{title} ({count})")?;
            table.write(out)?;
        }
    }
    Ok(())
}

fn row(pair: &Pair<'_>) -> [String; 6] {
    let title = if pair.before.step == Step::Value {
        pair.part.designator.clone()
    } else {
        format!("{} {}", pair.part.designator, pair.before.step)
    };
    let [before, after, change, ratio] = match &pair.change {
        Some(change) => [
            value(change.quantity, change.before),
            value(change.quantity, change.after),
            change_words(change),
            ratio(change.ratio()),
        ],
        None => [
            what(pair.before),
            what(pair.after),
            String::new(),
            String::new(),
        ],
    };
    [title, before, after, change, ratio, note(pair)]
}

const LIST_CHANGED: &str = "the list was changed";

/// Whether the list stated another value at the second measurement than at the first.
fn list_differs(pair: &Pair<'_>) -> bool {
    pair.before.kind != pair.after.kind || pair.before.nominal != pair.after.nominal
}

/// Finding of a touch that cannot be set against the other.
fn what(row: &Row) -> String {
    let value = row.value.map(|judged| value(row.quantity, judged));
    value.unwrap_or_else(|| row.words())
}

/// Remarks beside the numbers.
fn note(pair: &Pair<'_>) -> String {
    let text = match pair.outcome {
        Outcome::Changed { holds: true } => "beyond chance",
        Outcome::Changed { holds: false } => "perhaps chance",
        Outcome::NoChange => "",
        Outcome::Fitted => {
            let (before, after) = (pair.before.verdict, pair.after.verdict);
            return format!("{before}, now {after}");
        }
        Outcome::NotComparable(obstacle) => return why(obstacle).to_owned(),
    };
    let in_circuit = pair.before.in_circuit && pair.after.in_circuit;
    let words = [
        text,
        if in_circuit { "in circuit" } else { "" },
        if list_differs(pair) { LIST_CHANGED } else { "" },
    ];
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    words.join(", ")
}

const fn why(obstacle: Obstacle) -> &'static str {
    match obstacle {
        Obstacle::NoValue { before, after } => match (before, after) {
            (Found::Open, Found::Open) => "open both times",
            (_, Found::Open) => "has opened",
            (Found::Open, _) => "is no longer open",
            _ => "one has no value",
        },
        Obstacle::OtherQuantity => LIST_CHANGED,
        Obstacle::Circuit => "only one in circuit",
        Obstacle::Temperature => "temperature not known",
    }
}

fn remarks(found: &Pairs<'_>, out: &mut dyn Write) -> Result<()> {
    let without = found.without;
    let compared = found.compared();
    writeln!(out)?;
    for pair in found
        .pairs
        .iter()
        .filter(|pair| pair.outcome != Outcome::Fitted && list_differs(pair))
    {
        let said = |one: &Row| format!("{} {}", one.kind, one.listed);
        writeln!(
            out,
            "{}: the list said {}, and {} later: is it the same part?",
            pair.part.designator,
            said(pair.before).trim_end(),
            said(pair.after).trim_end()
        )?;
    }
    if without > 0 {
        let parts = if without == 1 {
            "part has"
        } else {
            "parts have"
        };
        writeln!(
            out,
            "{without} {parts} no second measurement to be compared with."
        )?;
    }
    if compared == 0 {
        return Ok(());
    }
    let expected = Change::expected_by_chance(compared);
    write!(
        out,
        "\
Changed: by more than U(d), k = 2, the expanded uncertainty of the difference.
Of {compared} compared, {expected:.1} would look changed by chance if none had. Those marked
beyond chance hold with all {compared} taken together (Holm, 5 %).
The errors of both measurements are taken as independent. With the same meter
they are partly common, so U(d) is too large rather than too small: fewer changes
are called real, not more.
"
    )?;
    let windings = |pair: &Pair<'_>| pair.before.kind == Kind::Winding;
    if found.pairs.iter().any(windings) {
        writeln!(
            out,
            "Windings are compared at 20 °C where both temperatures are known."
        )?;
    }
    Ok(())
}

/// A row of a comparison. Values are in the SI unit that `unit` names.
#[derive(Debug, Serialize)]
pub(super) struct SideBySide {
    r#ref: String,
    step: String,
    kind: &'static str,
    unit: &'static str,
    before_sitting: String,
    before_time: String,
    before_value: Option<f64>,
    before_uncertainty: Option<f64>,
    before_verdict: &'static str,
    after_sitting: String,
    after_time: String,
    after_value: Option<f64>,
    after_uncertainty: Option<f64>,
    after_verdict: &'static str,
    change: Option<f64>,
    change_uncertainty: Option<f64>,
    change_percent: Option<f64>,
    d_over_u: Option<f64>,
    p: Option<f64>,
    p_holm: Option<f64>,
    false_discovery_rate: Option<f64>,
    outcome: &'static str,
    obstacle: &'static str,
    fitted: String,
}

impl SideBySide {
    /// Keeps a spreadsheet from taking a text for a formula.
    pub(super) fn guard(&mut self) {
        self.r#ref = cell(&self.r#ref);
    }
}

/// The rows of what was set side by side.
pub(super) fn rows(found: &Pairs<'_>) -> Vec<SideBySide> {
    let compared = |pair: &&Pair<'_>| pair.p_holm.is_some();
    let p: Vec<f64> = found
        .pairs
        .iter()
        .filter(compared)
        .filter_map(|pair| pair.change.map(|change| change.p()))
        .collect();
    let mut rates = benjamini_hochberg(&p).into_iter();
    let row = |pair: &Pair<'_>| file_row(pair, pair.p_holm.and_then(|_| rates.next()));
    found.pairs.iter().map(row).collect()
}

fn file_row(pair: &Pair<'_>, rate: Option<f64>) -> SideBySide {
    let change = pair.change;
    let figure = |of: fn(&crate::books::comparison::Change) -> f64| {
        let value = change.as_ref().map(of);
        value.filter(|value| value.is_finite()).map(nine_figures)
    };
    SideBySide {
        r#ref: pair.part.designator.clone(),
        step: pair.before.step.to_string(),
        kind: pair.part.kind.name(),
        unit: pair.before.quantity.unit_name(),
        before_sitting: pair.before.sitting.clone(),
        before_time: time(pair.before),
        before_value: figure(|change| change.before.value),
        before_uncertainty: figure(|change| change.before.u),
        before_verdict: pair.before.verdict.name(),
        after_sitting: pair.after.sitting.clone(),
        after_time: time(pair.after),
        after_value: figure(|change| change.after.value),
        after_uncertainty: figure(|change| change.after.u),
        after_verdict: pair.after.verdict.name(),
        change: figure(crate::books::comparison::Change::difference),
        change_uncertainty: figure(crate::books::comparison::Change::uncertainty),
        change_percent: change
            .and_then(|change| change.share())
            .map(|share| nine_figures(100.0 * share)),
        d_over_u: figure(crate::books::comparison::Change::ratio),
        p: pair.p_holm.and(figure(crate::books::comparison::Change::p)),
        p_holm: pair.p_holm.map(nine_figures),
        false_discovery_rate: rate.map(nine_figures),
        outcome: outcome(pair.outcome),
        obstacle: obstacle(pair.outcome),
        fitted: pair.fitted.map_or_else(String::new, |decision| {
            decision.time.to_rfc3339_opts(SecondsFormat::Secs, false)
        }),
    }
}

fn time(measurement: &Row) -> String {
    let time = measurement.time;
    time.to_rfc3339_opts(SecondsFormat::Millis, false)
}

const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Changed { holds: true } => "changed, beyond chance",
        Outcome::Changed { holds: false } => "changed, perhaps chance",
        Outcome::NoChange => "no change",
        Outcome::Fitted => "another part",
        Outcome::NotComparable(_) => "not comparable",
    }
}

const fn obstacle(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::NotComparable(Obstacle::NoValue { .. }) => "no value",
        Outcome::NotComparable(Obstacle::OtherQuantity) => "other quantity",
        Outcome::NotComparable(Obstacle::Circuit) => "circuit",
        Outcome::NotComparable(Obstacle::Temperature) => "temperature",
        _ => "",
    }
}
