//! The board: a [`State`] drawn so that it can be read from two metres.
//!
//! The part in hand and its verdict stand in large letters, the live value with its band between them. What there is no
//! room for goes, the smallest terminal still shows those three. Pure: draws into a frame, knows no terminal.

mod bar;
mod big;
mod head;
mod scene;
mod side;
mod speech;
mod zone;

use big::Big;
use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use scene::Scene;
use zone::put;

use super::state::{Stage, State};
use super::told::Mood;
use crate::engine::judge::Verdict;
use crate::engine::quantity::with_minus;

/// From this width on there is a column at the side.
const WIDE: u16 = 100;

/// From this height on there is room for a column at the side.
const TALL: u16 = 26;

/// Below this height the zones need the row of the last verdicts.
const LOW: u16 = 22;

/// Draws what is to be seen now.
pub fn draw(frame: &mut Frame<'_>, state: &State, aside: &Aside<'_>, look: Look) {
    draw_parts(frame, state, aside, look);
    let area = frame.area();
    let buffer = frame.buffer_mut();
    for row in area.rows() {
        let text: String = row
            .positions()
            .map(|place| buffer[place].symbol())
            .collect();
        // A sign of two columns would move the others.
        if text.chars().count() == usize::from(row.width) {
            for (place, sign) in row.positions().zip(with_minus(&text).chars()) {
                if sign != buffer[place].symbol().chars().next().unwrap_or(' ') {
                    buffer[place].set_char(sign);
                }
            }
        }
    }
}

fn draw_parts(frame: &mut Frame<'_>, state: &State, aside: &Aside<'_>, look: Look) {
    let area = frame.area();
    let rows = keys(aside.keys, area.width).len() as u16;
    let [head, body, foot] = Layout::vertical([
        Constraint::Length(2),
        Constraint::Min(0),
        Constraint::Length(rows.clamp(1, 2)),
    ])
    .areas(area);
    let buffer = frame.buffer_mut();
    head::draw(buffer, head, state, look);
    draw_foot(buffer, foot, state, aside, look);
    if state.stage == Stage::Discharge {
        let [main, last] =
            Layout::vertical([Constraint::Min(0), Constraint::Length(1)]).areas(body);
        side::charged(buffer, last, state, look);
        match scene::Charged::of(state) {
            Some(charged) => draw_charged(buffer, main, &charged, look),
            None => draw_main(frame, main, state, true, look),
        }
        return;
    }
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
    } else if area.height < LOW {
        body
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
    let larger = (rest * 11).div_ceil(20);
    // The thing to be read now gets the larger letters.
    let decided = state.verdict.is_some() || state.across.is_some();
    let hand = if decided {
        // Four rows are the smallest of large letters.
        let small = rest.saturating_sub(4).min(5).max(rest.min(8) / 2);
        if rest < 12 { small } else { rest * 2 / 5 }
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

/// A capacitor that is charged: the word and its volts, larger than anything else ever is.
fn draw_charged(buffer: &mut Buffer, main: Rect, charged: &scene::Charged, look: Look) {
    let place = Big {
        text: &charged.hand,
        narrow: true,
        ..Big::default()
    };
    // Where there is little room the word has it.
    let largest = u16::from(main.height >= LOW);
    let place = place.fitted(largest, main.width, main.height / 4);
    let said = charged.lines.len() as u16;
    let [hand, block, said] = Layout::vertical([
        Constraint::Length(place.height()),
        Constraint::Min(0),
        Constraint::Length(said.min(main.height / 5)),
    ])
    .areas(main);
    place.draw(hand, buffer, Look::strong());
    big::block(
        &["CHARGED", &charged.volts],
        block,
        buffer,
        look.of(Mood::Bad),
    );
    zone::lines(buffer, said, &charged.lines, look);
}

/// Look of the board.
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
            Mood::Unsure => (Color::Magenta, Modifier::BOLD),
            Mood::Bad => (Color::Red, Modifier::BOLD),
        };
        let style = Style::new().add_modifier(modifier);
        if self.colour && colour != Color::Reset {
            style.fg(colour)
        } else {
            style
        }
    }

    /// Style of what stands out without being good or bad.
    fn strong() -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// Style of what stands back.
    fn quiet(self) -> Style {
        self.of(Mood::Quiet)
    }
}

/// The shape of a verdict and the sign in it, as on the page and in the report.
const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "●✓",
        Verdict::ConditionalPass => "○✓",
        Verdict::ConditionalFail => "△!",
        Verdict::Fail => "■✗",
        Verdict::Inconclusive => "◇?",
    }
}

/// Things that the board shows beside the sitting.
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
    /// The text so far.
    pub text: &'a str,
}

/// Draws the last rows.
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
        zone::lines(buffer, row, &[(remark.to_owned(), Mood::Plain)], look);
    } else if let Some(said) = &state.said {
        let line = (said.line.text.clone(), said.line.mood);
        zone::lines(buffer, row, &[line], look);
    } else {
        for (line, keys) in (0..).zip(keys(aside.keys, row.width)) {
            put(buffer, row, line, &keys, look.quiet());
        }
    }
}

/// The keys in rows, each key whole.
fn keys(keys: &[(char, &str)], width: u16) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for (key, word) in keys {
        let more = format!("{key} {word}");
        match rows.last_mut() {
            Some(row) if row.chars().count() + 2 + more.chars().count() <= width.into() => {
                row.push_str("  ");
                row.push_str(&more);
            }
            _ => rows.push(more),
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_key_is_never_cut() {
        let all = [('n', "next"), ('b', "back"), ('s', "skip")];
        assert_eq!(keys(&all, 22), ["n next  b back  s skip"]);
        assert_eq!(keys(&all, 21), ["n next  b back", "s skip"]);
    }
}
