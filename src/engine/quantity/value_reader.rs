//! [`ValueReader`]: the ways to read the pieces of a written value.
//!
//! The words behind a number: prefix and unit, in SI and in the writing of old lists.
//!
//! Old words (`MFD`, `MMF`, `µµF`, `M` for a thousand) as a page on the notation of the 1930s gives them.
//!
//! [`parse_ratio`]: a ratio of turns, as drawings and catalogues write it.

use super::tolerance_text::letter_tolerance;
use super::written_number::WrittenNumber;
use super::{Amount, Drawing, MarkedValue, Quantity, Remark, ValueError};

/// Quantity and way of reading.
#[derive(Clone, Copy)]
pub(super) struct ValueReader<'a> {
    /// The whole text, without blanks at its ends.
    pub(super) text: &'a str,
    /// Quantity of the value to be read.
    pub(super) quantity: Quantity,
    /// The conventions of the drawing.
    pub(super) drawing: Drawing,
}

impl ValueReader<'_> {
    /// `4K7`, `R47`, `2µ2F`, `4K7J`: the letter stands for the decimal point.
    pub(super) fn letter_code(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        let (power, remark) = self.power(&written.word, true)?;
        let tail = written.tail();
        let letter = if tail.is_empty() || is_plain_unit(tail, self.quantity) {
            None
        } else {
            Some(self.letter(tail)?)
        };
        self.finish(written, power, remark, letter)
    }

    /// `473`, `104K`: two figures and a power of ten, in picofarad. `None` if the word behind makes it another writing.
    pub(super) fn three_figure_code(
        self,
        written: &WrittenNumber,
    ) -> Result<Option<MarkedValue>, ValueError> {
        let letter = match written.word.as_str() {
            "" => None,
            word if written.spaced
                || word.len() > 1
                || !word.starts_with(|c: char| c.is_ascii_uppercase() && c != 'U') =>
            {
                return Ok(None);
            }
            word => word.chars().next(),
        };
        let figures = &written.mantissa;
        if figures.starts_with('0') || figures.ends_with('0') {
            return self.ambiguous(format!(
                "a number without unit or a code of two figures and a power of ten; write the unit, such as `{figures} pF`"
            ));
        }
        if let Some(prefix @ ('N' | 'P')) = letter {
            let small = prefix.to_ascii_lowercase();
            return self.ambiguous(format!(
                "`{prefix}` may be a unit or a tolerance; write `{figures}{small}F`, or the tolerance in per cent"
            ));
        }
        let power = match figures.as_bytes()[2] {
            // IEC 60062: third figure 8 multiplies by 0.01, 9 by 0.1 (as quoted in a public summary).
            b'8' => -2,
            b'9' => -1,
            figure => i32::from(figure - b'0'),
        };
        self.finish_number(
            &figures[..2],
            0,
            power - 12,
            Some(Remark::ThreeFigureCode),
            letter,
        )
        .map(Some)
    }

    /// A number without a word.
    pub(super) fn bare(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        match self.quantity {
            Quantity::Resistance | Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio => {
                self.finish(written, 0, None, None)
            }
            Quantity::Inductance => {
                self.ambiguous("an inductance without a unit may be in H, mH or µH; write the unit")
            }
            Quantity::Current => {
                self.ambiguous("a current without a unit may be in A, mA or µA; write the unit")
            }
            Quantity::Capacitance if written.is_below_one() => {
                self.finish(written, -6, Some(Remark::BareMicrofarad), None)
            }
            Quantity::Capacitance => {
                self.ambiguous("a capacitance without a unit may be in pF or µF; write the unit")
            }
        }
    }

    /// `4.7k`, `1 Meg`, `250 pF`, and with a tolerance letter `47KJ`.
    pub(super) fn number_and_word(
        self,
        written: &WrittenNumber,
    ) -> Result<MarkedValue, ValueError> {
        let word = &written.word;
        let whole = self.power(word, false);
        let Err(ValueError::UnknownUnit { .. }) = whole else {
            let (power, remark) = whole?;
            return self.finish(written, power, remark, None);
        };
        let shorter = word
            .strip_suffix(|c: char| c.is_ascii_uppercase())
            .filter(|short| !short.is_empty() && !written.spaced);
        match shorter.map(|short| (self.power(short, false), self.letter(&word[short.len()..]))) {
            Some((Ok((power, remark)), Ok(letter))) => {
                self.finish(written, power, remark, Some(letter))
            }
            _ => whole.and_then(|(power, remark)| self.finish(written, power, remark, None)),
        }
    }

    fn ambiguous<T>(self, meanings: impl Into<String>) -> Result<T, ValueError> {
        Err(ValueError::Ambiguous {
            text: self.text.to_owned(),
            meanings: meanings.into(),
        })
    }

    fn power(self, word: &str, within: bool) -> Result<(i32, Option<Remark>), ValueError> {
        match unit_word(word, self.quantity, self.drawing, within) {
            UnitWord::Power(power, remark) => Ok((power, remark)),
            UnitWord::Ambiguous(meanings) => {
                self.ambiguous(format!("`{word}` may mean {meanings}"))
            }
            UnitWord::Unknown => Err(ValueError::UnknownUnit {
                text: self.text.to_owned(),
                word: word.to_owned(),
                quantity: self.quantity,
            }),
        }
    }

    /// The one capital letter that `tail` must be.
    fn letter(self, tail: &str) -> Result<char, ValueError> {
        let mut letters = tail.chars();
        match (letters.next(), letters.next()) {
            (Some(letter), None) if letter.is_ascii_uppercase() => Ok(letter),
            _ => Err(ValueError::UnknownUnit {
                text: self.text.to_owned(),
                word: tail.to_owned(),
                quantity: self.quantity,
            }),
        }
    }

    fn finish(
        self,
        written: &WrittenNumber,
        power: i32,
        remark: Option<Remark>,
        letter: Option<char>,
    ) -> Result<MarkedValue, ValueError> {
        self.finish_number(&written.mantissa, written.exponent, power, remark, letter)
    }

    /// Makes the value. The text of the number and its power of ten are converted in one step, so nothing is rounded twice.
    fn finish_number(
        self,
        mantissa: &str,
        exponent: i32,
        power: i32,
        remark: Option<Remark>,
        letter: Option<char>,
    ) -> Result<MarkedValue, ValueError> {
        let value: f64 = format!("{mantissa}e{}", exponent.saturating_add(power))
            .parse()
            .unwrap_or(f64::NAN);
        let text = || self.text.to_owned();
        if value == 0.0 && mantissa.bytes().all(|byte| matches!(byte, b'0' | b'.')) {
            return Err(if self.quantity.is_signed() {
                ValueError::Zero { text: text() }
            } else {
                ValueError::NotPositive { text: text() }
            });
        }
        let amount = Amount::new(self.quantity, value).filter(|amount| amount.value() > 0.0);
        let amount = amount.ok_or_else(|| ValueError::OutOfRange { text: text() })?;
        let tolerance = letter
            .map(|letter| letter_tolerance(letter, amount))
            .transpose();
        let tolerance = tolerance.map_err(|source| ValueError::Tolerance {
            text: text(),
            source,
        })?;
        Ok(MarkedValue {
            amount,
            tolerance,
            remarks: remark.into_iter().collect(),
        })
    }
}

/// A word behind a number, understood.
pub(super) enum UnitWord {
    /// A power of ten of the base unit, and what has to be said about it.
    Power(i32, Option<Remark>),
    /// A word with more than one meaning: the meanings, and what to write instead.
    Ambiguous(&'static str),
    /// No word of this quantity.
    Unknown,
}

/// Units that a resistance may carry, the longest first.
const OHM: [&str; 4] = ["ohms", "ohm", "Ω", "ω"];
/// Units that a capacitance may carry, the longest first.
const FARAD: [&str; 4] = ["farads", "farad", "fd", "f"];
/// Units that an inductance may carry, the longest first. `Hy` is common practice, no source.
const HENRY: [&str; 5] = ["henries", "henrys", "henry", "hy", "h"];
/// Units that a direct voltage may carry, the longest first.
const VOLT: [&str; 5] = ["volts", "volt", "vdc", "v=", "v"];
/// Units that an alternating voltage may carry, the longest first.
const VOLT_AC: [&str; 7] = ["voltsac", "voltac", "volts", "volt", "vac", "v~", "v"];
/// Units that a current may carry, the longest first.
const AMPERE: [&str; 6] = ["amperes", "ampere", "amps", "adc", "amp", "a"];

/// Reads `word`: letters without blanks or dots, micro and omega already in one code point each.
/// `within` says that figures follow the word, as in `4K7`.
pub(super) fn unit_word(
    word: &str,
    quantity: Quantity,
    drawing: Drawing,
    within: bool,
) -> UnitWord {
    match quantity {
        Quantity::Resistance => resistance(word, drawing),
        Quantity::Capacitance => capacitance(word, within),
        Quantity::Ratio => UnitWord::Unknown,
        Quantity::Inductance | Quantity::Voltage | Quantity::Current | Quantity::AcVoltage => {
            with_unit(word, quantity)
        }
    }
}

const fn units(quantity: Quantity) -> &'static [&'static str] {
    match quantity {
        Quantity::Resistance => &OHM,
        Quantity::Capacitance => &FARAD,
        Quantity::Inductance => &HENRY,
        Quantity::Voltage => &VOLT,
        Quantity::Current => &AMPERE,
        Quantity::AcVoltage => &VOLT_AC,
        Quantity::Ratio => &[],
    }
}

/// Whether `word` is a unit of `quantity` without a prefix.
pub(super) fn is_plain_unit(word: &str, quantity: Quantity) -> bool {
    units(quantity)
        .iter()
        .any(|unit| word.eq_ignore_ascii_case(unit))
}

fn resistance(word: &str, drawing: Drawing) -> UnitWord {
    let (prefix, unit) = split_unit(word, &OHM);
    match prefix {
        "" if drawing.m_is_thousand && unit == Some("Ω") => {
            UnitWord::Power(0, Some(Remark::OmegaMayBeMillion))
        }
        "" => UnitWord::Power(0, None),
        "r" | "R" if unit.is_none() => UnitWord::Power(0, None),
        "M" | "m" if drawing.m_is_thousand => UnitWord::Power(3, Some(Remark::MIsThousand)),
        "M" => UnitWord::Power(6, None),
        "m" if unit.is_some() => UnitWord::Power(-3, Some(Remark::SmallMIsMilli)),
        "m" => UnitWord::Ambiguous("a million, a thousand or a thousandth; write `M`, `k` or `mΩ`"),
        _ => named_prefix(prefix, unit.is_some()),
    }
}

fn named_prefix(prefix: &str, has_unit: bool) -> UnitWord {
    let power = match prefix.to_ascii_lowercase().as_str() {
        "k" | "kil" | "kilo" => 3,
        "meg" | "megs" | "mega" => 6,
        "g" | "gig" | "giga" => 9,
        "t" | "ter" | "tera" => 12,
        "milli" if has_unit => -3,
        "u" | "µ" | "micro" if has_unit => -6,
        "n" | "nano" if has_unit => -9,
        "p" | "pico" if has_unit => -12,
        _ => return UnitWord::Unknown,
    };
    UnitWord::Power(power, None)
}

fn capacitance(word: &str, within: bool) -> UnitWord {
    let (prefix, unit) = split_unit(word, &FARAD);
    let lower = prefix.to_ascii_lowercase();
    match (lower.as_str(), unit) {
        ("", Some(_)) => UnitWord::Power(0, None),
        ("m", Some("fd")) | ("u" | "µ" | "micro", _) => UnitWord::Power(-6, None),
        ("m", Some(_)) => UnitWord::Power(-6, Some(Remark::MfIsMicrofarad)),
        ("m", None) if within && prefix == "m" => UnitWord::Power(-3, Some(Remark::SmallMIsMilli)),
        ("m", None) => UnitWord::Ambiguous(
            "microfarad on old lists, otherwise a thousandth of a farad; write `µF`",
        ),
        ("mm" | "uu" | "µµ" | "micromicro", Some(_)) | ("p" | "pico", _) => {
            UnitWord::Power(-12, None)
        }
        ("n" | "nano", _) => UnitWord::Power(-9, None),
        ("milli", Some(_)) => UnitWord::Power(-3, None),
        _ => UnitWord::Unknown,
    }
}

/// A word that must name its unit: `mH`, `kV`, `µA`.
///
/// A capital `M` is a thousandth: lists in capitals write `10 MH` and `60 MA` (common practice, no source), and nobody
/// measures megahenry, megavolt or megaampere on a chassis.
fn with_unit(word: &str, quantity: Quantity) -> UnitWord {
    let (prefix, Some(_)) = split_unit(word, units(quantity)) else {
        return UnitWord::Unknown;
    };
    if prefix == "M" {
        return UnitWord::Power(-3, Some(Remark::CapitalMIsMilli));
    }
    let power = match prefix.to_ascii_lowercase().as_str() {
        "" => 0,
        // `47KH` is 47 kΩ with the letter H: there are no kilohenries.
        "k" | "kilo" if quantity != Quantity::Inductance => 3,
        "m" | "milli" => -3,
        "u" | "µ" | "micro" => -6,
        "n" | "nano" => -9,
        "p" | "pico" => -12,
        _ => return UnitWord::Unknown,
    };
    UnitWord::Power(power, None)
}

/// Takes a unit off the end of `word`, upper and lower case alike.
fn split_unit<'a>(word: &'a str, units: &[&'static str]) -> (&'a str, Option<&'static str>) {
    for &unit in units {
        let start = word.len().checked_sub(unit.len());
        let split = start.and_then(|start| Some((word.get(..start)?, word.get(start..)?)));
        if let Some((prefix, end)) = split
            && end.eq_ignore_ascii_case(unit)
        {
            return (prefix, Some(unit));
        }
    }
    (word, None)
}

/// Reads `38:1`, `1 : 3` (0.333) or a plain number `38`: turns of the primary over those of the secondary.
pub(super) fn parse_ratio(text: &str) -> Result<MarkedValue, ValueError> {
    let text = text.trim();
    let shown = || text.to_owned();
    if text.is_empty() {
        return Err(ValueError::Empty);
    }
    let number = |part: &str| {
        let part = part.trim();
        let plain = part.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
        let number = part.parse::<f64>().ok().filter(|_| plain);
        number.ok_or_else(|| ValueError::NotARatio { text: shown() })
    };
    let (first, second) = text.split_once(':').unwrap_or((text, "1"));
    let (first, second) = (number(first)?, number(second)?);
    if first <= 0.0 || second <= 0.0 {
        return Err(ValueError::NotPositive { text: shown() });
    }
    let amount = Amount::new(Quantity::Ratio, first / second).filter(|ratio| ratio.value() > 0.0);
    Ok(MarkedValue {
        amount: amount.ok_or_else(|| ValueError::OutOfRange { text: shown() })?,
        tolerance: None,
        remarks: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ratio_is_read_in_both_directions_and_as_a_number() {
        let read = |text| parse_ratio(text).map(|value| value.amount.value());
        for text in ["38:1", " 38 : 1 ", "38", "76:2", "3.8e1:1"] {
            assert_eq!(read(text), Ok(38.0), "{text}");
        }
        assert_eq!(read("1:4"), Ok(0.25));
        for text in ["38:1:1", "a:1", ":1", "38:", "inf:1", "38 Ω", "NaN"] {
            assert!(
                matches!(read(text), Err(ValueError::NotARatio { .. })),
                "{text}"
            );
        }
        for text in ["0:1", "38:0", "-38:1"] {
            assert!(
                matches!(read(text), Err(ValueError::NotPositive { .. })),
                "{text}"
            );
        }
        assert!(matches!(
            read("1e300:1e-300"),
            Err(ValueError::OutOfRange { .. })
        ));
    }
}
