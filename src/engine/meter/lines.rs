//! [`Lines`]: bytes in any portions become lines.
//!
//! [`LineSettings`]: how the serial line to a meter is set. Plain words; the link maps them to its port library.

use memchr::memchr2;
use serde::Deserialize;
use strum::{Display, IntoStaticStr};

/// One line, without its end and without blanks around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line<'a> {
    /// Printable ASCII; never empty.
    Text(&'a str),
    /// Something else is in it: noise on the line, or a wrong baud rate or parity.
    Garbled(&'a [u8]),
    /// Longer than allowed; it is skipped up to its end. Reported once.
    TooLong,
}

/// Assembles lines. An end is a line feed, a carriage return, or both; empty lines are skipped.
///
/// A line that lies inside one portion is handed out in place; only what crosses a border is copied, into a buffer that is kept.
#[derive(Debug, Clone)]
pub struct Lines {
    longest: usize,
    held: Vec<u8>,
    skipping: bool,
}

impl Lines {
    /// Lines of at most `longest` bytes.
    pub fn new(longest: usize) -> Self {
        Self {
            longest,
            held: Vec::with_capacity(longest),
            skipping: false,
        }
    }

    /// Forgets what is held of an unfinished line.
    pub fn clear(&mut self) {
        self.held.clear();
        self.skipping = false;
    }

    /// Forgets what is held and skips, without a report, to the next end: the stream was joined in the middle of a line.
    pub fn skip_to_end(&mut self) {
        self.held.clear();
        self.skipping = true;
    }

    /// Takes the next portion and hands out every line that ends in it.
    pub fn feed(&mut self, mut bytes: &[u8], mut each: impl FnMut(Line<'_>)) {
        while let Some(end) = memchr2(b'\n', b'\r', bytes) {
            let (piece, rest) = bytes.split_at(end);
            bytes = &rest[1..];
            self.end(piece, &mut each);
        }
        self.hold(bytes, &mut each);
    }

    /// `piece` ends a line.
    fn end(&mut self, piece: &[u8], each: &mut impl FnMut(Line<'_>)) {
        if self.skipping {
            self.skipping = false;
        } else if self.held.len() + piece.len() > self.longest {
            each(Line::TooLong);
        } else if self.held.is_empty() {
            hand_out(piece, each);
        } else {
            self.held.extend_from_slice(piece);
            hand_out(&self.held, each);
        }
        self.held.clear();
    }

    /// `piece` continues a line that has not ended yet.
    fn hold(&mut self, piece: &[u8], each: &mut impl FnMut(Line<'_>)) {
        if self.skipping {
            return;
        }
        if self.held.len() + piece.len() > self.longest {
            each(Line::TooLong);
            self.skip_to_end();
        } else {
            self.held.extend_from_slice(piece);
        }
    }
}

fn hand_out(line: &[u8], each: &mut impl FnMut(Line<'_>)) {
    let line = line.trim_ascii();
    if line.is_empty() {
        return;
    }
    // Without stopping at the first one, so that many bytes are looked at together.
    let printable = line.iter().fold(true, |so_far, &b| {
        so_far & ((b == b'\t') | (b' '..=b'~').contains(&b))
    });
    match std::str::from_utf8(line) {
        Ok(text) if printable => each(Line::Text(text)),
        _ => each(Line::Garbled(line)),
    }
}

/// Bits of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DataBits {
    /// Seven data bits.
    Seven,
    /// Eight data bits.
    Eight,
}

/// Parity bit of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Parity {
    /// No parity bit.
    #[default]
    None,
    /// The number of ones is made even.
    Even,
    /// The number of ones is made odd.
    Odd,
}

/// Stop bits after a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StopBits {
    /// One stop bit.
    One,
    /// Two stop bits.
    Two,
}

/// Flow control.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
#[derive(Display)]
#[strum(serialize_all = "lowercase")]
pub enum Flow {
    /// Nothing holds the other side back.
    #[default]
    None,
    /// XON and XOFF characters.
    Software,
    /// The lines RTS and CTS.
    Hardware,
}

/// The end of a command. (Every one of the three is understood as the end of an answer.)
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "UPPERCASE")]
#[derive(IntoStaticStr)]
#[strum(serialize_all = "UPPERCASE")]
pub enum Ending {
    /// Line feed.
    #[default]
    Lf,
    /// Carriage return.
    Cr,
    /// Carriage return and line feed.
    CrLf,
}

words!(Ending: name);

impl Ending {
    /// The bytes to send.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Lf => b"\n",
            Self::Cr => b"\r",
            Self::CrLf => b"\r\n",
        }
    }
}

/// Settings of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineSettings {
    /// Bits a second; 50 to 4 000 000.
    pub baud: u32,
    /// Number of data bits.
    pub data_bits: DataBits,
    /// Parity bit behind them, if any.
    pub parity: Parity,
    /// Number of stop bits.
    pub stop_bits: StopBits,
    /// Way of holding the other side back.
    pub flow: Flow,
    /// End of a command.
    pub ending: Ending,
    /// A reply line longer than so many bytes is not taken; 16 to 65 536.
    pub longest_reply: usize,
    /// Level of the DTR line after opening; `None` leaves it as the operating system sets it. Isolating cables often draw
    /// their power from it (common practice, no source). A port without the line ignores this.
    pub dtr: Option<bool>,
    /// State of the RTS line likewise.
    pub rts: Option<bool>,
}

impl std::fmt::Display for LineSettings {
    /// Writes `9600 baud, 8N1, flow control none`, and behind it `, DTR high` where the profile says so.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let data = match self.data_bits {
            DataBits::Seven => 7,
            DataBits::Eight => 8,
        };
        let parity = match self.parity {
            Parity::None => 'N',
            Parity::Even => 'E',
            Parity::Odd => 'O',
        };
        let stop = match self.stop_bits {
            StopBits::One => 1,
            StopBits::Two => 2,
        };
        write!(
            f,
            "{} baud, {data}{parity}{stop}, flow control {}",
            self.baud, self.flow
        )?;
        for (line, level) in [("DTR", self.dtr), ("RTS", self.rts)] {
            if let Some(level) = level {
                write!(f, ", {line} {}", if level { "high" } else { "low" })?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The lines of the portions, written down.
    fn collect(portions: &[&[u8]], longest: usize) -> Vec<String> {
        let mut lines = Lines::new(longest);
        let mut all = Vec::new();
        for portion in portions {
            lines.feed(portion, |line| all.push(format!("{line:?}")));
        }
        all
    }

    #[test]
    fn every_kind_of_end_is_understood_also_across_a_border() {
        let expected = vec!["Text(\"a\")", "Text(\"b\")", "Text(\"c\")"];
        assert_eq!(collect(&[b"a\nb\rc\r\n"], 8), expected);
        assert_eq!(collect(&[b"a\r", b"\nb\r", b"\n\r\nc", b"\n"], 8), expected);
    }

    #[test]
    fn garbage_spoils_its_own_line_only() {
        assert_eq!(
            collect(&[b"1\x00\n2\n\xff3\n4\n"], 8),
            [
                "Garbled([49, 0])",
                "Text(\"2\")",
                "Garbled([255, 51])",
                "Text(\"4\")"
            ]
        );
    }

    #[test]
    fn a_line_over_the_limit_is_reported_once_and_skipped() {
        let expected = vec!["TooLong", "Text(\"ok\")", "Text(\"1234\")"];
        assert_eq!(collect(&[b"12345678901\nok\n1234\n"], 4), expected);
        assert_eq!(
            collect(&[b"12345", b"678", b"901\nok\n12", b"34\n"], 4),
            expected
        );
    }

    #[test]
    fn joining_in_mid_line_skips_the_rest_of_it() {
        let mut lines = Lines::new(16);
        lines.skip_to_end();
        let mut all = Vec::new();
        lines.feed(b"23E+03\r\n+4.7E+03\r\n", |line| {
            all.push(format!("{line:?}"));
        });
        assert_eq!(all, ["Text(\"+4.7E+03\")"]);
    }

    #[test]
    fn a_whole_line_is_handed_out_in_place() {
        let portion = b"+4.7E+03\n";
        Lines::new(16).feed(portion, |line| {
            let Line::Text(text) = line else {
                panic!("a text was expected, found {line:?}")
            };
            assert_eq!(text.as_ptr(), portion.as_ptr());
        });
    }

    proptest! {
        #[test]
        fn any_split_gives_the_same_lines(
            bytes in prop::collection::vec(prop_oneof![Just(b'\n'), Just(b'\r'), Just(b'7'), Just(b' '), any::<u8>()], 0..120),
            cuts in prop::collection::vec(0_usize..120, 0..12),
        ) {
            let mut cuts: Vec<usize> = cuts.into_iter().map(|cut| cut.min(bytes.len())).chain([0, bytes.len()]).collect();
            cuts.sort_unstable();
            let portions: Vec<&[u8]> = cuts.windows(2).map(|w| &bytes[w[0]..w[1]]).collect();
            prop_assert_eq!(collect(&portions, 6), collect(&[&bytes], 6));
        }
    }
}
