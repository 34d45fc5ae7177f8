//! [`Patience`]: how long the page waits for a client.

use std::time::Duration;

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
