//! [`read_measurements`]: the results of a job, row by row.

use std::collections::HashSet;

use chrono::DateTime;

use crate::books::results::{COLUMNS, Holds};
use crate::engine::impedance::Uncertain;
use crate::engine::judge::{Check, Found, Rule, Verdict};
use crate::engine::parts::{Kind, Step};
use crate::engine::quantity::{Band, Quantity};
use crate::engine::sitting::Row;
use crate::engine::source::{
    Fault, Layout, Problem, Row as Cells, TableRemark, TextError, read_rows,
};

/// The rows of a `results.csv`, in their order. A torn last row is left out.
///
/// # Errors
/// If a column is missing or a cell holds something else than it should.
pub fn read_measurements(text: &[u8]) -> Result<Vec<Row>, TextError> {
    rows_of("results.csv", text).map(|(rows, _)| rows)
}

/// The rows of an `incoming.csv`, as [`read_measurements`] reads those of the results: new parts, a bag each.
///
/// # Errors
/// As there.
pub fn read_incoming(text: &[u8]) -> Result<Vec<Row>, TextError> {
    rows_of("incoming.csv", text).map(|(rows, _)| rows)
}

/// Rows of these that count: neither withdrawn by another row of their sitting, nor resting on one that is. What was
/// withdrawn stays so, also if the row that did it is withdrawn in turn.
pub fn counting(rows: &[Row]) -> Vec<&Row> {
    let mut withdrawn: HashSet<(&str, u32)> = HashSet::new();
    for row in rows {
        let named = row.withdraws.iter();
        withdrawn.extend(named.map(|number| (row.sitting.as_str(), *number)));
    }
    let mut left: Vec<&Row> = rows.iter().collect();
    loop {
        // A row may rest on one that only falls in this round.
        let (falls, stays): (Vec<&Row>, Vec<&Row>) = left.into_iter().partition(|row| {
            let mut on = row.rests_on.iter().chain([&row.row]);
            on.any(|number| withdrawn.contains(&(row.sitting.as_str(), *number)))
        });
        if falls.is_empty() {
            return stays;
        }
        withdrawn.extend(falls.iter().map(|row| (row.sitting.as_str(), row.row)));
        left = stays;
    }
}

/// The rows, and what was found out about the file.
pub(super) fn rows_of(file: &str, text: &[u8]) -> Result<(Vec<Row>, Vec<TableRemark>), TextError> {
    let names = COLUMNS.map(|(name, ..)| name);
    let layout = Layout {
        expected: "the columns of this version of the program: `probewright replay JOB --csv NEW` makes the table anew from the \
            recordings; move this one away and put the new one in its place",
        grows: true,
        ..Layout::of(file, &names)
    };
    let is_number = |column: &str| {
        let mut columns = COLUMNS.iter();
        columns.any(|(name, _, holds)| *name == column && *holds == Holds::Number)
    };
    read_rows(&layout, text, is_number, row)
}

fn row(cells: &Cells<'_>) -> Result<Row, Fault> {
    let text = |column: &str| cells.text(column).to_owned();
    let whole = |column| cells.needed(column, "a whole number", |text| text.parse().ok());
    let quantity = cells.needed("quantity", "a quantity", Quantity::named)?;
    let unit = quantity.unit_name();
    cells.needed("unit", format!("`{unit}`").as_str(), |text| {
        (text == unit).then_some(())
    })?;
    let [lower, upper] = [cells.number("lower")?, cells.number("upper")?];
    let wrong =
        |column, expected: &str| cells.wrong(column, Problem::cell(cells.text(column), expected));
    let checks = Check::in_cell(cells.text("checks"));
    Ok(Row {
        row: whole("row")?,
        time: cells.needed("time", "a time such as 2056-11-03T19:25:30+01:00", |text| {
            DateTime::parse_from_rfc3339(text).ok()
        })?,
        sitting: text("sitting"),
        designator: text("ref"),
        step: cells.needed("step", "a step, such as value or leakage", Step::named)?,
        kind: cells.needed("kind", "a kind of part", Kind::named)?,
        listed: text("listed"),
        in_circuit: cells.needed("in_circuit", "yes or no", yes_or_no)?,
        attempt: whole("attempt")?,
        found: cells.needed("found", "value, open or beyond range", Found::named)?,
        quantity,
        read: cells.number("read")?,
        value: value(cells)?,
        nominal: needed_number(cells, "nominal")?,
        band: Band::within(lower, upper)
            .ok_or_else(|| wrong("lower", "a limit that is not above the upper one"))?,
        guard: cells.number("guard")?,
        probability: cells.number("probability")?,
        value_verdict: cells.needed("value_verdict", "a verdict", Verdict::named)?,
        verdict: cells.needed("verdict", "a verdict", Verdict::named)?,
        reason: text("reason"),
        checks: checks
            .ok_or_else(|| wrong("checks", "checks with a bar between, as `loss fail: why`"))?,
        policy: text("policy"),
        rule: cells.needed("rule", "guard-band or simple", |text| {
            text.parse::<Rule>().ok()
        })?,
        readings: whole("readings")?,
        rests_on: rows_named(cells, "rests_on")?,
        withdraws: rows_named(cells, "withdraws")?,
    })
}

/// The judged value; one without its uncertainty is none.
fn value(cells: &Cells<'_>) -> Result<Option<Uncertain>, Fault> {
    let Some(value) = cells.number("value")? else {
        return Ok(None);
    };
    let u = needed_number(cells, "uncertainty")?;
    if u < 0.0 {
        let problem = Problem::cell(cells.text("uncertainty"), "a number from 0 on");
        return Err(cells.wrong("uncertainty", problem));
    }
    Ok(Some(Uncertain::new(value, u)))
}

fn needed_number(cells: &Cells<'_>, column: &'static str) -> Result<f64, Fault> {
    let number = cells.number(column)?;
    number.ok_or_else(|| cells.wrong(column, Problem::cell("", "a number")))
}

fn rows_named(cells: &Cells<'_>, column: &'static str) -> Result<Vec<u32>, Fault> {
    let read = |text: &str| text.split(' ').map(|number| number.parse().ok()).collect();
    let found = cells.optional(column, "numbers of rows with blanks between", read)?;
    Ok(found.unwrap_or_default())
}

fn yes_or_no(text: &str) -> Option<bool> {
    match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::results::{COLUMNS, Results};

    /// A file of these rows.
    fn written(rows: &[Row]) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut results = Results::new(&mut bytes, true).unwrap();
        for row in rows {
            results.add(row).unwrap();
        }
        drop(results);
        bytes
    }

    /// A file of one row with these cells instead of the usual ones.
    fn file(cells: &[(&str, &str)]) -> String {
        let names = COLUMNS.map(|(name, ..)| name);
        let usual = crate::books::results::cells(&Row::sample("R1"));
        let of = |(name, usual): (&&str, String)| {
            let own = cells.iter().find(|(cell, _)| cell == name);
            own.map_or(usual, |(_, text)| (*text).to_owned())
        };
        let row: Vec<String> = names.iter().zip(usual).map(of).collect();
        format!("{}\r\n{}\r\n", names.join(","), row.join(","))
    }

    #[test]
    fn a_row_is_read_as_it_was_written() {
        let whole = Row {
            step: Step::Secondary,
            kind: Kind::Ratio,
            quantity: Quantity::Ratio,
            band: Band::at_most(110.0).unwrap(),
            listed: "-38:1".to_owned(),
            policy: "replace".to_owned(),
            rests_on: vec![3, 12],
            withdraws: vec![7],
            ..Row::sample("=R1;\"x\", y")
        };
        let rows = [whole, Row::sample("R2")];
        assert_eq!(read_measurements(&written(&rows)).unwrap(), rows);
    }

    #[test]
    fn what_is_withdrawn_does_not_count_and_neither_does_what_rests_on_it() {
        let row = |sitting: &str, row, rests_on: &[u32], withdraws: &[u32]| Row {
            row,
            sitting: sitting.to_owned(),
            rests_on: rests_on.to_vec(),
            withdraws: withdraws.to_vec(),
            ..Row::sample("R1")
        };
        let rows = [
            row("a", 1, &[], &[]),
            row("a", 2, &[1], &[]),
            row("a", 3, &[2], &[]),
            row("a", 4, &[], &[1]),
            row("b", 1, &[], &[]),
            row("b", 2, &[1], &[]),
        ];
        let numbers = |rows: &[Row]| {
            let counting = counting(rows).into_iter();
            let keys = counting.map(|row| (row.sitting.clone(), row.row));
            keys.map(|(sitting, row)| format!("{sitting}{row}"))
                .collect::<Vec<_>>()
        };
        assert_eq!(numbers(&rows), ["a4", "b1", "b2"]);
        assert_eq!(numbers(&rows[..3]), ["a1", "a2", "a3"]);
        let mut undone = rows.to_vec();
        undone.push(row("a", 5, &[], &[4]));
        assert_eq!(numbers(&undone), ["b1", "b2", "a5"], "gone for good");
    }

    #[test]
    fn the_columns_of_an_older_version_are_refused_with_what_to_do() {
        let error = read_measurements(b"time,sitting,value_ohm\r\n1,2,3\r\n").unwrap_err();
        assert!(
            error
                .to_string()
                .contains("`probewright replay JOB --csv NEW`"),
            "{error}"
        );
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
            ("nominal", "1e3"),
            ("value", "1004.75"),
            ("upper", "1010.125"),
        ]);
        let plain = read_measurements(text.as_bytes()).unwrap();
        let padded = format!(
            "\u{feff}{}{}\n",
            text.replace("\r\n", "\n"),
            ",".repeat(COLUMNS.len() - 1)
        );
        assert_eq!(read_measurements(padded.as_bytes()).unwrap(), plain);
        let numbers = [
            ("1004.75", "1004,75"),
            ("1010.125", "1010,125"),
            ("1e3", "1,0e3"),
        ];
        let german = text
            .replace(',', ";")
            .replace("0.3;", "0,3;")
            .replace("0.6;", "0,6;");
        let german = numbers
            .iter()
            .fold(german, |text, (from, to)| text.replace(from, to));
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
        for (column, found) in [
            ("unit", "kiloohm"),
            ("uncertainty", ""),
            ("uncertainty", "-1"),
            ("nominal", ""),
            ("lower", "200"),
            ("checks", "loss good: x"),
            ("rests_on", "1;2"),
            ("step", "make 0"),
        ] {
            let said = said(&file(&[(column, found)]));
            assert!(
                said.starts_with(&format!("results.csv:2:{column}: ")),
                "{said}"
            );
        }
        let error = said("time,ref\n1,2\n");
        assert!(
            error.starts_with("results.csv:1: found no column `row`, `sitting`"),
            "{error}"
        );
    }
}
