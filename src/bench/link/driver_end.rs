//! [`Link`]: the driver's end of a byte stream.

use std::fmt;
use std::sync::Arc;
use std::thread::{self, JoinHandle};

use super::address::Address;
use super::dial::dial;
use super::keeper::Keeper;
use super::message::{Label, LinkMessage};
use super::open_error::OpenError;
use super::outgoing::{Outgoing, SendError};
use crate::engine::meter::LineSettings;

/// A byte stream that is kept alive until this is dropped.
///
/// Dropping waits for the link's threads, at most about 0.1 s on an open port, and longer only if `deliver` itself blocks.
pub struct Link {
    label: Label,
    outgoing: Arc<Outgoing>,
    keeper: Option<JoinHandle<()>>,
}

/// Opens the stream at `address` and keeps it alive.
///
/// `deliver` is called on the link's own thread with every message, in order; let it hand the message to a channel and return without waiting:
/// `move |message| { let _ = sender.send(Input::Link(message)); }`. `settings` apply to serial ports; the
/// threads are named by `label`.
///
/// # Errors
/// [`OpenError`] if the stream cannot be opened now. Later failures are retried and told through `deliver`.
pub fn open<D>(
    address: &Address,
    settings: LineSettings,
    label: &str,
    deliver: D,
) -> Result<Link, OpenError>
where
    D: FnMut(LinkMessage) + Send + 'static,
{
    let stream = dial(address, settings)?;
    let label = Label::from(label);
    let outgoing = Arc::new(Outgoing::default());
    let keeper = Keeper {
        address: address.clone(),
        settings,
        label: Arc::clone(&label),
        outgoing: Arc::clone(&outgoing),
        deliver,
    };
    let keeper = thread::Builder::new()
        .name(format!("read {label}"))
        .spawn(move || keeper.run(stream))
        .map_err(|error| OpenError::NoThread {
            detail: error.to_string(),
        })?;
    Ok(Link {
        label,
        outgoing,
        keeper: Some(keeper),
    })
}

impl Link {
    /// Queues `bytes` for writing, all or none, and never waits. They are contiguous on the line.
    ///
    /// # Errors
    /// [`SendError::Down`] while the stream is down: the bytes are dropped. [`SendError::Full`] if the other end does not take
    /// what was queued before.
    pub fn send(&self, bytes: &[u8]) -> Result<(), SendError> {
        self.outgoing.send(bytes)
    }
}

impl fmt::Debug for Link {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Link")
            .field("label", &self.label)
            .finish_non_exhaustive()
    }
}

impl Drop for Link {
    fn drop(&mut self) {
        self.outgoing.close();
        if let Some(keeper) = self.keeper.take() {
            // A keeper that panicked has said so already; there is nothing left to end.
            let _ = keeper.join();
        }
    }
}
