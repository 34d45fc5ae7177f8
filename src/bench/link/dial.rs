//! Opening a [`Stream`].

use std::io;
use std::net::{TcpStream, ToSocketAddrs};
use std::path::Path;
use std::time::Duration;

use serialport::{ClearBuffer, SerialPort};

use super::address::Address;
use super::open_error::OpenError;
use super::stream::{PATIENCE, Stream};
use crate::engine::meter::{DataBits, Flow, LineSettings, Parity, StopBits};
use crate::platform::keep_alive;

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
    // What came before the settings applied is stale or garbled.
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
