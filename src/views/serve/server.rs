//! [`Server`]: the thread on which all viewers are served, and [`Listener`]: a way in for them.
//!
//! The one asynchronous runtime of the program lives here, on that thread and nowhere else.

use std::future::Future;
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::timeout;

use super::hub::Hub;
use super::protocol::Commands;

/// Time that viewers may take to hear the end.
const FAREWELL: Duration = Duration::from_secs(1);

/// Sitting that is served; the same for every listener. Clones are the same sitting.
#[derive(Debug, Clone)]
pub struct Served {
    /// Source of items.
    pub hub: Hub,
    /// Target of commands.
    pub commands: Commands,
    /// Name of the sitting: that of its recording, without the ending.
    pub sitting: Arc<str>,
}

/// The work of a listener. It ends soon after [`Closing::wait`] has.
pub type Serving = Pin<Box<dyn Future<Output = ()> + Send>>;

/// A way in for viewers, such as a socket that is bound already.
pub trait Listener: Send {
    /// Begins to listen. Called inside of the runtime, before anything runs on it; tasks may be spawned.
    ///
    /// # Errors
    /// If the operating system refuses; the server then does not start.
    fn serve(self: Box<Self>, served: Served, closing: Closing) -> io::Result<Serving>;
}

/// Tells when the server is about to close.
#[derive(Debug, Clone)]
pub struct Closing(watch::Receiver<bool>);

impl Closing {
    /// Waits until the sitting is over and its recording closed. What the hub has to tell then is to be told, and nothing awaited.
    pub async fn wait(&mut self) {
        // A server that is gone is closed too.
        let _ = self.0.wait_for(|closing| *closing).await;
    }
}

/// The thread that serves. Dropping it gives viewers a second to hear what is left, and ends it.
#[derive(Debug)]
pub struct Server {
    closing: watch::Sender<bool>,
    thread: Option<JoinHandle<()>>,
}

impl Server {
    /// Serves by these listeners.
    ///
    /// # Errors
    /// If a listener cannot begin, or the operating system gives no thread.
    pub fn start(served: &Served, listeners: Vec<Box<dyn Listener>>) -> io::Result<Self> {
        let runtime = Builder::new_current_thread().enable_all().build()?;
        let (closing, closed) = watch::channel(false);
        let closed = Closing(closed);
        let mut serving = JoinSet::new();
        for listener in listeners {
            let _inside = runtime.enter();
            let work = listener.serve(served.clone(), closed.clone())?;
            serving.spawn_on(work, runtime.handle());
        }
        let thread = thread::Builder::new()
            .name("server".to_owned())
            .spawn(move || run(runtime, serving, closed))?;
        Ok(Self {
            closing,
            thread: Some(thread),
        })
    }
}

fn run(runtime: Runtime, mut serving: JoinSet<()>, mut closing: Closing) {
    runtime.block_on(async {
        closing.wait().await;
        let all = async { while serving.join_next().await.is_some() {} };
        // Whoever does not take in the end within that time is cut off.
        let _ = timeout(FAREWELL, all).await;
    });
    runtime.shutdown_background();
}

impl Drop for Server {
    fn drop(&mut self) {
        self.closing.send_replace(true);
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has said so already.
            let _ = thread.join();
        }
    }
}
