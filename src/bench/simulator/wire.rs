//! [`Wire`]: the meter's end of a pseudo-terminal or of a TCP connection.

use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};

use super::options::Serve;
use crate::platform::{AsWaited, PseudoTerminal, Waited};

/// The meter's end of the line. It never waits.
#[derive(Debug)]
pub(super) enum Wire {
    Terminal(PseudoTerminal),
    Tcp(Tcp),
}

/// A listening socket and at most one client.
#[derive(Debug)]
pub(super) struct Tcp {
    listener: TcpListener,
    client: Option<TcpStream>,
}

impl Wire {
    /// Opens the meter's end; `bound` is where a TCP meter was before its cable was cut.
    pub(super) fn open(serve: &Serve, bound: Option<SocketAddr>) -> io::Result<Self> {
        match serve {
            Serve::Terminal { directory, name } => {
                PseudoTerminal::open(&directory.join(name)).map(Self::Terminal)
            }
            Serve::Tcp => {
                Tcp::open(bound.unwrap_or((Ipv4Addr::LOCALHOST, 0).into())).map(Self::Tcp)
            }
        }
    }

    /// The address to give to a program.
    pub(super) fn address(&self) -> io::Result<String> {
        match self {
            Self::Terminal(terminal) => Ok(terminal.path().display().to_string()),
            Self::Tcp(tcp) => Ok(format!("tcp:{}", tcp.listener.local_addr()?)),
        }
    }

    /// Where a TCP meter listens.
    pub(super) fn bound(&self) -> Option<SocketAddr> {
        match self {
            Self::Terminal(_) => None,
            Self::Tcp(tcp) => tcp.listener.local_addr().ok(),
        }
    }

    /// What to wait for until something can be read.
    pub(super) fn readable(&self) -> Waited<'_> {
        match self {
            Self::Terminal(terminal) => terminal.readable(),
            Self::Tcp(tcp) => tcp
                .client
                .as_ref()
                .map_or(tcp.listener.as_fd(), AsWaited::as_fd),
        }
    }

    /// Reads what is there into `buffer`; zero if nothing is.
    pub(super) fn read(&mut self, buffer: &mut [u8]) -> usize {
        match self {
            Self::Terminal(terminal) => terminal.read(buffer),
            Self::Tcp(tcp) => tcp.read(buffer),
        }
    }

    /// Writes `bytes`; what the line does not take at once is lost, as in a meter without flow control.
    pub(super) fn write(&mut self, bytes: &[u8]) {
        match self {
            Self::Terminal(terminal) => terminal.write(bytes),
            Self::Tcp(tcp) => tcp.write(bytes),
        }
    }
}

impl Tcp {
    fn open(address: SocketAddr) -> io::Result<Self> {
        let listener = TcpListener::bind(address)?;
        listener.set_nonblocking(true)?;
        Ok(Self {
            listener,
            client: None,
        })
    }

    fn read(&mut self, buffer: &mut [u8]) -> usize {
        if self.client.is_none() {
            self.client = self.accept();
        }
        match self.client.as_mut().map(|client| client.read(buffer)) {
            Some(Ok(count)) if count > 0 => return count,
            Some(Err(error)) if error.kind() == io::ErrorKind::WouldBlock => {}
            // The client left; the next one may come.
            _ => self.client = None,
        }
        0
    }

    fn accept(&self) -> Option<TcpStream> {
        let (client, _) = self.listener.accept().ok()?;
        client.set_nonblocking(true).ok()?;
        client.set_nodelay(true).ok()?;
        Some(client)
    }

    fn write(&mut self, bytes: &[u8]) {
        if let Some(client) = &mut self.client {
            // A client that left is noticed by the next read.
            let _ = client.write(bytes);
        }
    }
}
