//! [`Number`]: a decimal number as meters write it.
//!
//! IEEE 488.2 knows three forms of a response number: NR1 `-42`, NR2 `12.0`, NR3 `+1.25E-03`. A listener is told to be
//! forgiving: `.5`, `1.E3`, a lower-case `e` and blanks around the sign and the exponent are understood too.
//!
//! [`Unit`]: the unit that some meters write behind a number, with its SI prefix.

use crate::engine::quantity::Quantity;

/// Most digits of a mantissa; IEEE 488.2 calls more an error (-124).
const MOST_DIGITS: usize = 255;
/// Digits, sign, point, `e` and an exponent of at most eleven characters.
const LONGEST: usize = MOST_DIGITS + 16;

/// Reason why bytes are not a number.
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

/// Meaning of a unit suffix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// No suffix: the SI base unit of whatever was asked for.
    Unsaid,
    /// A unit of a quantity that the program knows.
    Of {
        quantity: Quantity,
        /// The power of ten of the prefix.
        exponent: i32,
    },
    /// Degree of angle.
    Degree,
    Radian,
    /// A unit of something else: alternating ampere, hertz, second, watt, siemens, degree Celsius or per cent.
    Foreign,
}

/// The unit's spelling in upper case, longest first, and what it measures.
const KNOWN: [(&[u8], Quantity); 12] = [
    (b"OHMS", Quantity::Resistance),
    (b"OHM", Quantity::Resistance),
    (b"FARADS", Quantity::Capacitance),
    (b"FARAD", Quantity::Capacitance),
    (b"F", Quantity::Capacitance),
    (b"HENRY", Quantity::Inductance),
    (b"H", Quantity::Inductance),
    (b"VAC", Quantity::AcVoltage),
    (b"VDC", Quantity::Voltage),
    (b"V", Quantity::Voltage),
    (b"ADC", Quantity::Current),
    (b"A", Quantity::Current),
];

/// Units that a meter sends when its knob stands elsewhere.
const FOREIGN: [&[u8]; 7] = [b"AAC", b"DEGC", b"DEG", b"HZ", b"S", b"W", b"%"];

impl Unit {
    /// Understands a suffix such as `OHM`, `kOhm`, `MOHM`, `nF`; `None` if it is no unit at all.
    ///
    /// Case is ignored but for one letter: `m` is milli, `M` before ohm is mega (as IEEE 488.2 has it for `MOHM`, from memory)
    /// and before farad, henry, volt and ampere milli (the suffix `M` of IEEE 488.2, from memory; nobody owns a megafarad). A
    /// voltage or a current without further mark is a direct one.
    pub fn parse(text: &[u8]) -> Option<Self> {
        let text = text.trim_ascii();
        if text.is_empty() {
            return Some(Self::Unsaid);
        }
        if text.eq_ignore_ascii_case(b"DEG") {
            return Some(Self::Degree);
        }
        if text.eq_ignore_ascii_case(b"RAD") {
            return Some(Self::Radian);
        }
        for (spelling, quantity) in KNOWN {
            if let Some(prefix) = without_ending(text, spelling) {
                return power_of_prefix(prefix.trim_ascii_end(), quantity)
                    .map(|exponent| Self::Of { quantity, exponent });
            }
        }
        let foreign = |unit: &&[u8]| without_ending(text, unit).is_some_and(is_prefix);
        FOREIGN.iter().any(foreign).then_some(Self::Foreign)
    }
}

fn without_ending<'a>(text: &'a [u8], ending: &[u8]) -> Option<&'a [u8]> {
    let (start, end) = text.split_at_checked(text.len().checked_sub(ending.len())?)?;
    end.eq_ignore_ascii_case(ending).then_some(start)
}

/// Whether it is a prefix of one letter, or none.
fn is_prefix(text: &[u8]) -> bool {
    text.len() <= 1 && text.iter().all(|letter| b"GgMmKkUuNnPp".contains(letter))
}

fn power_of_prefix(prefix: &[u8], quantity: Quantity) -> Option<i32> {
    Some(match prefix {
        b"" => 0,
        b"T" | b"t" => 12,
        b"G" | b"g" => 9,
        b"M" if quantity == Quantity::Resistance => 6,
        b"M" | b"m" => -3,
        b"K" | b"k" => 3,
        b"U" | b"u" => -6,
        b"N" | b"n" => -9,
        b"P" | b"p" => -12,
        _ if prefix.eq_ignore_ascii_case(b"MA") || prefix.eq_ignore_ascii_case(b"MEG") => 6,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::quantity::Quantity::{
        AcVoltage, Capacitance, Current, Inductance, Resistance, Voltage,
    };

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

    #[test]
    fn units_with_prefixes_are_understood() {
        for (text, quantity, exponent) in [
            ("OHM", Resistance, 0),
            (" kOhm", Resistance, 3),
            ("MOHM", Resistance, 6),
            ("MAOHM", Resistance, 6),
            ("Megohm", Resistance, 6),
            ("mOhms", Resistance, -3),
            ("G OHM", Resistance, 9),
            ("nF", Capacitance, -9),
            ("UF", Capacitance, -6),
            ("MF", Capacitance, -3),
            ("p farad", Capacitance, -12),
            ("VDC", Voltage, 0),
            ("mV", Voltage, -3),
            ("MV", Voltage, -3),
            ("kVDC", Voltage, 3),
            ("VAC", AcVoltage, 0),
            ("mVAC", AcVoltage, -3),
            ("A", Current, 0),
            ("uA", Current, -6),
            ("MADC", Current, -3),
            ("uH", Inductance, -6),
            ("MH", Inductance, -3),
            (" henry", Inductance, 0),
        ] {
            assert_eq!(
                Unit::parse(text.as_bytes()),
                Some(Unit::Of { quantity, exponent }),
                "{text}"
            );
        }
    }

    #[test]
    fn units_of_other_quantities_are_told_from_rubbish() {
        for text in ["kHz", "AAC", "degC", "%"] {
            assert_eq!(Unit::parse(text.as_bytes()), Some(Unit::Foreign), "{text}");
        }
        for text in ["xyzzy", "OH", "qF", "3", "E+"] {
            assert_eq!(Unit::parse(text.as_bytes()), None, "{text}");
        }
        assert_eq!(Unit::parse(b"  "), Some(Unit::Unsaid));
    }
}
