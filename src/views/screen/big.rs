//! Text in large letters, drawn with quarters of cells: at size n a pixel is n columns wide and n half rows high, which is
//! square.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

/// The largest letters.
pub(super) const LARGEST: u16 = 8;

/// A text in large letters.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Big<'a> {
    /// As it was written.
    pub(super) text: &'a str,
    /// Columns to a pixel; 0 is an ordinary line.
    pub(super) size: u16,
    /// Letters cut out of a solid block.
    pub(super) cut_out: bool,
    /// Letters of the same height and half the width: a pixel is n half columns wide and n half rows high.
    pub(super) narrow: bool,
}

impl Big<'_> {
    /// Width in columns.
    pub(super) fn width(&self) -> u16 {
        if self.size == 0 {
            let letters = self.text.chars().count();
            return u16::try_from(letters).unwrap_or(u16::MAX);
        }
        let margin = if self.cut_out { 2 } else { 0 };
        let pixels = u16::try_from(pixels(self.text) + margin).unwrap_or(u16::MAX);
        pixels.saturating_mul(self.half_columns()).div_ceil(2)
    }

    /// Height in rows.
    pub(super) fn height(&self) -> u16 {
        if self.size == 0 {
            return 1;
        }
        let pixels = HEIGHT + u16::from(self.cut_out);
        (pixels * self.size).div_ceil(2)
    }

    /// Width of a pixel.
    const fn half_columns(&self) -> u16 {
        if self.narrow {
            self.size
        } else {
            2 * self.size
        }
    }

    /// This text in the largest size of at most `largest` that fits into so many columns and rows.
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
        let mut canvas = Canvas::new(self.width(), self.height());
        let margin = u16::from(self.cut_out);
        self.paint(
            &mut canvas,
            margin * self.half_columns(),
            margin * self.size,
        );
        if self.cut_out {
            let rows = (HEIGHT + 1) * self.size;
            canvas.turn_over(rows);
        }
        canvas.draw(area, buffer, style);
    }

    /// Lights its pixels, from that half column and half row on.
    fn paint(&self, canvas: &mut Canvas, left: u16, top: u16) {
        let (wide, high) = (self.half_columns(), self.size);
        let mut x = left;
        for letter in self.text.chars() {
            let glyph = Glyph::of(letter);
            for column in 0..glyph.width() {
                for row in (0..HEIGHT).filter(|row| glyph.lit(column, usize::from(*row))) {
                    canvas.light(x, top + row * high, wide, high);
                }
                x = x.saturating_add(wide);
            }
            x = x.saturating_add(wide);
        }
    }
}

/// Draws words under each other, cut out of a block that fills the area, each as large as there is room for: the first one
/// first.
pub(super) fn block(words: &[&str], area: Rect, buffer: &mut Buffer, style: Style) {
    let area = area.intersection(buffer.area);
    if area.is_empty() {
        return;
    }
    let mut canvas = Canvas::new(area.width, area.height);
    let margins = words.len() as u16 + 1;
    let smallest = HEIGHT * words.len().saturating_sub(1) as u16;
    let mut room = (2 * area.height).saturating_sub(margins + smallest);
    let mut bigs = Vec::new();
    for text in words {
        // Narrow letters make more of a place that is higher than wide.
        let of = |narrow| {
            let big = Big {
                text,
                narrow,
                ..Big::default()
            };
            big.fitted(2 * LARGEST, area.width.saturating_sub(2), room.div_ceil(2))
        };
        let (wide, narrow) = (of(false), of(true));
        let big = if narrow.size > wide.size + wide.size / 2 {
            narrow
        } else {
            wide
        };
        room = room.saturating_sub(big.size * HEIGHT) + HEIGHT;
        bigs.push(big);
    }
    let used: u16 = bigs.iter().map(|big| big.size * HEIGHT).sum();
    let between = (2 * area.height).saturating_sub(used) / margins;
    let mut top = between;
    for big in bigs {
        let left = area.width.saturating_sub(big.width()) / 2 * 2;
        big.paint(&mut canvas, left, top);
        top += big.size * HEIGHT + between;
    }
    canvas.turn_over(2 * area.height);
    canvas.draw(area, buffer, style);
}

/// Width of a text in pixels, with one pixel between two letters.
fn pixels(text: &str) -> usize {
    let letters: usize = text
        .chars()
        .map(|letter| Glyph::of(letter).width() + 1)
        .sum();
    letters.saturating_sub(1)
}

/// Quarters of cells, lit or not.
struct Canvas {
    columns: u16,
    lit: Vec<bool>,
}

/// The characters of the quarters of a cell: upper left 1, upper right 2, lower left 4, lower right 8.
const QUARTERS: [char; 16] = [
    ' ', '▘', '▝', '▀', '▖', '▌', '▞', '▛', '▗', '▚', '▐', '▜', '▄', '▙', '▟', '█',
];

impl Canvas {
    fn new(columns: u16, rows: u16) -> Self {
        Self {
            columns,
            lit: vec![false; 4 * usize::from(columns) * usize::from(rows)],
        }
    }

    fn place(&self, x: u16, y: u16) -> usize {
        2 * usize::from(self.columns) * usize::from(y) + usize::from(x)
    }

    fn light(&mut self, left: u16, top: u16, wide: u16, high: u16) {
        for y in top..top + high {
            for x in left..(left + wide).min(2 * self.columns) {
                let place = self.place(x, y);
                if let Some(lit) = self.lit.get_mut(place) {
                    *lit = true;
                }
            }
        }
    }

    /// Makes holes of what is lit, down to that half row.
    fn turn_over(&mut self, half_rows: u16) {
        let end = self.place(0, half_rows).min(self.lit.len());
        for lit in &mut self.lit[..end] {
            *lit = !*lit;
        }
    }

    fn draw(&self, area: Rect, buffer: &mut Buffer, style: Style) {
        let rows = self.lit.len() / 4 / usize::from(self.columns.max(1));
        for row in 0..area.height.min(rows as u16) {
            for column in 0..self.columns.min(area.width) {
                let lit = |x, y| usize::from(self.lit[self.place(2 * column + x, 2 * row + y)]);
                let quarters = lit(0, 0) + 2 * lit(1, 0) + 4 * lit(0, 1) + 8 * lit(1, 1);
                if quarters > 0 {
                    buffer[(area.x + column, area.y + row)]
                        .set_char(QUARTERS[quarters])
                        .set_style(style);
                }
            }
        }
    }
}

/// Height of a letter in pixels.
pub(super) const HEIGHT: u16 = 7;

/// A letter of pixels. Each row is a number whose bits are the pixels, the rightmost one last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Glyph {
    width: usize,
    rows: [u8; HEIGHT as usize],
}

impl Glyph {
    const fn new(width: usize, rows: [u8; HEIGHT as usize]) -> Self {
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
            // The shapes of the verdicts, as on the page and in the report.
            '●' => Glyph::new(7, [0b001_1100, 0b011_1110, 0b111_1111, 0b111_1111, 0b111_1111, 0b011_1110, 0b001_1100]),
            '○' => Glyph::new(7, [0b001_1100, 0b010_0010, 0b100_0001, 0b100_0001, 0b100_0001, 0b010_0010, 0b001_1100]),
            '△' => Glyph::new(7, [0b000_1000, 0b001_0100, 0b001_0100, 0b010_0010, 0b010_0010, 0b100_0001, 0b111_1111]),
            '◇' => Glyph::new(7, [0b000_1000, 0b001_0100, 0b010_0010, 0b100_0001, 0b010_0010, 0b001_0100, 0b000_1000]),
            _ => Self::new(3, [0; HEIGHT as usize]),
        }
    }

    /// Width in pixels.
    pub(super) const fn width(self) -> usize {
        self.width
    }

    /// Whether that pixel is lit; counted from the upper left corner.
    pub(super) const fn lit(self, x: usize, y: usize) -> bool {
        x < self.width && y < self.rows.len() && self.rows[y] >> (self.width - 1 - x) & 1 == 1
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
            ..Big::default()
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
            ..Big::default()
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
            ..Big::default()
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

    const ALL: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789kmnpµΩ.-+?!/:%_()>●○△◇";

    #[test]
    fn no_two_letters_look_alike_and_none_is_blank() {
        let letters: Vec<char> = ALL.chars().collect();
        for (i, one) in letters.iter().enumerate() {
            assert_ne!(Glyph::of(*one).rows, [0; HEIGHT as usize], "{one}");
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
