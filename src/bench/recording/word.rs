//! [`Beginning`]: the two fields that every line but the first begins with, time and [`Word`].

use super::fields::{Malformed, whole};
use crate::engine::quantity::Stamp;

/// What a line tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Program,
    Begun,
    File,
    Setting,
    Meter,
    In,
    Out,
    Link,
    Command,
    Sealed,
}

impl Word {
    const ALL: [Self; 10] = [
        Self::In,
        Self::Out,
        Self::Command,
        Self::Link,
        Self::Program,
        Self::Begun,
        Self::File,
        Self::Setting,
        Self::Meter,
        Self::Sealed,
    ];

    /// As it stands in the file.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Program => "program",
            Self::Begun => "begun",
            Self::File => "file",
            Self::Setting => "setting",
            Self::Meter => "meter",
            Self::In => "in",
            Self::Out => "out",
            Self::Link => "link",
            Self::Command => "command",
            Self::Sealed => "sealed",
        }
    }

    /// The word that stands there, if it is one of ours.
    pub(super) fn of(text: &[u8]) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|word| word.name().as_bytes() == text)
    }
}

/// The time and the word of a line.
pub(super) struct Beginning<'a> {
    /// The time.
    pub(super) at: Stamp,
    /// The word, be it one of ours or not.
    pub(super) word: &'a [u8],
    /// Where the fields after the word begin, if there are any.
    fields: Option<usize>,
}

impl<'a> Beginning<'a> {
    /// The beginning of a line, whose tag is left out.
    pub(super) fn of(body: &'a [u8]) -> Result<Self, Malformed> {
        let tab = first_tab(body).ok_or(Malformed::Beginning)?;
        let at = whole(&body[..tab]).ok_or(Malformed::Beginning)?;
        let rest = &body[tab + 1..];
        let end = first_tab(rest);
        Ok(Self {
            at: Stamp::from_micros(at),
            word: &rest[..end.unwrap_or(rest.len())],
            fields: end.map(|end| tab + 1 + end + 1),
        })
    }

    /// Where the fields after the word begin: every word of ours has some.
    pub(super) fn fields(&self, word: Word) -> Result<usize, Malformed> {
        let word = word.name();
        let field = "first field";
        self.fields.ok_or(Malformed::Missing { word, field })
    }
}

/// The first tab. What stands before it is so short that looking at each byte is faster than preparing a search.
fn first_tab(bytes: &[u8]) -> Option<usize> {
    bytes.iter().position(|&byte| byte == b'\t')
}
