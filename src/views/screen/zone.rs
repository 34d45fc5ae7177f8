//! The zones of the board: a large word with its lines, a large value with its bar, the readings since contact as a curve.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::symbols::Marker;
use ratatui::text::{Line, Text};
use ratatui::widgets::{Axis, Chart, Dataset, GraphType, Paragraph, Widget, Wrap};

use super::big::{Big, LARGEST};
use super::scene::{Scene, Word};
use super::{Look, bar};
use crate::engine::quantity::format_value;
use crate::views::state::{State, Trace};

/// Fewest columns in which lines beside a word can be read.
const BESIDE: u16 = 24;

/// Rows of lines under a word, where they do not stand beside it.
const BENEATH: u16 = 3;

/// How wide a value is at size 1: four figures, a point, a prefix and a unit.
const VALUE: u16 = 40;

/// A word in letters as large as leave room for its lines, beside or beneath it.
pub(super) fn word(buffer: &mut Buffer, area: Rect, word: &Word, look: Look) {
    let style = look.of(word.mood);
    let chosen = chosen(word, area);
    let lines = lines(word, look);
    if word.text.is_empty() {
        lines.render(area, buffer);
        return;
    }
    chosen.draw(area, buffer, style);
    let (width, height) = (chosen.width(), chosen.height());
    let rest = if beside(&chosen, area) {
        Rect {
            x: area.x + width + 2,
            width: area.width - width - 2,
            ..area
        }
    } else {
        let used = height.min(area.height);
        Rect {
            y: area.y + used,
            height: area.height - used,
            ..area
        }
    };
    lines.render(rest, buffer);
}

/// The word, or the shorter one where that gets much larger.
fn chosen<'a>(word: &'a Word, area: Rect) -> Big<'a> {
    let of = |text: &'a str| {
        let big = Big {
            text,
            size: 0,
            cut_out: word.cut_out,
        };
        let wide = big.fitted(LARGEST, area.width.saturating_sub(BESIDE + 2), area.height);
        let high = big.fitted(LARGEST, area.width, area.height.saturating_sub(BENEATH));
        match wide.size.max(high.size) {
            // Rather large letters than all the lines.
            0 => big.fitted(1, area.width, area.height),
            size => Big { size, ..big },
        }
    };
    let long = of(&word.text);
    let Some(short) = word.short.as_deref().map(of) else {
        return long;
    };
    if long.size == 0 || short.size > long.size + 1 {
        short
    } else {
        long
    }
}

/// Whether the lines stand beside the word: where there is room for them, or some, and none beneath.
fn beside(word: &Big<'_>, area: Rect) -> bool {
    let room = area.width.saturating_sub(word.width());
    let beneath = area.height.saturating_sub(word.height());
    room >= BESIDE + 2 || room > 12 && beneath < BENEATH
}

fn lines(word: &Word, look: Look) -> Paragraph<'_> {
    let lines: Vec<Line<'_>> = word
        .lines
        .iter()
        .map(|(text, mood)| Line::styled(text.as_str(), look.of(*mood)))
        .collect();
    Paragraph::new(Text::from(lines)).wrap(Wrap { trim: true })
}

/// How large the letters of the live value are: a third of the height at most.
pub(super) fn value_size(area: Rect) -> u16 {
    let fits = |size: &u16| {
        size * VALUE <= area.width
            && u32::from(value_height(*size)) * 3 <= u32::from(area.height) + 2
    };
    (2..=LARGEST).rev().find(fits).unwrap_or(1)
}

/// How many rows the zone of the value takes at that size: what is being done, the value, the bar.
pub(super) fn value_height(size: u16) -> u16 {
    1 + (7 * size).div_ceil(2) + bar::HEIGHT
}

/// The zone of the value.
pub(super) fn value(buffer: &mut Buffer, area: Rect, size: u16, scene: &Scene, look: Look) {
    let letters = area.height.saturating_sub(1 + bar::HEIGHT);
    let (doing, mood) = &scene.doing;
    put(buffer, area, 0, doing, look.of(*mood));
    let shown = &scene.shown;
    let big = Big {
        text: &shown.text,
        size: 0,
        cut_out: shown.cut_out,
    };
    let place = Rect {
        y: area.y.saturating_add(1),
        height: letters,
        ..area
    };
    big.fitted(size, area.width, letters)
        .draw(place, buffer, look.of(shown.mood));
    if let Some(against) = &scene.against {
        let place = Rect {
            y: area.y.saturating_add(1 + letters),
            height: bar::HEIGHT.min(area.height.saturating_sub(1 + letters)),
            ..area
        };
        bar::draw(buffer, place, against, look);
    }
}

/// Writes a line into that row of the area, cut off at its end.
pub(super) fn put(buffer: &mut Buffer, area: Rect, row: u16, text: &str, style: Style) {
    let area = area.intersection(buffer.area);
    if row < area.height {
        buffer.set_stringn(area.x, area.y + row, text, area.width.into(), style);
    }
}

/// Draws the curve between its least and its greatest value, which are written at its right end.
pub(super) fn plot(buffer: &mut Buffer, area: Rect, state: &State, look: Look) {
    let points: Vec<(f64, f64)> = state
        .trace
        .points
        .iter()
        .map(|point| (point.t_us as f64 * 1e-6, point.value))
        .collect();
    let Some(span) = span(&state.trace) else {
        put(buffer, area, 0, "...", look.quiet());
        return;
    };
    let labels = 12.min(area.width / 4);
    let place = Rect {
        width: area.width - labels,
        ..area
    };
    let last = points.last().map_or(1.0, |(seconds, _)| seconds.max(0.5));
    let curve = Dataset::default()
        .marker(Marker::Braille)
        .graph_type(GraphType::Line)
        .style(Look::strong())
        .data(&points);
    Chart::new(vec![curve])
        .x_axis(Axis::default().bounds([0.0, last]))
        .y_axis(Axis::default().bounds(span))
        .render(place, buffer);
    let Some(quantity) = state.reading.map(|reading| reading.quantity) else {
        return;
    };
    let beside = Rect {
        x: area.x + place.width + 1,
        width: labels.saturating_sub(1),
        ..area
    };
    put(
        buffer,
        beside,
        0,
        &format_value(quantity, span[1], 4),
        look.quiet(),
    );
    let bottom = area.height.saturating_sub(1);
    put(
        buffer,
        beside,
        bottom,
        &format_value(quantity, span[0], 4),
        look.quiet(),
    );
}

/// The least and the greatest value, a little apart; `None` with fewer than two points.
fn span(trace: &Trace) -> Option<[f64; 2]> {
    let values = || trace.points.iter().map(|point| point.value);
    if trace.points.len() < 2 {
        return None;
    }
    let least = values().fold(f64::INFINITY, f64::min);
    let most = values().fold(f64::NEG_INFINITY, f64::max);
    // A reading that rests is a flat line in the middle, not the noise of its last figure.
    let room = (least.abs().max(most.abs()) * 1e-3).max(f64::MIN_POSITIVE);
    let widened = ((room - (most - least)) / 2.0).max(0.0);
    Some([least - widened, most + widened])
}
