//! [`Ending`]: how a watched sitting came to its end.

use anyhow::{Result, bail};

use crate::cli::status::Status;
use crate::engine::sitting::What;
use crate::views::serve::FromServer;
use crate::views::state::Stage;

/// How a watched sitting came to its end, if the connection were closed now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Ending {
    /// Its end was told.
    Over,
    /// The server closed the connection and said why.
    Closed(String),
    /// The program that served it is gone.
    BrokenOff,
}

impl Ending {
    /// After that was said.
    pub(super) fn after(self, said: &FromServer) -> Self {
        match said {
            FromServer::Item(item) if matches!(item.event.what, What::Ended(_)) => Self::Over,
            FromServer::State(state) if state.stage == Stage::Ended => Self::Over,
            FromServer::Error(why) => Self::Closed(why.clone()),
            _ => self,
        }
    }

    /// The exit status that goes with it.
    pub(super) fn status(self) -> Result<Status> {
        match self {
            Self::Over => Ok(Status::Done),
            Self::Closed(why) => bail!(why),
            Self::BrokenOff => bail!(
                "the program that served the sitting is gone; what it recorded reads back, and `sit` goes on with the job"
            ),
        }
    }
}
