//! [`Choice`]: what can be decided about a part.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// What can be decided about a part.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum Choice {
    /// It stays, since it is good.
    Keep,
    /// It is to be replaced.
    Replace,
    /// A new one is on order.
    Order,
    /// A new one was put in.
    Fitted,
    /// It stays although it is not good, knowingly.
    Accept,
}

/// A word that is no decision.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("found `{found}`, expected keep, replace, order, fitted or accept")]
pub struct UnknownChoice {
    /// The word.
    pub found: String,
}

impl Choice {
    /// Every choice.
    pub const ALL: [Self; 5] = [
        Self::Keep,
        Self::Replace,
        Self::Order,
        Self::Fitted,
        Self::Accept,
    ];

    /// The word for commands and files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Keep => "keep",
            Self::Replace => "replace",
            Self::Order => "order",
            Self::Fitted => "fitted",
            Self::Accept => "accept",
        }
    }

    /// Whether it must be given a reason: what stays although it is not good must.
    pub const fn needs_reason(self) -> bool {
        matches!(self, Self::Accept)
    }
}

impl fmt::Display for Choice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Choice {
    type Err = UnknownChoice;

    fn from_str(text: &str) -> Result<Self, UnknownChoice> {
        let word = text.trim();
        let found = Self::ALL
            .into_iter()
            .find(|choice| choice.name().eq_ignore_ascii_case(word));
        found.ok_or_else(|| UnknownChoice {
            found: word.to_owned(),
        })
    }
}
