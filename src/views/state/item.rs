//! [`Item`]: an event as others are told it.

use serde::{Deserialize, Serialize};

use crate::engine::sitting::Event;
use crate::views::told::{Line, told};

/// Version of the vocabulary. It rises when something that a view may rely on changes or goes; what is only added leaves it.
pub const VERSION: u32 = 2;

/// An event, numbered, with its line of the plain view.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// [`VERSION`].
    pub version: u32,
    /// Counts from 1 in a sitting, without gaps.
    pub id: u64,
    /// The event.
    #[serde(flatten)]
    pub event: Event,
    /// The same as a line of the plain view, where that has one.
    #[serde(flatten)]
    pub line: Option<Line>,
}

impl Item {
    /// The event of that number.
    pub fn of(id: u64, event: &Event) -> Self {
        Self {
            version: VERSION,
            id,
            event: event.clone(),
            line: told(&event.what).line,
        }
    }
}
