//! [`Number`]: a decimal number as meters write it.
//!
//! IEEE 488.2 knows three forms of a response number: NR1 `-42`, NR2 `12.0`, NR3 `+1.25E-03`. A listener is told to be
//! forgiving: `.5`, `1.E3`, a lower-case `e` and blanks around the sign and the exponent are understood too.

/// Most digits of a mantissa; IEEE 488.2 calls more an error (-124).
const MOST_DIGITS: usize = 255;
/// Digits, sign, point, `e` and an exponent of at most eleven characters.
const LONGEST: usize = MOST_DIGITS + 16;

/// Why bytes are not a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// No digit where a number has to start.
    #[error("no number found where digits were expected")]
    NoDigits,
    /// An `E` without digits after it: probably cut off.
    #[error("the exponent has no digits: the number seems to be cut off")]
    NoExponent,
    /// More than 255 digits.
    #[error("the number has more than 255 digits")]
    TooManyDigits,
    /// Beyond the largest number that can be kept.
    #[error("the number is too large")]
    TooLarge,
}

/// A scanned number; [`value`](Number::value) computes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Number<'a> {
    negative: bool,
    whole: &'a [u8],
    fraction: &'a [u8],
    exponent: i32,
    /// The whole number in one piece, where no blank is inside.
    compact: Option<&'a str>,
}

impl<'a> Number<'a> {
    /// Scans the number at the start of `text` (after blanks); also returns what follows it.
    ///
    /// # Errors
    /// If there is no digit, too many of them, or an exponent that is cut off.
    pub fn scan(text: &'a [u8]) -> Result<(Self, &'a [u8]), NumberError> {
        let start = text.trim_ascii_start();
        let (negative, unsigned) = sign(start);
        let (whole, rest) = digits(unsigned.trim_ascii_start());
        let (fraction, rest) = rest.strip_prefix(b".").map_or((&rest[..0], rest), digits);
        match whole.len() + fraction.len() {
            0 => return Err(NumberError::NoDigits),
            1..=MOST_DIGITS => {}
            _ => return Err(NumberError::TooManyDigits),
        }
        let (exponent, rest) = exponent(rest)?;
        let piece = &start[..start.len() - rest.len()];
        let compact = (!piece.iter().any(u8::is_ascii_whitespace))
            .then(|| std::str::from_utf8(piece).ok())
            .flatten();
        Ok((
            Self {
                negative,
                whole,
                fraction,
                exponent,
                compact,
            },
            rest,
        ))
    }

    /// The number times ten to the power of `shift` (the SI prefix), correctly rounded once.
    ///
    /// # Errors
    /// If it is beyond the largest finite `f64`.
    pub fn value(&self, shift: i32) -> Result<f64, NumberError> {
        let value = match self.compact {
            Some(text) if shift == 0 => text.parse().ok(),
            _ => self.compose(shift),
        };
        value
            .filter(|v: &f64| v.is_finite())
            .ok_or(NumberError::TooLarge)
    }

    /// Writes the number anew with the shifted exponent and lets the standard library round it.
    fn compose(&self, shift: i32) -> Option<f64> {
        use std::io::Write as _;
        let mut buffer = [0_u8; LONGEST];
        let mut free = &mut buffer[..];
        free.write_all(if self.negative { b"-" } else { b"+" })
            .ok()?;
        free.write_all(self.whole).ok()?;
        free.write_all(b".").ok()?;
        free.write_all(self.fraction).ok()?;
        free.write_all(b"e").ok()?;
        let exponent = self.exponent.saturating_add(shift);
        free.write_all(itoa::Buffer::new().format(exponent).as_bytes())
            .ok()?;
        let used = LONGEST - free.len();
        std::str::from_utf8(&buffer[..used]).ok()?.parse().ok()
    }
}

fn sign(text: &[u8]) -> (bool, &[u8]) {
    match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    }
}

fn digits(text: &[u8]) -> (&[u8], &[u8]) {
    text.split_at(
        text.iter()
            .position(|b| !b.is_ascii_digit())
            .unwrap_or(text.len()),
    )
}

/// The exponent and what follows. An `E` that starts something else (a unit) is left alone; one that ends the text, or has only a sign, is cut off.
fn exponent(text: &[u8]) -> Result<(i32, &[u8]), NumberError> {
    let [b'e' | b'E', after @ ..] = text.trim_ascii_start() else {
        return Ok((0, text));
    };
    let after = after.trim_ascii_start();
    let (negative, unsigned) = sign(after);
    let (figures, rest) = digits(unsigned.trim_ascii_start());
    if figures.is_empty() {
        return if after.is_empty() || after.len() != unsigned.len() {
            Err(NumberError::NoExponent)
        } else {
            Ok((0, text))
        };
    }
    let size = figures.iter().fold(0_i32, |sum, b| {
        sum.saturating_mul(10).saturating_add(i32::from(b - b'0'))
    });
    Ok((if negative { -size } else { size }, rest))
}

#[cfg(test)]
mod tests {
    use super::{Number, NumberError};
    use proptest::prelude::*;

    fn value(text: &str) -> Result<f64, NumberError> {
        Number::scan(text.as_bytes())?.0.value(0)
    }

    #[test]
    fn forgiving_forms_are_understood() {
        for (text, expected) in [
            (".5", 0.5),
            ("1.E3", 1e3),
            ("1.25e-03", 1.25e-3),
            ("  +7", 7.0),
            ("- 12.5", -12.5),
            ("4.7 E +3", 4.7e3),
            ("5.", 5.0),
        ] {
            assert_eq!(value(text), Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_a_typed_error() {
        for text in ["", "+", ".", "OL", "E5", "inf", "nan", "-"] {
            assert_eq!(value(text), Err(NumberError::NoDigits), "{text}");
        }
        assert_eq!(value("4.7E"), Err(NumberError::NoExponent));
        assert_eq!(value("4.7E+"), Err(NumberError::NoExponent));
        assert_eq!(value("1E400"), Err(NumberError::TooLarge));
        assert_eq!(value("1E99999999999999"), Err(NumberError::TooLarge));
        assert_eq!(value(&"1".repeat(256)), Err(NumberError::TooManyDigits));
    }

    #[test]
    fn a_prefix_is_applied_without_a_second_rounding() {
        let (number, rest) = Number::scan(b"47.1nF").unwrap();
        assert_eq!((number.value(-9), rest), (Ok(47.1e-9), &b"nF"[..]));
        let (number, _) = Number::scan(b"1.1E2").unwrap();
        assert_eq!(number.value(6), Ok(1.1e8));
    }

    #[test]
    fn the_longest_number_fits() {
        let text = format!("-{}.{}E-2000000000", "9".repeat(200), "9".repeat(55));
        assert_eq!(
            Number::scan(text.as_bytes())
                .unwrap()
                .0
                .value(-2_000_000_000),
            Ok(-0.0)
        );
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_number_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..40), shift in -15..15) {
            if let Ok((number, _)) = Number::scan(&bytes) {
                let _ = number.value(shift);
            }
        }

        #[test]
        fn both_ways_of_computing_agree(value in prop::num::f64::NORMAL) {
            let text = format!("{value:e}");
            let (number, rest) = Number::scan(text.as_bytes()).unwrap();
            prop_assert!(rest.is_empty());
            prop_assert_eq!(number.value(0), Ok(value));
            prop_assert_eq!(number.compose(0), Some(value));
        }
    }
}
