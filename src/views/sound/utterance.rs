//! [`Utterance`]: one thing to be heard, and [`Rank`]: how much it matters.

use super::cue::Cue;

/// How much it matters that something is heard, from little to much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rank {
    /// A contact: worth nothing a moment later.
    Contact,
    /// What comes next in words: worth nothing once something else is next.
    Next,
    /// News.
    News,
    /// A verdict.
    Verdict,
    /// Danger, or nothing being measured any more.
    Alarm,
}

/// One thing to be heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Utterance {
    /// A pattern of tones.
    Cue(Cue),
    /// Words, and how much they matter.
    Words {
        /// What is said: plain words.
        text: String,
        /// How much it matters.
        rank: Rank,
    },
}

impl Utterance {
    /// How much it matters.
    pub const fn rank(&self) -> Rank {
        match self {
            Self::Words { rank, .. } => *rank,
            Self::Cue(Cue::Contact) => Rank::Contact,
            Self::Cue(Cue::StillCharged | Cue::LinkLost) => Rank::Alarm,
            Self::Cue(cue) if cue.is_verdict() => Rank::Verdict,
            Self::Cue(_) => Rank::News,
        }
    }
}
