//! [`Table`]: the rows of one of our CSV files, cell by cell, with an error that says where.

use std::collections::HashMap;

use super::LedgerError;
use crate::books::job::{from_cell, whole_rows};

/// The text of a CSV file with its columns by name. A torn last line (a program was killed while it wrote) is left out.
pub(super) struct Table<'a> {
    file: &'static str,
    places: HashMap<String, usize>,
    text: &'a [u8],
    reader: csv::Reader<&'a [u8]>,
}

/// A row of a [`Table`].
pub(super) struct Row<'a> {
    table: &'a Table<'a>,
    record: &'a csv::StringRecord,
}

impl<'a> Table<'a> {
    /// Begins to read. No text at all is a table without rows.
    pub(super) fn begin(file: &'static str, text: &'a [u8]) -> Result<Self, LedgerError> {
        if text.starts_with(b"\xff\xfe") || text.starts_with(b"\xfe\xff") {
            return Err(LedgerError::Utf16 { file });
        }
        let text = &text[..whole_rows(text)];
        let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text);
        let header = reader.headers().map_err(|error| not_csv(file, &error))?;
        if let (1, Some(found)) = (header.len(), parted_otherwise(header)) {
            return Err(LedgerError::Separator { file, found });
        }
        let places = header
            .iter()
            .enumerate()
            .map(|(place, name)| (name.trim().to_ascii_lowercase(), place))
            .collect();
        Ok(Self {
            file,
            places,
            text,
            reader,
        })
    }

    /// Hands every row to `take`.
    pub(super) fn each(
        mut self,
        mut take: impl FnMut(&Row<'_>) -> Result<(), LedgerError>,
    ) -> Result<(), LedgerError> {
        let mut record = csv::StringRecord::new();
        loop {
            let more = self.reader.read_record(&mut record);
            if !more.map_err(|error| not_csv(self.file, &error))? {
                return Ok(());
            }
            // A spreadsheet may pad a file with empty rows.
            if record.iter().any(|cell| !cell.trim().is_empty()) {
                take(&Row {
                    table: &self,
                    record: &record,
                })?;
            }
        }
    }
}

impl Row<'_> {
    /// The text of a cell that every row has.
    pub(super) fn text(&self, column: &str) -> Result<&str, LedgerError> {
        let place = self.table.places.get(column);
        let place = place.ok_or_else(|| LedgerError::NoColumn {
            file: self.table.file,
            column: column.to_owned(),
        })?;
        Ok(from_cell(self.record.get(*place).unwrap_or_default()))
    }

    /// The text of a cell of a column that need not be there; empty if it is not.
    pub(super) fn text_if_any(&self, column: &str) -> &str {
        self.text(column).unwrap_or_default()
    }

    /// What `read` makes of a cell; `None` for an empty one.
    pub(super) fn optional<T>(
        &self,
        column: &str,
        expected: &'static str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<Option<T>, LedgerError> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Ok(None);
        }
        let found = read(text);
        found.map(Some).ok_or_else(|| self.wrong(column, expected))
    }

    /// What `read` makes of a cell that may not be empty.
    pub(super) fn needed<T>(
        &self,
        column: &str,
        expected: &'static str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<T, LedgerError> {
        read(self.text(column)?).ok_or_else(|| self.wrong(column, expected))
    }

    /// The line that the row begins on, counted from one. A record's position may stand before the line end ahead of it.
    fn line(&self) -> u64 {
        let at = self.record.position().map_or(0, csv::Position::byte);
        let (before, rest) = self.table.text.split_at(usize::try_from(at).unwrap_or(0));
        let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
        let ahead = ends.filter(|byte| **byte == b'\n').count();
        1 + (memchr::memchr_iter(b'\n', before).count() + ahead) as u64
    }

    fn wrong(&self, column: &str, expected: &'static str) -> LedgerError {
        LedgerError::Cell {
            file: self.table.file,
            line: self.line(),
            column: column.to_owned(),
            found: self.text_if_any(column).to_owned(),
            expected,
        }
    }
}

/// What else than commas parts the columns.
fn parted_otherwise(header: &csv::StringRecord) -> Option<&'static str> {
    let only = header.get(0)?;
    [(';', "semicolons"), ('\t', "tabs")]
        .into_iter()
        .find_map(|(sign, name)| only.contains(sign).then_some(name))
}

fn not_csv(file: &'static str, error: &csv::Error) -> LedgerError {
    if matches!(error.kind(), csv::ErrorKind::Utf8 { .. }) {
        return LedgerError::NotUtf8 { file };
    }
    LedgerError::NotCsv {
        file,
        source_text: error.to_string(),
    }
}
