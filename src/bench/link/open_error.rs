//! [`OpenError`]: why a port or a connection could not be opened.

use std::path::{Path, PathBuf};

use serialport::ErrorKind;

use crate::platform::owning_group;

/// Why a port or a connection could not be opened, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OpenError {
    /// No such device file.
    #[error("there is no port `{}`: plug the meter in, or list the ports that exist with `probewright meter list`", path.display())]
    NoSuchPort {
        /// The path that was asked for.
        path: PathBuf,
    },
    /// The port exists, but another program holds it.
    #[error("port `{}` is in use by another program: close that program, then try again", path.display())]
    Busy {
        /// The path that was asked for.
        path: PathBuf,
    },
    /// The user may not open it.
    #[error("you may not open port `{}`: add yourself to the group that owns it{}, then log in again", path.display(), in_brackets(group.as_deref()))]
    NoPermission {
        /// The path that was asked for.
        path: PathBuf,
        /// The name of the group that owns the device file, if it could be found.
        group: Option<String>,
    },
    /// A file or a directory, but no serial port.
    #[error("`{}` is not a serial port: expected a device such as `/dev/ttyUSB0`", path.display())]
    NotAPort {
        /// The path that was asked for.
        path: PathBuf,
    },
    /// The port refused, for a reason of its own (often a setting of the line that it cannot do).
    #[error("port `{}` could not be opened: {detail}; check the line settings of the meter's profile", path.display())]
    Refused {
        /// The path that was asked for.
        path: PathBuf,
        /// The operating system's words.
        detail: String,
    },
    /// The host's name has no address.
    #[error("the host `{host}` was not found: check its name and the network ({detail})")]
    NoSuchHost {
        /// The host that was asked for.
        host: String,
        /// The operating system's words.
        detail: String,
    },
    /// The host did not take the connection.
    #[error(
        "no connection to `{host}`, TCP port {port}: check that the meter is on and that this is its port ({detail})"
    )]
    NoConnection {
        /// The host that was asked for.
        host: String,
        /// The TCP port that was asked for.
        port: u16,
        /// The operating system's words.
        detail: String,
    },
    /// The operating system gave no thread.
    #[error("the system could not start a thread for the link: {detail}")]
    NoThread {
        /// The operating system's words.
        detail: String,
    },
}

impl OpenError {
    /// What the serial library's `error` on opening `path` means.
    ///
    /// The library reports a lock held by another program and a missing device alike, so the path itself is looked at.
    pub(super) fn from_serial(path: &Path, error: &serialport::Error) -> Self {
        let path = path.to_owned();
        let is_plain =
            std::fs::metadata(&path).is_ok_and(|found| found.is_file() || found.is_dir());
        match error.kind() {
            _ if is_plain => Self::NotAPort { path },
            ErrorKind::Io(std::io::ErrorKind::PermissionDenied) => Self::NoPermission {
                group: owning_group(&path),
                path,
            },
            ErrorKind::NoDevice if path.exists() => Self::Busy { path },
            ErrorKind::NoDevice | ErrorKind::Io(std::io::ErrorKind::NotFound) => {
                Self::NoSuchPort { path }
            }
            _ => Self::Refused {
                path,
                detail: error.to_string(),
            },
        }
    }
}

/// ` (name)`, or nothing.
fn in_brackets(name: Option<&str>) -> String {
    name.map(|name| format!(" (`{name}`)")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(kind: ErrorKind) -> serialport::Error {
        serialport::Error::new(kind, "detail")
    }

    #[test]
    fn a_refused_permission_says_how_to_get_it() {
        let text = OpenError::from_serial(
            Path::new("/dev/null"),
            &error(ErrorKind::Io(std::io::ErrorKind::PermissionDenied)),
        );
        assert!(
            text.to_string()
                .contains("add yourself to the group that owns it"),
            "{text}"
        );
    }

    #[test]
    fn an_existing_path_without_device_is_busy_and_a_missing_one_is_missing() {
        let busy = OpenError::from_serial(Path::new("/dev/null"), &error(ErrorKind::NoDevice));
        assert_eq!(
            busy,
            OpenError::Busy {
                path: "/dev/null".into()
            }
        );
        let missing =
            OpenError::from_serial(Path::new("/dev/no-such-port"), &error(ErrorKind::NoDevice));
        assert_eq!(
            missing,
            OpenError::NoSuchPort {
                path: "/dev/no-such-port".into()
            }
        );
    }

    #[test]
    fn a_directory_is_not_a_port() {
        let found = OpenError::from_serial(Path::new("/dev"), &error(ErrorKind::Unknown));
        assert_eq!(
            found,
            OpenError::NotAPort {
                path: "/dev".into()
            }
        );
    }
}
