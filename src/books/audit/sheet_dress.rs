//! [`Dress`]: how the text of a CSV file is written, apart from what it says.

use std::borrow::Cow;

/// What an Excel-like program or an editor puts before UTF-8 text.
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// How the text of a CSV file is written.
pub(super) struct Dress<'a> {
    /// The text in UTF-8, without a byte order mark.
    pub(super) text: Cow<'a, str>,
    /// What stands between the cells.
    pub(super) separator: u8,
    /// What the program would not have written so, as clauses for people.
    pub(super) signs: Vec<&'static str>,
}

impl<'a> Dress<'a> {
    /// Looks at a whole file.
    pub(super) fn of(bytes: &'a [u8]) -> Self {
        let mut signs = Vec::new();
        let bare = bytes.strip_prefix(BYTE_ORDER_MARK);
        if bare.is_some() {
            signs.push("a byte order mark in front");
        }
        let bytes = bare.unwrap_or(bytes);
        let text = if let Ok(text) = std::str::from_utf8(bytes) {
            Cow::Borrowed(text)
        } else {
            signs.push("not UTF-8");
            // What is left of Latin-1 reads so; anything else will show as a difference.
            Cow::Owned(bytes.iter().map(|&byte| char::from(byte)).collect())
        };
        let separator = separator(&text);
        match separator {
            b';' => signs.push("semicolons between the cells"),
            b'\t' => signs.push("tabs between the cells"),
            _ => {}
        }
        if text.contains('\n') && !text.contains("\r\n") {
            signs.push("lines that end with LF instead of CRLF");
        }
        Self {
            text,
            separator,
            signs,
        }
    }
}

/// The most frequent of the usual separators in the first line.
fn separator(text: &str) -> u8 {
    let header = text.lines().next().unwrap_or_default();
    let count = |separator: &u8| memchr::memchr_iter(*separator, header.as_bytes()).count();
    // The first of equals is wanted, and `max_by_key` takes the last.
    let usual = [b'\t', b';', b','];
    usual.into_iter().max_by_key(count).unwrap_or(b',')
}
