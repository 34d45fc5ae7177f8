//! [`Wire`]: the meter's end of a pseudo-terminal or of a TCP connection.

use std::fs;
use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::os::fd::{AsFd, BorrowedFd, OwnedFd};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};

use rustix::fs::{Mode, OFlags};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};

use super::options::Serve;

/// The meter's end of the line. It never waits.
#[derive(Debug)]
pub(super) enum Wire {
    Terminal(Terminal),
    Tcp(Tcp),
}

/// A pseudo-terminal in raw mode behind a symbolic link. Dropping it removes both.
#[derive(Debug)]
pub(super) struct Terminal {
    master: OwnedFd,
    // Held open so that the program may close its end and open it again.
    _slave: OwnedFd,
    link: PathBuf,
}

/// A listening socket and at most one client.
#[derive(Debug)]
pub(super) struct Tcp {
    listener: TcpListener,
    client: Option<TcpStream>,
}

impl Wire {
    /// Opens the meter's end; `bound` is where a TCP meter was before its cable was cut.
    pub(super) fn open(serve: &Serve, bound: Option<SocketAddr>) -> io::Result<Self> {
        match serve {
            Serve::Terminal { directory, name } => {
                Terminal::open(&directory.join(name)).map(Self::Terminal)
            }
            Serve::Tcp => {
                Tcp::open(bound.unwrap_or((Ipv4Addr::LOCALHOST, 0).into())).map(Self::Tcp)
            }
        }
    }

    /// The address to give to a program.
    pub(super) fn address(&self) -> io::Result<String> {
        match self {
            Self::Terminal(terminal) => Ok(terminal.link.display().to_string()),
            Self::Tcp(tcp) => Ok(format!("tcp:{}", tcp.listener.local_addr()?)),
        }
    }

    /// Where a TCP meter listens.
    pub(super) fn bound(&self) -> Option<SocketAddr> {
        match self {
            Self::Terminal(_) => None,
            Self::Tcp(tcp) => tcp.listener.local_addr().ok(),
        }
    }

    /// What to wait for until something can be read.
    pub(super) fn readable(&self) -> BorrowedFd<'_> {
        match self {
            Self::Terminal(terminal) => terminal.master.as_fd(),
            Self::Tcp(tcp) => tcp
                .client
                .as_ref()
                .map_or(tcp.listener.as_fd(), AsFd::as_fd),
        }
    }

    /// Reads what is there into `buffer`; zero if nothing is.
    pub(super) fn read(&mut self, buffer: &mut [u8]) -> usize {
        match self {
            Self::Terminal(terminal) => rustix::io::read(&terminal.master, buffer).unwrap_or(0),
            Self::Tcp(tcp) => tcp.read(buffer),
        }
    }

    /// Writes `bytes`; what the line does not take at once is lost, as in a meter without flow control.
    pub(super) fn write(&mut self, bytes: &[u8]) {
        match self {
            Self::Terminal(terminal) => terminal.write(bytes),
            Self::Tcp(tcp) => tcp.write(bytes),
        }
    }
}

impl Terminal {
    fn open(link: &Path) -> io::Result<Self> {
        let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC)?;
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
        point(
            link,
            Path::new(std::ffi::OsStr::from_bytes(path.to_bytes())),
        )?;
        Ok(Self {
            master,
            _slave: slave,
            link: link.to_owned(),
        })
    }

    fn write(&self, bytes: &[u8]) {
        // What a full line does not take is lost: the program reads too slowly, or has not opened the port.
        let _ = rustix::io::write(&self.master, bytes);
    }
}

impl Drop for Terminal {
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

impl Tcp {
    fn open(address: SocketAddr) -> io::Result<Self> {
        let listener = TcpListener::bind(address)?;
        listener.set_nonblocking(true)?;
        Ok(Self {
            listener,
            client: None,
        })
    }

    fn read(&mut self, buffer: &mut [u8]) -> usize {
        if self.client.is_none() {
            self.client = self.accept();
        }
        match self.client.as_mut().map(|client| client.read(buffer)) {
            Some(Ok(count)) if count > 0 => return count,
            Some(Err(error)) if error.kind() == io::ErrorKind::WouldBlock => {}
            // The client left; the next one may come.
            _ => self.client = None,
        }
        0
    }

    fn accept(&self) -> Option<TcpStream> {
        let (client, _) = self.listener.accept().ok()?;
        client.set_nonblocking(true).ok()?;
        client.set_nodelay(true).ok()?;
        Some(client)
    }

    fn write(&mut self, bytes: &[u8]) {
        if let Some(client) = &mut self.client {
            // A client that left is noticed by the next read.
            let _ = client.write(bytes);
        }
    }
}
