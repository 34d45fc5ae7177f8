//! [`Colour`]: a colour of a marking, and [`ColourCode`]: what the colours of a resistor say, as bands or as body, end and dot.

use strum::{Display, EnumString, IntoStaticStr, VariantArray};
use thiserror::Error;

use super::{Amount, Quantity, Remark, Tolerance};

/// A colour of the code.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Display, EnumString, IntoStaticStr, VariantArray,
)]
#[strum(serialize_all = "lowercase", ascii_case_insensitive)]
pub enum Colour {
    /// Figure 0.
    Black,
    /// Figure 1.
    Brown,
    /// Figure 2.
    Red,
    /// Figure 3.
    Orange,
    /// Figure 4.
    Yellow,
    /// Figure 5.
    Green,
    /// Figure 6.
    Blue,
    /// Figure 7.
    #[strum(to_string = "violet", serialize = "purple")]
    Violet,
    /// Figure 8.
    #[strum(to_string = "grey", serialize = "gray")]
    Grey,
    /// Figure 9.
    White,
    /// Multiplier 0.1, tolerance 5 %.
    Gold,
    /// Multiplier 0.01, tolerance 10 %.
    Silver,
    /// Multiplier 0.001, since IEC 60062:2016.
    Pink,
}

words!(Colour: ALL, name);

impl Colour {
    /// The colour of that name, upper and lower case alike; `gray` and `purple` are known too.
    pub fn named(word: &str) -> Option<Self> {
        word.parse().ok()
    }

    /// Its figure; `None` for the metallic colours and pink.
    pub fn figure(self) -> Option<u8> {
        let place = Self::ALL.into_iter().position(|colour| colour == self);
        place
            .and_then(|place| u8::try_from(place).ok())
            .filter(|figure| *figure <= 9)
    }

    /// The power of ten that it stands for as a multiplier.
    pub fn power(self) -> i32 {
        match self {
            Self::Gold => -1,
            Self::Silver => -2,
            Self::Pink => -3,
            other => other.figure().map_or(0, i32::from),
        }
    }

    /// Its tolerance in per cent, IEC 60062:2016 (black to yellow as quoted in a public table, violet and grey from
    /// memory); `None` for black, white and pink.
    pub const fn tolerance_percent(self) -> Option<f64> {
        Some(match self {
            Self::Brown => 1.0,
            Self::Red => 2.0,
            Self::Orange => 0.05,
            Self::Yellow => 0.02,
            Self::Green => 0.5,
            Self::Blue => 0.25,
            Self::Violet => 0.1,
            Self::Grey => 0.01,
            Self::Gold => 5.0,
            Self::Silver => 10.0,
            Self::Black | Self::White | Self::Pink => return None,
        })
    }

    /// Its temperature coefficient in 1e-6 per kelvin, IEC 60062 (black to green as quoted in public tables, the others
    /// from memory); `None` for white, pink and the metallic colours.
    pub const fn temperature_coefficient(self) -> Option<f64> {
        Some(match self {
            Self::Black => 250.0,
            Self::Brown => 100.0,
            Self::Red => 50.0,
            Self::Orange => 15.0,
            Self::Yellow => 25.0,
            Self::Green => 20.0,
            Self::Blue => 10.0,
            Self::Violet => 5.0,
            Self::Grey => 1.0,
            Self::White | Self::Gold | Self::Silver | Self::Pink => return None,
        })
    }
}

/// A resistor's colours, understood.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourCode {
    /// Nominal resistance.
    pub amount: Amount,
    /// Tolerance by the last band; ±20 % without one.
    pub tolerance: Tolerance,
    /// The temperature coefficient in 1e-6 per kelvin, where a band gives one.
    pub temperature_coefficient: Option<f64>,
    /// Decisions made while reading.
    pub remarks: Vec<Remark>,
}

/// Reason why colours are no code.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColourError {
    /// A word that is no colour.
    #[error("found `{word}` as {place}, expected a colour")]
    NotAColour {
        /// The band, or body, end or dot.
        place: &'static str,
        word: String,
    },
    /// Too few or too many.
    #[error("found {found} colour{s}, expected {expected}", s = if *found == 1 { "" } else { "s" })]
    WrongCount {
        /// Bands found.
        found: usize,
        /// Bands that there may be, in words.
        expected: &'static str,
    },
    /// A colour that cannot stand in its place.
    #[error("found {colour} as {place}, which is no {meaning}, expected {expected}")]
    Impossible {
        /// The band, or body, end or dot.
        place: &'static str,
        colour: Colour,
        /// Meaning of the place.
        meaning: &'static str,
        /// Colours that can stand there, or what to try.
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

/// Name of a band in messages.
const PLACES: [&str; 6] = ["band 1", "band 2", "band 3", "band 4", "band 5", "band 6"];

/// Reads three to six bands, from the end where the code begins: `yellow violet red gold`.
///
/// Three bands and four: two figures, multiplier, tolerance (none: 20 %). Five: three figures, multiplier, tolerance.
/// Six: the temperature coefficient too (IEC 60062). `none` may stand for a fourth band that is not there.
///
/// # Errors
/// [`ColourError`] names the band that is wrong.
pub fn parse_colour_bands(text: &str) -> Result<ColourCode, ColourError> {
    let mut words: Vec<&str> = colour_words(text).collect();
    if words.len() == 4 && words[3].eq_ignore_ascii_case("none") {
        words.pop();
    }
    if !(3..=6).contains(&words.len()) {
        return Err(ColourError::WrongCount {
            found: words.len(),
            expected: "three to six bands",
        });
    }
    let bands: Vec<Colour> = words
        .iter()
        .zip(PLACES)
        .map(|(word, place)| named(word, place))
        .collect::<Result<_, _>>()?;
    read_bands(&bands)
}

/// Whether `text` consists of colours, and so is meant as a colour code: its first word is one.
pub fn is_colour_text(text: &str) -> bool {
    colour_words(text)
        .next()
        .is_some_and(|word| Colour::named(word).is_some())
}

/// The words of a colour code, parted by blanks, commas, slashes or hyphens.
pub(super) fn colour_words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| c.is_whitespace() || matches!(c, ',' | '/' | '-'))
        .filter(|word| !word.is_empty())
}

/// The colour of that name.
pub(super) fn named(word: &str, place: &'static str) -> Result<Colour, ColourError> {
    Colour::named(word).ok_or_else(|| ColourError::NotAColour {
        place,
        word: word.to_owned(),
    })
}

/// Reads three to six bands.
fn read_bands(bands: &[Colour]) -> Result<ColourCode, ColourError> {
    let count = if bands.len() < 5 { 2 } else { 3 };
    let figures = (0..count)
        .map(|at| figure(bands[at], PLACES[at], at == 0))
        .collect::<Result<Vec<u8>, _>>()?;
    let tolerance = bands
        .get(count + 1)
        .map_or(Ok(20.0), |colour| tolerance(*colour, PLACES[count + 1]))?;
    let mut code = colour_code(&figures, bands[count].power(), tolerance);
    if let Some(&colour) = bands.get(5) {
        code.temperature_coefficient = Some(temperature_coefficient(colour)?);
    }
    code.remarks = remarks(bands, bands.get(count + 1).copied());
    Ok(code)
}

fn tolerance(colour: Colour, place: &'static str) -> Result<f64, ColourError> {
    let expected = "gold, silver, brown, red, orange, yellow, green, blue, violet or grey";
    colour.tolerance_percent().ok_or(ColourError::Impossible {
        place,
        colour,
        meaning: "tolerance",
        expected,
    })
}

fn temperature_coefficient(colour: Colour) -> Result<f64, ColourError> {
    let (place, meaning, expected) = (PLACES[5], "temperature coefficient", "black to grey");
    colour
        .temperature_coefficient()
        .ok_or(ColourError::Impossible {
            place,
            colour,
            meaning,
            expected,
        })
}

fn remarks(bands: &[Colour], tolerance: Option<Colour>) -> Vec<Remark> {
    use Colour::{Brown, Gold, Grey, Orange, Red, Silver, Yellow};
    let of_tolerance = match tolerance {
        None => Some(Remark::NoToleranceBand),
        Some(Orange | Yellow) => Some(Remark::ToleranceColourSince2016),
        Some(Grey) => Some(Remark::GreyTolerance),
        Some(_) => None,
    };
    // Failure rates of military resistors: brown, red, orange, yellow behind the tolerance (as quoted in a public note).
    let of_failure_rate = match bands {
        [_, _, _, Gold | Silver, Brown | Red | Orange | Yellow] => {
            Some(Remark::PossibleFailureRate)
        }
        _ => None,
    };
    of_tolerance.into_iter().chain(of_failure_rate).collect()
}

/// Reads body, end, dot and, if it is coloured, the other end: `red green orange gold`.
///
/// The body is the first figure, one end the second, the dot (or a band around the middle) the number of noughts; the
/// other end gives the tolerance, gold 5 %, silver 10 %, plain 20 % (the code of the Radio Manufacturers Association, as
/// public texts on old sets quote it). An end or a dot that cannot be seen has the body's colour (common practice, no
/// source): write `-` for it, or the body alone if neither can be seen.
///
/// # Errors
/// [`ColourError`] names the place that is wrong.
pub fn parse_body_end_dot(text: &str) -> Result<ColourCode, ColourError> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | '/'))
        .filter(|word| !word.is_empty())
        .collect();
    let (body, end, dot, other_end) = match words[..] {
        [body] => (body, "-", "-", None),
        [body, end, dot] => (body, end, dot, None),
        [body, end, dot, other_end] => (body, end, dot, Some(other_end)),
        _ => {
            return Err(ColourError::WrongCount {
                found: words.len(),
                expected: "body, end and dot (`-` for one not seen), with the other end if it is gold or silver",
            });
        }
    };
    let body = named(body, "body")?;
    let seen = |word, place| {
        if word == "-" {
            Ok(body)
        } else {
            named(word, place)
        }
    };
    let (end, dot) = (seen(end, "end")?, seen(dot, "dot")?);
    let tolerance = tolerance_of_end(other_end)?;
    let figures = [figure(body, "body", true)?, figure(end, "end", false)?];
    let noughts = figure(dot, "dot", false)?;
    let mut code = colour_code(&figures, i32::from(noughts), tolerance);
    code.remarks
        .extend((words.len() == 1 || words.contains(&"-")).then_some(Remark::HiddenMark));
    Ok(code)
}

fn tolerance_of_end(other_end: Option<&str>) -> Result<f64, ColourError> {
    let place = "other end";
    match other_end {
        None | Some("-" | "plain" | "none") => Ok(20.0),
        Some(word) => match named(word, place)? {
            Colour::Gold => Ok(5.0),
            Colour::Silver => Ok(10.0),
            colour => Err(ColourError::Impossible {
                place,
                colour,
                meaning: "tolerance",
                expected: "gold, silver or nothing",
            }),
        },
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn place_of_fault(text: &str) -> &'static str {
        match parse_colour_bands(text) {
            Err(ColourError::Impossible { place, .. } | ColourError::NotAColour { place, .. }) => {
                place
            }
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn the_wrong_band_is_named() {
        assert_eq!(place_of_fault("gold red violet yellow"), "band 1");
        assert_eq!(place_of_fault("black red violet gold"), "band 1");
        assert_eq!(place_of_fault("red silver violet gold"), "band 2");
        assert_eq!(place_of_fault("red red gold red brown"), "band 3");
        assert_eq!(place_of_fault("red red red white"), "band 4");
        assert_eq!(place_of_fault("red red red red black"), "band 5");
        assert_eq!(place_of_fault("red red red red brown gold"), "band 6");
        assert_eq!(place_of_fault("red mauve red"), "band 2");
        assert!(matches!(
            parse_colour_bands("red red"),
            Err(ColourError::WrongCount { found: 2, .. })
        ));
        assert!(matches!(
            parse_colour_bands(""),
            Err(ColourError::WrongCount { found: 0, .. })
        ));
    }

    #[test]
    fn doubtful_readings_are_reported() {
        let remarks = |text| parse_colour_bands(text).unwrap().remarks;
        assert_eq!(remarks("green blue black"), [Remark::NoToleranceBand]);
        assert_eq!(remarks("green blue black none"), [Remark::NoToleranceBand]);
        assert_eq!(
            remarks("green blue black orange"),
            [Remark::ToleranceColourSince2016]
        );
        assert_eq!(remarks("red red red red grey"), [Remark::GreyTolerance]);
        assert_eq!(
            remarks("yellow violet red gold brown"),
            [Remark::PossibleFailureRate]
        );
        assert_eq!(remarks("yellow violet red gold"), []);
    }

    #[test]
    fn words_may_be_parted_and_spelt_in_several_ways() {
        let plain = parse_colour_bands("grey red violet gold");
        assert_eq!(parse_colour_bands("Gray-Red, purple/GOLD"), plain);
        assert!(is_colour_text("Gray red") && !is_colour_text("4K7 red") && !is_colour_text(""));
    }

    proptest! {
        #[test]
        fn no_words_make_the_parser_panic(text in "\\PC*", words in proptest::collection::vec(0_usize..13, 0..8)) {
            let _ = (parse_colour_bands(&text), parse_body_end_dot(&text));
            let words: Vec<&str> = words.into_iter().map(|at| Colour::ALL[at].name()).collect();
            let _ = parse_colour_bands(&words.join(" "));
        }
    }

    #[test]
    fn marks_not_seen_have_the_colour_of_the_body() {
        let ohm = |text| parse_body_end_dot(text).map(|code| code.amount.value());
        assert_eq!(ohm("red"), Ok(2200.0));
        assert_eq!(ohm("red green -"), Ok(2500.0));
        assert_eq!(ohm("red - orange silver"), Ok(22_000.0));
        assert_eq!(
            parse_body_end_dot("red").unwrap().remarks,
            [Remark::HiddenMark]
        );
        assert_eq!(parse_body_end_dot("red red red").unwrap().remarks, []);
    }

    #[test]
    fn the_wrong_place_is_named() {
        let fault = |text| parse_body_end_dot(text).unwrap_err().to_string();
        assert!(fault("black green red").starts_with("found black as body"));
        assert!(fault("red gold red").starts_with("found gold as end"));
        assert!(fault("red green silver").starts_with("found silver as dot"));
        assert!(fault("red green red blue").starts_with("found blue as other end"));
        assert!(fault("red green").starts_with("found 2 colours"));
    }
}
