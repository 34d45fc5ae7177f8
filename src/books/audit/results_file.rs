//! [`ResultsFile`]: a file of results as it stands, read cell by cell however it was saved.
//!
//! [`SheetRow`]: a row of the results as it stands in the file.
//!
//! [`RowKey`]: which measurement a row of the results is about.

use std::collections::HashMap;
use std::fmt;

use serde::Serialize;

use crate::books::results::COLUMNS;
use crate::engine::source::{
    Dialect, Layout, Separator, Table, TextEncoding, each_record, from_cell,
};

/// Columns of 0.1.0, those for each unit between its two groups.
const COLUMNS_OF_0_1_0: [[&str; 9]; 2] = [
    [
        "time",
        "sitting",
        "ref",
        "step",
        "kind",
        "listed",
        "in_circuit",
        "attempt",
        "found",
    ],
    [
        "probability",
        "verdict",
        "reason",
        "checks",
        "rule",
        "readings",
        "",
        "",
        "",
    ],
];

/// The columns without which no row can be told from another.
const KEY: [&str; 4] = ["sitting", "ref", "step", "attempt"];

/// A file of results as it stands.
#[derive(Debug, Clone, Default)]
pub struct ResultsFile {
    rows: Vec<SheetRow>,
    by_sitting: HashMap<String, Vec<usize>>,
    signs: Vec<&'static str>,
    missing: Vec<&'static str>,
    further: Vec<String>,
    earlier: Option<&'static str>,
    torn: Option<u64>,
}

impl ResultsFile {
    /// Reads a file of results. Nothing is refused: what cannot be read shows as a difference.
    pub fn read(bytes: &[u8]) -> Self {
        let names = COLUMNS.map(|(name, ..)| name);
        let layout = Layout {
            needed: &KEY,
            ..Layout::of("results.csv", &names)
        };
        let table = Table::read(bytes, &layout, Dialect::default());
        let mut sheet = Self {
            signs: signs(&table),
            ..Self::default()
        };
        sheet.take_rows(&table);
        for (index, row) in sheet.rows.iter().enumerate() {
            let sitting = row.named("sitting").to_owned();
            sheet.by_sitting.entry(sitting).or_default().push(index);
        }
        sheet
    }

    /// Every row, in the order of the file.
    pub fn rows(&self) -> &[SheetRow] {
        &self.rows
    }

    /// The rows of a sitting, as indices into [`rows`](Self::rows).
    pub fn rows_of(&self, sitting: &str) -> &[usize] {
        self.by_sitting.get(sitting).map_or(&[], Vec::as_slice)
    }

    /// Signs that another program wrote the file, as clauses for people.
    pub fn signs(&self) -> &[&'static str] {
        &self.signs
    }

    /// Columns that the program writes and the file lacks.
    pub fn missing(&self) -> &[&'static str] {
        &self.missing
    }

    /// Columns that the program does not write.
    pub fn further(&self) -> &[String] {
        &self.further
    }

    /// The earlier version whose columns the file has.
    pub fn earlier(&self) -> Option<&'static str> {
        self.earlier
    }

    /// The line of a last row that ends too early, and is left out.
    pub fn torn(&self) -> Option<u64> {
        self.torn
    }

    /// Whether its rows can be told from one another.
    pub fn can_be_compared(&self) -> bool {
        !KEY.iter().any(|name| self.missing.contains(name))
    }

    fn take_rows(&mut self, table: &Table) {
        let mut again = csv::WriterBuilder::new()
            .flexible(true)
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        let mut places = Vec::new();
        let mut width = 0;
        each_record(&table.text, table.separator, |record, line| {
            let line = line as u64;
            // Writing into memory does not fail.
            let _ = again.write_record(record);
            if width == 0 {
                width = record.len();
                places = self.take_header(record);
            } else {
                self.rows.push(row(line, record, &places));
                // Only the last one counts: a row of another length elsewhere was edited, not torn.
                self.torn = (record.len() < width).then_some(line);
            }
        });
        if table.text.ends_with('\n') {
            self.torn = None;
        } else if self.torn.is_some() {
            self.rows.pop();
            return;
        }
        self.sign_of_writing(&table.text, &again.into_inner().unwrap_or_default());
    }

    fn sign_of_writing(&mut self, text: &str, again: &[u8]) {
        if !text.is_empty() && !text.ends_with('\n') {
            self.signs.push("no line end behind the last row");
        } else if self.signs.is_empty() && text.as_bytes() != again {
            self.signs
                .push("quotes or line ends that the program does not write");
        }
    }

    /// For each of our columns where the file has it.
    fn take_header(&mut self, header: &csv::StringRecord) -> Vec<Option<usize>> {
        let names: Vec<&str> = header.iter().map(str::trim).collect();
        self.earlier = is_of_0_1_0(&names).then_some("0.1.0");
        let ours = |name: &str| COLUMNS.iter().any(|(column, ..)| *column == name);
        self.further = names
            .iter()
            .filter(|name| !ours(name))
            .map(|name| (*name).to_owned())
            .collect();
        let place = |name: &str| names.iter().position(|found| *found == name);
        let places: Vec<_> = COLUMNS.iter().map(|(name, ..)| place(name)).collect();
        self.missing = COLUMNS
            .iter()
            .zip(&places)
            .filter(|(_, place)| place.is_none())
            .map(|((name, ..), _)| *name)
            .collect();
        places
    }
}

/// Whether the names are the columns of 0.1.0, which had six for each unit.
fn is_of_0_1_0(names: &[&str]) -> bool {
    let of_unit = |unit: &'static str| {
        let what = ["value", "uncertainty", "nominal", "lower", "upper", "guard"];
        what.map(|what| format!("{what}_{unit}"))
    };
    let units = [
        "ohm", "farad", "henry", "volt", "ampere", "volt_ac", "ratio",
    ];
    let [before, behind] = COLUMNS_OF_0_1_0.map(|group| group.map(str::to_owned));
    let all = before
        .into_iter()
        .chain(units.into_iter().flat_map(of_unit))
        .chain(behind);
    all.filter(|name| !name.is_empty())
        .eq(names.iter().copied())
}

/// Signs that another program wrote it.
fn signs(table: &Table) -> Vec<&'static str> {
    let mut signs = Vec::new();
    match table.encoding {
        TextEncoding::Utf8 if table.faults.is_empty() => {}
        TextEncoding::MarkedUtf8 => signs.push("a byte order mark in front"),
        _ => signs.push("not UTF-8"),
    }
    match table.separator {
        Separator::Comma => {}
        Separator::Semicolon => signs.push("semicolons between the cells"),
        Separator::Tab => signs.push("tabs between the cells"),
    }
    if table.text.contains('\n') && !table.text.contains("\r\n") {
        signs.push("lines that end with LF instead of CRLF");
    }
    signs
}

fn row(line: u64, record: &csv::StringRecord, places: &[Option<usize>]) -> SheetRow {
    let cell = |place: &Option<usize>| {
        let text = record.get((*place)?);
        Some(text.unwrap_or_default().to_owned())
    };
    SheetRow::new(line, places.iter().map(cell).collect())
}

/// A row of the results as it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// The line of the file that it begins on, from 1.
    pub line: u64,
    /// Its cells, in the order of [`COLUMNS`]; `None` where the file has no such column.
    cells: Vec<Option<String>>,
}

impl SheetRow {
    pub(super) fn new(line: u64, cells: Vec<Option<String>>) -> Self {
        Self { line, cells }
    }

    /// The cell of the column at that place of [`COLUMNS`]; `None` where the file has no such column.
    pub fn cell(&self, place: usize) -> Option<&str> {
        self.cells.get(place)?.as_deref()
    }

    /// The cell of the column of that name; empty where the file has no such column.
    pub(super) fn named(&self, name: &str) -> &str {
        self.cell(place_of(name)).unwrap_or_default()
    }

    pub(super) fn key(&self) -> RowKey {
        RowKey::of(self.named("ref"), self.named("step"), self.named("attempt"))
    }
}

/// The place of a column in [`COLUMNS`].
pub(super) fn place_of(name: &str) -> usize {
    let place = COLUMNS.iter().position(|(column, ..)| *column == name);
    place.unwrap_or_else(|| unreachable!("`{name}` is a column of the results"))
}

/// The cell of that name in a replayed row.
pub(super) fn replayed_cell<'a>(row: &'a [String], name: &str) -> &'a str {
    row.get(place_of(name)).map_or("", String::as_str)
}

/// The key of a replayed row.
pub(super) fn replayed_key(row: &[String]) -> RowKey {
    let cell = |name| replayed_cell(row, name);
    RowKey::of(cell("ref"), cell("step"), cell("attempt"))
}

/// The measurement and part of a row; within a sitting no two rows have the same.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct RowKey {
    #[serde(rename = "ref")]
    pub designator: String,
    pub step: String,
    /// Counts the settled values of that measurement.
    pub attempt: String,
}

impl RowKey {
    /// The key in these three cells.
    pub(super) fn of(designator: &str, step: &str, attempt: &str) -> Self {
        Self {
            designator: from_cell(designator).to_owned(),
            step: step.to_owned(),
            attempt: attempt.to_owned(),
        }
    }
}

impl fmt::Display for RowKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}, attempt {}",
            self.designator, self.step, self.attempt
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header(separator: &str) -> String {
        COLUMNS.map(|(name, ..)| name).join(separator)
    }

    fn row(designator: &str, separator: &str) -> String {
        let cell = |name: &str| match name {
            "sitting" => "one".to_owned(),
            "ref" => designator.to_owned(),
            "attempt" => "1".to_owned(),
            _ => String::new(),
        };
        COLUMNS.map(|(name, ..)| cell(name)).join(separator)
    }

    #[test]
    fn rows_are_found_by_sitting_with_the_lines_they_begin_on() {
        let text = format!(
            "{}\r\n{}\r\n{}\r\n",
            header(","),
            row("R1", ","),
            row("R2", ",")
        );
        let sheet = ResultsFile::read(text.as_bytes());
        assert_eq!(sheet.rows_of("one"), [0, 1]);
        assert_eq!(
            sheet.rows().iter().map(|row| row.line).collect::<Vec<_>>(),
            [2, 3]
        );
        assert_eq!(sheet.rows()[1].key().designator, "R2");
        assert!(sheet.signs().is_empty(), "{:?}", sheet.signs());
        assert!(sheet.missing().is_empty() && sheet.further().is_empty());
    }

    #[test]
    fn what_another_program_writes_is_read_and_named() {
        let text = format!("\u{feff}{}\n{}\n", header(";"), row("R1", ";"));
        let sheet = ResultsFile::read(text.as_bytes());
        assert_eq!(sheet.rows_of("one"), [0]);
        assert_eq!(sheet.signs().len(), 3, "{:?}", sheet.signs());
        let quoted = format!("{}\r\n{}\r\n", header(","), row("\"R1\"", ","));
        assert_eq!(ResultsFile::read(quoted.as_bytes()).signs().len(), 1);
        let open = format!("{}\r\n{}", header(","), row("R1", ","));
        assert_eq!(ResultsFile::read(open.as_bytes()).rows().len(), 1);
    }

    #[test]
    fn a_torn_last_row_is_left_out_and_named() {
        let text = format!("{}\r\n{}\r\n2056-11-03T19", header(","), row("R1", ","));
        let sheet = ResultsFile::read(text.as_bytes());
        assert_eq!((sheet.rows().len(), sheet.torn()), (1, Some(3)));
        let short = &text[..text.len() - "\r\n2056-11-03T19".len() - 1];
        let sheet = ResultsFile::read(short.as_bytes());
        assert_eq!((sheet.rows().len(), sheet.torn()), (0, Some(2)));
    }

    #[test]
    fn columns_are_found_by_name_in_any_order() {
        let sheet = ResultsFile::read(b"ref,note,sitting\r\nR1,mine,one\r\n");
        assert_eq!(sheet.further(), ["note"]);
        assert!(sheet.missing().contains(&"verdict") && !sheet.can_be_compared());
        assert_eq!(sheet.rows_of("one"), [0]);
    }

    #[test]
    fn the_columns_of_an_earlier_version_are_known() {
        let kept = include_bytes!("../../../tests/versions/0.1.0/results.csv");
        assert_eq!(ResultsFile::read(kept).earlier(), Some("0.1.0"));
        assert_eq!(ResultsFile::read(b"time,sitting\r\n").earlier(), None);
    }

    #[test]
    fn no_text_at_all_is_a_sheet_without_rows() {
        let sheet = ResultsFile::read(b"");
        assert!(sheet.rows().is_empty() && sheet.signs().is_empty());
    }
}
