//! [`Publisher`]: tells everyone who watches what happens in a sitting.

use anyhow::{Context, Result};

use crate::bench::live::Message;
use crate::bench::recorded::sitting_name;
use crate::books::session::Session;
use crate::engine::sitting::Event;
use crate::views::serve::{Commands, Hub, Listener, Served, Server};
use crate::views::state::State;

/// Publishes the events of a sitting. Dropping it tells the viewers that it is over.
pub(crate) struct Publisher {
    hub: Hub,
    _server: Server,
}

impl Publisher {
    /// For that sitting, to whoever comes in by these listeners.
    ///
    /// # Errors
    /// If the operating system gives no thread, or a listener cannot begin.
    pub(crate) fn start(session: &Session, listeners: Vec<Box<dyn Listener>>) -> Result<Self> {
        let hub = Hub::new(State::begin(session.plan()));
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
            hub,
            _server: at_work,
        })
    }

    /// Takes in an event. Never waits for a viewer.
    pub(crate) fn hear(&self, event: &Event) {
        self.hub.tell(event);
    }
}
