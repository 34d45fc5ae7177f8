//! [`Results`]: one CSV row per settled value (RFC 4180), and its columns.

use std::io::Write;

use Holds::{Flag, Number, Text, Whole};
use chrono::SecondsFormat;

use crate::engine::judge::Check;
use crate::engine::sitting::{Event, Row, What};
use crate::engine::source::{cell, csv_writer};

/// Contents of the cells of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    Text,
    /// Numbers that may have decimals, or nothing.
    Number,
    /// Whole numbers.
    Whole,
    /// Yes or no.
    Flag,
}

/// The columns, in order, and what they hold. Numbers are in the SI unit of their row and read back as they were.
pub const COLUMNS: [(&str, &str, Holds); 29] = [
    ("row", "number of the row within its sitting, from 1", Whole),
    (
        "time",
        "when the value settled, RFC 3339 with the offset of the sitting's start",
        Text,
    ),
    ("sitting", "name of the recording", Text),
    ("ref", "reference designator", Text),
    (
        "step",
        "which measurement of the part: value, leakage, stop, middle, sweep, make and its number, primary, secondary, between (two places of the circuit, which `ref` names), or own (the own value of a part in circuit, from such readings)",
        Text,
    ),
    ("kind", "kind of part", Text),
    ("listed", "value as the parts list writes it", Text),
    (
        "in_circuit",
        "yes or no: by the parts list, or as the person said it with `lifted` and `rejoined`",
        Flag,
    ),
    (
        "attempt",
        "counts the settled values of the measurement in the sitting; the last one counts",
        Whole,
    ),
    ("found", "value, open, or beyond range", Text),
    (
        "quantity",
        "what is judged: resistance, capacitance, inductance, voltage, current, ac_voltage, or ratio",
        Text,
    ),
    (
        "unit",
        "its SI unit, which the numbers are in: ohm, farad, henry, volt, ampere, volt_ac, or ratio",
        Text,
    ),
    (
        "read",
        "what the meter settled at; of a ratio the voltage on the secondary, in volt_ac",
        Number,
    ),
    (
        "value",
        "what was judged, after every correction; empty where there is no value to be judged",
        Number,
    ),
    ("uncertainty", "its standard uncertainty, k = 1", Number),
    ("nominal", "nominal value, or the largest one", Number),
    ("lower", "lower limit, empty where there is none", Number),
    ("upper", "upper limit, empty where there is none", Number),
    ("guard", "width of the guard band", Number),
    ("probability", "probability of conformity, 0 to 1", Number),
    (
        "value_verdict",
        "verdict on the value alone: pass, conditional pass, conditional fail, fail, or inconclusive",
        Text,
    ),
    (
        "verdict",
        "verdict on the whole, the worst of the value and the checks",
        Text,
    ),
    ("reason", "why, from what decided", Text),
    (
        "checks",
        "what else was looked at, with a bar between: aspect, verdict where it has one, a colon, words",
        Text,
    ),
    (
        "policy",
        "what the policy did: other limits, replace; empty if nothing",
        Text,
    ),
    ("rule", "decision rule", Text),
    ("readings", "readings that the value rests on", Whole),
    (
        "rests_on",
        "rows of the same sitting whose numbers went into this one, with blanks between",
        Text,
    ),
    (
        "withdraws",
        "rows of the same sitting that this one takes back, with blanks between",
        Text,
    ),
];

/// Writes rows to `W`; each row is flushed before [`Results::add`] returns.
#[derive(Debug)]
pub struct Results<W: Write> {
    csv: csv::Writer<W>,
}

impl<W: Write> Results<W> {
    /// Rows that go to `out`; `header` says whether the header row is still to be written.
    ///
    /// # Errors
    /// If the header cannot be written.
    pub fn new(out: W, header: bool) -> csv::Result<Self> {
        let mut csv = csv_writer(out);
        if header {
            csv.write_record(COLUMNS.map(|(name, ..)| name))?;
            csv.flush()?;
        }
        Ok(Self { csv })
    }

    /// Adds the row of a settled value if the event is one.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn hear(&mut self, event: &Event) -> csv::Result<()> {
        match &event.what {
            What::Judged(record) => self.add(&record.row),
            _ => Ok(()),
        }
    }

    /// Adds a row.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn add(&mut self, row: &Row) -> csv::Result<()> {
        self.csv.write_record(cells(row))?;
        self.csv.flush()?;
        Ok(())
    }
}

/// The cells of a row, in the order of [`COLUMNS`].
pub fn cells(row: &Row) -> [String; COLUMNS.len()] {
    let maybe = |value: Option<f64>| value.map(number).unwrap_or_default();
    let [lower, upper] = row.band.limits();
    [
        row.row.to_string(),
        row.time.to_rfc3339_opts(SecondsFormat::Millis, false),
        row.sitting.clone(),
        cell(&row.designator),
        row.step.to_string(),
        row.kind.name().to_owned(),
        cell(&row.listed),
        if row.in_circuit { "yes" } else { "no" }.to_owned(),
        row.attempt.to_string(),
        row.found.name().to_owned(),
        row.quantity.name().to_owned(),
        row.quantity.unit_name().to_owned(),
        maybe(row.read),
        maybe(row.value.map(|judged| judged.value)),
        maybe(row.value.map(|judged| judged.u)),
        number(row.nominal),
        maybe(lower),
        maybe(upper),
        maybe(row.guard),
        maybe(row.probability),
        row.value_verdict.name().to_owned(),
        row.verdict.name().to_owned(),
        cell(&row.reason),
        cell(&Check::cell(&row.checks)),
        cell(&row.policy),
        row.rule.name().to_owned(),
        row.readings.to_string(),
        rows(&row.rests_on),
        rows(&row.withdraws),
    ]
}

/// The cell of a row in the column of that name; empty if there is no such column.
pub(crate) fn cell_of(name: &str, row: &Row) -> String {
    let mut columns = COLUMNS.iter().zip(cells(row));
    let found = columns.find(|((known, ..), _)| *known == name);
    found.map(|(_, cell)| cell).unwrap_or_default()
}

/// Numbers of rows, with blanks between.
fn rows(numbers: &[u32]) -> String {
    let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
    words.join(" ")
}

/// The shortest number that reads back as `value`; an exponent where the plain form would be long.
pub(crate) fn number(value: f64) -> String {
    if value == 0.0 || (1e-4..1e12).contains(&value.abs()) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_short_as_they_read_back() {
        for (value, text) in [
            (4_712.3, "4712.3"),
            (4.7e-8, "4.7e-8"),
            (0.0, "0"),
            (1.0 / 3.0, "0.3333333333333333"),
            (2.2e12, "2.2e12"),
            (0.1 + 0.2, "0.30000000000000004"),
        ] {
            assert_eq!(number(value), text);
            assert_eq!(text.parse(), Ok(value));
        }
    }
}
