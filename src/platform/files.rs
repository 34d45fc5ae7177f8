//! Files: locks, permissions, those that appear whole or not at all, and the local socket, which is found by a path.

use std::fs::{self, File, Permissions};
use std::io::{self, Write as _};
use std::os::fd::{AsRawFd as _, OwnedFd};
use std::os::unix::fs::{FileTypeExt as _, MetadataExt as _, PermissionsExt as _};
use std::path::{Path, PathBuf};

use rustix::fs::{FlockOperation, Mode, OFlags, chmod, flock, open};
use rustix::io::Errno;
use rustix::net::{
    AddressFamily, SocketAddrUnix, SocketFlags, SocketType, bind, listen, socket_with,
};
use tempfile::{Builder, NamedTempFile};

pub(crate) use std::os::unix::net::{UnixListener as LocalListener, UnixStream as LocalStream};

/// Locks a file against every other opening of it, and waits while another has it locked. Free again when it is closed.
pub(crate) fn lock(file: &File) -> io::Result<()> {
    Ok(flock(file, FlockOperation::LockExclusive)?)
}

/// Likewise without waiting; whether it could be had.
pub(crate) fn try_lock(file: &File) -> io::Result<bool> {
    match flock(file, FlockOperation::NonBlockingLockExclusive) {
        Ok(()) => Ok(true),
        Err(Errno::WOULDBLOCK) => Ok(false),
        Err(error) => Err(error.into()),
    }
}

/// Whether another opening of the file has it locked.
pub(crate) fn is_locked(file: &File) -> bool {
    flock(file, FlockOperation::NonBlockingLockShared) == Err(Errno::WOULDBLOCK)
}

/// Writes a file as a whole or not at all: beside its place first, then to the disk, then into its place. `false` if something
/// has its name and may not be replaced.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], replace: bool) -> io::Result<bool> {
    let mut file = beside(path, ".probewright-")?;
    file.write_all(bytes)?;
    put_in_place(file, path, replace)
}

/// A temporary file in the folder of `path`, with the permissions of any new file: what the person's mask leaves.
pub(crate) fn beside(path: &Path, prefix: &str) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder
        .prefix(prefix)
        .permissions(Permissions::from_mode(0o666));
    builder.tempfile_in(folder(path))
}

/// Brings a file to the disk and gives it its name; `false` if something has that and may not be replaced.
pub(crate) fn put_in_place(file: NamedTempFile, path: &Path, replace: bool) -> io::Result<bool> {
    file.as_file().sync_all()?;
    let placed = if replace {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    match placed {
        Ok(_) => {
            sync_name(path);
            Ok(true)
        }
        Err(refused) if refused.error.kind() == io::ErrorKind::AlreadyExists => Ok(false),
        Err(refused) => Err(refused.error),
    }
}

/// Brings the name of a new file to the disk, as its folder has it. Not every file system can do that; the file counts.
pub(crate) fn sync_name(path: &Path) {
    let _ = File::open(folder(path)).and_then(|folder| folder.sync_all());
}

/// The folder that a file is in.
fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Whether there is a program of that name that somebody may run.
pub(crate) fn is_program(file: &Path) -> bool {
    fs::metadata(file).is_ok_and(|data| data.is_file() && data.permissions().mode() & 0o111 != 0)
}

/// The name of the group that owns a file.
pub(crate) fn owning_group(path: &Path) -> Option<String> {
    let group = fs::metadata(path).ok()?.gid();
    group_name(&fs::read_to_string("/etc/group").ok()?, group)
}

/// The name of `group` in a group file: lines of `name:password:number:members`.
fn group_name(file: &str, group: u32) -> Option<String> {
    file.lines().find_map(|line| {
        let mut fields = line.split(':');
        let name = fields.next()?;
        let number: u32 = fields.nth(1)?.parse().ok()?;
        (number == group).then(|| name.to_owned())
    })
}

/// Whether serial ports can be listed: the library panics on a Linux without any serial driver.
pub(crate) fn can_list_serial_ports() -> bool {
    !cfg!(target_os = "linux") || Path::new("/sys/class/tty").is_dir()
}

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

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn the_group_that_owns_a_device_is_named() {
        assert_eq!(
            group_name("root:x:0:\ndialout:x:20:ann,ben\n", 20).as_deref(),
            Some("dialout")
        );
        assert_eq!(group_name("root:x:0:\nbroken line\n", 20), None);
    }

    #[test]
    fn a_whole_file_takes_nobodys_place_unasked_and_leaves_nothing_behind() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("list.csv");
        assert!(write_whole(&path, b"one", false).unwrap());
        assert!(!write_whole(&path, b"two", false).unwrap());
        assert_eq!(fs::read(&path).unwrap(), b"one");
        assert!(write_whole(&path, b"two", true).unwrap());
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
    }
}
