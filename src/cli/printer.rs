//! [`Printer`]: the one way to the terminal of every text from a file or a person; [`shown`], such a text as it may be shown.

use std::borrow::Cow;
use std::io::{self, Write};

/// Begins the mark of a colour: a byte that no UTF-8 text has, so no text can set one. The figure behind it is a place in
/// [`COLOURS`].
const COLOUR: u8 = 0xff;

/// ISO 6429 parameters of the colours that lines have; the first ends a colour.
const COLOURS: [&str; 5] = ["0", "2", "32", "33", "1;31"];

/// The mark of the colour with those parameters; none for one that lines do not have.
pub(crate) fn colour(parameters: &str) -> Vec<u8> {
    let place = COLOURS.iter().position(|one| *one == parameters);
    let figure = place.and_then(|place| char::from_digit(place as u32, 10));
    figure.map_or_else(Vec::new, |figure| vec![COLOUR, figure as u8])
}

/// Signs that command a terminal, C0 and C1 of ISO 6429 and what turns the direction of a text, become U+FFFD. Ends of lines
/// and tabs stay.
pub(crate) fn shown(text: &str) -> Cow<'_, str> {
    if !text.contains(commands) {
        return Cow::Borrowed(text);
    }
    let mut signs = text.chars().peekable();
    let mut shown = String::with_capacity(text.len());
    while let Some(sign) = signs.next() {
        let ends_line = sign == '\r' && signs.peek() == Some(&'\n');
        shown.push(if commands(sign) && !ends_line {
            '\u{fffd}'
        } else {
            sign
        });
    }
    Cow::Owned(shown)
}

/// Whether a terminal takes the sign for a command.
fn commands(sign: char) -> bool {
    let turns = matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || (sign.is_control() && !matches!(sign, '\n' | '\t'))
}

/// Passes on what is written, with every text as it may be shown. Only the marks of [`colour`] become commands.
pub(crate) struct Printer<W: Write> {
    out: W,
    /// Bytes whose meaning the next ones decide: the beginning of a sign, of a line's end, or of a mark.
    held: Vec<u8>,
}

impl<W: Write> Printer<W> {
    /// Prints to `out`.
    pub(crate) const fn onto(out: W) -> Self {
        let held = Vec::new();
        Self { out, held }
    }

    /// Text held back, as far as it is certain, as it may be shown.
    fn certain(&mut self) -> String {
        let held = std::mem::take(&mut self.held);
        let (mut made, mut marked) = (String::with_capacity(held.len()), false);
        for chunk in held.utf8_chunks() {
            let mut valid = chunk.valid();
            if marked && let Some(figure) = valid.chars().next() {
                valid = &valid[figure.len_utf8()..];
                let place = figure.to_digit(10).unwrap_or(0) as usize;
                let parameters = COLOURS.get(place).unwrap_or(&COLOURS[0]);
                made.extend(["\x1b[", parameters, "m"]);
                marked = false;
            }
            let is_last = held.as_ptr_range().end == valid.as_bytes().as_ptr_range().end;
            if is_last && let Some(before) = valid.strip_suffix('\r') {
                made.push_str(&shown(before));
                self.held.push(b'\r');
                continue;
            }
            made.push_str(&shown(valid));
            let rest = chunk.invalid();
            marked = rest == [COLOUR];
            let unfinished = str::from_utf8(rest).is_err_and(|error| error.error_len().is_none());
            let at_end = held.as_ptr_range().end == rest.as_ptr_range().end;
            if at_end && (marked || unfinished) {
                self.held.extend_from_slice(rest);
            } else if !rest.is_empty() && !marked {
                made.push('\u{fffd}');
            }
        }
        made
    }
}

impl<W: Write> Write for Printer<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let harmless = |byte: &u8| matches!(byte, b' '..=b'~' | b'\n' | b'\t');
        if self.held.is_empty() && bytes.iter().all(harmless) {
            self.out.write_all(bytes)?;
        } else {
            self.held.extend_from_slice(bytes);
            let made = self.certain();
            self.out.write_all(made.as_bytes())?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn printed(portions: &[&[u8]]) -> String {
        let mut out = Vec::new();
        let mut printer = Printer::onto(&mut out);
        for portion in portions {
            printer.write_all(portion).unwrap();
        }
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn no_text_commands_a_terminal_and_colours_do() {
        for (text, expected) in [
            ("R1\x1b[2J\r\n", "R1\u{fffd}[2J\r\n"),
            (
                "a\x07b\x08c\u{9b}31m\u{7f}\r",
                "a\u{fffd}b\u{fffd}c\u{fffd}31m\u{fffd}\u{fffd}",
            ),
            ("\u{202e}4.7 kΩ\tµ", "\u{fffd}4.7 kΩ\tµ"),
        ] {
            assert_eq!(shown(text), expected);
        }
        let red = colour("1;31");
        let line = [&red[..], b"FAIL", &colour("0")[..], b"\n"].concat();
        assert_eq!(printed(&[&line]), "\x1b[1;31mFAIL\x1b[0m\n");
        assert_eq!(printed(&[b"\xfe\xc3(\x80"]), "\u{fffd}\u{fffd}(\u{fffd}");
    }

    proptest! {
        #[test]
        fn it_does_not_matter_in_which_portions_it_is_written(
            text in "[a\\r\\n\\x1b\u{9b}µΩ\u{202e}]{0,12}", coloured: bool, cut in 0_usize..40
        ) {
            let mark = if coloured { colour("2") } else { Vec::new() };
            let bytes = [&mark[..], text.as_bytes(), b"."].concat();
            let cut = cut.min(bytes.len());
            let (before, after) = bytes.split_at(cut);
            let whole = printed(&[&bytes]);
            let each: Vec<&[u8]> = bytes.chunks(1).collect();
            prop_assert_eq!(&printed(&[before, after]), &whole);
            prop_assert_eq!(&printed(&each), &whole);
            let said = if coloured { whole.strip_prefix("\x1b[2m") } else { Some(whole.as_str()) };
            prop_assert!(said.is_some_and(|said| said == shown(&(text + "."))));
        }
    }
}
