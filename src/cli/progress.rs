//! [`Progress`]: how far long work is, on standard error if that is a terminal.

use std::io::{self, IsTerminal as _, Read, Write as _};
use std::time::{Duration, Instant};

/// Work that is over sooner says nothing, and nothing is said more often.
const PAUSE: Duration = Duration::from_millis(500);

/// How far a piece of work is. What it shows is wiped away when it is dropped.
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

    /// So many bytes are done.
    pub(crate) fn at(&mut self, done: u64) {
        if !self.is_wanted || self.said.elapsed() < PAUSE {
            return;
        }
        self.said = Instant::now();
        self.is_shown = true;
        let share = done.min(self.total) * 100 / self.total;
        // Whoever does not see it waits all the same.
        let _ = write!(io::stderr(), "\r\x1b[K{}: {share} %", self.what);
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
