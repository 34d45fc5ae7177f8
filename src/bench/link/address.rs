//! [`Address`]: where a meter is, as the user writes it; and [`ports()`], the serial ports that there are.

use std::fmt;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use serialport::{SerialPortType, UsbPortInfo};

use crate::platform::{A_SERIAL_PORT, can_list_serial_ports};

/// Where a meter is reached. Text form: a device path (`/dev/ttyUSB0`, `COM3`) or `tcp:HOST:PORT`.
///
/// An IPv6 host stands in brackets: `tcp:[::1]:5025`. Parsing and printing are inverses.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Address {
    /// A serial port by its device path or name.
    Device(PathBuf),
    /// A raw TCP connection.
    Tcp {
        /// Name or address of the host, without brackets.
        host: String,
        /// TCP port, 1 to 65535.
        port: u16,
    },
}

/// Reason why a text is not an [`Address`].
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    /// Nothing was written.
    #[error("the port is empty; give a device such as `{A_SERIAL_PORT}`, or `tcp:HOST:PORT`")]
    Empty,
    /// `tcp:` without host or without port.
    #[error(
        "`{text}` lacks a host or a port; write `tcp:HOST:PORT`, for example `tcp:192.0.2.7:5025`"
    )]
    Incomplete {
        /// Text that was given.
        text: String,
    },
    /// The TCP port is not a number from 1 to 65535.
    #[error("`{found}` in `{text}` is not a TCP port; expected a number from 1 to 65535")]
    BadPort {
        /// Text that was given.
        text: String,
        /// The part that should be the port.
        found: String,
    },
    /// Colons inside the host, but no brackets.
    #[error(
        "the host in `{text}` has colons; write an IPv6 address in brackets, for example `tcp:[::1]:5025`"
    )]
    BareIpv6 {
        /// Text that was given.
        text: String,
    },
}

impl FromStr for Address {
    type Err = AddressError;

    fn from_str(text: &str) -> Result<Self, AddressError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(AddressError::Empty);
        }
        match text.strip_prefix("tcp:") {
            Some(rest) => tcp(text, rest),
            None => Ok(Self::Device(PathBuf::from(text))),
        }
    }
}

/// Parses what follows `tcp:`.
fn tcp(text: &str, rest: &str) -> Result<Address, AddressError> {
    let incomplete = || AddressError::Incomplete {
        text: text.to_owned(),
    };
    let (host, port) = rest.rsplit_once(':').ok_or_else(incomplete)?;
    let bracketed = host
        .strip_prefix('[')
        .and_then(|host| host.strip_suffix(']'));
    if bracketed.is_none() && host.contains(':') {
        return Err(AddressError::BareIpv6 {
            text: text.to_owned(),
        });
    }
    let host = bracketed.unwrap_or(host);
    if host.is_empty() || port.is_empty() {
        return Err(incomplete());
    }
    match port.parse() {
        Ok(number) if number > 0 => Ok(Address::Tcp {
            host: host.to_owned(),
            port: number,
        }),
        _ => Err(AddressError::BadPort {
            text: text.to_owned(),
            found: port.to_owned(),
        }),
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Device(path) => write!(f, "{}", path.display()),
            Self::Tcp { host, port } if host.contains(':') => write!(f, "tcp:[{host}]:{port}"),
            Self::Tcp { host, port } => write!(f, "tcp:{host}:{port}"),
        }
    }
}

/// A serial port that exists now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Port {
    /// The path or name to open it by.
    pub path: String,
    /// A name that stays the same when other devices come and go, where the system keeps one.
    pub lasting_path: Option<PathBuf>,
    /// Facts about the hardware, for a person to read: `USB 0403:6001 ...`, `on board`, ...
    pub hardware: String,
}

/// The system could not list its ports.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the system could not list its serial ports: {detail}; name the port yourself")]
pub struct PortsError {
    /// The operating system's words.
    pub detail: String,
}

/// The serial ports of this machine, sorted by path. Pseudo-terminals are not among them.
///
/// # Errors
/// [`PortsError`] if the system refuses the list. A system without any serial driver gives an empty list.
pub fn ports() -> Result<Vec<Port>, PortsError> {
    if !can_list_serial_ports() {
        return Ok(Vec::new());
    }
    let found = serialport::available_ports().map_err(|error| PortsError {
        detail: error.to_string(),
    })?;
    let mut ports: Vec<_> = found.into_iter().map(port).collect();
    ports.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(ports)
}

fn port(found: serialport::SerialPortInfo) -> Port {
    let hardware = match found.port_type {
        SerialPortType::UsbPort(usb) => usb_words(&usb),
        SerialPortType::BluetoothPort => "Bluetooth".to_owned(),
        SerialPortType::PciPort => "on board".to_owned(),
        SerialPortType::Unknown => "unknown".to_owned(),
    };
    let lasting_path = lasting_path(Path::new("/dev/serial/by-id"), Path::new(&found.port_name));
    Port {
        path: found.port_name,
        lasting_path,
        hardware,
    }
}

/// `USB 1a2b:3c4d Maker Product, serial 123`, as far as known.
fn usb_words(usb: &UsbPortInfo) -> String {
    let mut words = format!("USB {:04x}:{:04x}", usb.vid, usb.pid);
    for text in [&usb.manufacturer, &usb.product].into_iter().flatten() {
        words.push(' ');
        words.push_str(text);
    }
    if let Some(serial) = &usb.serial_number {
        words.push_str(", serial ");
        words.push_str(serial);
    }
    words
}

/// The symbolic link in `directory` that leads to `device`.
fn lasting_path(directory: &Path, device: &Path) -> Option<PathBuf> {
    let device = device.canonicalize().ok()?;
    let links = directory.read_dir().ok()?;
    links
        .flatten()
        .map(|entry| entry.path())
        .find(|link| link.canonicalize().is_ok_and(|end| end == device))
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn what_is_printed_parses_back() {
        for text in [
            "/dev/ttyUSB0",
            "COM3",
            "tcp:bench.example:5025",
            "tcp:192.0.2.7:1",
            "tcp:[2001:db8::7]:65535",
        ] {
            assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn brackets_are_not_part_of_the_host() {
        assert_eq!(
            "tcp:[::1]:5025".parse(),
            Ok(Address::Tcp {
                host: "::1".to_owned(),
                port: 5025
            })
        );
    }

    #[test]
    fn a_wrong_address_says_what_to_write() {
        let error = |text: &str| text.parse::<Address>().unwrap_err();
        assert_eq!(error("  "), AddressError::Empty);
        assert_eq!(
            error("tcp:host"),
            AddressError::Incomplete {
                text: "tcp:host".to_owned()
            }
        );
        assert_eq!(
            error("tcp:host:"),
            AddressError::Incomplete {
                text: "tcp:host:".to_owned()
            }
        );
        assert_eq!(
            error("tcp::5025"),
            AddressError::Incomplete {
                text: "tcp::5025".to_owned()
            }
        );
        assert_eq!(
            error("tcp:::1:5025"),
            AddressError::BareIpv6 {
                text: "tcp:::1:5025".to_owned()
            }
        );
        for port in ["0", "65536", "scpi", "-1"] {
            let text = format!("tcp:host:{port}");
            assert_eq!(
                error(&text),
                AddressError::BadPort {
                    text: text.clone(),
                    found: port.to_owned()
                }
            );
        }
    }

    #[test]
    fn listing_ports_works_on_any_machine() {
        let found = ports().unwrap();
        assert!(found.is_sorted_by(|a, b| a.path <= b.path));
    }

    #[test]
    fn the_lasting_name_is_the_link_that_leads_to_the_device() {
        let directory = tempfile::tempdir().unwrap();
        let link = directory.path().join("usb-meter");
        std::os::unix::fs::symlink("/dev/null", &link).unwrap();
        assert_eq!(
            lasting_path(directory.path(), Path::new("/dev/null")),
            Some(link)
        );
        assert_eq!(lasting_path(directory.path(), Path::new("/dev/zero")), None);
    }

    #[test]
    fn usb_hardware_is_named_as_far_as_known() {
        let usb = UsbPortInfo {
            vid: 0x1a2b,
            pid: 0x3c,
            serial_number: Some("42".to_owned()),
            manufacturer: None,
            product: Some("cable".to_owned()),
        };
        assert_eq!(usb_words(&usb), "USB 1a2b:003c cable, serial 42");
    }
}
