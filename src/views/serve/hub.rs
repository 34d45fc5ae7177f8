//! [`Hub`]: where the items of a sitting go out to everyone who watches.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::broadcast::{self, Receiver, Sender, error::RecvError};

use crate::views::feed::{Item, News, Stage, State};

/// How many items a viewer may be behind before it misses some. At 100 readings a second that is 20 s.
const BEHIND: usize = 2048;

/// An item, and the JSON that every viewer gets.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The item.
    pub item: Item,
    /// The item as JSON, without a line end.
    pub json: String,
}

/// Where the items of a sitting go out. Clones are the same hub.
#[derive(Debug, Clone)]
pub struct Hub {
    known: Arc<Mutex<Known>>,
    sender: Sender<Arc<Told>>,
}

/// What the hub knows so far.
#[derive(Debug)]
struct Known {
    state: State,
    /// The last items, for viewers that come back.
    recent: VecDeque<Arc<Told>>,
}

/// What a viewer gets on joining.
#[derive(Debug, Clone, PartialEq)]
pub enum Joined {
    /// The whole state: the viewer is new, or has been away for too long.
    State(Box<State>),
    /// What it missed, and nothing else.
    Since(Vec<Arc<Told>>),
}

/// Somebody who watches.
#[derive(Debug)]
pub struct Viewer {
    hub: Hub,
    receiver: Receiver<Arc<Told>>,
    /// The last item that was told, or that the state told which was given.
    last: u64,
    /// The last item of the sitting was told.
    over: bool,
}

/// What a viewer is told next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// An item.
    Item(Arc<Told>),
    /// The viewer was too slow: so many items were left out, all up to this state.
    Missed(u64, Box<State>),
    /// The sitting is over.
    Over,
}

impl Default for Hub {
    fn default() -> Self {
        Self::new()
    }
}

impl Hub {
    /// A hub that nobody has joined yet.
    pub fn new() -> Self {
        let known = Known {
            state: State::default(),
            recent: VecDeque::with_capacity(BEHIND),
        };
        Self {
            known: Arc::new(Mutex::new(known)),
            sender: broadcast::channel(BEHIND).0,
        }
    }

    /// Tells everyone. Never waits for a viewer.
    pub fn publish(&self, item: Item) {
        // An item is plain data: it always has a JSON form.
        let json = serde_json::to_string(&item).unwrap_or_default();
        let told = Arc::new(Told { item, json });
        let mut known = self.known();
        known.state.apply(&told.item);
        if known.recent.len() == BEHIND {
            known.recent.pop_front();
        }
        known.recent.push_back(Arc::clone(&told));
        // Sent under the lock, so that a viewer that joins gets each item once. Nobody may be watching.
        let _ = self.sender.send(told);
    }

    /// Joins; `after` is the last item that the viewer has, if it was here before.
    pub fn join(&self, after: Option<u64>) -> (Joined, Viewer) {
        let known = self.known();
        let joined = match after.and_then(|after| known.since(after)) {
            Some(missed) => Joined::Since(missed),
            None => Joined::State(Box::new(known.state.clone())),
        };
        (joined, self.viewer(&known))
    }

    fn join_anew(&self) -> (State, Viewer) {
        let known = self.known();
        (known.state.clone(), self.viewer(&known))
    }

    fn viewer(&self, known: &Known) -> Viewer {
        Viewer {
            hub: self.clone(),
            receiver: self.sender.subscribe(),
            last: known.state.last_id,
            over: known.state.stage == Stage::Ended,
        }
    }

    /// The state now.
    pub fn state(&self) -> State {
        self.known().state.clone()
    }

    fn known(&self) -> std::sync::MutexGuard<'_, Known> {
        // What is known is whole after every item, whoever panicked.
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Known {
    /// The items behind `after`; `None` if not all of them are kept, or `after` has not been yet.
    fn since(&self, after: u64) -> Option<Vec<Arc<Told>>> {
        let first = self.recent.front()?.item.id;
        let fits = (first - 1..=self.state.last_id).contains(&after);
        let behind = |told: &&Arc<Told>| told.item.id > after;
        fits.then(|| self.recent.iter().filter(behind).cloned().collect())
    }
}

impl Viewer {
    /// Waits for what comes next.
    pub async fn next(&mut self) -> Next {
        if self.over {
            return Next::Over;
        }
        match self.receiver.recv().await {
            Ok(told) => {
                self.last = told.item.id;
                self.over = matches!(told.item.news, News::Ended(_));
                Next::Item(told)
            }
            Err(RecvError::Closed) => Next::Over,
            Err(RecvError::Lagged(_)) => {
                // Joined anew under the lock, so that nothing falls between state and items.
                let (state, viewer) = self.hub.join_anew();
                let missed = state.last_id - self.last;
                *self = viewer;
                Next::Missed(missed, Box::new(state))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::feed::VERSION;
    use crate::views::screen::Mood;

    fn item(id: u64, news: News) -> Item {
        Item {
            version: VERSION,
            id,
            at_us: 1000 * id,
            news,
            line: None,
            mood: Mood::Plain,
        }
    }

    fn publish(hub: &Hub, ids: std::ops::RangeInclusive<u64>) {
        ids.for_each(|id| hub.publish(item(id, News::Lifted)));
    }

    fn next(viewer: &mut Viewer) -> Next {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .unwrap();
        runtime.block_on(viewer.next())
    }

    fn id_of(next: &Next) -> u64 {
        match next {
            Next::Item(told) => told.item.id,
            other => panic!("no item but {other:?}"),
        }
    }

    #[test]
    fn a_viewer_gets_the_state_and_then_every_item_behind_it() {
        let hub = Hub::new();
        publish(&hub, 1..=3);
        let (joined, mut viewer) = hub.join(None);
        publish(&hub, 4..=5);
        let Joined::State(state) = joined else {
            panic!("a new viewer gets the state")
        };
        assert_eq!(state.last_id, 3);
        assert_eq!(id_of(&next(&mut viewer)), 4);
        assert_eq!(id_of(&next(&mut viewer)), 5);
    }

    #[test]
    fn a_viewer_that_comes_back_gets_what_it_missed() {
        let hub = Hub::new();
        publish(&hub, 1..=9);
        let ids = |joined: Joined| match joined {
            Joined::Since(missed) => Some(missed.iter().map(|told| told.item.id).collect()),
            Joined::State(_) => None,
        };
        assert_eq!(ids(hub.join(Some(6)).0), Some(vec![7, 8, 9]));
        assert_eq!(ids(hub.join(Some(9)).0), Some(vec![]));
        assert_eq!(ids(hub.join(Some(10)).0), None, "it is of another sitting");
        publish(&hub, 10..=BEHIND as u64 + 20);
        assert_eq!(ids(hub.join(Some(6)).0), None, "too long ago");
    }

    #[test]
    fn a_viewer_that_is_too_slow_is_told_how_much_it_missed() {
        let hub = Hub::new();
        let (_, mut viewer) = hub.join(None);
        publish(&hub, 1..=BEHIND as u64 + 10);
        let Next::Missed(missed, state) = next(&mut viewer) else {
            panic!("it was too slow")
        };
        let all = BEHIND as u64 + 10;
        assert_eq!((missed, state.last_id), (all, all));
        publish(&hub, BEHIND as u64 + 11..=BEHIND as u64 + 11);
        assert_eq!(id_of(&next(&mut viewer)), BEHIND as u64 + 11);
    }

    #[test]
    fn behind_the_end_there_is_nothing() {
        let hub = Hub::new();
        let (_, mut viewer) = hub.join(None);
        hub.publish(item(
            1,
            News::Ended(crate::views::feed::Progress::default()),
        ));
        assert_eq!(id_of(&next(&mut viewer)), 1);
        assert_eq!(next(&mut viewer), Next::Over);
        let (_, mut late) = hub.join(None);
        assert_eq!(next(&mut late), Next::Over);
    }
}
