//! [`parse_tolerance`]: a tolerance as lists and parts state it.

use super::{Amount, Drawing, Quantity, Tolerance, ToleranceError, parse_value};

/// Reads a tolerance of a part of the value `nominal`: `10%`, `±10 %`, `+-10%`, `-10/+50%`, `-10+50%`, `+50/-10%`,
/// `GMV`, `max`, `±2 pF`, or a capital letter of IEC 60062.
///
/// Letters depend on the value: below 10 pF some are in picofarad. On capacitors P, L, E, Y and V are refused, because
/// lists disagree on them.
///
/// # Errors
/// [`ToleranceError`]; a negative tolerance, two limits on one side, and a number without a unit are errors.
pub fn parse_tolerance(text: &str, nominal: Amount) -> Result<Tolerance, ToleranceError> {
    let plain = plain_signs(text);
    if plain.eq_ignore_ascii_case("GMV") {
        return Ok(Tolerance::GUARANTEED_MINIMUM);
    }
    if plain.eq_ignore_ascii_case("max") {
        return Ok(Tolerance::MAXIMUM);
    }
    let mut letters = plain.chars();
    if let (Some(letter @ 'A'..='Z'), None) = (letters.next(), letters.next()) {
        return letter_tolerance(letter, nominal);
    }
    match (strip_percent(&plain), plain.strip_prefix('±')) {
        (Some(percent), _) => parse_percent(percent, text),
        (None, Some(difference)) => parse_difference(difference, text, nominal),
        (None, None) if parse_pair(&plain).is_some() || number(&plain).is_some() => {
            Err(ToleranceError::NoUnit {
                text: text.trim().to_owned(),
            })
        }
        (None, None) => Err(ToleranceError::NotATolerance {
            text: text.trim().to_owned(),
        }),
    }
}

/// The text without blanks, its signs as `-`, `+` and `±`.
fn plain_signs(text: &str) -> String {
    let packed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    packed
        .replace(['−', '–'], "-")
        .replace("+/-", "±")
        .replace("+-", "±")
}

/// Text before the per cent sign at the end.
fn strip_percent(text: &str) -> Option<&str> {
    text.strip_suffix('%')
        .or_else(|| text.strip_suffix("percent"))
}

fn parse_percent(body: &str, text: &str) -> Result<Tolerance, ToleranceError> {
    let text = || text.trim().to_owned();
    if let Some(percent) = number(body.strip_prefix('±').unwrap_or(body)) {
        return worded(Tolerance::symmetric(percent), text());
    }
    if body.strip_prefix('-').and_then(number).is_some() {
        return Err(ToleranceError::Negative { text: text() });
    }
    match parse_pair(body) {
        Some((first, second)) if first.negative == second.negative => {
            Err(ToleranceError::Crossed { text: text() })
        }
        Some((first, second)) if first.negative => {
            worded(Tolerance::percent(first.size, second.size), text())
        }
        Some((first, second)) => worded(Tolerance::percent(second.size, first.size), text()),
        None => Err(ToleranceError::NotATolerance { text: text() }),
    }
}

/// One limit of a pair.
struct Limit {
    negative: bool,
    size: f64,
}

/// `-10/+50`, `-10+50`, `-10%/+50`: two numbers, each with its sign.
fn parse_pair(body: &str) -> Option<(Limit, Limit)> {
    let second = body.rfind(['-', '+']).filter(|start| *start > 0)?;
    let (first, second) = body.split_at(second);
    let first = first.strip_suffix('/').unwrap_or(first);
    Some((
        parse_limit(first.strip_suffix('%').unwrap_or(first))?,
        parse_limit(second)?,
    ))
}

fn parse_limit(text: &str) -> Option<Limit> {
    let negative = text.starts_with('-');
    let size = number(text.strip_prefix(['-', '+'])?)?;
    Some(Limit { negative, size })
}

/// A number of figures and at most one point.
fn number(text: &str) -> Option<f64> {
    let plain = text
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.');
    plain
        .then(|| text.parse().ok())
        .flatten()
        .filter(|value: &f64| value.is_finite())
}

fn parse_difference(body: &str, text: &str, nominal: Amount) -> Result<Tolerance, ToleranceError> {
    if number(body).is_some() {
        return Err(ToleranceError::NoUnit {
            text: text.trim().to_owned(),
        });
    }
    let value = parse_value(body, Some(nominal.quantity()), Drawing::default());
    let value = value.map_err(|source| ToleranceError::Difference {
        source: Box::new(source),
    })?;
    if value.tolerance.is_some() {
        return Err(ToleranceError::NotATolerance {
            text: text.trim().to_owned(),
        });
    }
    Tolerance::absolute(value.amount)
}

/// Puts the text as the person wrote it into the error of a result.
fn worded(
    result: Result<Tolerance, ToleranceError>,
    text: String,
) -> Result<Tolerance, ToleranceError> {
    result.map_err(|error| match error {
        ToleranceError::Negative { .. } => ToleranceError::Negative { text },
        ToleranceError::BelowZero { .. } => ToleranceError::BelowZero { text },
        ToleranceError::Zero { .. } => ToleranceError::Zero { text },
        other => other,
    })
}

/// Below this capacitance, in farad, the letters B to G are in picofarad.
const PICOFARAD_BELOW: f64 = 10e-12;

/// The tolerance that `letter` stands for behind the value `nominal`.
///
/// # Errors
/// If the letter is unknown for the quantity, or lists disagree on it. Voltages and currents have no letters.
pub(super) fn letter_tolerance(letter: char, nominal: Amount) -> Result<Tolerance, ToleranceError> {
    let quantity = nominal.quantity();
    if quantity.is_signed() {
        return Err(ToleranceError::NotATolerance {
            text: letter.to_string(),
        });
    }
    if let (Quantity::Capacitance, Some(meanings)) = (quantity, old_meanings(letter)) {
        return Err(ToleranceError::AmbiguousLetter { letter, meanings });
    }
    if let (Quantity::Capacitance, Some((minus, plus))) = (quantity, asymmetric(letter)) {
        return Tolerance::percent(minus, plus);
    }
    let small = quantity == Quantity::Capacitance && nominal.value() < PICOFARAD_BELOW;
    if let Some(picofarad) = in_picofarad(letter).filter(|_| small)
        && let Some(difference) = Amount::new(quantity, picofarad * 1e-12)
    {
        return Tolerance::absolute(difference);
    }
    let percent = symmetric(letter).ok_or(ToleranceError::UnknownLetter { letter, quantity })?;
    Tolerance::symmetric(percent)
}

/// Letters to both sides, in per cent.
const fn symmetric(letter: char) -> Option<f64> {
    Some(match letter {
        'E' => 0.005,
        'L' => 0.01,
        'P' => 0.02,
        'W' => 0.05,
        'B' => 0.1,
        'C' => 0.25,
        'D' => 0.5,
        'F' => 1.0,
        'G' => 2.0,
        'H' => 3.0,
        'J' => 5.0,
        'K' => 10.0,
        'M' => 20.0,
        'N' => 30.0,
        _ => return None,
    })
}

/// Letters of capacitors with different limits, in per cent.
const fn asymmetric(letter: char) -> Option<(f64, f64)> {
    Some(match letter {
        'Q' => (10.0, 30.0),
        'T' => (10.0, 50.0),
        'S' => (20.0, 50.0),
        'Z' => (20.0, 80.0),
        _ => return None,
    })
}

/// Letters of capacitors below 10 pF, in picofarad.
const fn in_picofarad(letter: char) -> Option<f64> {
    Some(match letter {
        'B' => 0.1,
        'C' => 0.25,
        'D' => 0.5,
        'F' => 1.0,
        'G' => 2.0,
        _ => return None,
    })
}

/// Meanings on lists of letters on old capacitors, where they disagree or go beyond the standard.
const fn old_meanings(letter: char) -> Option<&'static str> {
    Some(match letter {
        'P' => "0.02 % in IEC 60062, guaranteed minimum or 0/+80 % on old capacitors",
        'L' => "0.01 % in IEC 60062, 15 % on old capacitors",
        'E' => "0.005 % in IEC 60062, 1 pF or 0.5 % on old capacitors",
        'Y' => "-20/+50 % or 0/+50 % on old capacitors",
        'V' => "not in IEC 60062, -10/+100 % in one list",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::quantity::Quantity;

    fn farad(value: f64) -> Amount {
        Amount::new(Quantity::Capacitance, value).unwrap()
    }

    fn parsed(text: &str) -> Result<Tolerance, ToleranceError> {
        parse_tolerance(text, farad(16e-6))
    }

    #[test]
    fn symmetric_tolerances_are_read_in_every_writing() {
        for text in [
            "10%",
            "±10 %",
            "+-10%",
            "+/- 10 %",
            " 10 percent",
            "± 10%",
            "K",
            "10.0%",
            "-10/+10%",
        ] {
            assert_eq!(parsed(text), Tolerance::symmetric(10.0), "{text}");
        }
    }

    #[test]
    fn different_limits_are_read_in_either_order() {
        for text in [
            "-10/+50%",
            "-10+50%",
            "-10% +50%",
            "+50/-10%",
            "+50 -10 %",
            "−10/+50 %",
            "T",
        ] {
            assert_eq!(parsed(text), Tolerance::percent(10.0, 50.0), "{text}");
        }
        assert_eq!(parsed("-0/+100%"), Tolerance::percent(0.0, 100.0));
        assert_eq!(parsed("gmv"), Ok(Tolerance::GUARANTEED_MINIMUM));
        assert_eq!(parsed("max"), Ok(Tolerance::MAXIMUM));
    }

    #[test]
    fn a_difference_wants_its_unit() {
        assert_eq!(
            parse_tolerance("±2 pF", farad(33e-12)),
            Tolerance::absolute(farad(2e-12))
        );
        assert!(matches!(parsed("±2"), Err(ToleranceError::NoUnit { .. })));
        assert!(matches!(parsed("10"), Err(ToleranceError::NoUnit { .. })));
        assert!(matches!(
            parsed("-10/+50"),
            Err(ToleranceError::NoUnit { .. })
        ));
        assert!(matches!(
            parsed("±2 Ω"),
            Err(ToleranceError::Difference { .. })
        ));
    }

    #[test]
    fn negative_and_crossed_tolerances_are_errors() {
        assert!(matches!(
            parsed("-10%"),
            Err(ToleranceError::Negative { .. })
        ));
        assert!(matches!(
            parsed("-50/-10%"),
            Err(ToleranceError::Crossed { .. })
        ));
        assert!(matches!(
            parsed("+10/+50%"),
            Err(ToleranceError::Crossed { .. })
        ));
        assert!(
            matches!(parsed("120%"), Err(ToleranceError::BelowZero { text }) if text == "120%")
        );
        for text in [
            "", "%", "±%", "ten", "10/50%", "-+%", "1e3%", "10%%", "±-10%",
        ] {
            assert!(parsed(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC*", short in "[-+±%0-9./A-Zµp ]{0,12}") {
            let _ = parsed(&text);
            let _ = parsed(&short);
        }

        #[test]
        fn what_is_written_reads_back(minus in 0_u32..=1000, plus in 1_u32..5000) {
            let tolerance = Tolerance::percent(f64::from(minus) / 10.0, f64::from(plus) / 10.0).unwrap();
            prop_assert_eq!(parsed(&tolerance.to_string()), Ok(tolerance));
        }
    }
}
