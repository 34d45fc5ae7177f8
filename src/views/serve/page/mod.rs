//! The page: a sitting for a browser on a tablet over the bench.
//!
//! One page without any outside resource, the state as JSON, each further state as a server-sent event, and commands as POST.
//! There is no TLS. On a loopback address every program of the machine may ask; on any other the page wants a key.
//! What a browser is talked into by another site is refused by `Host` and `Origin`. Whatever goes over a limit gets an error, not memory.
//!
//! Of the engine it knows what a state holds and how numbers are written; it never reads a recording or the port of a meter.

mod address;
mod answer;
mod gate;
mod listener;
mod picture;
mod site;
mod stream;

pub use listener::{Page, Patience};

/// Limits of one page.
mod limit {
    use std::time::Duration;

    /// Connections at a time, idle ones included.
    pub(super) const CONNECTIONS: usize = 160;
    /// Connections over that limit which are told so at a time; further ones are just closed.
    pub(super) const TURNED_AWAY: usize = 16;
    /// Streams of events at a time.
    pub(super) const VIEWERS: usize = 16;
    /// Bytes of a request's head.
    pub(super) const HEAD_BYTES: usize = 8 * 1024;
    /// Lines of a request's head.
    pub(super) const HEAD_LINES: usize = 64;
    /// Bytes of a request's body: a command with its text.
    pub(super) const BODY_BYTES: usize = 1024;
    /// How long open connections have to end once the sitting is over; less than the server gives to all viewers.
    pub(super) const DRAIN: Duration = Duration::from_millis(800);
}
