//! [`Fields`]: takes the fields of one line, in order, without copying them; and how any bytes stand in one.
//!
//! `\t`, `\n`, `\r` and `\\` are the tab, the ends of lines and the backslash; `\xHH` is the byte with that
//! lower-case hexadecimal number. Everything else stands as it is.

use std::io::Write;

use chrono::{DateTime, FixedOffset};

use super::event::{LinkState, UNWRITTEN, WRITTEN, Word};

/// Reason why a line whose tag is right still cannot be understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Malformed {
    /// The line ends too early.
    #[error("`{word}` lacks its {field}")]
    Missing {
        /// The word of the line.
        word: &'static str,
        /// The first field that is not there.
        field: &'static str,
    },
    /// The line has more fields than its word calls for.
    #[error("`{word}` has a field too many: `{found}`")]
    Extra {
        /// The word of the line.
        word: &'static str,
        /// The first field that should not be there.
        found: String,
    },
    /// A field does not read as what it should be.
    #[error("the {field} of `{word}` is `{found}`, expected {expected}")]
    Field {
        /// The word of the line.
        word: &'static str,
        /// The name of the field.
        field: &'static str,
        /// Text found there.
        found: String,
        /// Text expected there.
        expected: &'static str,
    },
    /// The line does not begin with a whole number of microseconds and a word.
    #[error("the line does not begin with microseconds and a word, tabs between them")]
    Beginning,
    /// The word may not stand here.
    #[error("`{word}` may not stand here")]
    Misplaced {
        /// The word of the line.
        word: &'static str,
    },
}

/// The fields that are still to be taken.
pub(super) struct Fields<'a> {
    word: &'static str,
    /// Where the next field begins; `None` behind the last one.
    rest: Option<&'a mut [u8]>,
}

impl<'a> Fields<'a> {
    /// The tab-separated fields in `line`, which begins behind the tab after the word.
    pub(super) fn of(word: Word, line: &'a mut [u8]) -> Self {
        Self {
            word: word.name(),
            rest: Some(line),
        }
    }

    /// The next field as it stands.
    fn raw(&mut self) -> Option<&'a mut [u8]> {
        let rest = self.rest.take()?;
        let Some(tab) = memchr::memchr(b'\t', rest) else {
            return Some(rest);
        };
        let (field, rest) = rest.split_at_mut(tab);
        self.rest = Some(&mut rest[1..]);
        Some(field)
    }

    /// The next field, escapes taken out.
    pub(super) fn bytes(&mut self, field: &'static str) -> Result<&'a [u8], Malformed> {
        let raw = self.raw().ok_or(Malformed::Missing {
            word: self.word,
            field,
        })?;
        unescape(raw).ok_or_else(|| Malformed::Field {
            word: self.word,
            field,
            found: "a backslash with something else behind it".into(),
            expected: "only the escapes \\t, \\n, \\r, \\\\ and \\xHH",
        })
    }

    /// The next field as text.
    pub(super) fn text(&mut self, field: &'static str) -> Result<&'a str, Malformed> {
        let bytes = self.bytes(field)?;
        std::str::from_utf8(bytes).map_err(|_| self.wrong(field, bytes, "UTF-8"))
    }

    /// The next field as a whole number.
    pub(super) fn number<N: TryFrom<u64>>(&mut self, field: &'static str) -> Result<N, Malformed> {
        let bytes = self.bytes(field)?;
        let number = whole(bytes).and_then(|number| N::try_from(number).ok());
        number.ok_or_else(|| self.wrong(field, bytes, "a whole number in range"))
    }

    /// The next field as date and time.
    pub(super) fn time(&mut self, field: &'static str) -> Result<DateTime<FixedOffset>, Malformed> {
        let text = self.text(field)?;
        DateTime::parse_from_rfc3339(text).map_err(|_| {
            self.wrong(
                field,
                text.as_bytes(),
                "date and time with offset (RFC 3339)",
            )
        })
    }

    /// The next field as the state of a link.
    pub(super) fn link_state(&mut self) -> Result<LinkState, Malformed> {
        let text = self.text("state")?;
        text.parse()
            .map_err(|_| self.wrong("state", text.as_bytes(), "`up` or `lost`"))
    }

    /// The next field: whether something is written down.
    pub(super) fn written(&mut self) -> Result<bool, Malformed> {
        match self.text("outcome")? {
            WRITTEN => Ok(true),
            UNWRITTEN => Ok(false),
            text => Err(self.wrong("outcome", text.as_bytes(), "`written` or `unwritten`")),
        }
    }

    /// Sees to it that nothing is left, unless `extra` fields are allowed.
    pub(super) fn end(mut self, extra: bool) -> Result<(), Malformed> {
        match self.raw() {
            Some(found) if !extra => Err(Malformed::Extra {
                word: self.word,
                found: excerpt(found),
            }),
            _ => Ok(()),
        }
    }

    /// The error for a field that says `found` instead of what was `expected`.
    pub(super) fn wrong(
        &self,
        field: &'static str,
        found: &[u8],
        expected: &'static str,
    ) -> Malformed {
        Malformed::Field {
            word: self.word,
            field,
            found: excerpt(found),
            expected,
        }
    }
}

/// A whole number in decimal digits: no sign, no leading zero, at most `u64::MAX`.
pub(super) fn whole(digits: &[u8]) -> Option<u64> {
    if digits.is_empty() || (digits.len() > 1 && digits[0] == b'0') {
        return None;
    }
    digits.iter().try_fold(0_u64, |number, digit| {
        let digit = digit.checked_sub(b'0').filter(|&digit| digit < 10)?;
        number.checked_mul(10)?.checked_add(u64::from(digit))
    })
}

/// The beginning of what stands in the file, fit to be shown in a message.
pub(super) fn excerpt(bytes: &[u8]) -> String {
    const SHOWN: usize = 80;
    let text: String = String::from_utf8_lossy(&bytes[..bytes.len().min(SHOWN)])
        .chars()
        .map(|c| if c == '\t' { ' ' } else { c })
        .flat_map(|c| {
            if c.is_control() {
                c.escape_default().collect()
            } else {
                vec![c]
            }
        })
        .collect();
    if bytes.len() > SHOWN {
        text + "…"
    } else {
        text
    }
}

/// Appends `bytes` so that only printable ASCII is left: what a meter says and is told.
pub(super) fn push_bytes(out: &mut Vec<u8>, bytes: &[u8]) {
    for &byte in bytes {
        match byte {
            b'\\' => out.extend_from_slice(b"\\\\"),
            b' '..=b'~' => out.push(byte),
            _ => push_escaped(out, byte),
        }
    }
}

/// Appends `text` so that UTF-8 stays readable; control characters and what is not UTF-8 are escaped.
pub(super) fn push_text(out: &mut Vec<u8>, text: &[u8]) {
    for chunk in text.utf8_chunks() {
        for piece in chunk
            .valid()
            .split_inclusive(|c: char| c.is_control() || c == '\\')
        {
            push_piece(out, piece);
        }
        chunk
            .invalid()
            .iter()
            .for_each(|&byte| push_escaped(out, byte));
    }
}

/// Appends a piece of which only the last character may need escaping.
fn push_piece(out: &mut Vec<u8>, piece: &str) {
    let last = piece
        .chars()
        .next_back()
        .filter(|&c| c.is_control() || c == '\\');
    let plain = piece.len() - last.map_or(0, char::len_utf8);
    out.extend_from_slice(&piece.as_bytes()[..plain]);
    piece.as_bytes()[plain..]
        .iter()
        .for_each(|&byte| push_escaped(out, byte));
}

fn push_escaped(out: &mut Vec<u8>, byte: u8) {
    match byte {
        b'\t' => out.extend_from_slice(b"\\t"),
        b'\n' => out.extend_from_slice(b"\\n"),
        b'\r' => out.extend_from_slice(b"\\r"),
        b'\\' => out.extend_from_slice(b"\\\\"),
        _ => write!(out, "\\x{byte:02x}")
            .unwrap_or_else(|_| unreachable!("a vector takes every byte")),
    }
}

/// Takes the escapes out of `field` in place and returns what it meant; `None` if an escape is none of ours.
pub(super) fn unescape(field: &mut [u8]) -> Option<&[u8]> {
    let Some(mut from) = memchr::memchr(b'\\', field) else {
        return Some(field);
    };
    let mut to = from;
    while from < field.len() {
        let (byte, taken) = match field[from] {
            b'\\' => meant(&field[from + 1..])?,
            plain => (plain, 1),
        };
        field[to] = byte;
        to += 1;
        from += taken;
    }
    Some(&field[..to])
}

/// Meaning of an escape, and its length with the backslash; `rest` begins behind the backslash.
fn meant(rest: &[u8]) -> Option<(u8, usize)> {
    match rest {
        [b't', ..] => Some((b'\t', 2)),
        [b'n', ..] => Some((b'\n', 2)),
        [b'r', ..] => Some((b'\r', 2)),
        [b'\\', ..] => Some((b'\\', 2)),
        [b'x', high, low, ..] => Some((hexadecimal(*high)? << 4 | hexadecimal(*low)?, 4)),
        _ => None,
    }
}

fn hexadecimal(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn only_plain_decimal_digits_make_a_number() {
        assert_eq!(whole(b"0"), Some(0));
        assert_eq!(whole(b"18446744073709551615"), Some(u64::MAX));
        for wrong in [
            "",
            "00",
            "01",
            "+1",
            "-1",
            "1 ",
            "1e3",
            "18446744073709551616",
            ":",
        ] {
            assert_eq!(whole(wrong.as_bytes()), None, "{wrong}");
        }
    }

    #[test]
    fn an_excerpt_is_short_and_harmless_to_a_terminal() {
        assert_eq!(excerpt(b"1\tin\x1b[2J\xff"), "1 in\\u{1b}[2J\u{fffd}");
        assert_eq!(excerpt(&[b'a'; 81]), "a".repeat(80) + "…");
    }

    fn bytes(plain: &[u8]) -> String {
        let mut out = Vec::new();
        push_bytes(&mut out, plain);
        String::from_utf8(out).unwrap()
    }

    fn text(plain: &[u8]) -> String {
        let mut out = Vec::new();
        push_text(&mut out, plain);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn a_meters_line_stays_readable() {
        assert_eq!(bytes(b"+4.70000E+03,OHM\r\n"), "+4.70000E+03,OHM\\r\\n");
        assert_eq!(
            bytes(b"a\tb\\c\0\x7f\xff\xc2\xb5"),
            "a\\tb\\\\c\\x00\\x7f\\xff\\xc2\\xb5"
        );
    }

    #[test]
    fn text_keeps_its_letters_and_loses_its_control_characters() {
        assert_eq!(
            text("4,7 kΩ\t±10 %\n\\".as_bytes()),
            "4,7 kΩ\\t±10 %\\n\\\\"
        );
        assert_eq!(text("\u{85}é\u{1b}".as_bytes()), "\\xc2\\x85é\\x1b");
        assert_eq!(text(b"caf\xe9 Latin-1"), "caf\\xe9 Latin-1");
    }

    #[test]
    fn an_escape_that_is_none_of_ours_is_refused() {
        for wrong in [
            "\\", "a\\", "\\q", "\\x", "\\x1", "\\xg0", "\\x4G", "\\X41", "\\xAB",
        ] {
            assert_eq!(unescape(&mut wrong.as_bytes().to_vec()), None, "{wrong}");
        }
    }

    proptest! {
        #[test]
        fn any_bytes_come_back_from_both_escapings(plain in proptest::collection::vec(any::<u8>(), 0..200)) {
            for escaped in [bytes(&plain), text(&plain)] {
                prop_assert!(!escaped.chars().any(char::is_control));
                let mut field = escaped.into_bytes();
                prop_assert_eq!(unescape(&mut field), Some(plain.as_slice()));
            }
        }

        #[test]
        fn any_text_comes_back(plain in any::<String>()) {
            let mut field = text(plain.as_bytes()).into_bytes();
            prop_assert_eq!(unescape(&mut field), Some(plain.as_bytes()));
        }
    }
}
