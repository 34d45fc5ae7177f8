//! [`Results`]: one CSV row per settled value (RFC 4180).

use std::io::Write;

use chrono::{DateTime, FixedOffset, SecondsFormat, TimeDelta};

use crate::engine::impedance::Uncertain;
use crate::engine::judge::Check;
use crate::engine::parts::Part;
use crate::engine::probing::Finding;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::{Event, Plan, Record, What};
use crate::engine::source::{cell, csv_writer};

/// The columns, in order, and what they hold. Values are in the SI unit that ends the name.
pub const COLUMNS: [(&str, &str); 57] = [
    (
        "time",
        "when the value settled, RFC 3339 with the offset of the sitting's start",
    ),
    ("sitting", "name of the recording"),
    ("ref", "reference designator"),
    (
        "step",
        "which measurement of the part: value, leakage, stop, middle, sweep, make and its number, primary, or secondary",
    ),
    ("kind", "kind of part"),
    ("listed", "value as the parts list writes it"),
    ("in_circuit", "yes or no, from the parts list"),
    (
        "attempt",
        "counts the settled values of the part in the sitting; the last one counts",
    ),
    ("found", "value, open, or beyond range"),
    ("value_ohm", "settled value of a resistance"),
    ("uncertainty_ohm", "its standard uncertainty, k = 1"),
    ("nominal_ohm", "nominal value"),
    ("lower_ohm", "lower limit, empty where there is none"),
    ("upper_ohm", "upper limit, empty where there is none"),
    ("guard_ohm", "width of the guard band"),
    ("value_farad", "settled value of a capacitance"),
    ("uncertainty_farad", "its standard uncertainty, k = 1"),
    ("nominal_farad", "nominal value"),
    ("lower_farad", "lower limit"),
    ("upper_farad", "upper limit, empty where there is none"),
    ("guard_farad", "width of the guard band"),
    ("value_henry", "settled value of an inductance"),
    ("uncertainty_henry", "its standard uncertainty, k = 1"),
    ("nominal_henry", "nominal value"),
    ("lower_henry", "lower limit"),
    ("upper_henry", "upper limit, empty where there is none"),
    ("guard_henry", "width of the guard band"),
    ("value_volt", "settled value of a direct voltage"),
    ("uncertainty_volt", "its standard uncertainty, k = 1"),
    ("nominal_volt", "nominal value"),
    ("lower_volt", "lower limit"),
    ("upper_volt", "upper limit, empty where there is none"),
    ("guard_volt", "width of the guard band"),
    ("value_ampere", "settled value of a direct current"),
    ("uncertainty_ampere", "its standard uncertainty, k = 1"),
    ("nominal_ampere", "nominal value"),
    ("lower_ampere", "lower limit"),
    ("upper_ampere", "upper limit, empty where there is none"),
    ("guard_ampere", "width of the guard band"),
    (
        "value_volt_ac",
        "settled value of an alternating voltage, root mean square",
    ),
    ("uncertainty_volt_ac", "its standard uncertainty, k = 1"),
    ("nominal_volt_ac", "nominal value"),
    ("lower_volt_ac", "lower limit"),
    ("upper_volt_ac", "upper limit, empty where there is none"),
    ("guard_volt_ac", "width of the guard band"),
    (
        "value_ratio",
        "turns ratio, primary to secondary, from the voltages of both",
    ),
    ("uncertainty_ratio", "its standard uncertainty, k = 1"),
    ("nominal_ratio", "nominal value"),
    ("lower_ratio", "lower limit"),
    ("upper_ratio", "upper limit, empty where there is none"),
    ("guard_ratio", "width of the guard band"),
    ("probability", "probability of conformity, 0 to 1"),
    (
        "verdict",
        "pass, conditional pass, conditional fail, fail, or inconclusive",
    ),
    ("reason", "why"),
    (
        "checks",
        "what else was looked at: temperature, loss, safety class, loading, policy",
    ),
    ("rule", "decision rule"),
    ("readings", "readings that the value rests on"),
];

/// Writes rows to `W`; each row is flushed before [`Results::add`] returns.
#[derive(Debug)]
pub struct Results<W: Write> {
    csv: csv::Writer<W>,
    begun: DateTime<FixedOffset>,
    sitting: String,
}

impl<W: Write> Results<W> {
    /// Rows of the sitting named `sitting` that began at `begun`; `header` says whether the header row is still to be written.
    ///
    /// # Errors
    /// If the header cannot be written.
    pub fn new(
        out: W,
        begun: DateTime<FixedOffset>,
        sitting: &str,
        header: bool,
    ) -> csv::Result<Self> {
        let mut csv = csv_writer(out);
        if header {
            csv.write_record(COLUMNS.map(|(name, _)| name))?;
            csv.flush()?;
        }
        Ok(Self {
            csv,
            begun,
            sitting: sitting.to_owned(),
        })
    }

    /// Adds the row of a settled value.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn add(&mut self, part: &Part, record: &Record) -> csv::Result<()> {
        self.csv.write_record(self.row(part, record))?;
        self.csv.flush()?;
        Ok(())
    }

    /// Adds the row of a settled value if the event is one.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn hear(&mut self, event: &Event, plan: &Plan) -> csv::Result<()> {
        match &event.what {
            What::Judged(record) => self.add(&plan.parts()[record.part], record),
            _ => Ok(()),
        }
    }

    /// The cells of the row of a settled value, in the order of [`COLUMNS`].
    pub fn row(&self, part: &Part, record: &Record) -> Vec<String> {
        let settled = &record.settled;
        let judgement = &record.row;
        let (found, estimate) = match settled.finding {
            Finding::Value(estimate) => ("value", Some(estimate)),
            Finding::Open => ("open", None),
            Finding::BeyondRange => ("beyond range", None),
        };
        let read =
            estimate.map(|estimate| Uncertain::new(estimate.value, estimate.standard_uncertainty));
        let own = part.nominal.quantity();
        let columns = Quantity::ALL.map(|quantity| match quantity {
            _ if quantity == own && own == settled.quantity => numbers(part, record, read),
            // A value that follows from what was read, and what was read beside it.
            _ if quantity == own => numbers(part, record, judgement.value),
            _ if quantity == settled.quantity => value(read),
            _ => Default::default(),
        });
        [
            self.time(settled.at),
            self.sitting.clone(),
            cell(&part.designator),
            part.step.to_string(),
            part.kind.name().to_owned(),
            cell(&part.value_text),
            if part.in_circuit { "yes" } else { "no" }.to_owned(),
            judgement.attempt.to_string(),
            found.to_owned(),
        ]
        .into_iter()
        .chain(columns.into_iter().flatten())
        .chain([
            judgement.probability.map(number).unwrap_or_default(),
            judgement.verdict.name().to_owned(),
            cell(&judgement.reason),
            cell(&checks(&judgement.checks)),
            judgement.rule.name().to_owned(),
            settled.readings.to_string(),
        ])
        .collect()
    }

    fn time(&self, at: Stamp) -> String {
        let since = TimeDelta::microseconds(i64::try_from(at.micros()).unwrap_or(i64::MAX));
        let time = self.begun.checked_add_signed(since).unwrap_or(self.begun);
        time.to_rfc3339_opts(SecondsFormat::Millis, false)
    }
}

/// Value, uncertainty, nominal value, lower and upper limit, guard band.
fn numbers(part: &Part, record: &Record, found: Option<Uncertain>) -> [String; 6] {
    let band = record.row.band;
    let [found, uncertainty, ..] = value(found);
    [
        found,
        uncertainty,
        number(part.nominal.value()),
        if band.lower().is_finite() {
            number(band.lower())
        } else {
            String::new()
        },
        if band.upper().is_finite() {
            number(band.upper())
        } else {
            String::new()
        },
        record.row.guard.map(number).unwrap_or_default(),
    ]
}

/// Value and uncertainty alone.
fn value(found: Option<Uncertain>) -> [String; 6] {
    let mut cells: [String; 6] = Default::default();
    if let Some(found) = found {
        cells[0] = number(found.value);
        cells[1] = number(found.u);
    }
    cells
}

/// The checks in words, each with its verdict where it has one.
fn checks(checks: &[Check]) -> String {
    let word = |check: &Check| match check.verdict {
        Some(verdict) => format!("{} {verdict}: {}", check.aspect.name(), check.words),
        None => format!("{}: {}", check.aspect.name(), check.words),
    };
    checks.iter().map(word).collect::<Vec<_>>().join("; ")
}

/// Nine significant figures, as short as they go; an exponent where the plain form would be long.
pub(crate) fn number(value: f64) -> String {
    let rounded: f64 = format!("{value:.8e}").parse().unwrap_or(value);
    if rounded == 0.0 || (1e-4..1e12).contains(&rounded.abs()) {
        rounded.to_string()
    } else {
        format!("{rounded:e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_exact_to_nine_figures() {
        assert_eq!(number(4_712.300_000_001), "4712.3");
        assert_eq!(number(4.7e-8), "4.7e-8");
        assert_eq!(number(0.0), "0");
        assert_eq!(number(1.0 / 3.0), "0.333333333");
        assert_eq!(number(2.2e12), "2.2e12");
    }

    #[test]
    fn every_quantity_has_its_columns_in_its_place() {
        for quantity in Quantity::ALL {
            let first = 9 + 6 * quantity as usize;
            let words = ["value", "uncertainty", "nominal", "lower", "upper", "guard"];
            for (place, word) in words.into_iter().enumerate() {
                let name = format!("{word}_{}", quantity.unit_name());
                assert_eq!(COLUMNS[first + place].0, name);
            }
        }
    }

    #[test]
    fn the_readme_lists_every_column_and_no_other() {
        let readme = include_str!("../../../README.md");
        let (_, behind) = readme
            .split_once("| column | what it holds |\n|---|---|\n")
            .unwrap();
        let listed: Vec<&str> = behind
            .lines()
            .take_while(|line| line.starts_with('|'))
            .collect();
        let expected = COLUMNS.map(|(name, words)| format!("| `{name}` | {words} |"));
        assert_eq!(listed, expected);
    }
}
