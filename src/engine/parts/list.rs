//! [`PartsList`]: the parts of a job, in the order of its file.

use std::collections::HashMap;

use super::cells::{Cells, showing};
use super::damage::is_error;
use super::decimal_mark::{Decimals, shown};
use super::encoding::{self, TextEncoding};
use super::lines::{Lines, unclosed_quote};
use super::separator::{self, Separator};
use super::{DecimalMark, Header, ListError, ListErrors, ListRemark, Part, Problem, Row};
use crate::engine::quantity::Drawing;

/// How a parts list is to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ListSettings {
    /// `M` behind a resistance means a thousand, as on some old drawings.
    pub m_is_thousand: bool,
    /// What parts the columns; `None`: what the names of the columns show.
    pub separator: Option<Separator>,
    /// The decimal sign; `None`: what the numbers show where columns are not parted by commas, else the point.
    pub decimal: Option<DecimalMark>,
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
    /// What was found out about the file.
    pub remarks: Vec<ListRemark>,
}

impl PartsList {
    /// The part with this designator, upper and lower case alike.
    pub fn find(&self, designator: &str) -> Option<&Part> {
        self.parts
            .iter()
            .find(|part| part.designator.eq_ignore_ascii_case(designator))
    }
}

/// Reads the text of a parts list: comma-separated values (RFC 4180) in UTF-8, the first line naming the columns
/// `ref,kind,value,tolerance,rating,material,role,from,to,in_circuit,note,loss,leakage,frequency,sheet_ohm_per_volt,sheet_range,source_ohm,with,also,law,load,largest`
/// in any order, of which `ref`, `kind` and `value` are required. Names are known in upper and lower case, rows without any text are skipped,
/// rows that begin with `#` are remarks, and columns of other names are kept as they are.
///
/// It is read as spreadsheets write it, too: behind a byte order mark in UTF-8 or UTF-16, or in Windows-1252; with columns parted
/// by semicolons or tabs; with decimal commas; behind a line `sep=;`; with any line ends. What was found out so is in
/// [`PartsList::remarks`]. What can be read in two ways is an error until `settings` say which.
///
/// # Errors
/// [`ListErrors`] with everything that is wrong with the file, in the order of its rows.
pub fn read(text: &[u8], settings: &ListSettings) -> Result<PartsList, ListErrors> {
    let decoded = encoding::decode(text);
    let mut remarks = Vec::new();
    if decoded.encoding != TextEncoding::Utf8 {
        remarks.push(ListRemark::Encoding(decoded.encoding));
    }
    if text.contains(&b'\r') && !text.contains(&b'\n') {
        remarks.push(ListRemark::CarriageReturns);
    }
    let mut errors = decoded.errors;
    if errors
        .iter()
        .any(|error| error.problem == Problem::ZeroByte)
    {
        return Err(ListErrors::new(errors));
    }
    if decoded.text.trim().is_empty() {
        errors.push(ListError::in_file(1, Problem::EmptyFile));
        return Err(ListErrors::new(errors));
    }
    let (text, separator) = match part_columns(&decoded.text, *settings, &mut remarks) {
        Ok(parted) => parted,
        Err(error) => {
            errors.push(error);
            return Err(ListErrors::new(errors));
        }
    };
    let decimals = decimals(text, separator, *settings, &mut remarks, &mut errors);
    let bad_rows: Vec<usize> = errors.iter().map(|error| error.row).collect();
    errors.extend(unclosed_quote(text, separator));
    errors.extend(lost_designators(text));
    let mut rows = Reading {
        header: None,
        parts: Vec::new(),
        first_rows: HashMap::new(),
        errors,
        bad_rows,
        decimals,
        remarks,
        odd_cells: 0,
    };
    each_record(text, separator, |record, row| {
        rows.take(record, row, settings.drawing());
    });
    rows.finish()
}

/// The text without a line for spreadsheets, and what parts its columns.
fn part_columns<'a>(
    text: &'a str,
    settings: ListSettings,
    remarks: &mut Vec<ListRemark>,
) -> Result<(&'a str, Separator), ListError> {
    let (text, by_line) = separator::first_line(text)?;
    if let (Some(found), Some(expected)) = (by_line, settings.separator)
        && found != expected
    {
        let problem = Problem::WrongSeparator { found, expected };
        return Err(ListError::in_file(1, problem));
    }
    let separator = separator::find(text, settings.separator.or(by_line))?;
    if settings.separator.is_none() && separator != Separator::Comma {
        remarks.push(ListRemark::Separator {
            separator,
            by_line: by_line.is_some(),
        });
    }
    Ok((text, separator))
}

/// How numbers are read: as declared, or as those show that can be read in one way only. Where commas part the columns they
/// are no decimal signs unless that is declared.
fn decimals(
    text: &str,
    separator: Separator,
    settings: ListSettings,
    remarks: &mut Vec<ListRemark>,
    errors: &mut Vec<ListError>,
) -> Decimals {
    if let Some(mark) = settings.decimal {
        return Decimals::Declared(mark);
    }
    if separator == Separator::Comma {
        return Decimals::AsWritten;
    }
    let mut first: [Option<Shown>; 2] = [None, None];
    let mut header = None;
    each_record(text, separator, |record, row| {
        let Some(header) = &header else {
            header = Some(Header::read(record, row).0);
            return;
        };
        for (place, text) in record.iter().enumerate() {
            let column = header.column(place);
            let Some(column) = column.filter(|column| showing(*column, text)) else {
                continue;
            };
            for mark in shown(text) {
                first[mark as usize].get_or_insert_with(|| Shown {
                    row,
                    column: column.name(),
                    text: text.trim().to_owned(),
                    mark,
                });
            }
        }
    });
    match first {
        [Some(point), Some(comma)] => {
            errors.push(Shown::contradiction(point, comma));
            Decimals::EachByItself
        }
        [Some(one), None] | [None, Some(one)] => {
            let mark = one.mark;
            remarks.push(ListRemark::Decimal {
                mark,
                row: one.row,
                text: one.text,
            });
            Decimals::Detected(mark)
        }
        [None, None] => Decimals::EachByItself,
    }
}

/// A cell that shows the decimal sign.
struct Shown {
    row: usize,
    column: &'static str,
    text: String,
    mark: DecimalMark,
}

impl Shown {
    /// The error of two cells that show different signs; it stands at the later one.
    fn contradiction(one: Self, two: Self) -> ListError {
        let (earlier, later) = if one.row <= two.row {
            (one, two)
        } else {
            (two, one)
        };
        let problem = Problem::TwoDecimals {
            found: later.text,
            mark: later.mark,
            other: earlier.text,
            other_mark: earlier.mark,
            other_row: earlier.row,
        };
        ListError::in_column(later.row, later.column, problem)
    }
}

/// Rows that would be remarks, since their designator is what a spreadsheet shows of a formula that came to nothing.
fn lost_designators(text: &str) -> Vec<ListError> {
    let cell = |line: &str| {
        let end = line.find([',', ';', '\t', '\r']).unwrap_or(line.len());
        line[..end].trim().trim_matches('"').to_owned()
    };
    let lines = (1..).zip(text.split('\n'));
    let cells = lines.map(|(row, line)| (row, cell(line)));
    let lost = cells.filter(|(_, cell)| is_error(cell));
    lost.map(|(row, found)| ListError::in_column(row, "ref", Problem::MadeError { found }))
        .collect()
}

/// The reader of the records of a text.
pub(crate) fn records(text: &str, separator: Separator) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.byte())
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
}

/// Whether a record is a remark that a spreadsheet has put in quotation marks.
pub(crate) fn is_remark(record: &csv::StringRecord) -> bool {
    record
        .get(0)
        .is_some_and(|first| first.trim_start().starts_with('#'))
}

/// Hands over every record that is no remark, with its line.
fn each_record(text: &str, separator: Separator, mut take: impl FnMut(&csv::StringRecord, usize)) {
    let mut records = records(text, separator);
    let mut lines = Lines::of(text);
    let mut record = csv::StringRecord::new();
    // Reading valid text from memory cannot fail, so an error and the end are the same.
    while records.read_record(&mut record).unwrap_or(false) {
        let line = lines.line_of(&record);
        if !is_remark(&record) {
            take(&record, line);
        }
    }
}

/// What has been read so far.
struct Reading {
    header: Option<Header>,
    parts: Vec<Part>,
    /// Designators in lower case, with the row of each.
    first_rows: HashMap<String, usize>,
    errors: Vec<ListError>,
    /// Rows that are not UTF-8; they are reported already.
    bad_rows: Vec<usize>,
    decimals: Decimals,
    remarks: Vec<ListRemark>,
    odd_cells: usize,
}

impl Reading {
    fn take(&mut self, record: &csv::StringRecord, line: usize, drawing: Drawing) {
        let Some(header) = &self.header else {
            let (header, errors) = Header::read(record, line);
            self.errors.extend(errors);
            self.header = Some(header);
            return;
        };
        let garbled = !self.bad_rows.is_empty()
            && record
                .iter()
                .any(|field| field.contains(char::REPLACEMENT_CHARACTER));
        if garbled || !header.is_complete() || record.iter().all(|field| field.trim().is_empty()) {
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
            drawing,
        };
        if let Some(name) = row.designator() {
            let key = name.to_ascii_lowercase();
            if let Some(first) = self.first_rows.get(&key) {
                let problem = Problem::Duplicate {
                    found: name.to_owned(),
                    first: *first,
                };
                self.errors.push(ListError::in_column(line, "ref", problem));
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
                    Problem::OwnPartner {
                        found: name.to_owned(),
                    }
                } else if self.first_rows.contains_key(&name.to_ascii_lowercase()) {
                    continue;
                } else {
                    Problem::UnknownPartner {
                        found: name.to_owned(),
                    }
                };
                self.errors
                    .push(ListError::in_column(part.row, "with", problem));
            }
        }
    }

    fn finish(mut self) -> Result<PartsList, ListErrors> {
        if self.errors.is_empty() && self.parts.is_empty() {
            self.errors.push(ListError::in_file(1, Problem::NoRows));
        }
        self.check_partners();
        if !self.errors.is_empty() {
            return Err(ListErrors::new(self.errors));
        }
        let extra_columns = self
            .header
            .map(|header| header.extra_names().to_vec())
            .unwrap_or_default();
        if self.odd_cells > 0 {
            let cells = self.odd_cells;
            self.remarks.push(ListRemark::OddBlanks { cells });
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

    proptest! {
        #[test]
        fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200), rows in "[RC1-4rk,\"\n ;%]{0,80}") {
            let _ = read(&bytes, &ListSettings::default());
            let _ = read(format!("ref,kind,value\n{rows}").as_bytes(), &ListSettings::default());
        }
    }
}
