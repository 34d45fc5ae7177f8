//! [`Place`]: where the socket of a job's sitting is.

use std::io;
use std::os::fd::{AsRawFd, OwnedFd};
use std::path::{Path, PathBuf};

use rustix::fs::{Mode, OFlags, open};

/// Name of the socket in the folder of a job.
const NAME: &str = ".sitting.sock";

/// The longest path of a socket that Linux takes, in bytes: 108 with the zero at its end, unix(7).
const LONGEST: usize = 107;

/// Where the socket of a job's sitting is, by a path that is short enough.
#[derive(Debug)]
pub(super) struct Place {
    path: PathBuf,
    /// The folder, held open where the path goes by its number.
    _folder: Option<OwnedFd>,
}

impl Place {
    /// In the folder of that job. Where the path is too long for a socket, it goes by the number of the open folder, proc(5).
    pub(super) fn of(root: &Path) -> io::Result<Self> {
        let path = socket_path(root);
        if path.as_os_str().len() <= LONGEST {
            return Ok(Self {
                path,
                _folder: None,
            });
        }
        let flags = OFlags::PATH | OFlags::DIRECTORY | OFlags::CLOEXEC;
        let folder = open(root, flags, Mode::empty())?;
        Ok(Self {
            path: PathBuf::from(format!("/proc/self/fd/{}/{NAME}", folder.as_raw_fd())),
            _folder: Some(folder),
        })
    }

    /// The path, as long as this place lives.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }
}

/// The path of the socket, as a person would write it.
pub fn socket_path(root: &Path) -> PathBuf {
    root.join(NAME)
}
