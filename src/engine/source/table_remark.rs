//! [`TableRemark`]: what was found out about the file of a table, told to the person instead of decided in silence.

use std::fmt;

use super::{DecimalMark, Separator, TextEncoding};

/// What was found out about the file of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TableRemark {
    /// It is not plain UTF-8.
    Encoding(TextEncoding),
    /// Its lines end with a carriage return alone.
    CarriageReturns,
    /// Its columns are parted by something else than commas, and no setting says so.
    Separator {
        /// By what.
        separator: Separator,
        /// Whether a first line such as `sep=;` says so; else the names of the columns do.
        by_line: bool,
    },
    /// Its numbers show the decimal sign, and no setting says it.
    Decimal {
        /// The sign.
        mark: DecimalMark,
        /// The row of the first number that shows it.
        row: usize,
        /// The cell there.
        text: String,
    },
    /// Cells held blanks that do not break, or characters without width.
    OddBlanks {
        /// How many cells.
        cells: usize,
    },
    /// Something parted the thousands of a number.
    Thousands {
        /// The row.
        row: usize,
        /// The column.
        column: &'static str,
        /// The number as written.
        found: String,
        /// The number as read.
        read: String,
    },
    /// A place in the equipment that looks like a date.
    DateAsPlace {
        /// The row.
        row: usize,
        /// The column.
        column: &'static str,
        /// The text.
        found: String,
    },
}

impl fmt::Display for TableRemark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Encoding(TextEncoding::Windows1252) => f.write_str(
                "read as Windows-1252, since it is not UTF-8; look whether letters such as µ, ½ and ä are right, and save it as UTF-8 if they are not",
            ),
            Self::Encoding(encoding) => write!(f, "read as {encoding}"),
            Self::CarriageReturns => f.write_str("lines end with a carriage return alone"),
            Self::Separator {
                separator,
                by_line: true,
            } => write!(f, "columns parted by {separator}, as its first line says"),
            Self::Separator { separator, .. } => {
                write!(f, "columns parted by {separator}, as the names of the columns are")
            }
            Self::Decimal { mark, row, text } => {
                write!(f, "decimals with a {mark}, as in `{text}` in row {row}")
            }
            Self::OddBlanks { cells: 1 } => f.write_str(
                "one cell has blanks that do not break or characters without width; read as plain blanks or none",
            ),
            Self::OddBlanks { cells } => write!(
                f,
                "{cells} cells have blanks that do not break or characters without width; read as plain blanks or none"
            ),
            Self::Thousands {
                row,
                column,
                found,
                read,
            } => write!(f, "row {row}, {column}: `{found}` read as {read}"),
            Self::DateAsPlace { row, column, found } => write!(
                f,
                "row {row}, {column}: `{found}` looks like a date that a spreadsheet has made of something like `1-2`"
            ),
        }
    }
}
