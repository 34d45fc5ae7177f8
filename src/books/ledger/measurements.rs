//! [`read_measurements`]: the results of a job.

use chrono::DateTime;

use super::table::{Row, Table};
use super::{Figures, Found, LedgerError, Measurement};
use crate::engine::judge::Verdict;
use crate::engine::quantity::Quantity;

/// The rows of a `results.csv`, in their order. A torn last row is left out.
///
/// # Errors
/// If a column is missing or a cell holds something else than it should.
pub fn read_measurements(text: &[u8]) -> Result<Vec<Measurement>, LedgerError> {
    rows_of("results.csv", text)
}

/// The rows of an `incoming.csv`, as [`read_measurements`] reads those of the results: new parts, a bag each.
///
/// # Errors
/// As there.
pub fn read_incoming(text: &[u8]) -> Result<Vec<Measurement>, LedgerError> {
    rows_of("incoming.csv", text)
}

fn rows_of(file: &'static str, text: &[u8]) -> Result<Vec<Measurement>, LedgerError> {
    let mut rows = Vec::new();
    Table::begin(file, text)?.each(|row| {
        rows.push(measurement(row)?);
        Ok(())
    })?;
    Ok(rows)
}

fn measurement(row: &Row<'_>) -> Result<Measurement, LedgerError> {
    let text = |column: &str| row.text(column).map(str::to_owned);
    Ok(Measurement {
        time: row.needed("time", "a time such as 2056-11-03T19:25:30+01:00", |text| {
            DateTime::parse_from_rfc3339(text).ok()
        })?,
        sitting: text("sitting")?,
        designator: text("ref")?,
        step: text("step")?,
        kind: text("kind")?,
        listed: text("listed")?,
        in_circuit: row.needed("in_circuit", "yes or no", yes_or_no)?,
        attempt: row.needed("attempt", "a whole number", |text| text.parse().ok())?,
        found: row.needed("found", "value, open or beyond range", found)?,
        figures: figures(row)?,
        probability: number(row, "probability")?,
        verdict: row.needed("verdict", "a verdict", verdict)?,
        reason: text("reason")?,
        checks: text("checks")?,
        rule: text("rule")?,
        readings: row.needed("readings", "a whole number", |text| text.parse().ok())?,
    })
}

/// The numbers with a nominal value, else those with a value.
fn figures(row: &Row<'_>) -> Result<Option<Figures>, LedgerError> {
    let mut with_value = None;
    for quantity in Quantity::ALL {
        let of = |word: &str| number(row, &format!("{word}_{}", quantity.unit_name()));
        let figures = Figures {
            quantity,
            value: of("value")?,
            uncertainty: of("uncertainty")?,
            nominal: of("nominal")?,
            lower: of("lower")?,
            upper: of("upper")?,
            guard: of("guard")?,
        };
        if figures.nominal.is_some() {
            return Ok(Some(figures));
        }
        with_value = with_value.or(figures.value.map(|_| figures));
    }
    Ok(with_value)
}

fn number(row: &Row<'_>, column: &str) -> Result<Option<f64>, LedgerError> {
    row.optional(column, "a number", |text| {
        text.parse().ok().filter(|number: &f64| number.is_finite())
    })
}

fn yes_or_no(text: &str) -> Option<bool> {
    match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

fn found(text: &str) -> Option<Found> {
    Some(match text {
        "value" => Found::Value,
        "open" => Found::Open,
        "beyond range" => Found::BeyondRange,
        _ => return None,
    })
}

fn verdict(text: &str) -> Option<Verdict> {
    Verdict::ALL
        .into_iter()
        .find(|verdict| verdict.name() == text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::results::COLUMNS;

    fn file(cells: &[(&str, &str)]) -> String {
        let names = COLUMNS.map(|(name, _)| name);
        let of = |name: &str| {
            let usual = match name {
                "time" => "2056-11-03T19:25:40.250+01:00",
                "in_circuit" => "no",
                "attempt" | "readings" => "3",
                "found" => "value",
                "verdict" => "pass",
                _ => "",
            };
            let own = cells.iter().find(|(cell, _)| *cell == name);
            own.map_or(usual, |(_, text)| text).to_owned()
        };
        format!("{}\r\n{}\r\n", names.join(","), names.map(of).join(","))
    }

    #[test]
    fn a_row_is_read_with_the_numbers_that_the_verdict_is_about() {
        let text = file(&[
            ("ref", "C4"),
            ("value_ohm", "7"),
            ("value_farad", "4.7e-8"),
            ("nominal_farad", "5e-8"),
            ("lower_farad", "4e-8"),
        ]);
        let rows = read_measurements(text.as_bytes()).unwrap();
        let figures = rows[0].figures.unwrap();
        assert_eq!(rows[0].designator, "C4");
        assert_eq!(figures.quantity, Quantity::Capacitance);
        assert_eq!((figures.value, figures.upper), (Some(4.7e-8), None));
    }

    #[test]
    fn what_a_spreadsheet_was_kept_from_running_comes_back() {
        let text = file(&[("listed", "'-12 V")]);
        let rows = read_measurements(text.as_bytes()).unwrap();
        assert_eq!(rows[0].listed, "-12 V");
    }

    #[test]
    fn a_torn_last_row_is_left_out() {
        let mut text = file(&[]);
        text.push_str("2056-11-03T19:2");
        assert_eq!(read_measurements(text.as_bytes()).unwrap().len(), 1);
        assert!(read_measurements(b"").unwrap().is_empty());
    }

    #[test]
    fn what_a_spreadsheet_saved_is_read_or_refused_with_what_to_do() {
        let text = file(&[("ref", "R1")]);
        let padded = format!("\u{feff}{}{}\n", text.replace("\r\n", "\n"), ",".repeat(56));
        let rows = read_measurements(padded.as_bytes()).unwrap();
        assert_eq!((rows.len(), rows[0].designator.as_str()), (1, "R1"));
        for (sign, name) in [(";", "semicolons"), ("\t", "tabs")] {
            let error = read_measurements(text.replace(',', sign).as_bytes()).unwrap_err();
            let words = error.to_string();
            assert!(
                words.contains(name) && words.contains("save it with commas"),
                "{words}"
            );
        }
        assert!(matches!(
            read_measurements(b"\xff\xfet\x00\n\x00"),
            Err(LedgerError::Utf16 { .. })
        ));
    }

    #[test]
    fn a_wrong_cell_is_named_by_line_and_column() {
        let error = read_measurements(file(&[("verdict", "fine")]).as_bytes()).unwrap_err();
        assert_eq!(
            error.to_string(),
            "results.csv, line 2, column `verdict`: found `fine`, expected a verdict"
        );
        let error = read_measurements(b"time,ref\n1,2\n").unwrap_err();
        assert!(error.to_string().contains("missing") || error.to_string().contains("expected"));
    }
}
