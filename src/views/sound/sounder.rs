//! [`Sounder`]: makes utterances heard on a thread of its own, and [`Queue`]: what waits, and what is let go of when the player is slow.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::cue::{Rank, Utterance};
use super::sources::Sources;

/// Time that the end of a sitting waits for what is still to be heard.
pub const GRACE: Duration = Duration::from_secs(2);

/// Makes utterances heard, one after the other. Dropped, it lets what waits be heard for at most [`GRACE`].
pub struct Sounder {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

/// State that both sides see.
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

    /// Number of utterances that wait.
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

    /// Tells whether the sound of that rank is to be broken off: the end was waited for long enough, or words on what
    /// comes next are in the way of something that matters.
    fn hurries(&self, rank: Rank) -> bool {
        let state = self.lock();
        let over = state.closed.is_some_and(|closed| closed.elapsed() >= GRACE);
        over || (rank <= Rank::Next && state.queue.most_urgent() > Some(Rank::Next))
    }
}

/// The most that waits. At half a second each that is as much as anybody could still make sense of.
pub const CAPACITY: usize = 16;

/// A contact that has waited so long is not worth hearing: the ear would take it for another touch.
pub const CONTACT_KEEPS: Duration = Duration::from_millis(250);

/// Utterances that wait to be heard, oldest first.
///
/// - A contact that has waited [`CONTACT_KEEPS`] is never heard, nor is one behind which something that matters more waits.
/// - Of contacts, and of words on what comes next, only the newest waits.
/// - Where the queue is full, the oldest of the least rank gives way, unless the new one ranks lower still: no verdict is
///   ever let go of for a contact.
#[derive(Debug, Default)]
pub struct Queue {
    waiting: VecDeque<(Utterance, Instant)>,
}

impl Queue {
    /// Number of utterances that wait.
    pub fn len(&self) -> usize {
        self.waiting.len()
    }

    /// The greatest rank that waits.
    pub fn most_urgent(&self) -> Option<Rank> {
        self.waiting.iter().map(|(waiting, _)| waiting.rank()).max()
    }

    /// Adds an utterance at that time.
    pub fn push(&mut self, utterance: Utterance, at: Instant) {
        let rank = utterance.rank();
        self.waiting.retain(|(waiting, _)| match waiting.rank() {
            Rank::Contact => false,
            Rank::Next => rank != Rank::Next,
            _ => true,
        });
        if self.waiting.len() >= CAPACITY {
            let least = (0..self.waiting.len()).min_by_key(|&index| self.waiting[index].0.rank());
            match least {
                Some(index) if self.waiting[index].0.rank() <= rank => {
                    self.waiting.remove(index);
                }
                _ => return,
            }
        }
        self.waiting.push_back((utterance, at));
    }

    /// The next one to be heard at that time.
    pub fn pop(&mut self, now: Instant) -> Option<Utterance> {
        while let Some((utterance, since)) = self.waiting.pop_front() {
            let stale = now.saturating_duration_since(since) > CONTACT_KEEPS;
            if !(utterance.rank() == Rank::Contact && stale) {
                return Some(utterance);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::sound::Cue;

    fn words(text: &str, rank: Rank) -> Utterance {
        Utterance::Words {
            text: text.to_owned(),
            rank,
        }
    }

    fn rest(queue: &mut Queue, now: Instant) -> Vec<Utterance> {
        std::iter::from_fn(|| queue.pop(now)).collect()
    }

    #[test]
    fn things_are_heard_in_their_order() {
        let (mut queue, now) = (Queue::default(), Instant::now());
        let all = [
            Utterance::Cue(Cue::Pass),
            words("pass", Rank::Verdict),
            words("R two, next", Rank::Next),
            Utterance::Cue(Cue::Contact),
        ];
        for utterance in all.clone() {
            queue.push(utterance, now);
        }
        assert_eq!(rest(&mut queue, now), all);
    }

    #[test]
    fn a_stale_contact_is_not_heard() {
        let (mut queue, now) = (Queue::default(), Instant::now());
        queue.push(Utterance::Cue(Cue::Contact), now);
        assert_eq!(queue.pop(now + CONTACT_KEEPS * 2), None);
        queue.push(Utterance::Cue(Cue::Contact), now);
        assert!(queue.pop(now + CONTACT_KEEPS / 2).is_some());
    }

    #[test]
    fn a_contact_gives_way_to_whatever_follows_it() {
        let (mut queue, now) = (Queue::default(), Instant::now());
        queue.push(Utterance::Cue(Cue::Contact), now);
        queue.push(Utterance::Cue(Cue::Fail), now);
        queue.push(words("R one, next", Rank::Next), now);
        queue.push(words("R two, next", Rank::Next), now);
        let expected = [Utterance::Cue(Cue::Fail), words("R two, next", Rank::Next)];
        assert_eq!(rest(&mut queue, now), expected);
    }

    #[test]
    fn no_verdict_is_let_go_of_for_less() {
        let (mut queue, now) = (Queue::default(), Instant::now());
        for _ in 0..CAPACITY {
            queue.push(Utterance::Cue(Cue::Fail), now);
        }
        for _ in 0..1000 {
            queue.push(Utterance::Cue(Cue::Contact), now);
            queue.push(Utterance::Cue(Cue::Refused), now);
            queue.push(words("R one, next", Rank::Next), now);
        }
        assert_eq!(queue.len(), CAPACITY);
        assert_eq!(
            rest(&mut queue, now),
            vec![Utterance::Cue(Cue::Fail); CAPACITY]
        );
    }

    #[test]
    fn the_queue_stays_short_and_keeps_the_newest_of_a_rank() {
        let (mut queue, now) = (Queue::default(), Instant::now());
        queue.push(Utterance::Cue(Cue::Pass), now);
        for _ in 0..1000 {
            queue.push(Utterance::Cue(Cue::Fail), now);
            assert!(queue.len() <= CAPACITY);
        }
        queue.push(Utterance::Cue(Cue::StillCharged), now);
        let heard = rest(&mut queue, now);
        assert_eq!(heard.len(), CAPACITY);
        assert!(!heard.contains(&Utterance::Cue(Cue::Pass)));
        assert_eq!(heard[CAPACITY - 1], Utterance::Cue(Cue::StillCharged));
    }
}
