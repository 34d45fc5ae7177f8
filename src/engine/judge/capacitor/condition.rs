//! [`Condition`]: new or in service.

use std::fmt;

use serde::Deserialize;

/// How far a capacitor has come in its life; limits differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Bought for this job and never used.
    New,
    /// Found in the equipment, or unused stock of its age.
    #[default]
    InService,
}

impl Condition {
    /// Both.
    pub const ALL: [Self; 2] = [Self::New, Self::InService];

    /// The word used in tables and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::InService => "in-service",
        }
    }

    /// The condition of that word; `None` if there is none.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|condition| condition.name() == word)
    }
}

impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
