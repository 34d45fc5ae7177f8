//! Text in large letters, drawn with half blocks: at size n a pixel is n columns wide and n half rows high, which is square.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::glyph::{Glyph, HEIGHT};

/// The largest letters.
pub(super) const LARGEST: u16 = 8;

/// A text in large letters.
#[derive(Debug, Clone, Copy)]
pub(super) struct Big<'a> {
    /// The text.
    pub(super) text: &'a str,
    /// How many columns a pixel has; 0 is an ordinary line.
    pub(super) size: u16,
    /// Letters cut out of a solid block.
    pub(super) cut_out: bool,
}

impl Big<'_> {
    /// How many columns it takes.
    pub(super) fn width(&self) -> u16 {
        if self.size == 0 {
            let letters = self.text.chars().count();
            return u16::try_from(letters).unwrap_or(u16::MAX);
        }
        let margin = if self.cut_out { 2 } else { 0 };
        let pixels = u16::try_from(pixels(self.text) + margin).unwrap_or(u16::MAX);
        pixels.saturating_mul(self.size)
    }

    /// How many rows it takes.
    pub(super) fn height(&self) -> u16 {
        if self.size == 0 {
            return 1;
        }
        let pixels = HEIGHT as u16 + u16::from(self.cut_out);
        (pixels * self.size).div_ceil(2)
    }

    /// The same in the largest size of at most `largest` that fits into so many columns and rows.
    pub(super) fn fitted(self, largest: u16, width: u16, height: u16) -> Self {
        let fits = |size: &u16| {
            let big = Self {
                size: *size,
                ..self
            };
            big.width() <= width && big.height() <= height
        };
        let size = (1..=largest).rev().find(fits).unwrap_or(0);
        Self { size, ..self }
    }

    /// Draws it into the upper left corner of `area`; what does not fit is cut off.
    pub(super) fn draw(&self, area: Rect, buffer: &mut Buffer, style: Style) {
        let area = area.intersection(buffer.area);
        if area.is_empty() {
            return;
        }
        if self.size == 0 {
            let style = if self.cut_out {
                style.reversed()
            } else {
                style
            };
            buffer.set_stringn(area.x, area.y, self.text, area.width.into(), style);
            return;
        }
        let columns = Columns::of(self);
        for row in 0..self.height().min(area.height) {
            for column in 0..self.width().min(area.width) {
                let lit = |half: u16| columns.lit(column / self.size, half / self.size);
                let block = match (lit(2 * row), lit(2 * row + 1)) {
                    (true, true) => '█',
                    (true, false) => '▀',
                    (false, true) => '▄',
                    (false, false) => continue,
                };
                buffer[(area.x + column, area.y + row)]
                    .set_char(block)
                    .set_style(style);
            }
        }
    }
}

/// Width of a text in pixels, with one pixel between two letters.
fn pixels(text: &str) -> usize {
    let letters: usize = text
        .chars()
        .map(|letter| Glyph::of(letter).width() + 1)
        .sum();
    letters.saturating_sub(1)
}

/// The columns of pixels of a text.
struct Columns {
    cut_out: bool,
    /// For each column the letter and the place in it; `None` between letters.
    places: Vec<Option<(Glyph, usize)>>,
}

impl Columns {
    fn of(big: &Big<'_>) -> Self {
        let mut places = Vec::with_capacity(pixels(big.text) + 2);
        for letter in big.text.chars() {
            let glyph = Glyph::of(letter);
            if !places.is_empty() || big.cut_out {
                places.push(None);
            }
            places.extend((0..glyph.width()).map(|x| Some((glyph, x))));
        }
        if big.cut_out {
            places.push(None);
        }
        Self {
            cut_out: big.cut_out,
            places,
        }
    }

    fn lit(&self, column: u16, row: u16) -> bool {
        let Some(place) = self.places.get(usize::from(column)) else {
            return false;
        };
        let rows = HEIGHT + usize::from(self.cut_out);
        let row = usize::from(row);
        if row >= rows {
            return false;
        }
        let pixel = row.checked_sub(usize::from(self.cut_out));
        let lit = place
            .zip(pixel)
            .is_some_and(|((glyph, x), y)| glyph.lit(x, y));
        lit != self.cut_out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(big: &Big<'_>) -> Vec<String> {
        let area = Rect::new(0, 0, big.width(), big.height());
        let mut buffer = Buffer::empty(area);
        big.draw(area, &mut buffer, Style::new());
        (0..area.height)
            .map(|y| (0..area.width).map(|x| buffer[(x, y)].symbol()).collect())
            .collect()
    }

    #[test]
    fn letters_are_drawn_with_half_blocks() {
        let big = Big {
            text: "L1",
            size: 1,
            cut_out: false,
        };
        assert_eq!(
            drawn(&big),
            [
                "█     ▄█ ", //
                "█      █ ",
                "█      █ ",
                "▀▀▀▀▀ ▀▀▀",
            ]
        );
    }

    #[test]
    fn a_cut_out_letter_is_the_hole_in_a_block() {
        let big = Big {
            text: "L",
            size: 1,
            cut_out: true,
        };
        assert_eq!(
            drawn(&big),
            [
                "█▀█████", //
                "█ █████",
                "█ █████",
                "█ ▀▀▀▀█",
            ]
        );
    }

    #[test]
    fn the_size_is_the_largest_that_fits() {
        let big = Big {
            text: "R12",
            size: 0,
            cut_out: false,
        };
        for (width, height, size) in [
            (15, 4, 1),
            (14, 4, 0),
            (60, 3, 0),
            (60, 14, 4),
            (200, 99, 8),
        ] {
            assert_eq!(big.fitted(LARGEST, width, height).size, size, "{width}");
        }
    }
}
