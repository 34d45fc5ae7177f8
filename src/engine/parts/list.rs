//! [`PartsList`]: the parts of a job, in the order of its file.

use std::collections::HashMap;

use super::cells::{Cells, is_error, made_error, showing};
use super::header::Column;
use super::{Header, Part, Row};
use crate::engine::quantity::Drawing;
use crate::engine::source::{
    Decimals, Dialect, Fault, Layout, Problem, Table, TableRemark, TextError, each_record,
};

/// Declarations by which a parts list is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ListSettings {
    /// `M` behind a resistance means a thousand, as on some old drawings.
    pub m_is_thousand: bool,
    /// Declared separator and decimal sign.
    pub dialect: Dialect,
    /// Columns are known by their own names alone, as in recordings before 0.3.0.
    pub exact_headings: bool,
}

impl ListSettings {
    /// The conventions of the drawing that these settings describe.
    pub const fn drawing(self) -> Drawing {
        Drawing {
            m_is_thousand: self.m_is_thousand,
        }
    }
}

/// The parts of a job. Designators are unique, upper and lower case alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PartsList {
    /// The parts, in the order of the file; at least one.
    pub parts: Vec<Part>,
    /// The names of columns the program does not know, as written and in their order.
    pub extra_columns: Vec<String>,
    /// Findings on the file.
    pub remarks: Vec<TableRemark>,
}

impl PartsList {
    /// The part with this designator, upper and lower case alike.
    pub fn find(&self, designator: &str) -> Option<&Part> {
        self.parts
            .iter()
            .find(|part| part.designator.eq_ignore_ascii_case(designator))
    }
}

/// Name of the file in messages.
const FILE: &str = "parts.csv";

/// Reads the text of a parts list: comma-separated values (RFC 4180) in UTF-8, the first line naming the columns
/// `ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note,loss,leakage,frequency,sheet_ohm_per_volt,sheet_range,source_ohm,with,also,law,load,largest,group`
/// in any order, of which `ref`, `kind` and `value` are required. Names are known in upper and lower case, rows without any text are skipped,
/// rows that begin with `#` are remarks, and columns of other names are kept as they are.
///
/// It is read as spreadsheets write it, too: behind a byte order mark in UTF-8 or UTF-16, or in Windows-1252; with columns parted
/// by semicolons or tabs; with decimal commas; behind a line `sep=;`; with any line ends. What was found out so is in
/// [`PartsList::remarks`]. What can be read in two ways is an error until `settings` say which.
///
/// # Errors
/// [`TextError`] with everything that is wrong with the file, in the order of its rows.
pub fn read(text: &[u8], settings: &ListSettings) -> Result<PartsList, TextError> {
    let (names, needed) = (
        Column::ALL.map(Column::name),
        Column::REQUIRED.map(Column::name),
    );
    let layout = layout_of(&names, &needed);
    let mut table = Table::read(text, &layout, settings.dialect);
    if !table.has_rows {
        if table.faults.is_empty() {
            let words = "found an empty file, expected a line that names the columns `ref,kind,value,...` and a row for each part";
            table
                .faults
                .push(Fault::in_line(1, Problem(words.to_owned())));
        }
        return Err(TextError::new(FILE, table.faults));
    }
    let decimals = table.decimals(&layout, settings.dialect, shows);
    let Table {
        text,
        separator,
        remarks,
        mut faults,
        ..
    } = table;
    let bad_rows = !faults.is_empty();
    faults.extend(lost_designators(&text));
    let mut rows = Reader {
        header: None,
        parts: Vec::new(),
        first_rows: HashMap::new(),
        errors: faults,
        bad_rows,
        decimals,
        remarks,
        odd_cells: 0,
    };
    each_record(&text, separator, |record, row| {
        rows.take(record, row, *settings);
    });
    rows.finish()
}

/// A parts list with these columns.
pub(super) fn layout_of<'a>(names: &'a [&'static str], needed: &'a [&'static str]) -> Layout<'a> {
    Layout {
        needed,
        called: |heading| Column::called(heading).map(Column::name),
        ..Layout::of(FILE, names)
    }
}

/// Whether a cell of that column can show the decimal sign.
pub(super) fn shows(column: &'static str, text: &str) -> bool {
    Column::named(column).is_some_and(|column| showing(column, text))
}

/// Rows that would be remarks, since their designator is what a spreadsheet shows of a formula that came to nothing.
fn lost_designators(text: &str) -> Vec<Fault> {
    let cell = |line: &str| {
        let end = line.find([',', ';', '\t', '\r']).unwrap_or(line.len());
        line[..end].trim().trim_matches('"').to_owned()
    };
    let lines = (1..).zip(text.split('\n'));
    let cells = lines.map(|(row, line)| (row, cell(line)));
    let lost = cells.filter(|(_, cell)| is_error(cell));
    lost.map(|(row, found)| Fault::in_column(row, "ref", made_error(&found)))
        .collect()
}

/// State of a list that is being read.
struct Reader {
    header: Option<Header>,
    parts: Vec<Part>,
    /// Designators in lower case, with the row of each.
    first_rows: HashMap<String, usize>,
    errors: Vec<Fault>,
    /// Whether rows may hold what is no text; they are reported already.
    bad_rows: bool,
    decimals: Decimals,
    remarks: Vec<TableRemark>,
    odd_cells: usize,
}

impl Reader {
    fn take(&mut self, record: &csv::StringRecord, line: usize, settings: ListSettings) {
        let Some(header) = &self.header else {
            let (header, errors) = Header::read(record, line, settings.exact_headings);
            self.errors.extend(errors);
            self.remarks.extend(
                header
                    .other_names()
                    .map(|(found, column)| TableRemark::Heading {
                        found: found.to_owned(),
                        column,
                    }),
            );
            self.header = Some(header);
            return;
        };
        let garbled = self.bad_rows
            && record
                .iter()
                .any(|field| field.contains(char::REPLACEMENT_CHARACTER));
        if garbled || !header.is_complete() {
            return;
        }
        let mut cells = Cells::of(record, line, header, self.decimals);
        self.odd_cells += cells.odd;
        self.remarks.append(&mut cells.remarks);
        let row = Row {
            header,
            record: &cells.record,
            written: record,
            line,
            drawing: settings.drawing(),
        };
        if let Some(name) = row.designator() {
            let key = name.to_ascii_lowercase();
            if let Some(first) = self.first_rows.get(&key) {
                let words = format!(
                    "found `{name}` again, first in row {first}; expected each designator once"
                );
                let problem = Problem(words);
                self.errors.push(Fault::in_column(line, "ref", problem));
            } else {
                self.first_rows.insert(key, line);
            }
        }
        let mut errors = Vec::new();
        self.parts.extend(row.part(&mut errors));
        self.errors
            .extend(cells.explain(errors, record, header, self.decimals));
    }

    /// Partners are known once every row has been read.
    fn check_partners(&mut self) {
        for part in &self.parts {
            for name in part.partners.designators() {
                let problem = if name.eq_ignore_ascii_case(&part.designator) {
                    Problem(format!(
                        "found `{name}`, the part itself; expected the parts that it works with"
                    ))
                } else if self.first_rows.contains_key(&name.to_ascii_lowercase()) {
                    continue;
                } else {
                    Problem::cell(
                        name,
                        "designators of this list or a voltage such as `250V`, separated by blanks",
                    )
                };
                self.errors
                    .push(Fault::in_column(part.row, "with", problem));
            }
        }
    }

    fn finish(mut self) -> Result<PartsList, TextError> {
        if self.errors.is_empty() && self.parts.is_empty() {
            self.errors.push(Fault::in_line(
                1,
                Problem(
                    "found no row below the names of the columns, expected one for each part"
                        .to_owned(),
                ),
            ));
        }
        self.check_partners();
        if !self.errors.is_empty() {
            return Err(TextError::new(FILE, self.errors));
        }
        let extra_columns = self
            .header
            .map(|header| header.extra_names().clone())
            .unwrap_or_default();
        if self.odd_cells > 0 {
            let cells = self.odd_cells;
            self.remarks.push(TableRemark::OddBlanks { cells });
        }
        Ok(PartsList {
            parts: self.parts,
            extra_columns,
            remarks: self.remarks,
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::quantity::Rating;

    #[test]
    fn an_earlier_list_keeps_the_columns_that_had_no_other_names_then() {
        let text = b"ref,kind,value,voltage\nC1,capacitor,10n,600V\n";
        let today = read(text, &ListSettings::default()).unwrap();
        assert_eq!(today.parts[0].rating.dc_volts, Some(600.0));
        let exact = ListSettings {
            exact_headings: true,
            ..ListSettings::default()
        };
        let earlier = read(text, &exact).unwrap();
        assert_eq!(earlier.extra_columns, ["voltage"]);
        assert_eq!(earlier.parts[0].rating, Rating::default());
    }

    proptest! {
        #[test]
        fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), rows in "[RC1-4rk,\"\n ;%]{0,80}") {
            let _ = read(&bytes, &ListSettings::default());
            let _ = read(format!("ref,kind,value\n{rows}").as_bytes(), &ListSettings::default());
        }
    }
}
