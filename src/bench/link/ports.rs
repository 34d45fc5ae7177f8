//! [`ports`]: the serial ports of this machine.

use std::path::{Path, PathBuf};

use serialport::{SerialPortType, UsbPortInfo};

use crate::platform::can_list_serial_ports;

/// A serial port that exists now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Port {
    /// The path or name to open it by.
    pub path: String,
    /// A name that stays the same when other devices come and go, where the system keeps one.
    pub lasting_path: Option<PathBuf>,
    /// What is known of the hardware, for a person to read: `USB 0403:6001 ...`, `on board`, ...
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
