//! The local socket: TCP on the loopback address. A file in the folder names its port and the key that lets in, and only
//! those read it who may read the folder.

use std::fs;
use std::io::{self, Write as _};
use std::net::{Ipv4Addr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::io::AsyncReadExt as _;
use tokio::time::timeout;

pub(crate) use std::net::TcpStream as LocalStream;
pub(crate) use tokio::net::{TcpListener as LocalListener, TcpStream as LocalPeer};

/// Beginning of the file.
const MARK: &str = "probewright loopback ";

/// Time that a client may take to show its key.
const PATIENCE: Duration = Duration::from_secs(1);

/// Removes the file from its folder when dropped.
#[derive(Debug)]
pub(crate) struct Removed {
    path: PathBuf,
    admission: Admission,
}

impl Removed {
    /// Admission of anyone who shows the key from the file.
    pub(crate) fn admission(&self) -> Admission {
        self.admission.clone()
    }
}

impl Drop for Removed {
    fn drop(&mut self) {
        // If somebody else has removed it, it is gone all the same.
        let _ = fs::remove_file(&self.path);
    }
}

/// Admission to the socket.
#[derive(Debug, Clone)]
pub(crate) struct Admission(Arc<str>);

impl Admission {
    /// Whether the peer shows the key, in time.
    pub(crate) async fn lets_in(&self, peer: &mut LocalPeer) -> bool {
        let mut shown = vec![0; self.0.len()];
        let read = timeout(PATIENCE, peer.read_exact(&mut shown)).await;
        matches!(read, Ok(Ok(_)))
            && subtle::ConstantTimeEq::ct_eq(&*shown, self.0.as_bytes()).into()
    }
}

/// A socket that is bound and not yet served.
#[derive(Debug)]
pub(crate) struct Bound(TcpListener);

impl Bound {
    /// Serves it on the async runtime that this is called in.
    pub(crate) fn serve(self) -> io::Result<LocalListener> {
        LocalListener::from_std(self.0)
    }
}

/// Connects to the socket of that name in a folder.
pub(crate) fn connect(folder: &Path, name: &str) -> io::Result<LocalStream> {
    let text = fs::read_to_string(folder.join(name))?;
    let stale = || io::Error::from(io::ErrorKind::ConnectionRefused);
    let (port, key) = text
        .strip_prefix(MARK)
        .and_then(|rest| rest.trim_end().split_once(' '))
        .ok_or_else(stale)?;
    let port: u16 = port.parse().map_err(|_| stale())?;
    let mut stream = LocalStream::connect((Ipv4Addr::LOCALHOST, port))?;
    stream.set_nodelay(true)?;
    stream.write_all(key.as_bytes())?;
    Ok(stream)
}

/// Listens at a socket of that name in a folder. One that is there already is replaced; `None` if something else has its name.
pub(crate) fn listen_at(folder: &Path, name: &str) -> io::Result<Option<(Bound, Removed)>> {
    let path = folder.join(name);
    match fs::read_to_string(&path) {
        Ok(text) if text.starts_with(MARK) => {}
        Ok(_) => return Ok(None),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(_) => return Ok(None),
    }
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
    listener.set_nonblocking(true)?;
    let mut random = [0; 16];
    getrandom::fill(&mut random).map_err(io::Error::other)?;
    let key: Arc<str> = random
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect::<String>()
        .into();
    let port = listener.local_addr()?.port();
    crate::platform::write_whole(&path, format!("{MARK}{port} {key}\n").as_bytes(), true)?;
    let admission = Admission(key);
    Ok(Some((Bound(listener), Removed { path, admission })))
}
