//! [`Ending`] and [`Seal`]: how a recording ends.

use super::digest::Digest;
use super::escape::push_text;
use super::fields::{Fields, Malformed};
use super::word::Word;
use crate::engine::quantity::Stamp;
use std::io::Write;

/// What the seal of a recording says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal {
    /// When the sitting ended.
    pub at: Stamp,
    /// Why it ended.
    pub reason: String,
    /// How many lines come before the seal, the first line included.
    pub lines: u64,
    /// The SHA-256 of all of them.
    pub digest: Digest,
}

impl Seal {
    /// Appends the fields, each with a tab before it.
    pub(super) fn push_fields(&self, out: &mut Vec<u8>) {
        out.push(b'\t');
        push_text(out, self.reason.as_bytes());
        write!(out, "\t{}\t{}", self.lines, self.digest)
            .unwrap_or_else(|_| unreachable!("a vector takes every byte"));
    }

    /// Reads the fields. `extra`: whether the line may have more fields than we know.
    pub(super) fn parse(at: Stamp, line: &mut [u8], extra: bool) -> Result<Self, Malformed> {
        let mut fields = Fields::of(Word::Sealed, line);
        let reason = fields.text("reason")?.to_owned();
        let lines = fields.number("number of lines")?;
        let text = fields.text("digest")?;
        let digest = Digest::parse(text)
            .ok_or_else(|| fields.wrong("digest", text.as_bytes(), "64 hexadecimal digits"))?;
        fields.end(extra)?;
        Ok(Self {
            at,
            reason,
            lines,
            digest,
        })
    }
}

/// How a recording ends. All lines before that are good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// With its seal, which fits (in a survey: if no problem says otherwise).
    Sealed(Seal),
    /// Without a seal: the sitting was not ended, the program or the machine stopped.
    Unsealed {
        /// How many lines there are.
        lines: u64,
    },
    /// Within a line: the machine stopped, or the disk was full, while it was written.
    Torn {
        /// How many whole lines there are.
        lines: u64,
        /// How many bytes there are of the torn one.
        bytes: u64,
    },
}
