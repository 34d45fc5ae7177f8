//! A bar: the band with its limits, and above it the value with its uncertainty.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::Look;
use super::scene::Against;
use super::zone::put;
use crate::engine::quantity::format_stated;
use crate::engine::sitting::Limits;
use crate::views::told::Mood;

/// Height of a bar in rows.
pub(super) const HEIGHT: u16 = 3;

/// Ends of the bar.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scale {
    from: f64,
    to: f64,
    columns: u16,
}

impl Scale {
    /// One that shows the band in its middle; `None` where there is nothing to show it by.
    fn of(limits: &Limits, columns: u16) -> Option<Self> {
        let (from, to) = match (limits.lower, limits.upper) {
            (Some(lower), Some(upper)) => {
                let margin = if upper > lower {
                    (upper - lower) / 2.0
                } else {
                    lower.abs() * 0.1
                };
                (lower - margin, upper + margin)
            }
            (None, Some(upper)) => (0.0, 1.5 * upper),
            (Some(lower), None) => (0.5 * lower, 2.5 * lower),
            (None, None) => return None,
        };
        (to > from && columns > 2).then_some(Self { from, to, columns })
    }

    /// The column of a value; beyond the ends the end.
    fn column(&self, value: f64) -> u16 {
        let last = f64::from(self.columns - 1);
        ((value - self.from) / (self.to - self.from) * last)
            .round()
            .clamp(0.0, last) as u16
    }

    fn holds(&self, value: f64) -> bool {
        self.from <= value && value <= self.to
    }
}

/// Draws the bar. What lies outside of the band is a thin line, the band a thick one; the value is a dot between the ends of
/// its uncertainty, or an arrow where it lies beyond the bar.
pub(super) fn draw(buffer: &mut Buffer, area: Rect, against: &Against, look: Look) {
    let area = area.intersection(buffer.area);
    let Some(scale) = Scale::of(&against.limits, area.width) else {
        return;
    };
    if area.height < HEIGHT {
        return;
    }
    draw_value(buffer, area, &scale, against, look);
    draw_band(buffer, area, &scale, &against.limits, look);
    draw_limits(buffer, area, &scale, against);
}

fn draw_value(buffer: &mut Buffer, area: Rect, scale: &Scale, against: &Against, look: Look) {
    let Some(value) = against.value else { return };
    let inside = against.limits.lower.is_none_or(|lower| lower <= value)
        && against.limits.upper.is_none_or(|upper| value <= upper);
    let style = look.of(if inside { Mood::Good } else { Mood::Bad });
    let at = scale.column(value);
    let mut set = |column: u16, symbol: &str| {
        buffer[(area.x + column, area.y)]
            .set_symbol(symbol)
            .set_style(style);
    };
    if let Some(uncertainty) = against.uncertainty {
        let (low, high) = (
            scale.column(value - uncertainty),
            scale.column(value + uncertainty),
        );
        for column in low..=high {
            set(column, "─");
        }
        if low < at {
            set(low, "├");
        }
        if high > at {
            set(high, "┤");
        }
    }
    set(
        at,
        match value {
            _ if scale.holds(value) => "●",
            value if value < scale.from => "◄",
            _ => "►",
        },
    );
}

fn draw_band(buffer: &mut Buffer, area: Rect, scale: &Scale, limits: &Limits, look: Look) {
    let lower = limits.lower.map(|lower| scale.column(lower));
    let upper = limits.upper.map(|upper| scale.column(upper));
    let nominal = limits
        .nominal
        .filter(|nominal| limits.lower.is_some() && scale.holds(*nominal))
        .map(|nominal| scale.column(nominal));
    for column in 0..scale.columns {
        let inside =
            lower.is_none_or(|lower| lower <= column) && upper.is_none_or(|upper| column <= upper);
        let symbol = match Some(column) {
            place if place == lower => "┣",
            place if place == upper => "┫",
            place if place == nominal => "┿",
            _ if inside => "━",
            _ => "─",
        };
        let style = if inside { Look::strong() } else { look.quiet() };
        buffer[(area.x + column, area.y + 1)]
            .set_symbol(symbol)
            .set_style(style);
    }
}

/// The limits in figures, each beneath its place; the lower one to the left of it, the upper one to the right, so that they
/// never meet.
fn draw_limits(buffer: &mut Buffer, area: Rect, scale: &Scale, against: &Against) {
    let text = |value| format_stated(against.quantity, value);
    let row = |x: u16, width: u16| Rect {
        x: area.x + x,
        width,
        ..area
    };
    if let Some(lower) = against.limits.lower {
        let (text, at) = (text(lower), scale.column(lower));
        let width = u16::try_from(text.chars().count()).unwrap_or(0);
        let x = (at + 1).saturating_sub(width);
        put(
            buffer,
            row(x, width.min(area.width - x)),
            2,
            &text,
            Look::strong(),
        );
    }
    if let Some(upper) = against.limits.upper {
        let (text, at) = (text(upper), scale.column(upper));
        put(buffer, row(at, area.width - at), 2, &text, Look::strong());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Quantity;

    fn drawn(lower: Option<f64>, upper: Option<f64>, value: f64, uncertainty: f64) -> Vec<String> {
        let area = Rect::new(0, 0, 41, HEIGHT);
        let mut buffer = Buffer::empty(area);
        let against = Against {
            limits: Limits {
                lower,
                nominal: Some(100.0),
                upper,
                words: String::new(),
            },
            quantity: Quantity::Resistance,
            value: Some(value),
            uncertainty: Some(uncertainty),
        };
        draw(&mut buffer, area, &against, Look { colour: false });
        (0..HEIGHT)
            .map(|y| {
                let row: String = (0..area.width).map(|x| buffer[(x, y)].symbol()).collect();
                row.trim_end().to_owned()
            })
            .collect()
    }

    #[test]
    fn the_value_stands_over_its_place_in_the_band() {
        assert_eq!(
            drawn(Some(90.0), Some(110.0), 100.0, 2.0),
            [
                "                  ├─●─┤",
                "──────────┣━━━━━━━━━┿━━━━━━━━━┫──────────",
                "       90 Ω                   110 Ω",
            ]
        );
    }

    #[test]
    fn a_value_beyond_the_bar_is_an_arrow_at_its_end() {
        assert!(drawn(Some(90.0), Some(110.0), 500.0, 2.0)[0].ends_with('►'));
        assert!(drawn(Some(90.0), Some(110.0), 1.0, 0.5)[0].starts_with('◄'));
    }

    #[test]
    fn a_band_may_lack_a_limit() {
        let at_most = drawn(None, Some(1.0), 0.2, 0.01);
        assert!(at_most[1].starts_with('━') && at_most[1].contains('┫'));
        let at_least = drawn(Some(90.0), None, 100.0, 1.0);
        assert!(at_least[1].contains('┣') && at_least[1].ends_with('━'));
        assert!(drawn(None, None, 1.0, 0.1).iter().all(String::is_empty));
    }
}
