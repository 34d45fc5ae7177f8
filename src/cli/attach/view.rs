//! [`View`]: what shows a watched sitting, and [`Viewing`]: the state that it shows.

use std::io;

use crate::cli::remark::remark;
use crate::views::serve::FromServer;
use crate::views::state::{Item, State};

/// What shows a watched sitting.
pub(super) trait View {
    /// Everything anew: on joining, and after so many items were missed.
    fn anew(&mut self, state: &State, missed: Option<u64>) -> io::Result<()>;

    /// Something happened; `state` holds it already.
    fn heard(&mut self, item: &Item, state: &State) -> io::Result<()>;
}

/// A view, and the state that it shows.
pub(super) struct Viewing<V> {
    view: V,
    state: State,
    missed: Option<u64>,
}

impl<V: View> Viewing<V> {
    /// Nothing was said yet.
    pub(super) fn new(view: V) -> Self {
        Self {
            view,
            state: State::default(),
            missed: None,
        }
    }

    /// Takes in what the server says.
    pub(super) fn hear(&mut self, said: &FromServer) -> io::Result<()> {
        match said {
            FromServer::State(state) => {
                self.state.clone_from(state);
                self.view.anew(&self.state, self.missed.take())
            }
            FromServer::Missed(missed) => {
                self.missed = Some(*missed);
                Ok(())
            }
            FromServer::Item(item) => {
                self.state.apply(item);
                self.view.heard(item, &self.state)
            }
            FromServer::Refused(why) => {
                remark(why);
                Ok(())
            }
            // The one is told at the end, the other matters to programs.
            FromServer::Error(_) | FromServer::Hello(_) => Ok(()),
        }
    }
}
