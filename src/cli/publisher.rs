//! [`Publisher`]: tells everyone who watches what happens in a sitting.

use anyhow::{Context, Result};

use crate::bench::live::Message;
use crate::bench::recorded::sitting_name;
use crate::books::session::Session;
use crate::engine::sitting::{Event, Plan};
use crate::views::feed::{Feed, Item};
use crate::views::serve::{Commands, Hub, Listener, Served, Server};

/// Translates the events of a sitting and publishes them. Dropping it tells the viewers that it is over.
pub(crate) struct Publisher {
    feed: Feed,
    plan: Plan,
    hub: Hub,
    _server: Server,
}

impl Publisher {
    /// For that sitting, to whoever comes in by these listeners.
    ///
    /// # Errors
    /// If the operating system gives no thread, or a listener cannot begin.
    pub(crate) fn start(session: &Session, listeners: Vec<Box<dyn Listener>>) -> Result<Self> {
        let plan = session.plan().clone();
        let (feed, first) = feed_of(session)?;
        let hub = Hub::new();
        hub.publish(first);
        let sender = session.sender.clone();
        let commands = Commands::new(move |command| sender.send(Message::Command(command)).is_ok());
        let served = Served {
            hub: hub.clone(),
            commands,
            sitting: sitting_name(&session.recording).into(),
        };
        let at_work =
            Server::start(&served, listeners).context("cannot let others watch the sitting")?;
        Ok(Self {
            feed,
            plan,
            hub,
            _server: at_work,
        })
    }

    /// Takes in an event. Never waits for a viewer.
    pub(crate) fn hear(&mut self, event: &Event) {
        let Self {
            feed, plan, hub, ..
        } = self;
        feed.hear(event, plan, &mut |item| hub.publish(item));
    }
}

/// What views are told of a sitting: the translator of its events, and its first item.
///
/// # Errors
/// If `job.toml` cannot be read; the plan would have said so.
pub(crate) fn feed_of(session: &Session) -> Result<(Feed, Item)> {
    let title = session.title()?;
    Ok(Feed::begin(session.plan(), &title, session.begun()))
}
