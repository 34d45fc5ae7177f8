//! [`Item`]: one thing that a view is told.

use serde::{Deserialize, Serialize};

use super::news::News;
use crate::views::screen::Mood;

/// Version of the vocabulary. It rises when something that a view may rely on changes or goes; what is only added leaves it.
pub const VERSION: u32 = 1;

/// One thing that happened, with everything a view needs to show it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// [`VERSION`].
    pub version: u32,
    /// Counts from 1 in a sitting, without gaps.
    pub id: u64,
    /// When, in microseconds since the sitting began.
    pub at_us: u64,
    /// What happened.
    pub news: News,
    /// The same as a line of the plain view, where that has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// How that line may be coloured.
    #[serde(default = "plain", skip_serializing_if = "is_plain")]
    pub mood: Mood,
}

const fn plain() -> Mood {
    Mood::Plain
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde calls it with a reference"
)]
fn is_plain(mood: &Mood) -> bool {
    *mood == Mood::Plain
}
