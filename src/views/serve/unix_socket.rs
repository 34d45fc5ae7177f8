//! [`UnixSocket`]: the socket in the folder of a job, for `attach` and for scripts.

use std::fs;
use std::io;
use std::os::unix::fs::FileTypeExt as _;
use std::os::unix::net::UnixListener as Bound;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use rustix::fs::{Mode, chmod};
use rustix::net::{
    AddressFamily, SocketAddrUnix, SocketFlags, SocketType, bind, listen, socket_with,
};
use tokio::net::{UnixListener, UnixStream};
use tokio::sync::Semaphore;
use tokio::task::JoinSet;
use tokio::time::sleep;

use super::connection::Connection;
use super::place::{Place, socket_path};
use super::protocol::{FromServer, MOST_CLIENTS};
use super::server::{Closing, Listener, Served, Serving};

/// How long nobody is let in after the system had no room for one more.
const RESPITE: Duration = Duration::from_millis(100);

/// A socket that is bound in the folder of a job. Gone from there when dropped.
#[derive(Debug)]
pub struct UnixSocket {
    listener: Bound,
    bound: Removed,
}

/// The socket cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum SocketError {
    /// Something else has its name.
    #[error("`{path}` is in the way: expected a socket or nothing; move it elsewhere")]
    InTheWay {
        /// Where.
        path: PathBuf,
    },
    /// The operating system refuses.
    #[error("cannot listen at `{path}`: {source}")]
    Refused {
        /// Where.
        path: PathBuf,
        /// Its reason.
        source: io::Error,
    },
}

/// Removes the file when dropped.
#[derive(Debug)]
struct Removed(Place);

impl Drop for Removed {
    fn drop(&mut self) {
        // If somebody else has removed it, it is gone all the same.
        let _ = fs::remove_file(self.0.path());
    }
}

impl UnixSocket {
    /// Binds the socket of the job in `root`, for its owner alone. One that is left from a program that was killed is replaced, so the caller
    /// must hold the lock of the job.
    ///
    /// # Errors
    /// If something that is no socket is in its place, or the operating system refuses.
    pub fn bind(root: &Path) -> Result<Self, SocketError> {
        let path = socket_path(root);
        match bind_at(root) {
            Ok(Some(socket)) => Ok(socket),
            Ok(None) => Err(SocketError::InTheWay { path }),
            Err(source) => Err(SocketError::Refused { path, source }),
        }
    }
}

/// The socket; `None` if something else is in its place.
fn bind_at(root: &Path) -> io::Result<Option<UnixSocket>> {
    let place = Place::of(root)?;
    match fs::symlink_metadata(place.path()) {
        Ok(found) if found.file_type().is_socket() => fs::remove_file(place.path())?,
        Ok(_) => return Ok(None),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error),
    }
    let flags = SocketFlags::CLOEXEC | SocketFlags::NONBLOCK;
    let socket = socket_with(AddressFamily::UNIX, SocketType::STREAM, flags, None)?;
    bind(&socket, &SocketAddrUnix::new(place.path())?)?;
    let bound = Removed(place);
    // Nobody gets in before it listens, and then only its owner does.
    chmod(bound.0.path(), Mode::RUSR | Mode::WUSR)?;
    listen(&socket, 64)?;
    Ok(Some(UnixSocket {
        listener: Bound::from(socket),
        bound,
    }))
}

impl Listener for UnixSocket {
    fn serve(self: Box<Self>, served: Served, closing: Closing) -> io::Result<Serving> {
        let Self { listener, bound } = *self;
        let listener = UnixListener::from_std(listener)?;
        Ok(Box::pin(async move {
            let mut clients = accept(&listener, &served, closing).await;
            // Nobody new gets in while the others hear the end.
            drop((listener, bound));
            while clients.join_next().await.is_some() {}
        }))
    }
}

/// Lets clients in until the server closes; those that are still there.
async fn accept(listener: &UnixListener, served: &Served, mut closing: Closing) -> JoinSet<()> {
    let seats = Arc::new(Semaphore::new(MOST_CLIENTS));
    let mut clients = JoinSet::new();
    loop {
        tokio::select! {
            () = closing.wait() => return clients,
            Some(_) = clients.join_next(), if !clients.is_empty() => {}
            stream = listener.accept() => match stream {
                Ok((stream, _)) => match Arc::clone(&seats).try_acquire_owned() {
                    Ok(seat) => {
                        let connection = Connection::new(served.clone(), closing.clone());
                        clients.spawn(async move {
                            connection.serve(stream).await;
                            drop(seat);
                        });
                    }
                    Err(_) => turn_away(&stream),
                },
                Err(_) => sleep(RESPITE).await,
            },
        }
    }
}

fn turn_away(stream: &UnixStream) {
    let error = format!("there are {MOST_CLIENTS} viewers already; leave one of them");
    // The socket is empty and takes the line at once; if not, the client sees it closed all the same.
    let _ = stream.try_write(FromServer::Error(error).line().as_bytes());
}
