//! [`Site`]: what lies behind the page, and which request gets what.

use std::net::SocketAddr;
use std::sync::Arc;

use http_body_util::{BodyExt as _, Limited};
use hyper::body::{Body as _, Incoming};
use hyper::http::request::Parts;
use hyper::{Method, Request};
use tokio::sync::{Mutex, Semaphore};
use tokio::time::{Interval, timeout};

use super::answer::{
    Answer, Asset, Refusal, asset, file, json, nothing, refuse, stream, svg, with_cookie,
};
use super::gate::{Gate, check_source};
use super::limit::{BODY_BYTES, VIEWERS};
use super::listener::Patience;
use super::picture::Picture;
use super::stream::Stream;
use crate::views::report::diagram::Diagram;
use crate::views::serve::unix_socket::pace;
use crate::views::serve::{Closing, Served};

/// What lies behind the page.
#[derive(Debug)]
pub(super) struct Site {
    gate: Gate,
    served: Served,
    viewers: Arc<Semaphore>,
    patience: Patience,
    closing: Closing,
    pace: Mutex<Interval>,
}

impl Site {
    /// Of that sitting, behind that gate, until it closes.
    pub(super) fn new(gate: Gate, served: Served, patience: Patience, closing: Closing) -> Self {
        Self {
            gate,
            served,
            viewers: Arc::new(Semaphore::new(VIEWERS)),
            patience,
            closing,
            pace: Mutex::new(pace()),
        }
    }

    /// The answer to a request that came in at `here`.
    pub(super) async fn answer(&self, request: Request<Incoming>, here: SocketAddr) -> Answer {
        let (parts, body) = request.into_parts();
        let answered = self.find(&parts, body, here).await;
        answered.unwrap_or_else(|refusal| refuse(&refusal))
    }

    async fn find(
        &self,
        request: &Parts,
        body: Incoming,
        here: SocketAddr,
    ) -> Result<Answer, Refusal> {
        check_source(request, here)?;
        let path = request.uri.path();
        if let Some(found) = Asset::at(path) {
            reading(&request.method)?;
            return Ok(file(found));
        }
        match path {
            "/key" if self.gate.wants_key() => {
                writing(&request.method)?;
                let cookie = self.gate.admit(&self.text(body).await?)?;
                Ok(with_cookie(&cookie))
            }
            "/state" => {
                reading(&request.method)?;
                self.gate.check_key(request)?;
                Ok(json(Picture::of(self.served.hub.state()).json()))
            }
            "/loops.svg" => {
                reading(&request.method)?;
                self.gate.check_key(request)?;
                let state = self.served.hub.state();
                let loops = state.loops.ok_or(Refusal::NotFound)?;
                Ok(svg(Diagram::of(&loops).for_browser()))
            }
            "/events" => {
                reading(&request.method)?;
                self.gate.check_key(request)?;
                self.events(request)
            }
            "/command" => {
                writing(&request.method)?;
                self.gate.check_key(request)?;
                let text = self.text(body).await?;
                // All pages together have the pace of one client at the socket.
                self.pace.lock().await.tick().await;
                self.command(&text)
            }
            _ => Err(Refusal::NotFound),
        }
    }

    fn events(&self, request: &Parts) -> Result<Answer, Refusal> {
        if request.method == Method::HEAD {
            return Ok(asset("text/event-stream", String::new()));
        }
        let slot = Arc::clone(&self.viewers).try_acquire_owned();
        let slot = slot.map_err(|_| Refusal::TooManyViewers { most: VIEWERS })?;
        Ok(stream(Stream::begin(
            self.served.hub.clone(),
            slot,
            self.patience.beat,
            self.closing.clone(),
        )))
    }

    fn command(&self, text: &str) -> Result<Answer, Refusal> {
        self.served.commands.say(text)?;
        Ok(nothing())
    }

    /// The body as text, without blanks and line ends around it.
    async fn text(&self, body: Incoming) -> Result<String, Refusal> {
        // What the head announces need not come first.
        if body.size_hint().lower() > BODY_BYTES as u64 {
            return Err(Refusal::TooLarge { most: BODY_BYTES });
        }
        let whole = timeout(self.patience.body, Limited::new(body, BODY_BYTES).collect()).await;
        let bytes = match whole {
            Err(_) => return Err(Refusal::TooSlow),
            Ok(Err(error)) if error.is::<http_body_util::LengthLimitError>() => {
                return Err(Refusal::TooLarge { most: BODY_BYTES });
            }
            Ok(Err(_)) => return Err(Refusal::BrokenOff),
            Ok(Ok(collected)) => collected.to_bytes(),
        };
        let text = std::str::from_utf8(&bytes).map_err(|_| Refusal::NotText)?;
        Ok(text.trim().to_owned())
    }
}

fn reading(method: &Method) -> Result<(), Refusal> {
    let fits = method == Method::GET || method == Method::HEAD;
    fits.then_some(()).ok_or(Refusal::Method {
        allowed: "GET, HEAD",
    })
}

fn writing(method: &Method) -> Result<(), Refusal> {
    let fits = method == Method::POST;
    fits.then_some(())
        .ok_or(Refusal::Method { allowed: "POST" })
}
