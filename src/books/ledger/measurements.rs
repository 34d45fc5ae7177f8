//! [`read_measurements`]: the results of a job.

use chrono::DateTime;

use super::{Figures, Found, Measurement};
use crate::books::results::COLUMNS;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Quantity;
use crate::engine::source::{Fault, Layout, Row, TableRemark, TextError, read_rows};

/// The rows of a `results.csv`, in their order. A torn last row is left out.
///
/// # Errors
/// If a column is missing or a cell holds something else than it should.
pub fn read_measurements(text: &[u8]) -> Result<Vec<Measurement>, TextError> {
    rows_of("results.csv", text).map(|(rows, _)| rows)
}

/// The rows of an `incoming.csv`, as [`read_measurements`] reads those of the results: new parts, a bag each.
///
/// # Errors
/// As there.
pub fn read_incoming(text: &[u8]) -> Result<Vec<Measurement>, TextError> {
    rows_of("incoming.csv", text).map(|(rows, _)| rows)
}

/// The rows, and what was found out about the file.
pub(super) fn rows_of(
    file: &str,
    text: &[u8],
) -> Result<(Vec<Measurement>, Vec<TableRemark>), TextError> {
    let names = COLUMNS.map(|(name, _)| name);
    let layout = Layout {
        file,
        names: &names,
        needed: &names,
        expected: "the columns of this version of the program",
        grows: true,
    };
    read_rows(&layout, text, is_number, measurement)
}

/// Whether a column holds numbers alone.
fn is_number(column: &str) -> bool {
    let words = [
        "value_",
        "uncertainty_",
        "nominal_",
        "lower_",
        "upper_",
        "guard_",
        "probability",
    ];
    words.iter().any(|word| column.starts_with(word))
}

fn measurement(row: &Row<'_>) -> Result<Measurement, Fault> {
    let text = |column: &str| row.text(column).to_owned();
    Ok(Measurement {
        time: row.needed("time", "a time such as 2056-11-03T19:25:30+01:00", |text| {
            DateTime::parse_from_rfc3339(text).ok()
        })?,
        sitting: text("sitting"),
        designator: text("ref"),
        step: text("step"),
        kind: text("kind"),
        listed: text("listed"),
        in_circuit: row.needed("in_circuit", "yes or no", yes_or_no)?,
        attempt: row.needed("attempt", "a whole number", |text| text.parse().ok())?,
        found: row.needed("found", "value, open or beyond range", found)?,
        figures: figures(row)?,
        probability: row.number("probability")?,
        verdict: row.needed("verdict", "a verdict", verdict)?,
        reason: text("reason"),
        checks: text("checks"),
        rule: text("rule"),
        readings: row.needed("readings", "a whole number", |text| text.parse().ok())?,
    })
}

/// The numbers with a nominal value, else those with a value.
fn figures(row: &Row<'_>) -> Result<Option<Figures>, Fault> {
    let mut with_value = None;
    for quantity in Quantity::ALL {
        // The names are those of the columns, so that a fault can say them.
        let of = |word: &str| {
            let name = format!("{word}_{}", quantity.unit_name());
            let column = COLUMNS.iter().find(|(column, _)| *column == name);
            column.map_or(Ok(None), |(column, _)| row.number(column))
        };
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
    fn what_a_spreadsheet_saved_is_read() {
        let text = file(&[
            ("ref", "R1"),
            ("nominal_ohm", "1e3"),
            ("value_ohm", "1004.75"),
            ("upper_ohm", "1010.125"),
        ]);
        let plain = read_measurements(text.as_bytes()).unwrap();
        let padded = format!("\u{feff}{}{}\n", text.replace("\r\n", "\n"), ",".repeat(56));
        assert_eq!(read_measurements(padded.as_bytes()).unwrap(), plain);
        let german = text
            .replace(',', ";")
            .replace("1004.75", "1004,75")
            .replace("1010.125", "1010,125")
            .replace("1e3", "1,0e3");
        let tabs: Vec<u8> = format!("\u{feff}{}", german.replace(';', "\t"))
            .encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect();
        for saved in [
            german.as_bytes(),
            german.replace("\r\n", "\r").as_bytes(),
            &tabs,
        ] {
            assert_eq!(read_measurements(saved).unwrap(), plain);
        }
    }

    #[test]
    fn a_wrong_cell_is_named_by_line_and_column() {
        let said = |text: &str| read_measurements(text.as_bytes()).unwrap_err().to_string();
        assert_eq!(
            said(&file(&[("verdict", "fine")])),
            "results.csv:2:verdict: found `fine`, expected a verdict"
        );
        let error = said("time,ref\n1,2\n");
        assert!(
            error.starts_with("results.csv:1: found no column `sitting`, `step`"),
            "{error}"
        );
    }
}
