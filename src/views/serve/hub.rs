//! [`Hub`]: where the items of a sitting go out to everyone who watches.

use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::broadcast::{self, Receiver, Sender, error::RecvError};
use tokio::sync::watch;

use crate::engine::sitting::{Event, What};
use crate::views::state::{Item, Stage, State};

/// Number of items that a viewer may be behind before it misses some. At 100 readings a second that is 20 s.
const BEHIND: usize = 2048;

/// An item, and the JSON that every viewer gets.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    pub item: Item,
    /// The item as JSON, without a line end.
    pub json: String,
}

/// Where the items of a sitting go out. Clones are the same hub.
#[derive(Debug, Clone)]
pub struct Hub {
    state: Arc<Mutex<State>>,
    sender: Sender<Arc<Told>>,
    /// The last item, for those who only look at the state.
    last: watch::Sender<u64>,
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

/// Next message to a viewer.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    Item(Arc<Told>),
    /// The viewer was too slow: so many items were left out, all up to this state.
    Missed(u64, Box<State>),
    /// The sitting is over.
    Over,
}

impl Hub {
    /// A hub of a sitting in that state, which nobody has joined yet.
    pub fn new(state: State) -> Self {
        Self {
            last: watch::Sender::new(state.last_id),
            state: Arc::new(Mutex::new(state)),
            sender: broadcast::channel(BEHIND).0,
        }
    }

    /// Tells everyone the next event. Never waits for a viewer.
    pub fn tell(&self, event: &Event) {
        let item = self.known().next_item(event);
        self.publish(item);
    }

    /// Tells everyone that item, which is the next one.
    pub fn publish(&self, item: Item) {
        let mut known = self.known();
        known.apply(&item);
        self.last.send_replace(known.last_id);
        if self.sender.receiver_count() > 0 {
            // An item is plain data: it always has a JSON form.
            let json = serde_json::to_string(&item).unwrap_or_default();
            // Sent under the lock, so that a viewer that joins gets each item once. The viewer may just have left.
            let _ = self.sender.send(Arc::new(Told { item, json }));
        }
    }

    /// Joins: the state so far, and a viewer who is told every item behind it.
    pub fn join(&self) -> (State, Viewer) {
        let known = self.known();
        let viewer = Viewer {
            hub: self.clone(),
            receiver: self.sender.subscribe(),
            last: known.last_id,
            over: known.stage == Stage::Ended,
        };
        (known.clone(), viewer)
    }

    /// Tells when there is another state than the one that was looked at last.
    pub fn look(&self) -> watch::Receiver<u64> {
        let mut look = self.last.subscribe();
        look.mark_changed();
        look
    }

    /// The state now.
    pub fn state(&self) -> State {
        self.known().clone()
    }

    fn known(&self) -> std::sync::MutexGuard<'_, State> {
        // The state is whole after every item, whoever panicked.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
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
                self.over = matches!(told.item.event.what, What::Ended(_));
                Next::Item(told)
            }
            Err(RecvError::Closed) => Next::Over,
            Err(RecvError::Lagged(_)) => {
                // Joined anew under the lock, so that nothing falls between state and items.
                let (state, viewer) = self.hub.join();
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
    use crate::engine::quantity::Stamp;

    fn item(id: u64, what: What) -> Item {
        let at = Stamp::from_micros(1000 * id);
        Item::of(id, &Event { at, what })
    }

    fn publish(hub: &Hub, ids: std::ops::RangeInclusive<u64>) {
        ids.for_each(|id| hub.publish(item(id, What::Lifted)));
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
        let hub = Hub::new(State::default());
        publish(&hub, 1..=3);
        let (state, mut viewer) = hub.join();
        publish(&hub, 4..=5);
        assert_eq!(state.last_id, 3);
        assert_eq!(id_of(&next(&mut viewer)), 4);
        assert_eq!(id_of(&next(&mut viewer)), 5);
    }

    #[test]
    fn whoever_only_looks_is_told_that_there_is_something_new_and_not_how_often() {
        let hub = Hub::new(State::default());
        let mut look = hub.look();
        assert!(look.has_changed().unwrap(), "nothing was looked at yet");
        assert_eq!(*look.borrow_and_update(), 0);
        publish(&hub, 1..=9);
        assert_eq!(*look.borrow_and_update(), 9);
        assert!(!look.has_changed().unwrap());
        assert_eq!(hub.state().last_id, 9);
    }

    #[test]
    fn a_viewer_that_is_too_slow_is_told_how_much_it_missed() {
        let hub = Hub::new(State::default());
        let (_, mut viewer) = hub.join();
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
        let hub = Hub::new(State::default());
        let (_, mut viewer) = hub.join();
        hub.publish(item(1, What::Ended(Box::default())));
        assert_eq!(id_of(&next(&mut viewer)), 1);
        assert_eq!(next(&mut viewer), Next::Over);
        let (_, mut late) = hub.join();
        assert_eq!(next(&mut late), Next::Over);
    }
}
