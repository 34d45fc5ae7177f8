//! The recording of a sitting: everything that came in, as evidence and to compute it all again.
//!
//! This room reads and writes files. It knows bytes, words and times; of the crate it imports [`crate::engine::quantity::Stamp`] and the platform alone,
//! never opens a port, and never asks the wall clock.
//!
//! # The file
//! UTF-8 text, one line an event, fields separated by tabs. The first line is the name and the version of the format; every other line begins
//! with the time in whole microseconds since the start, never smaller than the one before, and a word. Every line ends with its tag.
//!
//! ```text
//! probewright-recording⇥1.1⇥<tag>
//! <microseconds>⇥<word>⇥<field>⇥…⇥<tag>
//! ```
//!
//! | word | fields | meaning |
//! |---|---|---|
//! | `program` | name, version | the program that writes |
//! | `begun` | date and time with offset (RFC 3339) | the wall clock at time 0 |
//! | `file` | name, content | a file that the sitting was started with, whole |
//! | `setting` | key, value | a setting that came from no file |
//! | `meter` | number, name, profile, port | a meter that takes part |
//! | `in` | meter number, bytes | bytes that a meter sent, as they came off the port |
//! | `out` | meter number, bytes | bytes that a meter was sent; for the audit, no replay needs them |
//! | `missed` | meter number, number of bytes | a meter sent too fast: bytes that were passed over, up to an end of line |
//! | `link` | meter number, `up` or `lost`, reason | a meter's link came or went |
//! | `command` | text | what the person told the program |
//! | `decision` | `written` or `unwritten`, reason | what became of the decision that the command before it asked for |
//! | `sealed` | reason, number of lines before, their SHA-256 | the end; nothing may follow |
//!
//! `\t`, `\n`, `\r` and `\\` stand for the tab, the ends of lines and the backslash, `\x1b` for the byte with that number. What meters say and
//! are told is printable ASCII but for escapes; other fields are UTF-8 but for escapes. Any bytes survive the way there and back.
//!
//! A reader refuses another major version; [`Version`] tells what the minor versions mean. With a newer minor version it skips, and counts, lines whose word it does not know, and
//! fields after those it knows.
//!
//! # The chain
//! A line's tag is the first eight digits of the SHA-256 of the stretch of the file that begins with the tag of the line before and ends with the
//! tab before its own: the tag before, a newline, the line. (The first line has nothing before it.) By hand, for line 7:
//!
//! ```sh
//! { sed -n 6p FILE | tail -c 9; sed -n 7p FILE | head -c -9; } | sha256sum | head -c 8
//! ```
//!
//! The seal holds the SHA-256 of everything before it, so that one command proves the whole file:
//!
//! ```sh
//! sed '$d' FILE | sha256sum; tail -n 1 FILE
//! ```
//!
//! Reason why tags hang on the tag before *as it is written*, and not on all bytes so far: then an altered line spoils its own tag only, and every later line
//! can still be told good or bad. A line taken out is noticed at the line behind it; one put in, by the next line continuing from the one before it; of two
//! lines exchanged the first is named, and the place behind them. Eight digits let one damage in four thousand million pass a single line; the seal lets none pass.
//!
//! Limits of the chain: a file whose last lines are cut off looks like a sitting that was not ended. And it holds no secret, so whoever rewrites a line and everything behind it, seal included, leaves no trace in the file.
//! Against that, keep the digest of the seal somewhere else.
//!
//! # The end
//! A file without a seal is a sitting that was not ended; a file that ends within a line lost that line. All lines before are good, and a reader
//! hands them out, then says so ([`Ending`]).

mod block;
mod event;
mod fields;
mod problem;
mod reader;
mod survey;
mod syncer;
mod verifier;
mod writer;

pub use event::{Ending, Event, LinkState, Seal};
pub use fields::Malformed;
pub use problem::{Flaw, ReadError, Version};
pub use reader::{Entry, Reader};
pub use survey::{Survey, survey, survey_of};
pub use writer::{Header, WriteError, Writer, name_for};

/// Beginning of the first line of every recording.
const MAGIC: &str = "probewright-recording";

/// The longest line, in bytes: files are recorded as one line each, and a reader must be able to hold one.
pub const LONGEST_LINE: usize = 16 * 1024 * 1024;
