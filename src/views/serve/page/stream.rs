//! [`Stream`]: the states of a sitting as server-sent events (the WHATWG HTML standard, section "Server-sent events").

use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use hyper::body::{Body, Bytes, Frame};
use tokio::sync::OwnedSemaphorePermit;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::time::{sleep, timeout};

use super::picture::Picture;
use crate::views::serve::{Closing, Hub};
use crate::views::state::State;

/// The least time between two states. A person sees no more of them.
const FRAME: Duration = Duration::from_millis(50);

/// How many events wait for the connection. Few, so that a slow one is told the newest state and none of those before.
const WAITING: usize = 1;

/// After how many milliseconds a browser tries again when the connection is lost.
const RETRY: &str = "retry: 1000\n\n";

/// An event rather than a comment, since a page is told of no comments: without it a page could not know that nothing arrives any more.
const BEATING: &str = "event: beat\ndata: 1\n\n";

/// A stream of events, and the place among the viewers that it takes.
#[derive(Debug)]
pub(super) struct Stream {
    events: Receiver<Bytes>,
    _slot: OwnedSemaphorePermit,
}

impl Stream {
    /// Begins with the state as it is, and shows every `beat` that it is alive. Ends with the connection, or once everything is told and the server closes.
    pub(super) fn begin(
        hub: Hub,
        slot: OwnedSemaphorePermit,
        beat: Duration,
        closing: Closing,
    ) -> Self {
        let (sender, events) = channel(WAITING);
        let teller = Teller {
            hub,
            sender,
            beat,
            closing,
        };
        tokio::spawn(teller.run());
        Self {
            events,
            _slot: slot,
        }
    }
}

impl Body for Stream {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        let event = self.events.poll_recv(context);
        event.map(|event| event.map(|bytes| Ok(Frame::data(bytes))))
    }
}

/// The connection is gone.
struct Gone;

/// Writes events.
struct Teller {
    hub: Hub,
    sender: Sender<Bytes>,
    beat: Duration,
    closing: Closing,
}

impl Teller {
    async fn run(mut self) {
        // Nobody is left to be told that the connection is gone.
        let _ = self.tell().await;
    }

    /// A sitting that is over is still looked at, until the server closes: a stream that ended would only be asked for again.
    async fn tell(&mut self) -> Result<(), Gone> {
        let mut look = self.hub.look();
        self.send(RETRY.to_owned()).await?;
        loop {
            let news = tokio::select! {
                biased;
                () = self.sender.closed() => return Err(Gone),
                news = timeout(self.beat, look.changed()) => news,
                // Looked at last: whatever there is was told.
                () = self.closing.wait() => return Ok(()),
            };
            match news {
                Ok(_) => {
                    look.mark_unchanged();
                    self.send(state(self.hub.state())).await?;
                    self.pause().await;
                }
                Err(_) => self.send(BEATING.to_owned()).await?,
            }
        }
    }

    /// Holds the next state back; not the last one, when the server closes.
    async fn pause(&mut self) {
        tokio::select! {
            () = sleep(FRAME) => {}
            () = self.closing.wait() => {}
        }
    }

    async fn send(&self, event: String) -> Result<(), Gone> {
        self.sender.send(event.into()).await.map_err(|_| Gone)
    }
}

fn state(state: State) -> String {
    // JSON holds no line ends.
    format!("event: state\ndata: {}\n\n", Picture::of(state).json())
}
