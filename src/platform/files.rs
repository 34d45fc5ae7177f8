//! Files: locks, those that appear whole or not at all, programs, owners.

#[cfg(unix)]
use std::fs::Permissions;
use std::fs::{self, File};
use std::io::{self, Write as _};
#[cfg(unix)]
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

/// A lock on a file, against every other opening of it. Free again when dropped, and when the program is killed.
#[derive(Debug)]
pub(crate) struct Held(#[expect(dead_code, reason = "held open for its lock")] File);

/// Locks the file `file`, which is open at `path`, and waits while another holds it.
pub(crate) fn hold(path: &Path, file: &File) -> io::Result<Held> {
    let file = locked_for(path, file)?;
    file.lock()?;
    Ok(Held(file))
}

/// Likewise without waiting; `None` if another holds it.
pub(crate) fn try_hold(path: &Path, file: &File) -> io::Result<Option<Held>> {
    let file = locked_for(path, file)?;
    match file.try_lock() {
        Ok(()) => Ok(Some(Held(file))),
        Err(fs::TryLockError::WouldBlock) => Ok(None),
        Err(fs::TryLockError::Error(error)) => Err(error),
    }
}

/// Whether another opening of the file at `path` is held; nothing is written.
pub(crate) fn is_held(path: &Path) -> bool {
    let shared = File::open(lock_path(path)).map(|file| file.try_lock_shared());
    matches!(shared, Ok(Err(fs::TryLockError::WouldBlock)))
}

/// The file that bears the lock: the file itself, since a lock here only binds those who ask for it.
#[cfg(unix)]
fn locked_for(_path: &Path, file: &File) -> io::Result<File> {
    file.try_clone()
}

/// The file that bears the lock: one beside it, since a lock here would keep everybody from reading the file.
#[cfg(windows)]
fn locked_for(path: &Path, _file: &File) -> io::Result<File> {
    let mut options = File::options();
    options.read(true).write(true).create(true).truncate(false);
    options.open(lock_path(path))
}

/// Where the lock of the file at `path` is.
fn lock_path(path: &Path) -> PathBuf {
    if cfg!(unix) {
        return path.to_owned();
    }
    let mut name = path.as_os_str().to_owned();
    name.push(".held");
    PathBuf::from(name)
}

/// Reason why nothing more is written to a file that has no name any more.
#[cfg(unix)]
const DELETED: &str = "it was deleted while it was written";

/// A file that is written for long: nothing goes into it once it has no name any more.
#[derive(Debug)]
pub struct LastingFile(pub(crate) File);

impl io::Write for LastingFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        has_a_name(&self.0)?;
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// An error if nothing leads to the open file any more.
#[cfg(unix)]
pub(crate) fn has_a_name(file: &File) -> io::Result<()> {
    match file.metadata()?.nlink() {
        0 => Err(io::Error::new(io::ErrorKind::NotFound, DELETED)),
        _ => Ok(()),
    }
}

/// Nobody deletes a file that is open here.
#[cfg(windows)]
pub(crate) fn has_a_name(_file: &File) -> io::Result<()> {
    Ok(())
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
    builder.prefix(prefix);
    #[cfg(unix)]
    builder.permissions(Permissions::from_mode(0o666));
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
    #[cfg(unix)]
    let may_run = |data: &fs::Metadata| data.permissions().mode() & 0o111 != 0;
    #[cfg(windows)]
    let may_run = |_: &fs::Metadata| true;
    fs::metadata(file).is_ok_and(|data| data.is_file() && may_run(&data))
}

/// The name of the group that owns a file.
#[cfg(unix)]
pub(crate) fn owning_group(path: &Path) -> Option<String> {
    let group = fs::metadata(path).ok()?.gid();
    group_name(&fs::read_to_string("/etc/group").ok()?, group)
}

/// No group owns a file here.
#[cfg(windows)]
pub(crate) fn owning_group(_path: &Path) -> Option<String> {
    None
}

/// The name of `group` in a group file: lines of `name:password:number:members`.
#[cfg(unix)]
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

/// Whether there is a serial port of that name, which may be no path of a file.
pub(crate) fn is_serial_port(path: &Path) -> bool {
    if cfg!(unix) {
        return path.exists();
    }
    let ports = serialport::available_ports().unwrap_or_default();
    let name = path.to_string_lossy();
    ports
        .iter()
        .any(|port| port.port_name.eq_ignore_ascii_case(&name))
}

/// There are pseudo-terminals that a serial library can open.
pub(crate) const HAS_PSEUDO_TERMINALS: bool = cfg!(unix);

/// A serial port as they are called here, for a message.
pub(crate) const A_SERIAL_PORT: &str = if cfg!(windows) {
    "COM3"
} else if cfg!(target_os = "macos") {
    "/dev/tty.usbserial-1410"
} else {
    "/dev/ttyUSB0"
};

#[cfg(test)]
mod tests {
    use super::*;
    #[cfg(unix)]
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
