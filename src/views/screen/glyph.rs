//! [`Glyph`]: the letters that can be read from two metres.

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
