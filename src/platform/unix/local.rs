//! The local socket: a Unix socket, found by its path.

use std::fs::{self, File, Permissions};
use std::future::{Ready, ready};
use std::io;
use std::os::fd::AsRawFd as _;
use std::os::unix::fs::{FileTypeExt as _, PermissionsExt as _};
use std::path::{Path, PathBuf};

use socket2::{Domain, SockAddr, Socket, Type};

pub(crate) use std::os::unix::net::UnixStream as LocalStream;
pub(crate) use tokio::net::{UnixListener as LocalListener, UnixStream as LocalPeer};

/// The longest path of a socket, in bytes: 108 with the zero at its end on Linux (unix(7)), 104 on macOS (its header sys/un.h, from memory).
const LONGEST: usize = if cfg!(target_os = "linux") { 107 } else { 103 };

/// The path of a socket, short enough for one.
#[derive(Debug)]
struct ShortPath {
    path: PathBuf,
    /// The folder, held open where the path goes by its number.
    _folder: Option<File>,
}

impl ShortPath {
    /// Where the path is too long for a socket, it goes by the number of the open folder, proc(5).
    fn of(folder: &Path, name: &str) -> io::Result<Self> {
        let path = folder.join(name);
        if path.as_os_str().len() <= LONGEST {
            return Ok(Self {
                path,
                _folder: None,
            });
        }
        if !cfg!(target_os = "linux") {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                format!(
                    "the path is longer than the {LONGEST} bytes that a socket's may have here; move the folder to a shorter one"
                ),
            ));
        }
        let folder = File::open(folder)?;
        Ok(Self {
            path: PathBuf::from(format!("/proc/self/fd/{}/{name}", folder.as_raw_fd())),
            _folder: Some(folder),
        })
    }
}

/// Removes the socket from its folder when dropped.
#[derive(Debug)]
pub(crate) struct Removed(ShortPath);

impl Removed {
    /// Admission of anyone who may open the socket, so of its owner alone.
    #[expect(clippy::unused_self, reason = "elsewhere it holds a key")]
    pub(crate) fn admission(&self) -> Admission {
        Admission
    }
}

impl Drop for Removed {
    fn drop(&mut self) {
        // If somebody else has removed it, it is gone all the same.
        let _ = fs::remove_file(&self.0.path);
    }
}

/// Admission to the socket.
#[derive(Debug, Clone)]
pub(crate) struct Admission;

impl Admission {
    /// Everybody who could connect.
    #[expect(clippy::unused_self, reason = "elsewhere it holds a key")]
    pub(crate) fn lets_in(&self, _peer: &mut LocalPeer) -> Ready<bool> {
        ready(true)
    }
}

/// Connects to the socket of that name in a folder.
pub(crate) fn connect(folder: &Path, name: &str) -> io::Result<LocalStream> {
    LocalStream::connect(ShortPath::of(folder, name)?.path)
}

/// A socket that is bound and not yet served.
#[derive(Debug)]
pub(crate) struct Bound(std::os::unix::net::UnixListener);

impl Bound {
    /// Serves it on the async runtime that this is called in.
    pub(crate) fn serve(self) -> io::Result<LocalListener> {
        LocalListener::from_std(self.0)
    }
}

/// Listens at a socket of that name in a folder, for the owner alone. One that is there already is replaced; `None` if
/// something else has its name.
pub(crate) fn listen_at(folder: &Path, name: &str) -> io::Result<Option<(Bound, Removed)>> {
    let place = ShortPath::of(folder, name)?;
    match fs::symlink_metadata(&place.path) {
        Ok(found) if found.file_type().is_socket() => fs::remove_file(&place.path)?,
        Ok(_) => return Ok(None),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    let socket = Socket::new(Domain::UNIX, Type::STREAM, None)?;
    socket.set_nonblocking(true)?;
    socket.bind(&SockAddr::unix(&place.path)?)?;
    let bound = Removed(place);
    // Nobody gets in before it listens, and then only its owner does.
    fs::set_permissions(&bound.0.path, Permissions::from_mode(0o600))?;
    socket.listen(64)?;
    Ok(Some((Bound(socket.into()), bound)))
}
