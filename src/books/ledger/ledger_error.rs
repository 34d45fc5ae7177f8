//! [`LedgerError`]: a file of the ledger cannot be read.

use thiserror::Error;

/// What is wrong with `results.csv` or `decisions.csv`, and where.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LedgerError {
    /// Not comma-separated values in UTF-8.
    #[error("{file}: {source_text}")]
    NotCsv {
        /// Name of the file.
        file: &'static str,
        /// What the reader says.
        source_text: String,
    },
    /// Not UTF-8: a spreadsheet has saved the file.
    #[error(
        "{file}: found bytes that are not UTF-8, expected UTF-8; a spreadsheet has saved it so: save it with commas, decimals with a point, and in UTF-8"
    )]
    NotUtf8 {
        /// Name of the file.
        file: &'static str,
    },
    /// Columns parted by something else than commas: a spreadsheet has saved the file.
    #[error(
        "{file}: found columns parted by {found}, expected commas; a spreadsheet has saved it so, and may have rounded its numbers: \
         move the file away and put an older copy in its place, or save it with commas, decimals with a point, and in UTF-8"
    )]
    Separator {
        /// Name of the file.
        file: &'static str,
        /// What parts them.
        found: &'static str,
    },
    /// UTF-16: a spreadsheet has saved the file.
    #[error(
        "{file}: found UTF-16, expected UTF-8; a spreadsheet has saved it so: save it with commas, decimals with a point, and in UTF-8"
    )]
    Utf16 {
        /// Name of the file.
        file: &'static str,
    },
    /// A column is not there.
    #[error(
        "{file}: the column `{column}` is missing; was the file written by another version of the program?"
    )]
    NoColumn {
        /// Name of the file.
        file: &'static str,
        /// Name of the column.
        column: String,
    },
    /// A cell does not hold what it should.
    #[error("{file}, line {line}, column `{column}`: found `{found}`, expected {expected}")]
    Cell {
        /// Name of the file.
        file: &'static str,
        /// The line that the row begins on, counted from one.
        line: u64,
        /// Name of the column.
        column: String,
        /// What it holds.
        found: String,
        /// What it should hold.
        expected: &'static str,
    },
}
