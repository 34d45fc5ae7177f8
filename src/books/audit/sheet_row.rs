//! [`SheetRow`]: a row of the results as it stands in the file.

use super::row_key::RowKey;
use crate::books::results::COLUMNS;

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
    let place = COLUMNS.iter().position(|(column, _)| *column == name);
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
