//! The outermost layer of a file: its bytes become text.

use std::borrow::Cow;

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};
use strum::Display;

use super::{Fault, Problem, TextError};

/// Encoding by which the bytes of a table were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Display)]
pub enum TextEncoding {
    /// UTF-8 without a mark, as expected.
    #[strum(to_string = "UTF-8")]
    Utf8,
    /// UTF-8 behind a byte order mark.
    #[strum(to_string = "UTF-8 with a byte order mark")]
    MarkedUtf8,
    /// UTF-16, the low byte first, behind a byte order mark: "Unicode text" of a spreadsheet.
    #[strum(to_string = "UTF-16")]
    Utf16Le,
    /// UTF-16, the high byte first, behind a byte order mark.
    #[strum(to_string = "UTF-16")]
    Utf16Be,
    /// No UTF-8, but every byte is a character of Windows-1252, which holds Latin-1.
    #[strum(to_string = "Windows-1252")]
    Windows1252,
}

/// The text of a table.
pub(crate) struct Decoded {
    /// The text without its byte order mark; what cannot be read is replaced by U+FFFD.
    pub(crate) text: String,
    pub(crate) encoding: TextEncoding,
    /// Whether it is text at all; a zero byte is in none.
    pub(crate) is_text: bool,
    /// Faults that keep it from being read, once a line.
    pub(crate) faults: Vec<Fault>,
}

/// Reads the bytes by their byte order mark; without one as UTF-8, and if they are none as Windows-1252.
pub(crate) fn decode(bytes: &[u8]) -> Decoded {
    let (encoding, body) = [
        (TextEncoding::MarkedUtf8, &b"\xEF\xBB\xBF"[..]),
        (TextEncoding::Utf16Le, b"\xFF\xFE"),
        (TextEncoding::Utf16Be, b"\xFE\xFF"),
    ]
    .into_iter()
    .find_map(|(encoding, mark)| Some((encoding, bytes.strip_prefix(mark)?)))
    .unwrap_or((TextEncoding::Utf8, bytes));
    let mut decoded = match encoding {
        TextEncoding::Utf16Le => utf16(encoding, UTF_16LE.decode_without_bom_handling(body)),
        TextEncoding::Utf16Be => utf16(encoding, UTF_16BE.decode_without_bom_handling(body)),
        _ => match windows_1252(body).filter(|_| encoding == TextEncoding::Utf8) {
            Some(text) => Decoded {
                text,
                encoding: TextEncoding::Windows1252,
                is_text: true,
                faults: Vec::new(),
            },
            None => as_utf8(encoding, body, bytes.len() - body.len()),
        },
    };
    if let Some(at) = decoded.text.find('\0') {
        let row = 1 + line_ends(&decoded.text[..at]);
        let words = "found a zero byte, expected text; if the file is UTF-16 it lacks its byte order mark, so save it as UTF-8";
        decoded.is_text = false;
        decoded
            .faults
            .push(Fault::in_line(row, Problem(words.to_owned())));
    }
    // Old line ends, a carriage return alone. Where there are others too the reader of rows knows them all.
    if !decoded.text.contains('\n') && decoded.text.contains('\r') {
        decoded.text = decoded.text.replace('\r', "\n");
    }
    decoded
}

/// The text of a file that is UTF-8, as every TOML file is.
///
/// # Errors
/// If it is something else.
pub fn utf8<'a>(file: &str, bytes: &'a [u8]) -> Result<&'a str, TextError> {
    std::str::from_utf8(bytes).map_err(|error| {
        let offset = error.valid_up_to();
        let line = 1 + memchr::memchr_iter(b'\n', &bytes[..offset]).count();
        TextError::new(file, vec![Fault::in_line(line, not_utf8(offset))])
    })
}

fn not_utf8(offset: usize) -> Problem {
    Problem(format!(
        "found at byte {offset} what is not UTF-8, expected text; save the file as UTF-8"
    ))
}

fn as_utf8(encoding: TextEncoding, body: &[u8], mark_length: usize) -> Decoded {
    let mut text = String::with_capacity(body.len());
    let mut faults: Vec<Fault> = Vec::new();
    let (mut row, mut offset) = (1, mark_length);
    for chunk in body.utf8_chunks() {
        text.push_str(chunk.valid());
        row += line_ends(chunk.valid());
        offset += chunk.valid().len();
        if !chunk.invalid().is_empty() {
            text.push(char::REPLACEMENT_CHARACTER);
            if faults.last().is_none_or(|last| last.line != row) {
                faults.push(Fault::in_line(row, not_utf8(offset)));
            }
        }
        offset += chunk.invalid().len();
    }
    Decoded {
        text,
        encoding,
        is_text: true,
        faults,
    }
}

fn utf16(encoding: TextEncoding, (text, has_errors): (Cow<'_, str>, bool)) -> Decoded {
    let mut faults = Vec::new();
    if has_errors {
        let lines = (1..).zip(text.split('\n'));
        let bad = lines.filter(|(_, line)| line.contains(char::REPLACEMENT_CHARACTER));
        faults.extend(bad.map(|(row, _)| {
            Fault::in_line(
                row,
                Problem(
                    "found what is no UTF-16, expected text as the file begins; save it as UTF-8"
                        .to_owned(),
                ),
            )
        }));
    }
    Decoded {
        text: text.into_owned(),
        encoding,
        is_text: true,
        faults,
    }
}

/// The bytes as Windows-1252, if they are no UTF-8 and can be that. A file with letters of both is a broken one: its program
/// or its person mixed them, and one of the two would be misread.
fn windows_1252(bytes: &[u8]) -> Option<String> {
    let unused = |byte: &u8| {
        matches!(byte, 0x81 | 0x8D | 0x8F | 0x90 | 0x9D)
            || (byte.is_ascii_control() && !matches!(byte, b'\t' | b'\r' | b'\n'))
    };
    let mut chunks = bytes.utf8_chunks();
    let mixed = chunks.any(|chunk| !chunk.valid().is_ascii());
    if std::str::from_utf8(bytes).is_ok() || mixed || bytes.iter().any(unused) {
        return None;
    }
    let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
    Some(text.into_owned())
}

/// The text as it was before some program read its UTF-8 as Windows-1252 and saved that: `µ` for `Âµ`. `None` if that did not
/// happen.
pub(crate) fn before_misreading(text: &str) -> Option<String> {
    if text.is_ascii() {
        return None;
    }
    let (bytes, _, unmappable) = WINDOWS_1252.encode(text);
    if unmappable {
        return None;
    }
    String::from_utf8(bytes.into_owned()).ok()
}

fn line_ends(text: &str) -> usize {
    memchr::memchr_iter(b'\n', text.as_bytes()).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decoded(bytes: &[u8]) -> (String, TextEncoding) {
        let decoded = decode(bytes);
        assert_eq!(decoded.faults, [], "{bytes:?}");
        (decoded.text, decoded.encoding)
    }

    #[test]
    fn the_mark_says_how_the_bytes_are_read() {
        let text = "10 µF ± 5 %".to_owned();
        let utf16: Vec<u16> = text.encode_utf16().collect();
        let mut low_first = b"\xFF\xFE".to_vec();
        low_first.extend(utf16.iter().flat_map(|unit| unit.to_le_bytes()));
        let mut high_first = b"\xFE\xFF".to_vec();
        high_first.extend(utf16.iter().flat_map(|unit| unit.to_be_bytes()));
        assert_eq!(decoded(&low_first), (text.clone(), TextEncoding::Utf16Le));
        assert_eq!(decoded(&high_first), (text.clone(), TextEncoding::Utf16Be));
        let marked = format!("\u{feff}{text}");
        assert_eq!(
            decoded(marked.as_bytes()),
            (text.clone(), TextEncoding::MarkedUtf8)
        );
        assert_eq!(decoded(text.as_bytes()), (text.clone(), TextEncoding::Utf8));
    }

    /// Code points by the Unicode Consortium's table of code page 1252: 0xB5 µ, 0xB1 ±, 0xBD ½, 0x80 €, 0x96 –; from memory.
    #[test]
    fn what_is_no_utf_8_is_windows_1252_if_it_can_be() {
        assert_eq!(
            decoded(b"10 \xB5F \xB15% \xBDW \x80 \x96"),
            ("10 µF ±5% ½W € –".to_owned(), TextEncoding::Windows1252)
        );
        for broken in [
            &b"\xEF\xBB\xBF10 \xB5F"[..],
            b"10 \xB5F \x81",
            b"10 \xB5F\x00",
            b"10 \xB5F, 4.7 k\xCE\xA9",
        ] {
            assert!(!decode(broken).faults.is_empty(), "{broken:?}");
        }
    }

    #[test]
    fn torn_utf_16_is_located() {
        let torn = decode(b"\xFF\xFEa\x00\n\x00b");
        assert_eq!(torn.faults.len(), 1);
        assert_eq!(torn.faults[0].line, 2);
    }

    #[test]
    fn a_misreading_is_undone_and_nothing_else() {
        assert_eq!(before_misreading("10 ÂµF").as_deref(), Some("10 µF"));
        assert_eq!(before_misreading("4.7 kÎ©").as_deref(), Some("4.7 kΩ"));
        for sound in ["10 µF", "4.7 kΩ", "½W", "Röhre", "plain"] {
            assert_eq!(before_misreading(sound), None, "{sound}");
        }
    }
}
