//! [`LinkMessage`]: what a link tells its driver.

use std::sync::Arc;
use std::time::{Duration, Instant};

use super::open_error::OpenError;

/// The name that the caller gave to a link, for its threads. Cheap to clone.
pub type Label = Arc<str>;

/// Something happened on a link.
#[derive(Debug)]
pub struct LinkMessage {
    /// When it happened; for bytes, the moment the read returned.
    pub at: Instant,
    /// What happened.
    pub event: LinkEvent,
}

/// What happened on a link.
#[derive(Debug)]
pub enum LinkEvent {
    /// The stream is open: bytes may be sent. Always the first message, and the one after a repair.
    Up,
    /// Bytes came in, at least one.
    Bytes(Box<[u8]>),
    /// The stream broke; the link keeps trying to open it again. What was queued for sending is dropped.
    Lost {
        /// What broke it.
        reason: Loss,
    },
    /// Opening it again failed, for a reason other than last time.
    StillDown {
        /// Why it could not be opened.
        reason: OpenError,
        /// Time until the next try.
        next_try_in: Duration,
    },
}

/// What broke a stream.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Loss {
    /// The serial port went away.
    #[error("the port went away: the cable was pulled or the meter switched off")]
    PortGone,
    /// The other end closed or reset the TCP connection.
    #[error("the other end closed the connection")]
    Closed,
    /// The other end took no bytes for `seconds` seconds.
    #[error("the meter has taken no bytes for {seconds} s: check its flow control")]
    Stalled {
        /// How long the write was tried.
        seconds: u64,
    },
    /// The operating system reported something else.
    #[error("the stream failed: {detail}")]
    Failed {
        /// The operating system's words.
        detail: String,
    },
}
