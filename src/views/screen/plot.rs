//! The readings since contact as a curve: whether it still moves is seen from afar.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::symbols::Marker;
use ratatui::widgets::{Axis, Chart, Dataset, GraphType, Widget};

use super::look::Look;
use super::zone::put;
use crate::engine::quantity::format_value;
use crate::views::state::{State, Trace};

/// Draws the curve between its least and its greatest value, which are written at its right end.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, state: &State, look: Look) {
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
