//! Column beside the large zones: the next parts, and the last verdicts.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::zone::put;
use super::{Look, sign};
use crate::engine::sitting::Row;
use crate::views::state::State;
use crate::views::told::{Mood, mood_of};

/// The column at the side.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, state: &State, look: Look) {
    let width = usize::from(area.width);
    let mut row = 0;
    let mut write = |text: &str, style| {
        put(buffer, area, row, text, style);
        row += 1;
    };
    write("then", look.quiet());
    for next in &state.next {
        let room = width.saturating_sub(14);
        write(
            &format!("   {:<10} {}", next.title, fitting(&next.what, room)),
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
        let style = look.of(mood_of(row));
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
            let words = row.words();
            let words = fitting(&words, width);
            let indent = 14.min(width.saturating_sub(words.chars().count()));
            write(&format!("{:indent$}{words}", ""), look.quiet());
        }
    }
}

/// As much of a text as has room, without cutting a number from its unit: what stands behind a comma or a `±` goes first.
fn fitting(text: &str, room: usize) -> &str {
    let mut kept = text;
    while kept.chars().count() > room {
        let Some(end) = kept.rfind([',', '±']) else {
            return if kept.contains(|letter: char| letter.is_ascii_digit()) {
                ""
            } else {
                kept.split(' ').next().unwrap_or_default()
            };
        };
        kept = kept[..end].trim_end();
    }
    kept
}

/// A line between the zones and the column.
pub(super) fn divide(buffer: &mut Buffer, area: Rect, look: Look) {
    for row in 0..area.height {
        put(buffer, area, row, " │", look.quiet());
    }
}

/// The capacitors that may hold a charge in one row, as many as fit.
pub(super) fn charged(buffer: &mut Buffer, row: Rect, state: &State, look: Look) {
    let charged = state.charged();
    if charged.is_empty() {
        return;
    }
    let words = |shown: usize| {
        let list = charged[..shown].join("  ");
        match charged.len() - shown {
            0 => format!("may be charged: {list}"),
            more => format!("may be charged: {list}  and {more} more"),
        }
    };
    let fits = |shown: &usize| words(*shown).chars().count() <= row.width.into();
    let shown = (1..=charged.len()).rev().find(fits).unwrap_or(0);
    put(buffer, row, 0, &words(shown), look.of(Mood::Doubtful));
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
        let style = look.of(mood_of(judged));
        put(buffer, Rect { x, width, ..row }, 0, &text, style);
        x += width + 2;
    }
}

fn short(row: &Row) -> String {
    format!("{} {}", sign(row.verdict), row.title())
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn no_number_is_cut_from_its_unit() {
        let what = "resistor 470 kΩ ±20 %, carbon";
        for (room, kept) in [
            (29, what),
            (28, "resistor 470 kΩ ±20 %"),
            (20, "resistor 470 kΩ"),
            (14, ""),
        ] {
            assert_eq!(fitting(what, room), kept, "{room}");
        }
        assert_eq!(fitting("2.2904 kΩ ± 0.0015 kΩ", 20), "2.2904 kΩ");
    }
}
