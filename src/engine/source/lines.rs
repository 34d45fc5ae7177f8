//! Lines of a table, quotes that run over them, and a last row that was torn.
//!
//! How text goes into a cell of a job's CSV files, and comes back.

use super::{Fault, Problem, Separator};

/// Says on which line a record begins.
pub(super) struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Lines<'a> {
    pub(super) const fn of(text: &'a str) -> Self {
        Self {
            text: text.as_bytes(),
            at: 0,
            line: 1,
        }
    }

    /// The line of a record, counted from one. The reader's position may stand before empty lines and remarks that it passed
    /// over. Records are asked for in their order.
    pub(super) fn line_of(&mut self, record: &csv::StringRecord) -> usize {
        let position = record.position().map_or(0, csv::Position::byte);
        self.go_to(usize::try_from(position).unwrap_or(usize::MAX));
        loop {
            match self.text.get(self.at) {
                Some(b'\r' | b'\n') => self.go_to(self.at + 1),
                Some(b'#') => {
                    let rest = &self.text[self.at..];
                    let length = memchr::memchr(b'\n', rest).unwrap_or(rest.len());
                    self.go_to(self.at + length);
                }
                _ => return self.line,
            }
        }
    }

    fn go_to(&mut self, offset: usize) {
        let offset = offset.min(self.text.len());
        for at in memchr::memchr2_iter(b'\r', b'\n', self.text.get(self.at..offset).unwrap_or(b""))
        {
            let at = self.at + at;
            let first_of_two = self.text[at] == b'\r' && self.text.get(at + 1) == Some(&b'\n');
            self.line += usize::from(!first_of_two);
        }
        self.at = offset.max(self.at);
    }
}

/// Where the text stands while its quotes are followed.
#[derive(Clone, Copy, PartialEq)]
enum QuoteState {
    LineStart,
    Remark,
    FieldStart,
    Plain,
    Quoted,
    /// Behind a quote within a quoted field: the end, unless another quote follows.
    QuoteInQuoted,
}

/// A quoted field that is never closed swallows the rest of the file: the row where it was opened.
pub(super) fn unclosed_quote(text: &str, separator: Separator) -> Option<Fault> {
    let (mut place, mut row, mut opened) = (QuoteState::LineStart, 1, 1);
    for byte in text.bytes() {
        row += usize::from(byte == b'\n');
        place = match (place, byte) {
            (QuoteState::LineStart | QuoteState::FieldStart, b'"') => {
                opened = row;
                QuoteState::Quoted
            }
            (QuoteState::Quoted, b'"') => QuoteState::QuoteInQuoted,
            (QuoteState::QuoteInQuoted, b'"') | (QuoteState::Quoted, _) => QuoteState::Quoted,
            (_, b'\n') => QuoteState::LineStart,
            (QuoteState::LineStart, b'#') | (QuoteState::Remark, _) => QuoteState::Remark,
            (_, b'\r') => QuoteState::LineStart,
            (_, byte) if byte == separator.byte() => QuoteState::FieldStart,
            _ => QuoteState::Plain,
        };
    }
    (place == QuoteState::Quoted).then(|| {
        let words = "found a quotation mark that is never closed, expected another one at the end of the field";
        Fault::in_line(opened, Problem(words.to_owned()))
    })
}

/// The length of the whole rows at the start of a table to which rows are only added, with the line end of the last: a program
/// that was killed while it wrote leaves a torn row behind them. A line end within quotation marks ends no row.
///
/// We end every line with a carriage return and a line feed, so a file whose first line ends with a line feed alone was saved by
/// another program, which wrote all of it, and many an editor leaves the last line end out: such a last row counts as whole. One
/// that has not all cells of the first is torn even so. Where whole rows stand behind a quotation mark that is never closed,
/// nothing was torn: somebody has put it there, and nothing is left out.
pub(crate) fn whole_rows(text: &[u8]) -> usize {
    let whole = ended_rows(text);
    let (rows, last) = text.split_at(whole);
    let first = memchr::memchr(b'\n', rows);
    let foreign = first.is_some_and(|end| !rows[..end].ends_with(b"\r"));
    let quotes = memchr::memchr_iter(b'"', last).count();
    let is_whole = foreign
        && quotes.is_multiple_of(2)
        && cells_of_first(last) > 1
        && cells_of_first(last) == cells_of_first(rows);
    let mut behind = last.split(|byte| *byte == b'\n').skip(1);
    let swallows =
        behind.any(|line| cells_of_first(line) > 1 && cells_of_first(line) == cells_of_first(rows));
    if is_whole || swallows {
        text.len()
    } else {
        whole
    }
}

/// End of the rows that a line end follows, in bytes.
fn ended_rows(text: &[u8]) -> usize {
    // Old line ends, a carriage return alone; one at the very end is half of ours.
    let old =
        !text.contains(&b'\n') && memchr::memchr(b'\r', text).is_some_and(|at| at + 1 < text.len());
    let end = if old { b'\r' } else { b'\n' };
    let (mut place, mut whole) = (QuoteState::FieldStart, 0);
    for (at, byte) in text.iter().enumerate() {
        place = match (place, byte) {
            (QuoteState::Quoted, b'"') => QuoteState::QuoteInQuoted,
            (QuoteState::FieldStart | QuoteState::QuoteInQuoted, b'"')
            | (QuoteState::Quoted, _) => QuoteState::Quoted,
            (_, byte) if *byte == end => {
                whole = at + 1;
                QuoteState::FieldStart
            }
            (_, b',' | b';' | b'\t' | b'\r') => QuoteState::FieldStart,
            _ => QuoteState::Plain,
        };
    }
    whole
}

/// Number of cells in the first row, whatever parts them.
fn cells_of_first(text: &[u8]) -> usize {
    let cells = |separator: Separator| {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .delimiter(separator.byte())
            .from_reader(text);
        let mut row = csv::ByteRecord::new();
        // Text in memory can be read, and without any row there are no cells.
        reader.read_byte_record(&mut row).map_or(0, |_| row.len())
    };
    Separator::ALL.into_iter().map(cells).max().unwrap_or(0)
}

/// First signs by which a spreadsheet takes a cell for a formula.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// The text of a cell. One that a spreadsheet would take for a formula gets an apostrophe in front.
pub fn cell(text: &str) -> String {
    if text.starts_with(FORMULA) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The writer of every table of ours: comma-separated values, lines ended by a carriage return and a line feed (RFC 4180).
pub(crate) fn csv_writer<W: std::io::Write>(out: W) -> csv::Writer<W> {
    csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(out)
}

/// The text that [`cell`] was given.
pub fn from_cell(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if text.starts_with(FORMULA) => text,
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_ends_outside_of_quotation_marks_only() {
        for (text, whole) in [
            ("", 0),
            ("a,b", 0),
            ("a,b\r", 0),
            ("a,b\r\n", 5),
            ("a,b\r\n1,\"x\r\ny\"\r\n", 15),
            ("a,b\r\n1,\"x\r\ny", 5),
            ("a,b\n5\" tall,2\n3", 14),
            ("a,b\n\"say \"\"5\"\"\n\",2\n3", 19),
            ("a,b\r1,2\r3", 8),
            ("a,b\r\n1,\"2\r\n3,4\r\n", 16),
        ] {
            assert_eq!(whole_rows(text.as_bytes()), whole, "{text}");
        }
    }

    #[test]
    fn only_a_file_that_another_program_saved_has_a_whole_row_without_a_line_end() {
        for (text, whole) in [
            ("a,b\n1,2\n3,4", true),
            ("a;b\n1;2\n3;4", true),
            ("\"a\",\"b\"\n\"1\",\"2\n3\"", true),
            ("a,b\r\n1,2\r\n3,4", false),
            ("a,b\n1,2\n3", false),
            ("a,b\n1,2\n3,\"4", false),
            ("a,b", false),
        ] {
            assert_eq!(whole_rows(text.as_bytes()) == text.len(), whole, "{text:?}");
        }
    }

    #[test]
    fn a_cell_is_never_a_formula_and_comes_back() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("-10/+50", "'-10/+50"),
            ("@home", "'@home"),
            ("R1", "R1"),
            ("", ""),
            ("'tis", "'tis"),
        ] {
            assert_eq!(cell(text), written);
            assert_eq!(from_cell(written), text);
        }
    }
}
