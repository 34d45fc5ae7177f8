//! The terminal that the person has: its keys, its size, whether it takes what is written to it.

use std::fs::File;
use std::io::{self, IsTerminal as _};
use std::os::fd::{AsFd, BorrowedFd};
use std::time::Duration;

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::process::getpgrp;
use rustix::termios::{
    self, Action, LocalModes, OptionalActions, SpecialCodeIndex, Termios, tcflow, tcgetwinsize,
};

/// The special code of a key that does nothing special.
const DISABLED: u8 = 0;

/// A terminal on standard input that hands over keys at once and shows none; as it was before when dropped.
#[derive(Debug)]
pub(crate) struct SingleKeys {
    before: Termios,
}

impl SingleKeys {
    /// Takes the terminal on standard input over; `None` if there is none.
    pub(crate) fn take_over() -> Option<Self> {
        let stdin = io::stdin();
        let before = termios::tcgetattr(&stdin).ok()?;
        let mut raw = before.clone();
        raw.local_modes
            .remove(LocalModes::ICANON | LocalModes::ECHO);
        raw.special_codes[SpecialCodeIndex::VMIN] = 1;
        raw.special_codes[SpecialCodeIndex::VTIME] = 0;
        // A sitting that is put to sleep misses what the meter sends, and leaves the terminal to others as it is.
        raw.special_codes[SpecialCodeIndex::VSUSP] = DISABLED;
        // A terminal that refuses still takes commands, with Enter behind them.
        let _ = termios::tcsetattr(&stdin, OptionalActions::Now, &raw);
        Some(Self { before })
    }
}

impl Drop for SingleKeys {
    fn drop(&mut self) {
        // There is nobody left to tell.
        let _ = termios::tcsetattr(io::stdin(), OptionalActions::Now, &self.before);
    }
}

/// Whether standard input is the terminal of somebody else just now: whoever touches it in the background is stopped.
pub(crate) fn in_background() -> bool {
    termios::tcgetpgrp(io::stdin()).is_ok_and(|group| group != getpgrp())
}

/// The bytes of keys.
pub(crate) type Keys = File;

/// Standard input, for whoever reads keys without a lock on it.
pub(crate) fn keys() -> io::Result<Keys> {
    own(io::stdin().as_fd())
}

/// A descriptor of one's own of the terminal that the person sees: whoever has standard output locked is not to be waited for.
#[derive(Debug)]
pub(crate) struct PersonsTerminal(File);

impl PersonsTerminal {
    /// The one on standard output.
    pub(crate) fn on_stdout() -> io::Result<Self> {
        own(io::stdout().as_fd()).map(Self)
    }

    /// The one on standard error, or else on standard output; `None` if neither is a terminal.
    pub(crate) fn seen() -> Option<Self> {
        let (out, err) = (io::stdout(), io::stderr());
        let terminal = if err.is_terminal() {
            err.as_fd()
        } else if out.is_terminal() {
            out.as_fd()
        } else {
            return None;
        };
        own(terminal).ok().map(Self)
    }

    /// Whether standard output is a terminal on which a screen can be drawn: it has a size, and TERM names one that can.
    pub(crate) fn can_be_drawn_on() -> bool {
        let known = std::env::var_os("TERM").is_some_and(|term| !term.is_empty() && term != "dumb");
        let out = io::stdout();
        let sized = || tcgetwinsize(&out).is_ok_and(|size| size.ws_col > 0 && size.ws_row > 0);
        known && out.is_terminal() && sized()
    }

    /// Width of the terminal on standard output, in columns.
    pub(crate) fn columns() -> Option<usize> {
        let size = tcgetwinsize(io::stdout()).ok()?;
        (size.ws_col > 0).then_some(usize::from(size.ws_col))
    }

    /// Another descriptor of it.
    pub(crate) fn again(&self) -> io::Result<Self> {
        self.0.try_clone().map(Self)
    }

    /// Whether it takes something, now or within that time.
    pub(crate) fn takes(&self, within: Duration) -> bool {
        let mut asked = [PollFd::new(&self.0, PollFlags::OUT)];
        let Ok(within) = Timespec::try_from(within) else {
            return false;
        };
        poll(&mut asked, Some(&within)).is_ok_and(|ready| ready > 0)
            && asked[0].revents().contains(PollFlags::OUT)
    }

    /// Starts it again where it was stopped with Ctrl-S. Only what was stopped from here can be started from here, so both.
    pub(crate) fn start_again(&self) {
        let _ = tcflow(&self.0, Action::OOff);
        let _ = tcflow(&self.0, Action::OOn);
    }
}

impl io::Write for PersonsTerminal {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

fn own(of: BorrowedFd<'_>) -> io::Result<File> {
    of.try_clone_to_owned().map(File::from)
}
