//! How any bytes stand in a line of a recording, and how they are taken out again.
//!
//! `\t`, `\n`, `\r` and `\\` are the tab, the ends of lines and the backslash; `\xHH` is the byte with that
//! lower-case hexadecimal number. Everything else stands as it is.

use std::io::Write;

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

/// What an escape means, and how long it is with its backslash; `rest` begins behind the backslash.
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
