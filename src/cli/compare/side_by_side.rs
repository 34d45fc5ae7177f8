//! Two sittings of a job side by side, as a table.

use crate::engine::parts::{Kind, Step};
use std::io::Write;
use std::path::Path;

use anyhow::Result;

use super::super::new_file::NewFile;
use super::super::status::{BadInput, Status};
use super::super::table::Table;
use super::side_rows::{SideBySide, rows};
use super::{Arguments, book, csv_bytes, words};
use crate::books::comparison::{Change, Obstacle, Outcome, Pair, Pairs, When, pairs};
use crate::books::ledger::{Book, Found, Row};
use crate::engine::parts::Selection;

/// Runs the command.
pub(super) fn run(
    arguments: &Arguments,
    job: &Path,
    only: Option<&Selection>,
    out: &mut dyn Write,
) -> Result<Status> {
    let book = book(job)?;
    let from = named(&book, arguments.from.as_deref(), "--from")?;
    let to = named(&book, arguments.to.as_deref(), "--to")?;
    in_order(&book, from, to)?;
    let mut accounts = book.accounts();
    accounts.retain(|account| only.is_none_or(|only| only.matches(&account.part.designator)));
    let found = pairs(
        &accounts,
        from.map_or(When::First, When::Sitting),
        to.map_or(When::Last, When::Sitting),
    );
    if let Some(path) = &arguments.csv {
        let mut rows = rows(&found);
        rows.iter_mut().for_each(SideBySide::guard);
        NewFile::at(path, arguments.force)?.write(&csv_bytes(&rows)?)?;
    }
    if arguments.json {
        let json = serde_json::json!({
            "job": book.settings.title,
            "from": from,
            "to": to,
            "compared": found.compared(),
            "expected_by_chance": Change::expected_by_chance(found.compared()),
            "without": found.without,
            "rows": rows(&found),
        });
        writeln!(out, "{json}")?;
    } else {
        heading(&book, from, to, out)?;
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
fn in_order(book: &Book, from: Option<&str>, to: Option<&str>) -> Result<()> {
    let names = sittings(book);
    let place = |wanted: &str| names.iter().position(|name| *name == wanted);
    let (Some(from), Some(to)) = (from, to) else {
        return Ok(());
    };
    if place(from) < place(to) {
        return Ok(());
    }
    let refused =
        format!("found --from {from} and --to {to}, expected the earlier sitting behind --from");
    Err(BadInput(refused).into())
}

fn heading(book: &Book, from: Option<&str>, to: Option<&str>, out: &mut dyn Write) -> Result<()> {
    if !book.settings.title.is_empty() {
        writeln!(out, "{}", book.settings.title)?;
    }
    let from = from.map_or_else(
        || "first measurement of the part that was found".to_owned(),
        |name| format!("sitting {name}"),
    );
    let to = to.map_or_else(
        || "last measurement of the part that is in now".to_owned(),
        |name| format!("sitting {name}"),
    );
    writeln!(out, "then: {from}\nnow:  {to}")?;
    Ok(())
}

fn tables(found: &Pairs<'_>, out: &mut dyn Write) -> Result<()> {
    type Belongs = fn(&Outcome) -> bool;
    let groups: [(&str, Belongs); 4] = [
        ("changed", |one| matches!(one, Outcome::Changed { .. })),
        ("cannot be compared", |one| {
            matches!(one, Outcome::NotComparable(_))
        }),
        ("another part is in now", |one| *one == Outcome::Fitted),
        ("no change that the meter could tell", |one| {
            *one == Outcome::NoChange
        }),
    ];
    for (title, belongs) in groups {
        let members = found.pairs.iter().filter(|pair| belongs(&pair.outcome));
        let mut table = Table::new(["part", "then", "now", "change", "d/u(d)", ""]);
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
    let [then, now, change, ratio] = match &pair.change {
        Some(change) => [
            words::value(change.quantity, change.before),
            words::value(change.quantity, change.after),
            words::change(change),
            words::ratio(change.ratio()),
        ],
        None => [
            what(pair.before),
            what(pair.after),
            String::new(),
            String::new(),
        ],
    };
    [title, then, now, change, ratio, note(pair)]
}

const LIST_CHANGED: &str = "the list was changed";

/// Whether the list stated another value at the second measurement than at the first.
fn list_differs(pair: &Pair<'_>) -> bool {
    pair.before.kind != pair.after.kind || pair.before.nominal != pair.after.nominal
}

/// What a touch found, where that cannot be set against the other.
fn what(row: &Row) -> String {
    let value = row.value.map(|judged| words::value(row.quantity, judged));
    value.unwrap_or_else(|| row.words())
}

/// What is to be said beside the numbers.
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
The errors of both measurements are taken for independent. With the same meter
part of them is common, and U(d) here is too large rather than too small: fewer
changes are called real, not more.
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
