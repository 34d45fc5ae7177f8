//! Text in large letters, drawn with half blocks: at size n a pixel is n columns wide and n half rows high, which is square.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

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

/// How many pixels a letter is high.
pub(super) const HEIGHT: usize = 7;

/// A letter of pixels. Each row is a number whose bits are the pixels, the rightmost one last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Glyph {
    width: usize,
    rows: [u8; HEIGHT],
}

impl Glyph {
    const fn new(width: usize, rows: [u8; HEIGHT]) -> Self {
        Self { width, rows }
    }

    /// The letter; a blank one for what there is no letter of.
    ///
    /// Small letters are only those of the prefixes: `mΩ` must not look like `MΩ`.
    #[rustfmt::skip]
    pub(super) const fn of(letter: char) -> Self {
        match letter {
            'A' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001]),
            'B' => Glyph::new(5, [0b11110, 0b10001, 0b10001, 0b11110, 0b10001, 0b10001, 0b11110]),
            'C' => Glyph::new(5, [0b01111, 0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b01111]),
            'D' => Glyph::new(5, [0b11110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b11110]),
            'E' => Glyph::new(5, [0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b11111]),
            'F' => Glyph::new(5, [0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b10000]),
            'G' => Glyph::new(5, [0b01111, 0b10000, 0b10000, 0b10111, 0b10001, 0b10001, 0b01111]),
            'H' => Glyph::new(5, [0b10001, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001]),
            'I' => Glyph::new(3, [0b111, 0b010, 0b010, 0b010, 0b010, 0b010, 0b111]),
            'J' => Glyph::new(5, [0b00111, 0b00010, 0b00010, 0b00010, 0b00010, 0b10010, 0b01100]),
            'K' => Glyph::new(5, [0b10001, 0b10010, 0b10100, 0b11000, 0b10100, 0b10010, 0b10001]),
            'L' => Glyph::new(5, [0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b11111]),
            'M' => Glyph::new(5, [0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001]),
            'N' => Glyph::new(5, [0b10001, 0b11001, 0b11001, 0b10101, 0b10011, 0b10011, 0b10001]),
            'O' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110]),
            'P' => Glyph::new(5, [0b11110, 0b10001, 0b10001, 0b11110, 0b10000, 0b10000, 0b10000]),
            'Q' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b10001, 0b10101, 0b10010, 0b01101]),
            'R' => Glyph::new(5, [0b11110, 0b10001, 0b10001, 0b11110, 0b10100, 0b10010, 0b10001]),
            'S' => Glyph::new(5, [0b01111, 0b10000, 0b10000, 0b01110, 0b00001, 0b00001, 0b11110]),
            'T' => Glyph::new(5, [0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100]),
            'U' => Glyph::new(5, [0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110]),
            'V' => Glyph::new(5, [0b10001, 0b10001, 0b10001, 0b10001, 0b01010, 0b01010, 0b00100]),
            'W' => Glyph::new(5, [0b10001, 0b10001, 0b10001, 0b10101, 0b10101, 0b11011, 0b10001]),
            'X' => Glyph::new(5, [0b10001, 0b10001, 0b01010, 0b00100, 0b01010, 0b10001, 0b10001]),
            'Y' => Glyph::new(5, [0b10001, 0b10001, 0b01010, 0b00100, 0b00100, 0b00100, 0b00100]),
            'Z' => Glyph::new(5, [0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b11111]),
            '0' => Glyph::new(5, [0b01110, 0b10001, 0b10011, 0b10101, 0b11001, 0b10001, 0b01110]),
            '1' => Glyph::new(3, [0b010, 0b110, 0b010, 0b010, 0b010, 0b010, 0b111]),
            '2' => Glyph::new(5, [0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111]),
            '3' => Glyph::new(5, [0b11110, 0b00001, 0b00001, 0b01110, 0b00001, 0b00001, 0b11110]),
            '4' => Glyph::new(5, [0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010]),
            '5' => Glyph::new(5, [0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110]),
            '6' => Glyph::new(5, [0b01110, 0b10000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110]),
            '7' => Glyph::new(5, [0b11111, 0b00001, 0b00010, 0b00100, 0b00100, 0b00100, 0b00100]),
            '8' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110]),
            '9' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00001, 0b01110]),
            'k' => Glyph::new(4, [0b1000, 0b1000, 0b1001, 0b1010, 0b1100, 0b1010, 0b1001]),
            'm' => Glyph::new(5, [0b00000, 0b00000, 0b11110, 0b10101, 0b10101, 0b10101, 0b10101]),
            'n' => Glyph::new(4, [0b0000, 0b0000, 0b1110, 0b1001, 0b1001, 0b1001, 0b1001]),
            'p' => Glyph::new(4, [0b0000, 0b0000, 0b1110, 0b1001, 0b1110, 0b1000, 0b1000]),
            'µ' => Glyph::new(4, [0b0000, 0b1001, 0b1001, 0b1001, 0b1110, 0b1000, 0b1000]),
            'Ω' => Glyph::new(5, [0b01110, 0b10001, 0b10001, 0b10001, 0b01010, 0b01010, 0b11011]),
            '.' => Glyph::new(1, [0b0, 0b0, 0b0, 0b0, 0b0, 0b1, 0b1]),
            '-' => Glyph::new(3, [0b000, 0b000, 0b000, 0b111, 0b000, 0b000, 0b000]),
            '+' => Glyph::new(5, [0b00000, 0b00100, 0b00100, 0b11111, 0b00100, 0b00100, 0b00000]),
            '?' => Glyph::new(5, [0b01110, 0b10001, 0b00001, 0b00110, 0b00100, 0b00000, 0b00100]),
            '!' => Glyph::new(1, [0b1, 0b1, 0b1, 0b1, 0b1, 0b0, 0b1]),
            '/' => Glyph::new(5, [0b00001, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b10000]),
            ':' => Glyph::new(1, [0b0, 0b1, 0b1, 0b0, 0b1, 0b1, 0b0]),
            '%' => Glyph::new(5, [0b11001, 0b11010, 0b00010, 0b00100, 0b01000, 0b01011, 0b10011]),
            '_' => Glyph::new(4, [0b0000, 0b0000, 0b0000, 0b0000, 0b0000, 0b0000, 0b1111]),
            '(' => Glyph::new(2, [0b01, 0b10, 0b10, 0b10, 0b10, 0b10, 0b01]),
            ')' => Glyph::new(2, [0b10, 0b01, 0b01, 0b01, 0b01, 0b01, 0b10]),
            '>' => Glyph::new(5, [0b10000, 0b01000, 0b00100, 0b00010, 0b00100, 0b01000, 0b10000]),
            _ => Self::new(3, [0; HEIGHT]),
        }
    }

    /// How many pixels it is wide.
    pub(super) const fn width(self) -> usize {
        self.width
    }

    /// Whether that pixel is lit; counted from the upper left corner.
    pub(super) const fn lit(self, x: usize, y: usize) -> bool {
        x < self.width && y < HEIGHT && self.rows[y] >> (self.width - 1 - x) & 1 == 1
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

    const ALL: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789kmnpµΩ.-+?!/:%_()>";

    #[test]
    fn no_two_letters_look_alike_and_none_is_blank() {
        let letters: Vec<char> = ALL.chars().collect();
        for (i, one) in letters.iter().enumerate() {
            assert_ne!(Glyph::of(*one).rows, [0; HEIGHT], "{one}");
            for other in &letters[..i] {
                assert_ne!(Glyph::of(*one), Glyph::of(*other), "{one} {other}");
            }
        }
    }

    #[test]
    fn every_pixel_lies_within_the_letter() {
        for letter in ALL.chars() {
            let glyph = Glyph::of(letter);
            for row in glyph.rows {
                assert_eq!(u32::from(row) >> glyph.width, 0, "{letter}");
            }
        }
    }
}
