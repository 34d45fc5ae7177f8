//! [`Table`]: the text of a table however a spreadsheet saved it, and [`Row`]: its cells by the names of their columns.
//!
//! [`TableRemark`]: what was found out about the file of a table, told to the person instead of decided in silence.

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;

use super::decimal_mark::Decimals;
use super::encoding::{TextEncoding, decode};
use super::lines::from_cell;
use super::lines::{Lines, unclosed_quote, whole_rows};
use super::separator::Separator;
use super::{DecimalMark, Fault, Problem, TextError, separator};

/// Declared separator and decimal sign of a table, where it does not show them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dialect {
    /// Separator of the columns; `None`: as the names of the columns show.
    pub separator: Option<Separator>,
    /// The decimal sign; `None`: what the numbers show where columns are not parted by commas, else the point.
    pub decimal: Option<DecimalMark>,
}

/// Facts about a table before it is read.
pub(crate) struct Layout<'a> {
    /// Name of the file.
    pub(crate) file: &'a str,
    /// The columns that the program knows.
    pub(crate) names: &'a [&'static str],
    /// Columns that it cannot do without.
    pub(crate) needed: &'a [&'static str],
    /// The column that a heading means by another name.
    pub(crate) called: fn(&str) -> Option<&'static str>,
    /// Text expected where one of them is missing.
    pub(crate) expected: &'a str,
    /// Whether rows are only added to it, so that the last one may be torn.
    pub(crate) grows: bool,
}

impl<'a> Layout<'a> {
    /// A table of exactly these columns, which have no other names.
    pub(crate) fn of(file: &'a str, names: &'a [&'static str]) -> Self {
        Self {
            file,
            names,
            needed: names,
            called: |_| None,
            expected: "",
            grows: false,
        }
    }

    /// The column of that heading, upper and lower case alike.
    pub(super) fn column(&self, heading: &str) -> Option<&'static str> {
        let mut names = self.names.iter().copied();
        let own = names.find(|known| known.eq_ignore_ascii_case(heading.trim()));
        own.or_else(|| (self.called)(heading))
    }
}

/// The text of a table, and what was found out about it.
pub(crate) struct Table {
    /// The text in UTF-8 without byte order mark, first line for spreadsheets and torn last row.
    pub(crate) text: String,
    pub(crate) encoding: TextEncoding,
    pub(crate) separator: Separator,
    pub(crate) remarks: Vec<TableRemark>,
    /// Bytes of the file up to a torn last row.
    pub(crate) whole: usize,
    /// Faults of it so far.
    pub(crate) faults: Vec<Fault>,
    /// Whether its rows can be read in spite of the faults.
    pub(crate) has_rows: bool,
}

impl Table {
    /// Looks at the bytes of a file.
    pub(crate) fn read(bytes: &[u8], layout: &Layout<'_>, said: Dialect) -> Self {
        let utf16 = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
        let whole = if layout.grows && !utf16 {
            &bytes[..whole_rows(bytes)]
        } else {
            bytes
        };
        let decoded = decode(whole);
        let mut table = Self {
            has_rows: decoded.is_text && !decoded.text.trim().is_empty(),
            text: decoded.text,
            encoding: decoded.encoding,
            separator: Separator::Comma,
            remarks: Vec::new(),
            whole: whole.len(),
            faults: decoded.faults,
        };
        if table.encoding != TextEncoding::Utf8 {
            table.remarks.push(TableRemark::Encoding(table.encoding));
        }
        if whole.contains(&b'\r') && !whole.contains(&b'\n') {
            table.remarks.push(TableRemark::CarriageReturns);
        }
        if table.has_rows
            && let Err(fault) = table.part_columns(layout, said)
        {
            table.faults.push(fault);
            table.has_rows = false;
        }
        if table.has_rows {
            table
                .faults
                .extend(unclosed_quote(&table.text, table.separator));
        }
        table
    }

    /// The record that names the columns; empty if there is none.
    pub(crate) fn header(&self) -> csv::StringRecord {
        header_of(&self.text, self.separator).0
    }

    /// Takes a line for spreadsheets off, and finds what parts the columns.
    fn part_columns(&mut self, layout: &Layout<'_>, said: Dialect) -> Result<(), Fault> {
        let (rest, by_line) = separator::first_line(&self.text)?;
        if let (Some(found), Some(expected)) = (by_line, said.separator)
            && found != expected
        {
            return Err(separator::contradiction(1, found, expected));
        }
        let known = said.separator.or(by_line);
        let separator = separator::find(rest, known, layout)?;
        let taken_off = self.text.len() - rest.len();
        self.text.drain(..taken_off);
        self.separator = separator;
        if said.separator.is_none() && separator != Separator::Comma {
            self.remarks.push(TableRemark::Separator {
                separator,
                by_line: by_line.is_some(),
            });
        }
        Ok(())
    }

    /// Decimal sign of its numbers: as declared, or as those show that can be read in one way only. Where commas part the columns
    /// they are no decimal signs unless that is declared. `shows` says whether a cell of that column can show the sign.
    pub(crate) fn decimals(
        &mut self,
        layout: &Layout<'_>,
        said: Dialect,
        shows: impl Fn(&'static str, &str) -> bool,
    ) -> Decimals {
        if let Some(mark) = said.decimal {
            return Decimals::Declared(mark);
        }
        if self.separator == Separator::Comma {
            return Decimals::AsWritten;
        }
        let mut evidence = super::decimal_mark::Evidence::default();
        let mut columns: Option<Vec<Option<&'static str>>> = None;
        each_record(&self.text, self.separator, |record, line| {
            let Some(columns) = &columns else {
                columns = Some(record.iter().map(|name| layout.column(name)).collect());
                return;
            };
            for (column, text) in columns.iter().zip(record) {
                if let Some(column) = column.filter(|column| shows(column, text)) {
                    evidence.see(line, column, text);
                }
            }
        });
        evidence.decimals(&mut self.remarks, &mut self.faults)
    }
}

/// Hands over every record that has text and is no remark, with its line.
pub(crate) fn each_record(
    text: &str,
    separator: Separator,
    mut take: impl FnMut(&csv::StringRecord, usize),
) {
    each_while(text, separator, |record, line| {
        take(record, line);
        true
    });
}

/// Reads rows likewise, as long as `take` wants more.
fn each_while(
    text: &str,
    separator: Separator,
    mut take: impl FnMut(&csv::StringRecord, usize) -> bool,
) {
    let mut records = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.byte())
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut lines = Lines::of(text);
    let mut record = csv::StringRecord::new();
    // Reading valid text from memory cannot fail, so an error and the end are the same.
    while records.read_record(&mut record).unwrap_or(false) {
        let line = lines.line_of(&record);
        // A spreadsheet puts a remark in quotation marks, and pads a file with rows without text.
        let is_remark = record
            .get(0)
            .is_some_and(|first| first.trim_start().starts_with('#'));
        if !is_remark && width(&record) > 0 && !take(&record, line) {
            return;
        }
    }
}

/// Number of fields of a record up to the last one with text.
pub(crate) fn width(record: &csv::StringRecord) -> usize {
    let is_text = |field: &str| !field.trim().is_empty();
    let blank = record.iter().rev().take_while(|field| !is_text(field));
    record.len() - blank.count()
}

/// The record that names the columns, and its line; an empty one if there is none.
pub(super) fn header_of(text: &str, separator: Separator) -> (csv::StringRecord, usize) {
    let mut header = (csv::StringRecord::new(), 1);
    each_while(text, separator, |record, line| {
        header = (record.clone(), line);
        false
    });
    header
}

/// Most faults of one table that are told; there is no end of them where a file is not what it should be.
const MOST_FAULTS: usize = 10;

/// Reads a table, each row as `take` makes something of it, with what was found out about the file. No text at all is a table
/// without rows. `is_number` says which columns hold numbers alone.
///
/// # Errors
/// [`TextError`] with everything that is wrong with the file.
pub(crate) fn read_rows<T>(
    layout: &Layout<'_>,
    bytes: &[u8],
    is_number: impl Fn(&str) -> bool,
    mut take: impl FnMut(&Row<'_>) -> Result<T, Fault>,
) -> Result<(Vec<T>, Vec<TableRemark>), TextError> {
    let said = Dialect::default();
    let mut table = Table::read(bytes, layout, said);
    let mut rows = Vec::new();
    if !table.has_rows && table.faults.is_empty() && !layout.grows {
        let words = format!("found an empty file, expected {}", layout.expected);
        table.faults.push(Fault::in_line(1, Problem(words)));
    }
    if table.has_rows {
        let decimals = match table.decimals(layout, said, |column, _| is_number(column)) {
            // Tables of ours have nothing that parts thousands, and in others all numbers are alike.
            Decimals::Detected(mark) => Decimals::Declared(mark),
            decimals => decimals,
        };
        let mut places = HashMap::new();
        let (text, separator, faults) = (&table.text, table.separator, &mut table.faults);
        each_while(text, separator, |record, line| {
            if places.is_empty() {
                places = places_of(record);
                faults.extend(missing(layout, &places, line));
            } else {
                let row = Row {
                    places: &places,
                    record,
                    line,
                    decimals,
                };
                match take(&row) {
                    Ok(row) => rows.push(row),
                    Err(fault) => faults.push(fault),
                }
            }
            faults.len() < MOST_FAULTS
        });
    }
    if table.faults.is_empty() {
        Ok((rows, table.remarks))
    } else {
        Err(TextError::new(layout.file, table.faults))
    }
}

/// The place of each column by its name in lower case.
fn places_of(header: &csv::StringRecord) -> HashMap<String, usize> {
    let names = header.iter().map(|name| name.trim().to_ascii_lowercase());
    names.zip(0..).collect()
}

/// The columns that are not there.
fn missing(layout: &Layout<'_>, places: &HashMap<String, usize>, line: usize) -> Option<Fault> {
    let needed = layout.needed.iter();
    let missing = needed.filter(|name| !places.contains_key(**name));
    let missing: Vec<String> = missing.map(|name| format!("`{name}`")).collect();
    let words = format!(
        "found no column {}, expected {}",
        missing.join(", "),
        layout.expected
    );
    (!missing.is_empty()).then(|| Fault::in_line(line, Problem(words)))
}

/// A row of a table.
pub(crate) struct Row<'a> {
    places: &'a HashMap<String, usize>,
    record: &'a csv::StringRecord,
    /// The line that it begins on, counted from one.
    pub(crate) line: usize,
    decimals: Decimals,
}

impl Row<'_> {
    /// The text of a cell; empty if there is no such column.
    pub(crate) fn text(&self, column: &str) -> &str {
        let place = self.places.get(column);
        let cell = place.and_then(|place| self.record.get(*place));
        from_cell(cell.unwrap_or_default())
    }

    /// Result of `read` on a cell; `None` for an empty one.
    pub(crate) fn optional<T>(
        &self,
        column: &'static str,
        expected: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<Option<T>, Fault> {
        match self.text(column).trim() {
            "" => Ok(None),
            _ => self.needed(column, expected, read).map(Some),
        }
    }

    /// Result of `read` on a cell that may not be empty.
    pub(crate) fn needed<T>(
        &self,
        column: &'static str,
        expected: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<T, Fault> {
        let text = self.text(column).trim();
        read(text).ok_or_else(|| self.wrong(column, Problem::cell(text, expected)))
    }

    /// The number in a cell, with a point or with the decimal sign of the table; `None` for an empty one.
    pub(crate) fn number(&self, column: &'static str) -> Result<Option<f64>, Fault> {
        let text = self.text(column).trim();
        let plain = self.plain(text);
        let plain = plain.map_err(|problem| self.wrong(column, problem))?;
        self.optional(column, "a number", |_| {
            plain.parse().ok().filter(|number: &f64| number.is_finite())
        })
    }

    /// A text with its numbers written with a point.
    ///
    /// # Errors
    /// If one of them can be read in two ways, or in none.
    pub(crate) fn plain<'a>(&self, text: &'a str) -> Result<Cow<'a, str>, Problem> {
        match self.decimals {
            Decimals::AsWritten => Ok(Cow::Borrowed(text)),
            decimals => decimals.plain(text).map(|(plain, _)| Cow::Owned(plain)),
        }
    }

    /// A fault of a cell.
    pub(crate) fn wrong(&self, column: &'static str, problem: Problem) -> Fault {
        Fault::in_column(self.line, column, problem)
    }
}

/// Findings on the file of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TableRemark {
    /// Not plain UTF-8.
    Encoding(TextEncoding),
    /// Its lines end with a carriage return alone.
    CarriageReturns,
    /// Its columns are parted by something else than commas, and no setting says so.
    Separator {
        /// Character that parts the columns.
        separator: Separator,
        /// Whether a first line such as `sep=;` says so; else the names of the columns do.
        by_line: bool,
    },
    /// Its numbers show the decimal sign, and no setting says it.
    Decimal {
        /// Sign before the decimals.
        mark: DecimalMark,
        /// The row of the first number that shows it.
        row: usize,
        /// The cell there.
        text: String,
    },
    /// A heading that means a column by another name.
    Heading {
        /// Heading as it stands in the file.
        found: String,
        /// The column.
        column: &'static str,
    },
    /// Cells held blanks that do not break, or characters without width.
    OddBlanks {
        /// Cells of the row.
        cells: usize,
    },
    /// Something parted the thousands of a number.
    Thousands {
        /// Line of the file, from 1.
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
        /// Line of the file, from 1.
        row: usize,
        /// The column.
        column: &'static str,
        /// As it was written.
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
            Self::Heading { found, column } => write!(f, "column `{found}` read as `{column}`"),
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
