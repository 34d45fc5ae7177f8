//! The board: a [`State`] drawn so that it can be read from two metres.
//!
//! What is in hand and what became of it stand in large letters, the live value with its band between them. What there is no
//! room for goes, the smallest terminal still shows those three. Pure: draws into a frame, knows no terminal.

mod bar;
mod big;
mod head;
mod scene;
mod side;
mod speech;
mod zone;

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use scene::Scene;
use zone::put;

use super::state::State;
use super::told::Mood;
use crate::engine::judge::Verdict;

/// From this width on there is a column at the side.
const WIDE: u16 = 100;

/// From this height on there is room for a column at the side.
const TALL: u16 = 26;

/// Draws what is to be seen now.
pub fn draw(frame: &mut Frame<'_>, state: &State, aside: &Aside<'_>, look: Look) {
    let area = frame.area();
    let [head, body, foot] = Layout::vertical([
        Constraint::Length(2),
        Constraint::Min(0),
        Constraint::Length(1),
    ])
    .areas(area);
    let buffer = frame.buffer_mut();
    head::draw(buffer, head, state, look);
    draw_foot(buffer, foot, state, aside, look);
    let main = if area.width >= WIDE && area.height >= TALL {
        let width = (area.width / 4).clamp(34, 60);
        let [main, gap, side] = Layout::horizontal([
            Constraint::Min(0),
            Constraint::Length(3),
            Constraint::Length(width),
        ])
        .areas(body);
        side::divide(buffer, gap, look);
        side::draw(buffer, side, state, look);
        main
    } else {
        let [main, last] =
            Layout::vertical([Constraint::Min(0), Constraint::Length(1)]).areas(body);
        side::in_a_row(buffer, last, state, look);
        main
    };
    draw_main(frame, main, state, main.width == area.width, look);
}

/// The three zones: what is in hand, the value, what became of it.
fn draw_main(frame: &mut Frame<'_>, main: Rect, state: &State, alone: bool, look: Look) {
    let scene = Scene::of(state, alone);
    let size = zone::value_size(main);
    let value = zone::value_height(size);
    let rest = main.height.saturating_sub(value);
    let larger = if rest < 9 {
        rest.div_ceil(2)
    } else {
        (rest * 11).div_ceil(20)
    };
    // What is to be read now gets the larger letters.
    let decided = state.verdict.is_some() || state.across.is_some();
    let hand = if decided {
        (rest * 2 / 5).max(rest.min(8) / 2)
    } else {
        larger
    };
    let [hand, value, outcome] = Layout::vertical([
        Constraint::Length(hand),
        Constraint::Length(value),
        Constraint::Min(0),
    ])
    .areas(main);
    let buffer = frame.buffer_mut();
    zone::word(buffer, hand, &scene.hand, look);
    zone::value(buffer, value, size, &scene, look);
    if let Some(word) = &scene.outcome {
        zone::word(buffer, outcome, word, look);
    } else {
        zone::plot(buffer, outcome, state, look);
    }
}

/// How the board may look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Whether there are colours: the 16 of every terminal, no more.
    pub colour: bool,
}

impl Look {
    /// The style of that mood.
    fn of(self, mood: Mood) -> Style {
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
    fn strong() -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// What stands back.
    fn quiet(self) -> Style {
        self.of(Mood::Quiet)
    }
}

/// A sign for a verdict where there is no room for its word.
const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "✓",
        Verdict::ConditionalPass => "✓?",
        Verdict::ConditionalFail => "✗?",
        Verdict::Fail => "✗",
        Verdict::Inconclusive => "?",
    }
}

/// What the board shows beside the sitting.
#[derive(Debug, Clone, Copy, Default)]
pub struct Aside<'a> {
    /// The keys and the words of their commands.
    pub keys: &'a [(char, &'a str)],
    /// The line that is being typed.
    pub typing: Option<Typing<'a>>,
    /// Something that was said beside the sitting.
    pub remark: Option<&'a str>,
}

/// A line that is being typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Typing<'a> {
    /// The command that it is for.
    pub word: &'a str,
    /// What there is of it.
    pub text: &'a str,
}

/// Draws the last row.
fn draw_foot(buffer: &mut Buffer, row: Rect, state: &State, aside: &Aside<'_>, look: Look) {
    if let Some(Typing { word, text }) = aside.typing {
        let line = format!("{word}: {text}_");
        // The end of a long line is what is being typed.
        let letters = line.chars().count();
        let shown: String = line
            .chars()
            .skip(letters.saturating_sub(row.width.into()))
            .collect();
        put(buffer, row, 0, &shown, Look::strong());
    } else if let Some(remark) = aside.remark {
        put(buffer, row, 0, remark, Look::strong());
    } else if let Some(said) = &state.said {
        put(buffer, row, 0, &said.line.text, look.of(said.line.mood));
    } else {
        put(buffer, row, 0, &keys(aside.keys, row.width), look.quiet());
    }
}

/// As many keys as there is room for.
fn keys(keys: &[(char, &str)], width: u16) -> String {
    let mut line = String::new();
    for (key, word) in keys {
        let more = format!("{key} {word}");
        let blanks = if line.is_empty() { 0 } else { 2 };
        if line.chars().count() + blanks + more.chars().count() > width.into() {
            break;
        }
        line.push_str(&"  "[..blanks]);
        line.push_str(&more);
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_key_is_named_whole_or_not_at_all() {
        let all = [('n', "next"), ('b', "back"), ('s', "skip")];
        assert_eq!(keys(&all, 22), "n next  b back  s skip");
        assert_eq!(keys(&all, 21), "n next  b back");
        assert_eq!(keys(&all, 3), "");
    }
}
