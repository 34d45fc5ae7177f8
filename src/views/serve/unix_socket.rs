//! [`UnixSocket`]: the socket in the folder of a job, for `attach` and for scripts.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::net::{UnixListener, UnixStream};
use tokio::sync::Semaphore;
use tokio::task::JoinSet;
use tokio::time::sleep;

use super::connection::Connection;
use super::protocol::{FromServer, MOST_CLIENTS};
use super::server::{Closing, Listener, Served, Serving};
use crate::platform::{LocalListener, Removed, listen_at};

/// Name of the socket in the folder of a job.
pub(super) const NAME: &str = ".sitting.sock";

/// The path of the socket, as a person would write it.
pub fn socket_path(root: &Path) -> PathBuf {
    root.join(NAME)
}

/// How long nobody is let in after the system had no room for one more.
const RESPITE: Duration = Duration::from_millis(100);

/// A socket that is bound in the folder of a job. Gone from there when dropped.
#[derive(Debug)]
pub struct UnixSocket {
    listener: LocalListener,
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

impl UnixSocket {
    /// Binds the socket of the job in `root`, for its owner alone. One that is left from a program that was killed is replaced, so the caller
    /// must hold the lock of the job.
    ///
    /// # Errors
    /// If something that is no socket is in its place, or the operating system refuses.
    pub fn bind(root: &Path) -> Result<Self, SocketError> {
        let path = socket_path(root);
        match listen_at(root, NAME) {
            Ok(Some((listener, bound))) => Ok(Self { listener, bound }),
            Ok(None) => Err(SocketError::InTheWay { path }),
            Err(source) => Err(SocketError::Refused { path, source }),
        }
    }
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
