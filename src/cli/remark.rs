//! [`remark`] and [`typing`]: what is said and shown beside the sitting. It goes to standard error, or to the board while
//! that has the terminal.

use std::io::{self, IsTerminal as _, Write as _};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::display::Board;
use super::printer::shown;
use super::table::flowing;

/// The board that has the terminal.
static BOARD: Mutex<Option<Board>> = Mutex::new(None);

fn board() -> MutexGuard<'static, Option<Board>> {
    BOARD.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From now on remarks go to that board; with `None` to standard error again.
pub(super) fn divert(to: Option<Board>) {
    *board() = to;
}

/// A line for the person that is no part of the sitting.
pub(crate) fn remark(text: &str) {
    if let Some(board) = &*board() {
        board.remark(text);
        return;
    }
    // Nobody who could be told that nobody listens; the sitting is worth more.
    let mut err = io::stderr();
    let _ = if err.is_terminal() {
        flowing(&shown(text), &mut err)
    } else {
        writeln!(err, "{}", shown(text))
    };
}

/// Shows the line that is being typed for a command; `None`: no longer.
pub(crate) fn typing(word: &str, line: Option<&str>) {
    if let Some(board) = &*board() {
        board.typing(word, line);
        return;
    }
    let mut err = io::stderr();
    // Whoever does not see what is typed can type all the same.
    let _ = match line {
        Some(line) => write!(err, "\r\x1b[K{word}: {}", shown(line)),
        None => write!(err, "\r\x1b[K"),
    };
}
