//! [`Page`]: the page at its address, its connections, and the [`Patience`] it has with them.

use std::convert::Infallible;
use std::io;
use std::net::{self, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tokio_io_timeout::TimeoutStream;

use super::address::{Key, reachable};
use super::gate::Gate;
use super::limit::{CONNECTIONS, DRAIN, HEAD_BYTES, HEAD_LINES, TURNED_AWAY};
use super::site::Site;
use crate::views::serve::{Closing, Listener, Served, Serving};

/// The page at its address. It answers once a [`Server`](crate::views::serve::Server) serves by it.
#[derive(Debug)]
pub struct Page {
    listener: net::TcpListener,
    address: SocketAddr,
    key: Option<Key>,
    patience: Patience,
}

/// Why there is no page.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// The address cannot be listened on.
    #[error(
        "cannot show the page at `{address}`; another port: --page PORT, one that is free: --page 0"
    )]
    Listen {
        /// The address.
        address: SocketAddr,
        /// Why.
        source: io::Error,
    },
    /// The operating system gives no random numbers.
    #[error("cannot make a key for the page")]
    Key(#[from] getrandom::Error),
}

impl Page {
    /// Listens on that address, port 0 for any that is free. Beyond loopback a key is wanted of every browser.
    ///
    /// # Errors
    /// If the address cannot be listened on, or there are no random numbers for a key.
    pub fn bind(address: SocketAddr) -> Result<Self, PageError> {
        let no = |source| PageError::Listen { address, source };
        let listener = net::TcpListener::bind(address).map_err(no)?;
        listener.set_nonblocking(true).map_err(no)?;
        let address = listener.local_addr().map_err(no)?;
        let open = address.ip().to_canonical().is_loopback();
        let key = if open { None } else { Some(Key::random()?) };
        Ok(Self {
            listener,
            address,
            key,
            patience: Patience::default(),
        })
    }

    /// The same with that patience.
    #[must_use]
    pub fn with_patience(self, patience: Patience) -> Self {
        Self { patience, ..self }
    }

    /// Whether only programs of this machine can reach it.
    pub const fn is_private(&self) -> bool {
        self.key.is_none()
    }

    /// What to open in a browser. The key is behind `#`, which no browser sends anywhere.
    pub fn url(&self) -> String {
        let address = reachable(self.address);
        match &self.key {
            None => format!("http://{address}/"),
            Some(key) => format!("http://{address}/#key={}", key.text()),
        }
    }
}

impl Listener for Page {
    fn serve(self: Box<Self>, served: Served, closing: Closing) -> io::Result<Serving> {
        let listener = TcpListener::from_std(self.listener)?;
        let gate = Gate::new(self.key, self.address.port());
        let hall = Hall {
            site: Arc::new(Site::new(gate, served, self.patience, closing.clone())),
            places: Arc::new(Semaphore::new(CONNECTIONS)),
            doorways: Arc::new(Semaphore::new(TURNED_AWAY)),
            connections: JoinSet::new(),
            patience: self.patience,
            closing,
        };
        Ok(Box::pin(hall.open(listener)))
    }
}

/// How long nothing is accepted after the operating system refused to.
const AGAIN: Duration = Duration::from_millis(100);

/// All connections.
struct Hall {
    site: Arc<Site>,
    places: Arc<Semaphore>,
    doorways: Arc<Semaphore>,
    connections: JoinSet<()>,
    patience: Patience,
    closing: Closing,
}

impl Hall {
    /// Receives connections until the server closes, then lets them end.
    async fn open(mut self, listener: TcpListener) {
        let mut closing = self.closing.clone();
        loop {
            tokio::select! {
                () = closing.wait() => break,
                accepted = listener.accept() => match accepted {
                    Ok((stream, _)) => self.receive(stream),
                    // Mostly no file descriptors; they come back when connections end.
                    Err(_) => sleep(AGAIN).await,
                },
                Some(_) = self.connections.join_next() => {}
            }
        }
        drop(listener);
        self.drain().await;
    }

    fn receive(&mut self, stream: TcpStream) {
        match Arc::clone(&self.places).try_acquire_owned() {
            Ok(place) => self.seat(stream, place),
            Err(_) => {
                if let Ok(doorway) = Arc::clone(&self.doorways).try_acquire_owned() {
                    self.connections.spawn(turn_away(stream, doorway));
                }
            }
        }
    }

    fn seat(&mut self, stream: TcpStream, place: OwnedSemaphorePermit) {
        let (site, closing) = (Arc::clone(&self.site), self.closing.clone());
        let patience = self.patience;
        self.connections.spawn(async move {
            // What becomes of one connection is of no interest to the others.
            let _ = attend(stream, site, patience, closing).await;
            drop(place);
        });
    }

    /// Lets connections end, and cuts those off that do not.
    async fn drain(mut self) {
        let ended = async { while self.connections.join_next().await.is_some() {} };
        // Whatever is left is cut off when the set is dropped.
        let _ = timeout(DRAIN, ended).await;
    }
}

/// Answers the requests of one connection, one after the other.
async fn attend(
    stream: TcpStream,
    site: Arc<Site>,
    patience: Patience,
    mut closing: Closing,
) -> Result<(), hyper::Error> {
    // Without an address there is no connection any more.
    let Ok(here) = stream.local_addr() else {
        return Ok(());
    };
    // Small events go out at once; without that they only come later.
    let _ = stream.set_nodelay(true);
    let mut stream = TimeoutStream::new(stream);
    stream.set_write_timeout(Some(patience.unread));
    let service = service_fn(move |request| {
        let site = Arc::clone(&site);
        async move { Ok::<_, Infallible>(site.answer(request, here).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(patience.head)
        .max_buf_size(HEAD_BYTES)
        .max_headers(HEAD_LINES)
        .serve_connection(TokioIo::new(Box::pin(stream)), service);
    tokio::pin!(connection);
    tokio::select! {
        ended = connection.as_mut() => return ended,
        () = closing.wait() => {}
    }
    connection.as_mut().graceful_shutdown();
    connection.await
}

/// Answer to a connection for which there is no place.
const FULL: &str = "HTTP/1.1 503 Service Unavailable\r\nContent-Type: text/plain; charset=utf-8\r\n\
    Cache-Control: no-store\r\nRetry-After: 5\r\nConnection: close\r\n\r\n\
    too many connections: close other pages, then try again\n";

/// Tells it, and reads for a moment what is on its way, since closing a connection with something unread takes the words away.
async fn turn_away(mut stream: TcpStream, doorway: OwnedSemaphorePermit) {
    let told = async {
        stream.write_all(FULL.as_bytes()).await?;
        stream.shutdown().await?;
        let mut unread = [0; HEAD_BYTES];
        while stream.read(&mut unread).await? > 0 {}
        io::Result::Ok(())
    };
    // Whoever does not listen is not told.
    let _ = timeout(DRAIN, told).await;
    drop(doorway);
}

/// How long the page waits for a client. One that sends or reads a byte now and then gets no connection for itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// How long a request's head may take, and how long a connection may be idle.
    pub head: Duration,
    /// How long a request's body may take.
    pub body: Duration,
    /// How long a client may leave unread what is sent.
    pub unread: Duration,
    /// After how long without a state a stream of events shows that it is alive.
    pub beat: Duration,
}

impl Default for Patience {
    /// Enough for a tablet at the far end of a house.
    fn default() -> Self {
        Self {
            head: Duration::from_secs(20),
            body: Duration::from_secs(5),
            unread: Duration::from_secs(30),
            beat: Duration::from_secs(5),
        }
    }
}
