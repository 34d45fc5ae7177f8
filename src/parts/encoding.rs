//! The outermost layer of a parts list: its encoding and its quotes.

use super::{ListError, Problem};

/// The text without its byte order mark; what is no UTF-8 is replaced and reported, once a line.
pub(super) fn decode(bytes: &[u8]) -> (String, Vec<ListError>) {
    let mark_length = if bytes.starts_with(b"\xEF\xBB\xBF") {
        3
    } else {
        0
    };
    let mut text = String::with_capacity(bytes.len());
    let mut errors: Vec<ListError> = Vec::new();
    let (mut row, mut offset) = (1, mark_length);
    for chunk in bytes[mark_length..].utf8_chunks() {
        text.push_str(chunk.valid());
        row += memchr::memchr_iter(b'\n', chunk.valid().as_bytes()).count();
        offset += chunk.valid().len();
        if !chunk.invalid().is_empty() {
            text.push(char::REPLACEMENT_CHARACTER);
            if errors.last().is_none_or(|last| last.row != row) {
                errors.push(ListError::in_file(row, Problem::NotUtf8 { offset }));
            }
        }
        offset += chunk.invalid().len();
    }
    (text, errors)
}

/// The line that a record begins on: the reader counts from the empty lines that it skipped before the record.
pub(super) fn row_of(record: &csv::StringRecord, text: &str) -> usize {
    let Some(position) = record.position() else {
        return 1;
    };
    let at = |number: u64| usize::try_from(number).unwrap_or(usize::MAX);
    let rest = text
        .as_bytes()
        .get(at(position.byte())..)
        .unwrap_or_default();
    let skipped = rest
        .iter()
        .take_while(|byte| matches!(byte, b'\r' | b'\n'))
        .filter(|byte| **byte == b'\n');
    at(position.line()) + skipped.count()
}

/// Where the text stands while its quotes are followed.
#[derive(Clone, Copy, PartialEq)]
enum Place {
    FieldStart,
    Plain,
    Quoted,
    /// Behind a quote within a quoted field: the end, unless another quote follows.
    QuoteInQuoted,
}

/// A quoted field that is never closed swallows the rest of the file: the row where it was opened.
pub(super) fn unclosed_quote(text: &str) -> Option<ListError> {
    let (mut place, mut row, mut opened) = (Place::FieldStart, 1, 1);
    for byte in text.bytes() {
        row += usize::from(byte == b'\n');
        place = match (place, byte) {
            (Place::FieldStart, b'"') => {
                opened = row;
                Place::Quoted
            }
            (Place::Quoted, b'"') => Place::QuoteInQuoted,
            (Place::QuoteInQuoted, b'"') | (Place::Quoted, _) => Place::Quoted,
            (_, b',' | b'\n' | b'\r') => Place::FieldStart,
            _ => Place::Plain,
        };
    }
    (place == Place::Quoted).then(|| ListError::in_file(opened, Problem::UnclosedQuote))
}
