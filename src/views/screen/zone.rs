//! The zones of the board: a large word with its lines, a large value with its bar, the readings since contact as a curve.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::symbols::Marker;
use ratatui::text::{Line, Text};
use ratatui::widgets::{Axis, Chart, Dataset, GraphType, Paragraph, Widget, Wrap};

use super::big::{Big, HEIGHT, LARGEST};
use super::scene::{Scene, Word};
use super::{Look, bar};
use crate::engine::quantity::{UNBROKEN, format_value, kept_together};
use crate::views::state::{State, Trace};
use crate::views::told::Mood;

/// Fewest columns in which lines beside a word can be read.
const BESIDE: u16 = 24;

/// Rows of lines under a word, where they do not stand beside it.
const BENEATH: u16 = 3;

/// Width of a value at size 1: four figures, a point, a prefix and a unit.
const VALUE: u16 = 40;

/// A word in letters as large as leave room for its lines, beside or beneath it, and its place in narrow letters beside it.
pub(super) fn word(buffer: &mut Buffer, area: Rect, word: &Word, look: Look) {
    let style = look.of(word.mood);
    if word.text.is_empty() {
        lines(buffer, area, &word.lines, look);
        return;
    }
    if let Some(to) = &word.to {
        let rest = pair(buffer, area, [&word.text, to], style);
        lines(buffer, rest, &word.lines, look);
        return;
    }
    let (text, mut chosen) = chosen(word, area);
    chosen.text = &text;
    let place = word
        .place
        .as_deref()
        .map(|place| placed(place, &mut chosen, area));
    chosen.draw(area, buffer, style);
    let (width, height) = (chosen.width(), chosen.height());
    let mut rest = if beside(&chosen, area) || place.is_some_and(|place| place.size > 0) {
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
    if let Some(place) = place {
        place.draw(rest, buffer, Look::strong());
        let used = place.height().min(rest.height);
        rest.y += used;
        rest.height -= used;
    }
    lines(buffer, rest, &word.lines, look);
}

/// Two places below each other, in letters as large as leave room for lines beside or beneath them; the room that is left.
fn pair(buffer: &mut Buffer, area: Rect, places: [&str; 2], style: Style) -> Rect {
    let fitted = |narrow: bool, width: u16, height: u16| {
        let sizes = places.map(|text| {
            let big = Big {
                text,
                narrow,
                ..Big::default()
            };
            big.fitted(LARGEST, width, height / 2).size
        });
        Big {
            size: sizes[0].min(sizes[1]),
            narrow,
            ..Big::default()
        }
    };
    let all = [false, true].map(|narrow| {
        let beside = fitted(narrow, area.width.saturating_sub(BESIDE + 2), area.height);
        let beneath = fitted(narrow, area.width, area.height.saturating_sub(BENEATH));
        if beside.size < beneath.size {
            beneath
        } else {
            beside
        }
    });
    let [wide, narrow] = all;
    let chosen = if wide.size < narrow.size {
        narrow
    } else {
        wide
    };
    // Where two lines of large letters are too high, one may do.
    let together = places.join(" - ");
    let one = Big {
        text: &together,
        narrow: true,
        ..Big::default()
    };
    let one = one.fitted(1, area.width, area.height.saturating_sub(1));
    let bigs: Vec<Big<'_>> = if chosen.size == 0 && one.size > 0 {
        vec![one]
    } else {
        places.map(|text| Big { text, ..chosen }).into()
    };
    let mut rest = area;
    for big in &bigs {
        big.draw(rest, buffer, style);
        let used = big.height().min(rest.height);
        rest.y += used;
        rest.height -= used;
    }
    let width = bigs.iter().map(Big::width).max().unwrap_or_default() + 2;
    if width + BESIDE <= area.width {
        rest = Rect {
            x: area.x + width,
            width: area.width - width,
            ..area
        };
    }
    rest
}

/// The place in letters as large as there is room for beside the word, whose own letters get narrow where that helps.
fn placed<'a>(text: &'a str, word: &mut Big<'_>, area: Rect) -> Big<'a> {
    let place = Big {
        text,
        narrow: true,
        ..Big::default()
    };
    let beside = |word: &Big<'_>| {
        let width = area.width.saturating_sub(word.width() + 2);
        // A line of words has room beneath the larger letters.
        let height = area.height.saturating_sub(1).max(HEIGHT);
        place.fitted(LARGEST, width, height.min(area.height))
    };
    let found = beside(word);
    let narrow = Big {
        narrow: true,
        ..*word
    };
    let instead = beside(&narrow);
    if found.size > 0 || instead.size == 0 {
        return found;
    }
    *word = narrow;
    instead
}

/// The word, or the shorter one where that gets much larger, and how it is drawn.
fn chosen(word: &Word, area: Rect) -> (String, Big<'static>) {
    let size = |text: &str| {
        let big = Big {
            text,
            cut_out: word.cut_out,
            ..Big::default()
        };
        let wide = big.fitted(LARGEST, area.width.saturating_sub(BESIDE + 2), area.height);
        let high = big.fitted(LARGEST, area.width, area.height.saturating_sub(BENEATH));
        match wide.size.max(high.size) {
            // Rather large letters than all the lines.
            0 => big.fitted(1, area.width, area.height).size,
            size => size,
        }
    };
    let long = size(&word.text);
    let shorter = word.short.as_ref().filter(|short| {
        let short = size(short);
        long == 0 || short > long + 1
    });
    let text = shorter.unwrap_or(&word.text);
    let shaped = word.shape.filter(|_| !word.cut_out);
    let shaped = shaped.map(|shape| format!("{shape}{text}"));
    let shaped = shaped.filter(|shaped| size(shaped) == size(text));
    let text = shaped.unwrap_or_else(|| text.clone());
    let big = Big {
        size: size(&text),
        cut_out: word.cut_out,
        ..Big::default()
    };
    (text, big)
}

/// Whether the lines stand beside the word: where there is room for them, or some, and none beneath.
fn beside(word: &Big<'_>, area: Rect) -> bool {
    let room = area.width.saturating_sub(word.width());
    let beneath = area.height.saturating_sub(word.height());
    room >= BESIDE + 2 || room > 12 && beneath < BENEATH
}

/// Writes lines that wrap between words, as many as there is room for.
pub(super) fn lines(buffer: &mut Buffer, area: Rect, lines: &[(String, Mood)], look: Look) {
    let area = area.intersection(buffer.area);
    let lines: Vec<Line<'_>> = lines
        .iter()
        .map(|(text, mood)| Line::styled(kept_together(text), look.of(*mood)))
        .collect();
    Paragraph::new(Text::from(lines))
        .wrap(Wrap { trim: true })
        .render(area, buffer);
    // The blanks that kept words together are ordinary ones on the screen.
    for place in area.positions() {
        if buffer[place].symbol().starts_with(UNBROKEN) {
            buffer[place].set_symbol(" ");
        }
    }
}

/// Size of the letters of the live value: a third of the height at most.
pub(super) fn value_size(area: Rect) -> u16 {
    let fits = |size: &u16| {
        size * VALUE <= area.width
            && u32::from(value_height(*size)) * 3 <= u32::from(area.height) + 2
    };
    (2..=LARGEST).rev().find(fits).unwrap_or(1)
}

/// Rows that the zone of the value takes at that size: the value, the bar, and above them what is being done, which small
/// letters have beside them.
pub(super) fn value_height(size: u16) -> u16 {
    u16::from(size > 1) + (HEIGHT * size).div_ceil(2) + bar::HEIGHT
}

/// The zone of the value.
pub(super) fn value(buffer: &mut Buffer, area: Rect, size: u16, scene: &Scene, look: Look) {
    let above = u16::from(size > 1);
    let letters = area.height.saturating_sub(above + bar::HEIGHT);
    let shown = &scene.shown;
    let place = Rect {
        y: area.y.saturating_add(above),
        height: letters,
        ..area
    };
    let big = Big {
        text: &shown.text,
        cut_out: shown.cut_out,
        ..Big::default()
    };
    let big = big.fitted(size, area.width, letters);
    big.draw(place, buffer, look.of(shown.mood));
    let doing = if size > 1 {
        Rect { height: 1, ..area }
    } else {
        let used = area.width.min(big.width() + 2);
        Rect {
            x: area.x + used,
            width: area.width - used,
            ..place
        }
    };
    lines(buffer, doing, std::slice::from_ref(&scene.doing), look);
    if let Some(against) = &scene.against {
        let place = Rect {
            y: area.y.saturating_add(above + letters),
            height: bar::HEIGHT.min(area.height.saturating_sub(above + letters)),
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
