//! The local socket: connections between programs of one machine, found by a path.

use std::fs;
use std::io;
use std::os::fd::{AsRawFd as _, OwnedFd};
use std::os::unix::fs::FileTypeExt as _;
use std::path::{Path, PathBuf};

use rustix::fs::{Mode, OFlags, chmod, open};
use rustix::net::{
    AddressFamily, SocketAddrUnix, SocketFlags, SocketType, bind, listen, socket_with,
};

pub(crate) use std::os::unix::net::{UnixListener as LocalListener, UnixStream as LocalStream};

/// The longest path of a socket that Linux takes, in bytes: 108 with the zero at its end, unix(7).
const LONGEST: usize = 107;

/// The path of a socket, short enough for one.
#[derive(Debug)]
struct Place {
    path: PathBuf,
    /// The folder, held open where the path goes by its number.
    _folder: Option<OwnedFd>,
}

impl Place {
    /// Where the path is too long for a socket, it goes by the number of the open folder, proc(5).
    fn of(folder: &Path, name: &str) -> io::Result<Self> {
        let path = folder.join(name);
        if path.as_os_str().len() <= LONGEST {
            return Ok(Self {
                path,
                _folder: None,
            });
        }
        let flags = OFlags::PATH | OFlags::DIRECTORY | OFlags::CLOEXEC;
        let folder = open(folder, flags, Mode::empty())?;
        Ok(Self {
            path: PathBuf::from(format!("/proc/self/fd/{}/{name}", folder.as_raw_fd())),
            _folder: Some(folder),
        })
    }
}

/// Removes the socket from its folder when dropped.
#[derive(Debug)]
pub(crate) struct Removed(Place);

impl Drop for Removed {
    fn drop(&mut self) {
        // If somebody else has removed it, it is gone all the same.
        let _ = fs::remove_file(&self.0.path);
    }
}

/// Connects to the socket of that name in a folder.
pub(crate) fn connect(folder: &Path, name: &str) -> io::Result<LocalStream> {
    LocalStream::connect(Place::of(folder, name)?.path)
}

/// Listens at a socket of that name in a folder, for the owner alone and without waiting. One that is there already is
/// replaced; `None` if something else has its name.
pub(crate) fn listen_at(folder: &Path, name: &str) -> io::Result<Option<(LocalListener, Removed)>> {
    let place = Place::of(folder, name)?;
    match fs::symlink_metadata(&place.path) {
        Ok(found) if found.file_type().is_socket() => fs::remove_file(&place.path)?,
        Ok(_) => return Ok(None),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    let flags = SocketFlags::CLOEXEC | SocketFlags::NONBLOCK;
    let socket = socket_with(AddressFamily::UNIX, SocketType::STREAM, flags, None)?;
    bind(&socket, &SocketAddrUnix::new(&place.path)?)?;
    let bound = Removed(place);
    // Nobody gets in before it listens, and then only its owner does.
    chmod(&bound.0.path, Mode::RUSR | Mode::WUSR)?;
    listen(&socket, 64)?;
    Ok(Some((LocalListener::from(socket), bound)))
}
