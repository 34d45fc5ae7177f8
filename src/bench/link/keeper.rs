//! [`Link`]: the driver's end of a byte stream; the [`Keeper`], the thread that reads it and opens it again; and what that tells.

use std::sync::{Arc, mpsc};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};
use std::{fmt, io};

use super::address::Address;
use super::dial::{OpenError, dial};
use super::outgoing::{Outgoing, SendError, write_until_over};
use super::stream::{PATIENCE, Step, Stream};
use crate::engine::meter::LineSettings;

/// Bytes of one read; more than a serial driver hands over at once.
const CAPACITY: usize = 4096;

/// Keeps one stream alive and tells `deliver` what happens.
pub(super) struct Keeper<D> {
    pub(super) address: Address,
    pub(super) settings: LineSettings,
    pub(super) label: Label,
    pub(super) outgoing: Arc<Outgoing>,
    pub(super) deliver: D,
}

/// The end of a stream.
enum End {
    /// Broke; `heard` says whether any byte had come before.
    Lost { reason: Loss, heard: bool },
    /// The driver dropped the link.
    Closing,
}

impl From<io::Error> for End {
    /// Broke before anything was heard.
    fn from(error: io::Error) -> Self {
        Self::Lost {
            reason: error.into(),
            heard: false,
        }
    }
}

impl From<io::Error> for Loss {
    fn from(error: io::Error) -> Self {
        Self::Failed {
            detail: error.to_string(),
        }
    }
}

impl<D: FnMut(LinkMessage)> Keeper<D> {
    /// Serves `stream` and its successors until the link is closed.
    pub(super) fn run(mut self, mut stream: Stream) {
        let mut backoff = Backoff::new();
        while let End::Lost { reason, heard } = self.serve(stream) {
            self.tell(LinkEvent::Lost { reason });
            // A stream that breaks before it says anything is not tried ever faster.
            if heard {
                backoff = Backoff::new();
            }
            match self.open_again(&mut backoff) {
                Some(next) => stream = next,
                None => return,
            }
        }
    }

    /// Reads and writes `stream` until it breaks or the link is closed.
    fn serve(&mut self, stream: Stream) -> End {
        let writing = match stream.second_handle() {
            Ok(handle) => handle,
            Err(error) => return error.into(),
        };
        let outgoing = Arc::clone(&self.outgoing);
        outgoing.connect();
        self.tell(LinkEvent::Up);
        thread::scope(|scope| {
            let name = format!("write {}", self.label);
            let writer = thread::Builder::new()
                .name(name)
                .spawn_scoped(scope, || write_until_over(writing, &outgoing));
            let end = match writer {
                Ok(_) => self.read_until_over(stream),
                Err(error) => error.into(),
            };
            outgoing.disconnect();
            end
        })
    }

    fn read_until_over(&mut self, mut stream: Stream) -> End {
        let mut heard = false;
        let mut buffer = [0; CAPACITY];
        loop {
            match stream.read(&mut buffer) {
                Ok(Step::Moved(count)) => {
                    heard = true;
                    self.tell(LinkEvent::Bytes(buffer[..count].into()));
                }
                Ok(Step::Idle) => {}
                Err(reason) => return End::Lost { reason, heard },
            }
            if self.outgoing.is_closing() {
                return End::Closing;
            }
            if let Some(reason) = self.outgoing.failure() {
                return End::Lost { reason, heard };
            }
        }
    }

    /// Tries until the stream is open again; `None` if the link is closed first.
    fn open_again(&mut self, backoff: &mut Backoff) -> Option<Stream> {
        let mut told = None;
        loop {
            if self.outgoing.closes_within(backoff.step()) {
                return None;
            }
            match self.try_open()? {
                Ok(stream) => return Some(stream),
                Err(reason) if told.as_ref() == Some(&reason) => {}
                Err(reason) => {
                    told = Some(reason.clone());
                    self.tell(LinkEvent::StillDown {
                        reason,
                        next_try_in: backoff.peek(),
                    });
                }
            }
        }
    }

    /// One try; `None` if the link is closed meanwhile. Opening may wait for the network, so it is left to a thread of its own,
    /// which nobody waits for once the link is closed.
    fn try_open(&self) -> Option<Result<Stream, OpenError>> {
        let (sender, outcome) = mpsc::channel();
        let (address, settings) = (self.address.clone(), self.settings);
        let dialling = thread::Builder::new()
            .name(format!("dial {}", self.label))
            .spawn(move || {
                // The keeper may have gone; then the stream is closed again.
                let _ = sender.send(dial(&address, settings));
            });
        if let Err(error) = dialling {
            return Some(Err(OpenError::NoThread {
                detail: error.to_string(),
            }));
        }
        loop {
            match outcome.recv_timeout(PATIENCE) {
                Ok(outcome) => return Some(outcome),
                Err(mpsc::RecvTimeoutError::Timeout) if !self.outgoing.is_closing() => {}
                Err(_) => return None,
            }
        }
    }

    fn tell(&mut self, event: LinkEvent) {
        (self.deliver)(LinkMessage {
            at: Instant::now(),
            event,
        });
    }
}

/// Waits of 0.25 s, 0.5 s, 1 s and so on, doubling up to 5 s.
#[derive(Debug, Clone)]
pub(super) struct Backoff {
    next: Duration,
}

impl Backoff {
    const SHORTEST: Duration = Duration::from_millis(250);
    const LONGEST: Duration = Duration::from_secs(5);

    /// Starts with the shortest wait.
    pub(super) const fn new() -> Self {
        Self {
            next: Self::SHORTEST,
        }
    }

    /// The wait before the coming try; the one after it is twice as long.
    pub(super) fn step(&mut self) -> Duration {
        let wait = self.next;
        self.next = (wait * 2).min(Self::LONGEST);
        wait
    }

    /// The wait that [`step`](Self::step) would give next.
    pub(super) const fn peek(&self) -> Duration {
        self.next
    }
}

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

/// The name that the caller gave to a link, for its threads. Cheap to clone.
pub type Label = Arc<str>;

/// Something happened on a link.
#[derive(Debug)]
pub struct LinkMessage {
    /// When it happened; for bytes, the moment the read returned.
    pub at: Instant,
    /// The event itself.
    pub event: LinkEvent,
}

/// An event on a link.
#[derive(Debug)]
pub enum LinkEvent {
    /// The stream is open: bytes may be sent. Always the first message, and the one after a repair.
    Up,
    /// Bytes came in, at least one.
    Bytes(Box<[u8]>),
    /// The stream broke; the link keeps trying to open it again. What was queued for sending is dropped.
    Lost {
        /// Fault that broke it.
        reason: Loss,
    },
    /// Opening it again failed, for a reason other than last time.
    StillDown {
        /// Reason why it could not be opened.
        reason: OpenError,
        /// Time until the next try.
        next_try_in: Duration,
    },
}

/// Fault that broke a stream.
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
        /// Time for which the write was tried.
        seconds: u64,
    },
    /// The operating system reported something else.
    #[error("the stream failed: {detail}")]
    Failed {
        /// The operating system's words.
        detail: String,
    },
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn waits_double_up_to_five_seconds() {
        let mut backoff = Backoff::new();
        let waits: Vec<_> = (0..7).map(|_| backoff.step().as_millis()).collect();
        assert_eq!(waits, [250, 500, 1000, 2000, 4000, 5000, 5000]);
    }
}
