//! [`of`]: the table of what a constant of the program holds, as Markdown.

use std::fmt::Display;

use crate::books::archive::{TABLES, VIEWS, View};
use crate::books::ledger::DECISION_COLUMNS;
use crate::books::ordering::{ORDER_COLUMNS, STOCK_COLUMNS};
use crate::books::results::COLUMNS;
use crate::cli::keys::KEYS;
use crate::cli::status::Status;
use crate::engine::judge::{Rule, Verdict};
use crate::engine::meter::Field;
use crate::engine::parts::{self, Choice};
use crate::views::report::owner::report_columns;
use crate::views::sound::Cue;

/// The table of the constant with that path; `None` if there is none.
pub(super) fn of(path: &str) -> Option<String> {
    Some(match path {
        "crate::cli::keys::KEYS" => {
            let row = |(key, word, what): (char, &str, &str)| [code(key), code(word), what.into()];
            markdown(["key", "command", "what it does"], KEYS.map(row))
        }
        "crate::views::sound::Cue" => {
            let row = |cue: &Cue| [code(cue), cue.pattern().rhythm(), cue.meaning().to_owned()];
            markdown(["sound", "rhythm", "meaning"], Cue::ALL.iter().map(row))
        }
        "crate::engine::judge::Verdict" => {
            let row = |verdict: Verdict| {
                [
                    verdict.to_string(),
                    verdict.meaning(Rule::GuardBand).to_owned(),
                ]
            };
            markdown(["verdict", "meaning"], Verdict::ALL.map(row))
        }
        "crate::engine::parts::Choice" => {
            let row = |choice: Choice| [code(choice), choice.meaning().to_owned()];
            markdown(["decision", "meaning"], Choice::ALL.map(row))
        }
        "crate::engine::meter::Field" => {
            let row = |field: Field| [code(field.name()), field.meaning().to_owned()];
            markdown(["field", "what it holds"], Field::ALL.map(row))
        }
        "crate::cli::status::Status" => {
            let row = |status: Status| [status.number().to_string(), status.meaning().to_owned()];
            markdown(["status", "meaning"], Status::ALL.map(row))
        }
        "crate::engine::parts::columns" => columns(parts::columns()),
        "crate::books::results::COLUMNS" => columns(COLUMNS.map(|(name, what, _)| (name, what))),
        "crate::books::ledger::DECISION_COLUMNS" => columns(DECISION_COLUMNS),
        "crate::books::ordering::STOCK_COLUMNS" => columns(STOCK_COLUMNS),
        "crate::books::ordering::ORDER_COLUMNS" => columns(ORDER_COLUMNS),
        "crate::views::report::owner::report_columns" => columns(report_columns()),
        "crate::books::archive::TABLES" => archive(),
        "crate::books::archive::VIEWS" => {
            let row = |view: &View| [code(view.name), view.what.to_owned()];
            markdown(["view", "what it shows"], VIEWS.iter().map(row))
        }
        _ => return None,
    })
}

/// A table with these heads.
pub(super) fn markdown<const COLUMNS: usize>(
    heads: [&str; COLUMNS],
    rows: impl IntoIterator<Item = [String; COLUMNS]>,
) -> String {
    let line = |cells: [String; COLUMNS]| format!("| {} |\n", cells.join(" | "));
    let rows = rows
        .into_iter()
        .map(|row| line(row.map(|cell| cell.replace('|', "\\|"))));
    let begin = [
        line(heads.map(str::to_owned)),
        line(heads.map(|_| "---".to_owned())),
    ];
    begin.into_iter().chain(rows).collect()
}

fn code(word: impl Display) -> String {
    format!("`{word}`")
}

/// Columns of a file and what they hold.
fn columns<N: Display>(columns: impl IntoIterator<Item = (N, &'static str)>) -> String {
    let columns = columns.into_iter();
    let rows = columns.map(|(name, what)| [code(name), what.to_owned()]);
    markdown(["column", "what it holds"], rows)
}

/// Every column of every table of the archive.
fn archive() -> String {
    let rows = TABLES.iter().flat_map(|table| {
        table.columns.iter().map(|column| {
            let (name, kind) = (code(column.name), column.sql_type.to_owned());
            [code(table.name), name, kind, column.what.to_owned()]
        })
    });
    markdown(["table", "column", "type", "what it holds"], rows)
}
