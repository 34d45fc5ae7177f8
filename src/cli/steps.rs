//! [`Steps`]: which of several steps of long work is under way, on standard error if that is a terminal.

use std::io::{self, IsTerminal as _, Write as _};

/// Which step is under way. What it shows is wiped away when it is dropped.
pub(crate) struct Steps {
    done: usize,
    all: usize,
    is_wanted: bool,
    is_shown: bool,
}

impl Steps {
    /// So many steps, none of them begun.
    pub(crate) fn of(all: usize) -> Self {
        Self {
            done: 0,
            all,
            is_wanted: io::stderr().is_terminal(),
            is_shown: false,
        }
    }

    /// The next step begins; `words` says so from its number, counted from one, and that of all.
    pub(crate) fn next(&mut self, words: impl FnOnce(usize, usize) -> String) {
        self.done += 1;
        if self.is_wanted {
            self.is_shown = true;
            // Whoever cannot see it misses nothing.
            let _ = write!(io::stderr(), "\r\x1b[K{}", words(self.done, self.all));
        }
    }

    /// Wipes away what is shown.
    pub(crate) fn clear(&mut self) {
        if std::mem::take(&mut self.is_shown) {
            let _ = write!(io::stderr(), "\r\x1b[K");
        }
    }
}

impl Drop for Steps {
    fn drop(&mut self) {
        self.clear();
    }
}
