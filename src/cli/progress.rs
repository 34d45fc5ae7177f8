//! [`Progress`] and [`Steps`]: how far long work is, and which of several steps is under way, on standard error if that is a
//! terminal.

use std::io::{self, IsTerminal as _, Read, Write as _};
use std::time::{Duration, Instant};

use super::printer::shown;

/// Work that is over sooner says nothing, and nothing is said more often.
const PAUSE: Duration = Duration::from_millis(500);

/// Advance of a piece of work. What it shows is wiped away when it is dropped.
pub(crate) struct Progress {
    what: String,
    total: u64,
    said: Instant,
    is_shown: bool,
    is_wanted: bool,
}

impl Progress {
    /// Work on `what` with so many bytes to go through.
    pub(crate) fn of(what: impl Into<String>, total: u64) -> Self {
        Self {
            what: what.into(),
            total: total.max(1),
            said: Instant::now(),
            is_shown: false,
            is_wanted: io::stderr().is_terminal(),
        }
    }

    /// Bytes that are done.
    pub(crate) fn at(&mut self, done: u64) {
        if !self.is_wanted || self.said.elapsed() < PAUSE {
            return;
        }
        self.said = Instant::now();
        self.is_shown = true;
        let share = done.min(self.total) * 100 / self.total;
        // Whoever does not see it waits all the same.
        let _ = write!(io::stderr(), "\r\x1b[K{}: {share} %", shown(&self.what));
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.is_shown {
            let _ = write!(io::stderr(), "\r\x1b[K");
        }
    }
}

/// Bytes of which it is said how far their reading is.
pub(crate) struct Watched<R> {
    input: R,
    read: u64,
    progress: Progress,
}

impl<R: Read> Watched<R> {
    /// Watches the reading of `input`.
    pub(crate) fn new(input: R, progress: Progress) -> Self {
        Self {
            input,
            read: 0,
            progress,
        }
    }
}

impl<R: Read> Read for Watched<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.input.read(into)?;
        self.read += count as u64;
        self.progress.at(self.read);
        Ok(count)
    }
}

/// The step under way. Its line is wiped away when it is dropped.
pub(crate) struct Steps {
    done: usize,
    all: usize,
    is_wanted: bool,
    is_shown: bool,
}

impl Steps {
    /// Begins with so many steps, none of them done.
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
            let _ = write!(
                io::stderr(),
                "\r\x1b[K{}",
                shown(&words(self.done, self.all))
            );
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
