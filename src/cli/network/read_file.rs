//! A file of readings between nodes, typed by hand.

use std::path::Path;

use anyhow::{Context as _, Result};

use super::Wired;
use super::between::find;
use crate::engine::impedance::Uncertain;
use crate::engine::network::{Read, Readings};
use crate::engine::source::{Fault, Layout, Problem, read_rows};

/// Its columns.
const COLUMNS: [&str; 4] = ["from", "to", "ohm", "uncertainty"];

/// Expected in the column of the reading.
const READ: &str =
    "a resistance in ohm over zero, or `over` and the end of the range, as in `over 20e6`";

/// Adds the readings of a file, which come in the place of others between the same nodes.
pub(super) fn add(wired: &Wired, file: &Path, readings: &mut Readings) -> Result<()> {
    let name = file.display().to_string();
    let text = std::fs::read(file).with_context(|| format!("cannot read `{name}`"))?;
    let layout = Layout {
        expected: "a first row `from,to,ohm,uncertainty`, the uncertainty as a standard one (k = 1) in ohm",
        ..Layout::of(&name, &COLUMNS)
    };
    let (rows, _) = read_rows(
        &layout,
        &text,
        |column| column == "uncertainty",
        |row| {
            let node = |column: &'static str| {
                let named = find(wired, row.text(column));
                named.map_err(|error| row.wrong(column, Problem(error.0)))
            };
            let ends = [node("from")?, node("to")?];
            if ends[0] == ends[1] {
                return Err(row.wrong(
                    "to",
                    Problem("found one node twice, expected two".to_owned()),
                ));
            }
            let text = row.text("ohm").trim().to_lowercase();
            let over = text.strip_prefix("over").map(str::trim);
            let ohms = positive(over.unwrap_or(&text));
            let ohms =
                ohms.ok_or_else(|| row.wrong("ohm", Problem::cell(row.text("ohm"), READ)))?;
            let read = if over.is_some() {
                Read::Beyond(ohms)
            } else {
                let u = row.number("uncertainty")?.filter(|u| *u > 0.0);
                let expected = "the standard uncertainty in ohm, over zero";
                let u = u.ok_or_else(|| {
                    row.wrong(
                        "uncertainty",
                        Problem::cell(row.text("uncertainty"), expected),
                    )
                })?;
                Read::Ohms(Uncertain::new(ohms, u))
            };
            Ok::<_, Fault>((ends, read))
        },
    )?;
    for (ends, read) in rows {
        readings.add(ends, read);
    }
    Ok(())
}

fn positive(text: &str) -> Option<f64> {
    let value: f64 = text.parse().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}
