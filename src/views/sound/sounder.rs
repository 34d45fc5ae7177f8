//! [`Sounder`]: makes utterances heard on a thread of its own.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::queue::Queue;
use super::sources::Sources;
use super::utterance::{Rank, Utterance};

/// How long the end of a sitting waits for what is still to be heard.
pub const GRACE: Duration = Duration::from_secs(2);

/// Makes utterances heard, one after the other. Dropped, it lets what waits be heard for at most [`GRACE`].
pub struct Sounder {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

/// What both sides see.
#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    queue: Queue,
    closed: Option<Instant>,
}

impl Sounder {
    /// Starts the thread.
    ///
    /// # Errors
    /// If the system gives no thread.
    pub fn start(mut sources: Sources) -> std::io::Result<Self> {
        let shared = Arc::new(Shared::default());
        let of_thread = Arc::clone(&shared);
        let thread = thread::Builder::new()
            .name("sound".to_owned())
            .spawn(move || {
                while let Some(utterance) = of_thread.next() {
                    let hurry = || of_thread.hurries(utterance.rank());
                    sources.utter(&utterance, &hurry);
                }
            })?;
        Ok(Self {
            shared,
            thread: Some(thread),
        })
    }

    /// Lets something be heard as soon as it may. Returns at once, whatever the player does.
    pub fn utter(&self, utterance: Utterance) {
        self.shared.lock().queue.push(utterance, Instant::now());
        self.shared.changed.notify_one();
    }

    /// How many utterances wait.
    pub fn waiting(&self) -> usize {
        self.shared.lock().queue.len()
    }
}

impl Drop for Sounder {
    fn drop(&mut self) {
        self.shared.lock().closed = Some(Instant::now());
        self.shared.changed.notify_one();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has said so already.
            let _ = thread.join();
        }
    }
}

impl Shared {
    /// The state. A thread that panicked cannot have left it half changed: each change is a single call.
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The next utterance; waits for one. `None` when there will be none.
    fn next(&self) -> Option<Utterance> {
        let mut state = self.lock();
        loop {
            let over = state.closed.is_some_and(|closed| closed.elapsed() >= GRACE);
            if over {
                return None;
            }
            if let Some(utterance) = state.queue.pop(Instant::now()) {
                return Some(utterance);
            }
            if state.closed.is_some() {
                return None;
            }
            state = self
                .changed
                .wait(state)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Whether what is being heard, of that rank, is to be broken off: the end was waited for long enough, or words on what
    /// comes next are in the way of something that matters.
    fn hurries(&self, rank: Rank) -> bool {
        let state = self.lock();
        let over = state.closed.is_some_and(|closed| closed.elapsed() >= GRACE);
        over || (rank <= Rank::Next && state.queue.most_urgent() > Some(Rank::Next))
    }
}
