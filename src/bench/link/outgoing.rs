//! [`Outgoing`]: what is to be sent, and the thread that sends it.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use super::keeper::Loss;
use super::stream::{Step, Stream};

/// Bytes that may wait to be written.
const LIMIT: usize = 4096;

/// Reason why bytes were not queued. None of them will be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SendError {
    /// The stream is down; ask again once it is up.
    #[error("the link is down: nothing was sent; ask again once it is up")]
    Down,
    /// The queue has no room for them.
    #[error(
        "the meter is not taking bytes: {queued} wait already and {asked} more do not fit into {limit}"
    )]
    Full {
        /// Bytes waiting already.
        queued: usize,
        /// Bytes that were to be added.
        asked: usize,
        /// Bytes that may wait.
        limit: usize,
    },
}

/// State shared by keeper, writer and driver.
#[derive(Default)]
pub(super) struct Outgoing {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    queue: VecDeque<u8>,
    up: bool,
    closing: bool,
    failure: Option<Loss>,
}

impl Outgoing {
    /// Queues `bytes`, all or none.
    pub(super) fn send(&self, bytes: &[u8]) -> Result<(), SendError> {
        let mut state = self.state();
        if !state.up {
            return Err(SendError::Down);
        }
        let queued = state.queue.len();
        if queued + bytes.len() > LIMIT {
            return Err(SendError::Full {
                queued,
                asked: bytes.len(),
                limit: LIMIT,
            });
        }
        state.queue.extend(bytes);
        self.changed.notify_all();
        Ok(())
    }

    /// Waits for bytes to write and moves them into `piece`. `None` once the stream is over, or the link is closing and
    /// everything has been taken.
    pub(super) fn take(&self, piece: &mut [u8]) -> Option<usize> {
        let mut state = self
            .changed
            .wait_while(self.state(), |state| {
                state.queue.is_empty() && state.up && !state.closing
            })
            .unwrap_or_else(PoisonError::into_inner);
        if state.queue.is_empty() || !(state.up || state.closing) {
            return None;
        }
        let count = piece.len().min(state.queue.len());
        for (slot, byte) in piece.iter_mut().zip(state.queue.drain(..count)) {
            *slot = byte;
        }
        Some(count)
    }

    /// The stream is open: bytes are taken from now on.
    pub(super) fn connect(&self) {
        let mut state = self.state();
        state.queue.clear();
        state.failure = None;
        state.up = true;
    }

    /// The stream is over. What waits is dropped, except that a closing link still tries to send it.
    pub(super) fn disconnect(&self) {
        let mut state = self.state();
        state.up = false;
        if !state.closing {
            state.queue.clear();
        }
        self.changed.notify_all();
    }

    /// The driver wants no more of this link.
    pub(super) fn close(&self) {
        self.state().closing = true;
        self.changed.notify_all();
    }

    /// Whether [`close`](Self::close) was called.
    pub(super) fn is_closing(&self) -> bool {
        self.state().closing
    }

    /// Waits for at most `wait`, less if the link is closing; says whether it is.
    pub(super) fn closes_within(&self, wait: Duration) -> bool {
        let (state, _) = self
            .changed
            .wait_timeout_while(self.state(), wait, |state| !state.closing)
            .unwrap_or_else(PoisonError::into_inner);
        state.closing
    }

    /// The writer could not write.
    pub(super) fn fail(&self, loss: Loss) {
        self.state().failure = Some(loss);
    }

    /// Error of the writer.
    pub(super) fn failure(&self) -> Option<Loss> {
        self.state().failure.clone()
    }

    /// No code panics while it holds the lock, so a poisoned one is still in order.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Bytes handed to the operating system at once. A line that reports room for one has room for so many (seen in the Linux
/// terminal drivers: they report room only while it is at least 256 bytes), so that a write does not wait beyond its patience.
const PIECE: usize = 64;

/// A line that takes nothing for so long is given up.
const STALLED_AFTER: Duration = Duration::from_secs(1);

/// Writes until the stream is over; leaves what went wrong with `outgoing`.
pub(super) fn write_until_over(mut stream: Stream, outgoing: &Outgoing) {
    let mut piece = [0; PIECE];
    while let Some(count) = outgoing.take(&mut piece) {
        if let Err(loss) = write_piece(&mut stream, &piece[..count], outgoing) {
            outgoing.fail(loss);
            return;
        }
    }
}

fn write_piece(stream: &mut Stream, mut rest: &[u8], outgoing: &Outgoing) -> Result<(), Loss> {
    let mut moved_at = Instant::now();
    while !rest.is_empty() {
        match stream.write(rest)? {
            Step::Moved(count) => {
                rest = &rest[count..];
                moved_at = Instant::now();
            }
            Step::Idle if outgoing.is_closing() || moved_at.elapsed() >= STALLED_AFTER => {
                stream.discard_unsent();
                return Err(Loss::Stalled {
                    seconds: STALLED_AFTER.as_secs(),
                });
            }
            Step::Idle => {}
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_queue_takes_nothing_and_says_so() {
        let outgoing = Outgoing::default();
        outgoing.connect();
        outgoing.send(&[0; LIMIT - 1]).unwrap();
        assert_eq!(
            outgoing.send(b"ab"),
            Err(SendError::Full {
                queued: LIMIT - 1,
                asked: 2,
                limit: LIMIT
            })
        );
        assert_eq!(outgoing.send(b"a"), Ok(()));
    }

    #[test]
    fn a_queue_that_is_down_refuses_and_forgets() {
        let outgoing = Outgoing::default();
        assert_eq!(outgoing.send(b"a"), Err(SendError::Down));
        outgoing.connect();
        outgoing.send(b"a").unwrap();
        outgoing.disconnect();
        assert_eq!(outgoing.take(&mut [0; 8]), None);
    }

    #[test]
    fn a_closing_queue_hands_out_what_is_left() {
        let outgoing = Outgoing::default();
        outgoing.connect();
        outgoing.send(b"abc").unwrap();
        outgoing.close();
        let mut piece = [0; 2];
        assert_eq!(outgoing.take(&mut piece), Some(2));
        assert_eq!(&piece, b"ab");
        assert_eq!(outgoing.take(&mut piece), Some(1));
        assert_eq!(outgoing.take(&mut piece), None);
    }
}
