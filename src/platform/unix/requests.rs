//! Requests to end a program: signals.

use std::io;

use tokio::signal::unix::{Signal, SignalKind, signal};

/// Ctrl-C, Ctrl-\, a request to terminate, a closed terminal.
pub(crate) struct Requests([Signal; 4]);

impl Requests {
    /// Watches for them from now on.
    pub(crate) fn watch() -> io::Result<Self> {
        Ok(Self([
            signal(SignalKind::interrupt())?,
            signal(SignalKind::quit())?,
            signal(SignalKind::terminate())?,
            signal(SignalKind::hangup())?,
        ]))
    }

    /// Waits for the next one; `false` if there can be none any more.
    pub(crate) async fn next(&mut self) -> bool {
        let [interrupt, quit, terminate, hangup] = &mut self.0;
        let one = tokio::select! {
            one = interrupt.recv() => one,
            one = quit.recv() => one,
            one = terminate.recv() => one,
            one = hangup.recv() => one,
        };
        one.is_some()
    }
}
