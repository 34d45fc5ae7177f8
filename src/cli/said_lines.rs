//! [`SaidLines`]: the lines on standard input, each of them text and of a length that can be held.

use std::io::{self, BufRead};

/// The longest line, in bytes without its end; the socket of a sitting takes no longer ones either.
pub(super) const LONGEST: usize = 4000;

/// Reason why a line is passed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(super) enum NoLine {
    /// Its bytes are no text.
    #[error("found bytes that are no text, expected UTF-8: this line is passed over")]
    NotText,
    /// Too long; what is longer is not held.
    #[error("found a line of more than {LONGEST} bytes: it is passed over")]
    TooLong,
}

/// Lines, to the end of the stream.
pub(super) struct SaidLines<R>(R);

impl<R: BufRead> SaidLines<R> {
    /// Lines of that stream.
    pub(super) const fn of(stream: R) -> Self {
        Self(stream)
    }

    /// The next line without its end, and whether it is longer than what was kept of it; `None` at the end of the stream.
    fn bytes(&mut self) -> io::Result<Option<(Vec<u8>, bool)>> {
        let (mut line, mut too_long, mut begun) = (Vec::new(), false, false);
        loop {
            let portion = match self.0.fill_buf() {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                portion => portion?,
            };
            let end = memchr::memchr(b'\n', portion);
            let piece = &portion[..end.unwrap_or(portion.len())];
            begun |= !portion.is_empty();
            too_long |= line.len() + piece.len() > LONGEST + 1;
            if !too_long {
                line.extend_from_slice(piece);
            }
            let over = portion.is_empty() || end.is_some();
            let taken = end.map_or(portion.len(), |end| end + 1);
            self.0.consume(taken);
            if over {
                return Ok(begun.then_some((line, too_long)));
            }
        }
    }
}

impl<R: BufRead> Iterator for SaidLines<R> {
    type Item = Result<String, NoLine>;

    /// A stream that cannot be read is at its end.
    fn next(&mut self) -> Option<Self::Item> {
        let (line, too_long) = self.bytes().ok()??;
        let text = line.strip_suffix(b"\r").unwrap_or(&line);
        Some(if too_long || text.len() > LONGEST {
            Err(NoLine::TooLong)
        } else {
            text_of(text.to_vec())
        })
    }
}

/// Typed bytes as text.
pub(super) fn text_of(bytes: Vec<u8>) -> Result<String, NoLine> {
    String::from_utf8(bytes).map_err(|_| NoLine::NotText)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_is_no_text_or_too_long_is_passed_over_and_the_next_one_is_heard() {
        let fits = "x".repeat(LONGEST);
        let mut said = b"next\r\n\xff\n\nskip\n".to_vec();
        said.extend_from_slice(&vec![b'y'; 20_000_000]);
        said.extend_from_slice(format!("\n{fits}\r\n{fits}x\nend").as_bytes());
        let lines: Vec<_> = SaidLines::of(io::BufReader::new(&said[..])).collect();
        let heard = |text: &str| Ok(text.to_owned());
        let expected = [
            heard("next"),
            Err(NoLine::NotText),
            heard(""),
            heard("skip"),
            Err(NoLine::TooLong),
            heard(&fits),
            Err(NoLine::TooLong),
            heard("end"),
        ];
        assert!(lines == expected, "{} lines", lines.len());
    }
}
