//! [`ColourCode`]: a resistor read by its colours, as bands or as body, end and dot.

use thiserror::Error;

use super::{Amount, Colour, Quantity, Remark, Tolerance};

/// A resistor's colours, understood.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourCode {
    /// The resistance.
    pub amount: Amount,
    /// The tolerance.
    pub tolerance: Tolerance,
    /// The temperature coefficient in 1e-6 per kelvin, where a band gives one.
    pub temperature_coefficient: Option<f64>,
    /// What had to be decided while reading.
    pub remarks: Vec<Remark>,
}

/// Why colours are no code.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColourError {
    /// A word that is no colour.
    #[error("found `{word}` as {place}, expected a colour")]
    NotAColour {
        /// Which band, or body, end or dot.
        place: &'static str,
        /// The word.
        word: String,
    },
    /// Too few or too many.
    #[error("found {found} colour{s}, expected {expected}", s = if *found == 1 { "" } else { "s" })]
    WrongCount {
        /// How many there are.
        found: usize,
        /// How many there may be.
        expected: &'static str,
    },
    /// A colour that cannot stand in its place.
    #[error("found {colour} as {place}, which is no {meaning}, expected {expected}")]
    Impossible {
        /// Which band, or body, end or dot.
        place: &'static str,
        /// The colour.
        colour: Colour,
        /// What the place stands for.
        meaning: &'static str,
        /// Which colours can stand there, or what to try.
        expected: &'static str,
    },
}

/// Makes a code of its figures, power of ten and tolerance.
pub(super) fn colour_code(figures: &[u8], power: i32, tolerance: f64) -> ColourCode {
    let figures: String = figures.iter().map(u8::to_string).collect();
    let value = format!("{figures}e{power}").parse().ok();
    let amount = value.and_then(|value| Amount::new(Quantity::Resistance, value));
    ColourCode {
        amount: amount.expect(
            "at most three figures and a power of ten between -3 and 9 make a finite number",
        ),
        tolerance: Tolerance::symmetric(tolerance)
            .expect("the tolerances of the colours are above zero"),
        temperature_coefficient: None,
        remarks: Vec::new(),
    }
}

/// The figure that `colour` stands for; the first one of a code is not black, since no value begins with a nought.
pub(super) fn figure(colour: Colour, place: &'static str, first: bool) -> Result<u8, ColourError> {
    let expected = if first {
        "brown to white; a code that begins otherwise may have been read from the wrong end"
    } else {
        "black to white"
    };
    let figure = colour.figure().filter(|figure| !(first && *figure == 0));
    figure.ok_or(ColourError::Impossible {
        place,
        colour,
        meaning: if first { "first figure" } else { "figure" },
        expected,
    })
}
