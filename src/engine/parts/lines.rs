//! Lines of the file, and quotes that run over them.

use super::{ListError, Problem, Separator};

/// Says on which line a record begins.
pub(crate) struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Lines<'a> {
    pub(crate) const fn of(text: &'a str) -> Self {
        Self {
            text: text.as_bytes(),
            at: 0,
            line: 1,
        }
    }

    /// The line of a record, counted from one. The reader's position may stand before empty lines and remarks that it passed
    /// over. Records are asked for in their order.
    pub(crate) fn line_of(&mut self, record: &csv::StringRecord) -> usize {
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
enum Place {
    LineStart,
    Remark,
    FieldStart,
    Plain,
    Quoted,
    /// Behind a quote within a quoted field: the end, unless another quote follows.
    QuoteInQuoted,
}

/// A quoted field that is never closed swallows the rest of the file: the row where it was opened.
pub(crate) fn unclosed_quote(text: &str, separator: Separator) -> Option<ListError> {
    let (mut place, mut row, mut opened) = (Place::LineStart, 1, 1);
    for byte in text.bytes() {
        row += usize::from(byte == b'\n');
        place = match (place, byte) {
            (Place::LineStart | Place::FieldStart, b'"') => {
                opened = row;
                Place::Quoted
            }
            (Place::Quoted, b'"') => Place::QuoteInQuoted,
            (Place::QuoteInQuoted, b'"') | (Place::Quoted, _) => Place::Quoted,
            (_, b'\n') => Place::LineStart,
            (Place::LineStart, b'#') | (Place::Remark, _) => Place::Remark,
            (_, b'\r') => Place::LineStart,
            (_, byte) if byte == separator.byte() => Place::FieldStart,
            _ => Place::Plain,
        };
    }
    (place == Place::Quoted).then(|| ListError::in_file(opened, Problem::UnclosedQuote))
}
