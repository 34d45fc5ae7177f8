//! [`Stream`]: the items of a sitting as server-sent events (the WHATWG HTML standard, section "Server-sent events").

use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use hyper::body::{Body, Bytes, Frame};
use serde_json::json;
use tokio::sync::OwnedSemaphorePermit;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::time::timeout;

use super::event_id::EventId;
use crate::views::feed::State;
use crate::views::serve::{Closing, Joined, Next, Told, Viewer};

/// How many events wait for the connection; all others wait in the hub, which says so if they become too many.
const WAITING: usize = 16;

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
    /// Begins with what the viewer got on joining, and shows every `beat` that it is alive. Ends with the connection, or once everything is told and the server closes.
    pub(super) fn begin(
        sitting: &str,
        joined: Joined,
        viewer: Viewer,
        slot: OwnedSemaphorePermit,
        beat: Duration,
        closing: Closing,
    ) -> Self {
        let (sender, events) = channel(WAITING);
        let teller = Teller {
            sitting: sitting.to_owned(),
            sender,
            beat,
            closing,
        };
        tokio::spawn(teller.run(joined, viewer));
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
    sitting: String,
    sender: Sender<Bytes>,
    beat: Duration,
    closing: Closing,
}

impl Teller {
    async fn run(mut self, joined: Joined, viewer: Viewer) {
        // Nobody is left to be told that the connection is gone.
        let _ = self.tell(joined, viewer).await;
    }

    async fn tell(&mut self, joined: Joined, mut viewer: Viewer) -> Result<(), Gone> {
        self.send(RETRY.to_owned()).await?;
        match joined {
            Joined::State(state) => self.send(self.state(&state)).await?,
            Joined::Since(missed) => {
                for told in missed {
                    self.send(self.item(&told)).await?;
                }
            }
        }
        loop {
            let next = tokio::select! {
                () = self.sender.closed() => return Err(Gone),
                next = timeout(self.beat, viewer.next()) => next,
            };
            match next {
                Ok(Next::Item(told)) => self.send(self.item(&told)).await?,
                Ok(Next::Missed(missed, state)) => self.send(self.missed(missed, &state)).await?,
                Ok(Next::Over) => return self.beat().await,
                Err(_) => self.send(BEATING.to_owned()).await?,
            }
        }
    }

    /// A sitting that is over is still looked at: a stream that ended would only be asked for again.
    async fn beat(&mut self) -> Result<(), Gone> {
        loop {
            tokio::select! {
                () = self.sender.closed() => return Err(Gone),
                () = self.closing.wait() => return Ok(()),
                () = tokio::time::sleep(self.beat) => {}
            }
            self.send(BEATING.to_owned()).await?;
        }
    }

    async fn send(&self, event: String) -> Result<(), Gone> {
        self.sender.send(event.into()).await.map_err(|_| Gone)
    }

    fn id(&self, item: u64) -> EventId<'_> {
        EventId {
            sitting: &self.sitting,
            item,
        }
    }

    fn item(&self, told: &Told) -> String {
        format!("id: {}\ndata: {}\n\n", self.id(told.item.id), told.json)
    }

    fn state(&self, state: &State) -> String {
        // A state is plain data: it always has a JSON form. JSON holds no line ends.
        let json = serde_json::to_string(state).unwrap_or_default();
        format!(
            "event: state\nid: {}\ndata: {json}\n\n",
            self.id(state.last_id)
        )
    }

    fn missed(&self, missed: u64, state: &State) -> String {
        let json = json!({ "missed": missed, "state": state });
        format!(
            "event: missed\nid: {}\ndata: {json}\n\n",
            self.id(state.last_id)
        )
    }
}
