//! A cell that may be empty and that only some kinds of part may have.

use super::{Kind, Problem};

/// Which parts may have the cell, and what is wrong where another one has it.
pub(super) struct Belongs {
    /// Whether a part of that kind may have it.
    pub(super) to: fn(Kind) -> bool,
    /// The problem of a part of another kind, with the text that was found.
    pub(super) otherwise: fn(String, Kind) -> Problem,
}

/// Reads the cell: `None` if it is empty. `kind` is that of the part, if it is known.
pub(super) fn optional_cell<T>(
    text: &str,
    kind: Option<Kind>,
    belongs: &Belongs,
    read: impl FnOnce(&str) -> Option<T>,
    wrong: impl FnOnce(String) -> Problem,
) -> Result<Option<T>, Problem> {
    if text.is_empty() {
        return Ok(None);
    }
    if let Some(kind) = kind.filter(|kind| !(belongs.to)(*kind)) {
        return Err((belongs.otherwise)(text.to_owned(), kind));
    }
    read(text).map(Some).ok_or_else(|| wrong(text.to_owned()))
}
