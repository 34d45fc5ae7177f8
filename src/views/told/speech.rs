//! [`Speech`]: words for the ear.

use crate::views::sound::{Rank, spelled};

/// Words for the ear, and how much they matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Speech<'a> {
    designator: Option<&'a str>,
    words: &'static str,
    /// How much it matters that they are heard.
    pub rank: Rank,
}

impl<'a> Speech<'a> {
    /// These words.
    pub(super) const fn words(words: &'static str, rank: Rank) -> Self {
        Self {
            designator: None,
            words,
            rank,
        }
    }

    /// These words about the part of that designator.
    pub(super) const fn of(designator: &'a str, words: &'static str, rank: Rank) -> Self {
        Self {
            designator: Some(designator),
            words,
            rank,
        }
    }

    /// As it is spoken: `R twelve, next`.
    pub fn text(&self) -> String {
        match self.designator {
            Some(designator) => format!("{}, {}", spelled(designator), self.words),
            None => self.words.to_owned(),
        }
    }
}
