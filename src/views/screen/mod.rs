//! The board: a [`State`] drawn so that it can be read from two metres.
//!
//! What is in hand and what became of it stand in large letters, the live value with its band between them. What there is no
//! room for goes, the smallest terminal still shows those three. Pure: draws into a frame, knows no terminal.

mod bar;
mod big;
mod foot;
mod glyph;
mod head;
mod look;
mod plot;
mod scene;
mod side;
mod speech;
mod zone;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};

pub use foot::{Aside, Typing};
pub use look::Look;

use crate::views::state::State;
use scene::Scene;

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
    foot::draw(buffer, foot, state, aside, look);
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
        plot::draw(buffer, outcome, state, look);
    }
}
