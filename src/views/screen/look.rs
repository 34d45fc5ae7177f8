//! [`Look`]: colours where there are any. Shape and word carry the meaning without them.

use ratatui::style::{Color, Modifier, Style};

use crate::engine::judge::Verdict;
use crate::views::told::Mood;

/// How the board may look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Whether there are colours: the 16 of every terminal, no more.
    pub colour: bool,
}

impl Look {
    /// The style of that mood.
    pub(super) fn of(self, mood: Mood) -> Style {
        let (colour, modifier) = match mood {
            Mood::Plain => (Color::Reset, Modifier::empty()),
            Mood::Quiet => (Color::Reset, Modifier::DIM),
            Mood::Good => (Color::Green, Modifier::BOLD),
            Mood::Doubtful => (Color::Yellow, Modifier::BOLD),
            Mood::Bad => (Color::Red, Modifier::BOLD),
        };
        let style = Style::new().add_modifier(modifier);
        if self.colour && colour != Color::Reset {
            style.fg(colour)
        } else {
            style
        }
    }

    /// What stands out without being good or bad.
    pub(super) fn strong() -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// What stands back.
    pub(super) fn quiet(self) -> Style {
        self.of(Mood::Quiet)
    }
}

/// A sign for a verdict where there is no room for its word.
pub(super) const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "✓",
        Verdict::ConditionalPass => "✓?",
        Verdict::ConditionalFail => "✗?",
        Verdict::Fail => "✗",
        Verdict::Inconclusive => "?",
    }
}
