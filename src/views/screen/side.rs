//! What stands beside the large zones: what comes next, and the last verdicts.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::zone::put;
use super::{Look, sign};
use crate::engine::sitting::Row;
use crate::views::state::State;
use crate::views::told::{Mood, mood};

/// The column at the side.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, state: &State, look: Look) {
    let mut row = 0;
    let mut write = |text: &str, style| {
        put(buffer, area, row, text, style);
        row += 1;
    };
    write("then", look.quiet());
    for next in &state.next {
        write(
            &format!("   {:<10} {}", next.title, next.what),
            look.of(Mood::Plain),
        );
    }
    for _ in state.next.len()..3 {
        write("", look.quiet());
    }
    write("", look.quiet());
    write("so far", look.quiet());
    // Two rows each where all ten fit.
    let two = usize::from(area.height).saturating_sub(6) >= 2 * 10;
    for record in &state.last {
        let row = &record.row;
        let style = look.of(mood(row.verdict));
        write(
            &format!(
                "{:<2} {:<10} {}",
                sign(row.verdict),
                row.title(),
                row.verdict
            ),
            style,
        );
        if two {
            write(&format!("              {}", row.words()), look.quiet());
        }
    }
}

/// A line between the zones and the column.
pub(super) fn divide(buffer: &mut Buffer, area: Rect, look: Look) {
    for row in 0..area.height {
        put(buffer, area, row, " │", look.quiet());
    }
}

/// The last verdicts in one row, as many as fit, the latest first.
pub(super) fn in_a_row(buffer: &mut Buffer, row: Rect, state: &State, look: Look) {
    if state.last.is_empty() || row.is_empty() {
        return;
    }
    let end = row.x + row.width;
    let mut x = row.x;
    for record in &state.last {
        let judged = &record.row;
        let text = short(judged);
        let width = u16::try_from(text.chars().count()).unwrap_or(u16::MAX);
        if x.saturating_add(width) > end {
            return;
        }
        let style = look.of(mood(judged.verdict));
        put(buffer, Rect { x, width, ..row }, 0, &text, style);
        x += width + 2;
    }
}

fn short(row: &Row) -> String {
    format!("{}{}", row.title(), sign(row.verdict))
}
