//! Opening a [`Stream`], and [`OpenError`]: why it could not be opened.

use std::io;
use std::net::{TcpStream, ToSocketAddrs};
use std::path::{Path, PathBuf};
use std::time::Duration;

use serialport::{ClearBuffer, ErrorKind, SerialPort};

use super::address::Address;
use super::stream::{PATIENCE, Stream};
use crate::engine::meter::{DataBits, Flow, LineSettings, Parity, StopBits};
use crate::platform::{A_SERIAL_PORT, is_serial_port, keep_alive, owning_group};

/// The longest wait for a TCP host to answer, for each of its addresses.
const CONNECT_PATIENCE: Duration = Duration::from_secs(3);

/// A silent TCP connection is probed after this time, and this far apart, and given up after [`PROBES`] of them.
const KEEP_ALIVE: Duration = Duration::from_secs(5);

/// Unanswered probes after which a TCP connection counts as lost.
const PROBES: u32 = 3;

/// Opens the stream at `address`; may wait for the network. A TCP connection ignores the settings.
pub(super) fn dial(address: &Address, settings: LineSettings) -> Result<Stream, OpenError> {
    match address {
        Address::Device(path) => serial(path, settings).map(Stream::Serial),
        Address::Tcp { host, port } => tcp(host, *port).map(Stream::Tcp),
    }
}

fn serial(path: &Path, settings: LineSettings) -> Result<Box<dyn SerialPort>, OpenError> {
    let mut port = builder(settings, &path.to_string_lossy())
        .timeout(PATIENCE)
        .open()
        .map_err(|error| OpenError::from_serial(path, &error))?;
    // Not every port has these lines or this buffer, and none of the three is worth giving the port up.
    if let Some(level) = settings.dtr {
        let _ = port.write_data_terminal_ready(level);
    }
    if let Some(level) = settings.rts {
        let _ = port.write_request_to_send(level);
    }
    // Bytes from before the settings applied are stale or garbled.
    let _ = port.clear(ClearBuffer::Input);
    Ok(port)
}

/// The settings in the words of the serial library, for the port at `path`.
fn builder(settings: LineSettings, path: &str) -> serialport::SerialPortBuilder {
    serialport::new(path, settings.baud)
        .data_bits(match settings.data_bits {
            DataBits::Seven => serialport::DataBits::Seven,
            DataBits::Eight => serialport::DataBits::Eight,
        })
        .parity(match settings.parity {
            Parity::None => serialport::Parity::None,
            Parity::Odd => serialport::Parity::Odd,
            Parity::Even => serialport::Parity::Even,
        })
        .stop_bits(match settings.stop_bits {
            StopBits::One => serialport::StopBits::One,
            StopBits::Two => serialport::StopBits::Two,
        })
        .flow_control(match settings.flow {
            Flow::None => serialport::FlowControl::None,
            Flow::Software => serialport::FlowControl::Software,
            Flow::Hardware => serialport::FlowControl::Hardware,
        })
}

fn tcp(host: &str, port: u16) -> Result<TcpStream, OpenError> {
    let no_host = |error: io::Error| OpenError::NoSuchHost {
        host: host.to_owned(),
        detail: error.to_string(),
    };
    let mut last = "the name has no address".to_owned();
    for address in (host, port).to_socket_addrs().map_err(no_host)? {
        match TcpStream::connect_timeout(&address, CONNECT_PATIENCE).and_then(prepare) {
            Ok(stream) => return Ok(stream),
            Err(error) => last = error.to_string(),
        }
    }
    Err(OpenError::NoConnection {
        host: host.to_owned(),
        port,
        detail: last,
    })
}

/// Sets short waits, sends small messages at once, and has the kernel notice a host that vanished.
fn prepare(stream: TcpStream) -> io::Result<TcpStream> {
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    keep_alive(&stream, KEEP_ALIVE, PROBES)?;
    Ok(stream)
}

/// Reason why a port or a connection could not be opened, and what to do about it.
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
    #[error("`{}` is not a serial port: expected one such as `{A_SERIAL_PORT}`", path.display())]
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
    /// Meaning of the serial library's `error` on opening `path`.
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
            ErrorKind::NoDevice if is_serial_port(&path) => Self::Busy { path },
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
