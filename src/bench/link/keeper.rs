//! [`Keeper`]: the thread that owns a stream, reads it and opens it again.

use std::sync::{Arc, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use super::address::Address;
use super::dial::dial;
use super::message::{Label, LinkEvent, LinkMessage, Loss};
use super::open_error::OpenError;
use super::outgoing::Outgoing;
use super::outgoing::write_until_over;
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

/// How a stream ended.
enum End {
    /// It broke; `heard` says whether any byte had come before.
    Lost { reason: Loss, heard: bool },
    /// The driver dropped the link.
    Closing,
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
            Err(error) => {
                return End::Lost {
                    reason: Loss::Failed {
                        detail: error.to_string(),
                    },
                    heard: false,
                };
            }
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
                Err(error) => End::Lost {
                    reason: Loss::Failed {
                        detail: error.to_string(),
                    },
                    heard: false,
                },
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
