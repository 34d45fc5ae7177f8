//! What the pages that are made as one HTML file have in common: the shell with its style, and how texts and times are worded.
//!
//! Everything that comes from a file is text: `maud` escapes it, [`words::own`] keeps its direction to itself.

mod shell;
pub(super) mod words;

pub(super) use shell::Shell;
