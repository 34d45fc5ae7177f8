//! [`split_cans`]: a parts list with a row for each section of a can.

use super::cells::Cells;
use super::header::{Column, Header};
use super::list::{layout_of, shows};
use super::wording::KindCell;
use super::{Can, Known, ListSettings, Wording, WordingError};
use crate::engine::quantity::Drawing;
use crate::engine::source::{Decimals, Separator, Table, TextEncoding, decode, each_record};

/// A row of a parts list that became several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Split {
    pub designator: String,
    /// Sections of the can.
    pub can: Can,
}

/// The list with a row for each section of a can instead of one for all, every other row as it was; `None` if there is no can, or
/// the rows cannot be read. It is in UTF-8, behind a byte order mark unless it was plain UTF-8 before.
pub fn split_cans(bytes: &[u8], settings: ListSettings) -> Option<(Vec<u8>, Vec<Split>)> {
    let (names, needed) = (
        Column::ALL.map(Column::name),
        Column::REQUIRED.map(Column::name),
    );
    let layout = layout_of(&names, &needed);
    let mut table = Table::read(bytes, &layout, settings.dialect);
    if !table.has_rows || !table.faults.is_empty() {
        return None;
    }
    let decimals = table.decimals(&layout, settings.dialect, shows);
    let found = found(&table, decimals, settings.drawing());
    if found.is_empty() {
        return None;
    }
    let text = decode(bytes).text;
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    for one in &found {
        one.put_into(&mut lines, table.separator)?;
    }
    let mark = match table.encoding {
        TextEncoding::Utf8 => "",
        _ => "\u{feff}",
    };
    let new = format!("{mark}{}", lines.concat()).into_bytes();
    Some((new, found.into_iter().map(|one| one.split).collect()))
}

/// A can, and its row.
struct CanRow {
    /// The line that the row begins on, counted from one.
    line: usize,
    record: csv::StringRecord,
    /// Where designator and value stand.
    reference: Option<usize>,
    value: Option<usize>,
    split: Split,
}

/// Every can of the list.
fn found(table: &Table, decimals: Decimals, drawing: Drawing) -> Vec<CanRow> {
    let mut header: Option<Header> = None;
    let mut found = Vec::new();
    each_record(&table.text, table.separator, |record, line| {
        let Some(header) = &header else {
            header = Some(Header::read(record, line, false).0);
            return;
        };
        let cells = Cells::of(record, line, header, decimals).record;
        let cell = |column| {
            let cell = header.place(column).and_then(|place| cells.get(place));
            cell.unwrap_or("").trim()
        };
        let designator = cell(Column::Ref);
        let kind = KindCell::read(cell(Column::Kind), designator).ok();
        let known = Known {
            kind: kind.map(|cell| cell.kind),
            drawing,
            ..Known::default()
        };
        if let Err(WordingError::Can(can)) = Wording::read(cell(Column::Value), known) {
            found.push(CanRow {
                line,
                record: record.clone(),
                reference: header.place(Column::Ref),
                value: header.place(Column::Value),
                split: Split {
                    designator: designator.to_owned(),
                    can,
                },
            });
        }
    });
    found
}

impl CanRow {
    /// Puts a row for each section in the place of its own.
    fn put_into(&self, lines: &mut [String], separator: Separator) -> Option<()> {
        let more: usize = self
            .record
            .iter()
            .map(|cell| cell.matches('\n').count())
            .sum();
        let old = lines.get_mut(self.line - 1..self.line + more)?;
        let whole = old.concat();
        let end = match &whole[whole.trim_end_matches(['\r', '\n']).len()..] {
            "" => "\n",
            end => end,
        };
        let rows = self.rows(char::from(separator.byte()));
        let rows = rows.into_iter().map(|row| row + end).collect();
        old.fill(String::new());
        old[0] = rows;
        Some(())
    }

    /// The row once for each section, with its designator and its value.
    fn rows(&self, separator: char) -> Vec<String> {
        let names = self.split.can.designators(&self.split.designator);
        let row = |(name, section): (&String, &String)| {
            let cells = self.record.iter().enumerate();
            let cells = cells.map(|(place, cell)| match Some(place) {
                at if at == self.reference => name.clone(),
                at if at == self.value && cell.contains(',') => section.replace('.', ","),
                at if at == self.value => section.clone(),
                _ => cell.to_owned(),
            });
            let cells: Vec<String> = cells.map(|cell| quoted(cell, separator)).collect();
            cells.join(&separator.to_string())
        };
        names
            .iter()
            .zip(&self.split.can.sections)
            .map(row)
            .collect()
    }
}

/// The cell, in quotation marks if it needs them.
fn quoted(cell: String, separator: char) -> String {
    if cell.contains([separator, '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::read;

    #[test]
    fn a_can_becomes_rows_and_nothing_else_changes() {
        let list = "# the maker's list\r\nref;kind;value;rating;note\r\nC4;electrolytic;8+8uF 450V;;\"two; in one\"\r\nR1;r;4,7k;;\r\n";
        let (new, splits) = split_cans(list.as_bytes(), ListSettings::default()).unwrap();
        let expected = "# the maker's list\r\nref;kind;value;rating;note\r\nC4a;electrolytic;8uF 450V;;\"two; in one\"\r\n\
                        C4b;electrolytic;8uF 450V;;\"two; in one\"\r\nR1;r;4,7k;;\r\n";
        assert_eq!(String::from_utf8(new.clone()).unwrap(), expected);
        assert_eq!(splits[0].designator, "C4");
        let parts = read(&new, &ListSettings::default()).unwrap().parts;
        assert_eq!(parts.len(), 3);
        assert_eq!(split_cans(&new, ListSettings::default()), None);
    }
}
