//! [`Event`]: what a line of a recording tells, as it stands on the wire, with its [`Word`] and [`Beginning`]; and the [`Ending`] of a file.

use std::io::Write;

use chrono::{DateTime, FixedOffset, SecondsFormat};
use strum::{EnumString, IntoStaticStr, VariantArray};

use super::block::Digest;
use super::fields::{Fields, Malformed, push_bytes, push_text, whole};
use crate::engine::quantity::Stamp;

/// State of a meter's link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, EnumString, IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum LinkState {
    /// Bytes can flow.
    Up,
    /// The link is gone: cable pulled, connection closed, port vanished.
    Lost,
}

words!(LinkState: name);

/// One thing that came in (or went out) during a sitting. Fields are borrowed; text is UTF-8, bytes are any bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event<'a> {
    /// The program that writes.
    Program {
        /// Name by which it was run.
        name: &'a str,
        /// Version, as in Cargo.toml.
        version: &'a str,
    },
    /// The wall clock at time 0, to the microsecond, with the offset of local time (RFC 3339: whole minutes, years 0 to 9999).
    Begun {
        /// Date, time of day and offset.
        wall: DateTime<FixedOffset>,
    },
    /// A file that the sitting was started with, whole.
    File {
        /// Its name, without the folder.
        name: &'a str,
        /// All its bytes, whatever their encoding.
        content: &'a [u8],
    },
    /// A setting that did not come from a file: an option of the command line.
    Setting {
        /// Key, one of those in `sitting::Setup`.
        key: &'a str,
        /// Value, as text.
        value: &'a str,
    },
    /// A meter that takes part; the number stands for it in the other lines.
    Meter {
        /// Its number in this recording.
        number: u16,
        /// Its name in the job.
        name: &'a str,
        /// Its device profile's name.
        profile: &'a str,
        /// The port it is on.
        port: &'a str,
    },
    /// Bytes that a meter sent, as they came off the port.
    In {
        /// The meter's number.
        meter: u16,
        /// Bytes as they came from the link.
        bytes: &'a [u8],
    },
    /// Bytes that a meter was sent. A replay does not need them; an audit does.
    Out {
        /// The meter's number.
        meter: u16,
        /// Bytes as they went to the link.
        bytes: &'a [u8],
    },
    /// Bytes that a meter sent and that were passed over, up to an end of line, because it sent too fast.
    Missed {
        /// The meter's number.
        meter: u16,
        /// Number of bytes.
        bytes: u64,
    },
    /// A meter's link came up or was lost.
    Link {
        /// The meter's number.
        meter: u16,
        /// Up or lost.
        state: LinkState,
        /// The reason; may be empty.
        reason: &'a str,
    },
    /// A command of the person at the bench.
    Command {
        /// As it was given.
        text: &'a str,
    },
    /// Outcome of the decision that the command before it asked for.
    Decision {
        /// Whether it is written down.
        written: bool,
        /// The obstacle; else empty.
        reason: &'a str,
    },
}

/// Word in the file for a decision that is written down.
pub(super) const WRITTEN: &str = "written";
/// Word for one that is not.
pub(super) const UNWRITTEN: &str = "unwritten";

impl<'a> Event<'a> {
    /// The word that names it in the file.
    pub const fn word(&self) -> &'static str {
        self.kind().name()
    }

    const fn kind(&self) -> Word {
        match self {
            Self::Program { .. } => Word::Program,
            Self::Begun { .. } => Word::Begun,
            Self::File { .. } => Word::File,
            Self::Setting { .. } => Word::Setting,
            Self::Meter { .. } => Word::Meter,
            Self::In { .. } => Word::In,
            Self::Out { .. } => Word::Out,
            Self::Missed { .. } => Word::Missed,
            Self::Link { .. } => Word::Link,
            Self::Command { .. } => Word::Command,
            Self::Decision { .. } => Word::Decision,
        }
    }

    /// Appends the fields, each with a tab before it.
    pub(super) fn push_fields(&self, out: &mut Vec<u8>) {
        match *self {
            Self::Program { name, version } => push_texts(out, &[name, version]),
            Self::Begun { wall } => {
                push_texts(out, &[&wall.to_rfc3339_opts(SecondsFormat::Micros, false)]);
            }
            Self::File { name, content } => {
                push_texts(out, &[name]);
                out.push(b'\t');
                push_text(out, content);
            }
            Self::Setting { key, value } => push_texts(out, &[key, value]),
            Self::Meter {
                number,
                name,
                profile,
                port,
            } => {
                push_number(out, number);
                push_texts(out, &[name, profile, port]);
            }
            Self::In { meter, bytes } | Self::Out { meter, bytes } => {
                push_number(out, meter);
                out.push(b'\t');
                push_bytes(out, bytes);
            }
            Self::Missed { meter, bytes } => {
                push_number(out, meter);
                push_number(out, bytes);
            }
            Self::Link {
                meter,
                state,
                reason,
            } => {
                push_number(out, meter);
                push_texts(out, &[state.name(), reason]);
            }
            Self::Command { text } => push_texts(out, &[text]),
            Self::Decision { written, reason } => {
                push_texts(out, &[if written { WRITTEN } else { UNWRITTEN }, reason]);
            }
        }
    }

    /// Reads the fields of a line with this word. `extra`: whether the line may have more fields than we know.
    pub(super) fn parse(word: Word, line: &'a mut [u8], extra: bool) -> Result<Self, Malformed> {
        let mut fields = Fields::of(word, line);
        let event = match word {
            Word::Program => Self::Program {
                name: fields.text("name")?,
                version: fields.text("version")?,
            },
            Word::Begun => Self::Begun {
                wall: fields.time("date and time")?,
            },
            Word::File => Self::File {
                name: fields.text("name")?,
                content: fields.bytes("content")?,
            },
            Word::Setting => Self::Setting {
                key: fields.text("key")?,
                value: fields.text("value")?,
            },
            Word::Meter => Self::Meter {
                number: fields.number("meter number")?,
                name: fields.text("name")?,
                profile: fields.text("profile")?,
                port: fields.text("port")?,
            },
            Word::In => Self::In {
                meter: fields.number("meter number")?,
                bytes: fields.bytes("bytes")?,
            },
            Word::Out => Self::Out {
                meter: fields.number("meter number")?,
                bytes: fields.bytes("bytes")?,
            },
            Word::Missed => Self::Missed {
                meter: fields.number("meter number")?,
                bytes: fields.number("number of bytes")?,
            },
            Word::Link => Self::Link {
                meter: fields.number("meter number")?,
                state: fields.link_state()?,
                reason: fields.text("reason")?,
            },
            Word::Command => Self::Command {
                text: fields.text("text")?,
            },
            Word::Decision => Self::Decision {
                written: fields.written()?,
                reason: fields.text("reason")?,
            },
            Word::Sealed => return Err(Malformed::Misplaced { word: word.name() }),
        };
        fields.end(extra)?;
        Ok(event)
    }
}

fn push_texts(out: &mut Vec<u8>, texts: &[&str]) {
    for text in texts {
        out.push(b'\t');
        push_text(out, text.as_bytes());
    }
}

fn push_number(out: &mut Vec<u8>, number: impl std::fmt::Display) {
    write!(out, "\t{number}").unwrap_or_else(|_| unreachable!("a vector takes every byte"));
}

/// The word of a line; the one on most lines comes first, for it is looked for in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase", const_into_str)]
pub(super) enum Word {
    In,
    Out,
    Command,
    Link,
    Decision,
    Missed,
    Program,
    Begun,
    File,
    Setting,
    Meter,
    Sealed,
}

impl Word {
    /// As it stands in the file.
    pub(super) const fn name(self) -> &'static str {
        self.into_str()
    }

    /// The word that stands there, if it is one of ours.
    pub(super) fn of(text: &[u8]) -> Option<Self> {
        Self::VARIANTS
            .iter()
            .copied()
            .find(|word| word.name().as_bytes() == text)
    }
}

/// The time and the word of a line.
pub(super) struct Beginning<'a> {
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

/// Content of the seal of a recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal {
    /// When the sitting ended.
    pub at: Stamp,
    /// Reason why it ended.
    pub reason: String,
    /// Lines before the seal, the first line included.
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

/// The ending of a recording. All lines before that are good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// With its seal, which fits (in a survey: if no problem says otherwise).
    Sealed(Seal),
    /// Without a seal: the sitting was not ended, the program or the machine stopped.
    Unsealed {
        /// Whole lines of the file.
        lines: u64,
    },
    /// Within a line: the machine stopped, or the disk was full, while it was written.
    Torn {
        /// Whole lines of the file.
        lines: u64,
        /// Bytes of the torn line.
        bytes: u64,
    },
}
