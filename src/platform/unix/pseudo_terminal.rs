//! Pairs of pseudo-terminals.

use std::ffi::OsStr;
use std::fs;
use std::io;
use std::os::fd::{AsFd as _, OwnedFd};
use std::os::unix::ffi::OsStrExt as _;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};

use rustix::fs::{Mode, OFlags};
use rustix::io::{FdFlags, fcntl_setfd};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};

use crate::platform::Waited;

/// A pseudo-terminal in raw mode behind a symbolic link. Dropping it removes both.
#[derive(Debug)]
pub(crate) struct PseudoTerminal {
    master: OwnedFd,
    // Held open so that the program may close its end and open it again.
    _slave: OwnedFd,
    link: PathBuf,
}

impl PseudoTerminal {
    /// Opens one whose other end `link` leads to.
    pub(crate) fn open(link: &Path) -> io::Result<Self> {
        let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY)?;
        fcntl_setfd(&master, FdFlags::CLOEXEC)?;
        grantpt(&master)?;
        unlockpt(&master)?;
        let path = ptsname(&master, Vec::new())?;
        let slave = rustix::fs::open(
            path.as_c_str(),
            OFlags::RDWR | OFlags::NOCTTY | OFlags::CLOEXEC,
            Mode::empty(),
        )?;
        // Raw before anyone talks, or the meter would hear its own words as an echo.
        let mut settings = tcgetattr(&slave)?;
        settings.make_raw();
        tcsetattr(&slave, OptionalActions::Now, &settings)?;
        rustix::io::ioctl_fionbio(&master, true)?;
        point(link, Path::new(OsStr::from_bytes(path.to_bytes())))?;
        Ok(Self {
            master,
            _slave: slave,
            link: link.to_owned(),
        })
    }

    /// The path to open it by.
    pub(crate) fn path(&self) -> &Path {
        &self.link
    }

    /// Event to wait for until something can be read.
    pub(crate) fn readable(&self) -> Waited<'_> {
        self.master.as_fd()
    }

    /// Reads what is there; zero if nothing is.
    pub(crate) fn read(&self, buffer: &mut [u8]) -> usize {
        rustix::io::read(&self.master, buffer).unwrap_or(0)
    }

    /// Writes what the line takes at once. The rest is lost: the program reads too slowly, or has not opened the port.
    pub(crate) fn write(&self, bytes: &[u8]) {
        let _ = rustix::io::write(&self.master, bytes);
    }
}

impl Drop for PseudoTerminal {
    fn drop(&mut self) {
        // Somebody may have removed the link, or its directory, already.
        let _ = fs::remove_file(&self.link);
    }
}

/// Makes `link` lead to `target`, in one step for whoever looks.
fn point(link: &Path, target: &Path) -> io::Result<()> {
    let mut fresh = link.as_os_str().to_owned();
    fresh.push(format!(".{}", std::process::id()));
    symlink(target, &fresh)?;
    fs::rename(&fresh, link)
}
