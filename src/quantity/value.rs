//! [`parse_value`]: a resistance or capacitance as the trade writes it.

use thiserror::Error;

use super::tolerance_letter::letter_tolerance;
use super::unit_word::{UnitWord, is_plain_unit, unit_word};
use super::written_number::WrittenNumber;
use super::{Amount, Drawing, Quantity, Remark, Tolerance, ToleranceError};

/// A value that was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedValue {
    /// The value itself.
    pub amount: Amount,
    /// The tolerance, where a letter behind the value gave one: `473K`, `4K7J`.
    pub tolerance: Option<Tolerance>,
    /// What had to be decided while reading.
    pub remarks: Vec<Remark>,
}

/// Why a text is no value.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ValueError {
    /// Nothing but blanks.
    #[error("found nothing, expected a value such as `4K7`, `820` or `47n`")]
    Empty,
    /// The text does not begin like a value, or figures stand where none can.
    #[error("found `{text}`, expected a value such as `4K7`, `4.7k`, `.047 MFD` or `47n`")]
    NotAValue {
        /// The text.
        text: String,
    },
    /// The word behind the number is not known for the quantity.
    #[error("found `{word}` behind the number in `{text}`, expected a unit of {quantity} such as {examples}", examples = examples(*quantity))]
    UnknownUnit {
        /// The text.
        text: String,
        /// The word.
        word: String,
        /// The quantity that was expected.
        quantity: Quantity,
    },
    /// A comma: a decimal sign for some, a separator of thousands for others.
    #[error(
        "found a comma in `{text}`, expected a full stop as the decimal sign and nothing between thousands"
    )]
    Comma {
        /// The text.
        text: String,
    },
    /// Zero or less.
    #[error("found `{text}`, expected a value above zero")]
    NotPositive {
        /// The text.
        text: String,
    },
    /// The number is too large or too small to be kept.
    #[error("found `{text}`, expected a value within the range of the program's numbers")]
    OutOfRange {
        /// The text.
        text: String,
    },
    /// The text has more than one meaning.
    #[error("found `{text}`, which is ambiguous: {meanings}")]
    Ambiguous {
        /// The text.
        text: String,
        /// The meanings and what to write instead.
        meanings: String,
    },
    /// The text is good for a resistance and for a capacitance.
    #[error(
        "found `{text}`, which is ambiguous: {resistance} or {capacitance}; say which quantity is meant, or write the unit"
    )]
    AmbiguousQuantity {
        /// The text.
        text: String,
        /// Read as a resistance.
        resistance: Amount,
        /// Read as a capacitance.
        capacitance: Amount,
    },
    /// The letter behind the value is no good tolerance.
    #[error("in `{text}`: {source}")]
    Tolerance {
        /// The text.
        text: String,
        /// What is wrong with the letter.
        source: ToleranceError,
    },
}

impl ValueError {
    /// Whether the text has more than one meaning, rather than none.
    pub(super) const fn is_ambiguity(&self) -> bool {
        matches!(self, Self::Ambiguous { .. } | Self::Tolerance { .. })
    }

    /// The error to show for a text that is good neither for a resistance nor for a capacitance: an ambiguity rather
    /// than a misfit, since it comes nearer to what was meant.
    pub(super) fn of_both(resistance: Self, capacitance: Self) -> Self {
        match (resistance, capacitance) {
            (
                Self::Ambiguous {
                    text,
                    meanings: first,
                },
                Self::Ambiguous {
                    meanings: second, ..
                },
            ) => Self::Ambiguous {
                text,
                meanings: format!("as a resistance, {first}; as a capacitance, {second}"),
            },
            (resistance, capacitance)
                if capacitance.is_ambiguity() && !resistance.is_ambiguity() =>
            {
                capacitance
            }
            (resistance, _) => resistance,
        }
    }
}

const fn examples(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Resistance => "`R`, `k`, `M`, `Meg` or `Ω`",
        Quantity::Capacitance => "`pF`, `nF`, `µF`, `MFD` or `MMF`",
    }
}

/// Reads a value as the trade writes it.
///
/// Accepted are: numbers with a word (`4.7k`, `1 Meg`, `.047 MFD`, `470 MMF`, `250 pF`, `820 ohms`), the letter code of
/// IEC 60062 (`4K7`, `6R8`, `p33`, `2µ2`) with or without a tolerance letter, and for capacitors the code of three
/// figures in picofarad (`473`, `104`, `229`) with or without a tolerance letter.
///
/// A bare number is in ohm for a resistance. For a capacitance it is in microfarad if it is below one (reported), the
/// three-figure code if it is that (reported), and otherwise ambiguous: `250` is refused, `250 pF` is not. So is a third
/// figure of nought (`220` is 22 pF by the code, 220 pF in plain writing).
/// `mF` and `MF` are microfarad, as old lists mean them (reported).
/// A decimal comma is refused, because old lists separate thousands by it.
///
/// Without a `quantity` the text is tried as both; if it is good for both it is ambiguous.
///
/// # Errors
/// [`ValueError`] says what was found and what was expected.
pub fn parse_value(
    text: &str,
    quantity: Option<Quantity>,
    drawing: Drawing,
) -> Result<MarkedValue, ValueError> {
    if let Some(quantity) = quantity {
        return parse_as(text, quantity, drawing);
    }
    let resistance = parse_as(text, Quantity::Resistance, drawing);
    let capacitance = parse_as(text, Quantity::Capacitance, drawing);
    match (resistance, capacitance) {
        (Ok(resistance), Ok(capacitance)) => Err(ValueError::AmbiguousQuantity {
            text: text.trim().to_owned(),
            resistance: resistance.amount,
            capacitance: capacitance.amount,
        }),
        (Ok(value), Err(_)) | (Err(_), Ok(value)) => Ok(value),
        (Err(resistance), Err(capacitance)) => Err(ValueError::of_both(resistance, capacitance)),
    }
}

fn parse_as(text: &str, quantity: Quantity, drawing: Drawing) -> Result<MarkedValue, ValueError> {
    let written = WrittenNumber::split(text)?;
    let reader = Reader {
        text: text.trim(),
        quantity,
        drawing,
    };
    if written.is_within() {
        return reader.letter_code(&written);
    }
    if quantity == Quantity::Capacitance && written.is_three_figures() {
        if let Some(value) = reader.three_figure_code(&written)? {
            return Ok(value);
        }
    }
    if written.word().is_empty() {
        reader.bare(&written)
    } else {
        reader.number_and_word(&written)
    }
}

/// What is being read, and how.
#[derive(Clone, Copy)]
struct Reader<'a> {
    text: &'a str,
    quantity: Quantity,
    drawing: Drawing,
}

impl Reader<'_> {
    /// `4K7`, `R47`, `2µ2F`, `4K7J`: the letter stands for the decimal point.
    fn letter_code(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        let (power, remark) = self.power(written.word(), true)?;
        let tail = written.tail();
        let letter = if tail.is_empty() || is_plain_unit(tail, self.quantity) {
            None
        } else {
            Some(self.letter(tail)?)
        };
        self.finish(written, power, remark, letter)
    }

    /// `473`, `104K`: two figures and a power of ten, in picofarad. `None` if the word behind makes it another writing.
    fn three_figure_code(self, written: &WrittenNumber) -> Result<Option<MarkedValue>, ValueError> {
        let letter = match written.word() {
            "" => None,
            word if written.is_spaced()
                || word.len() > 1
                || !word.starts_with(|c: char| c.is_ascii_uppercase() && c != 'U') =>
            {
                return Ok(None);
            }
            word => word.chars().next(),
        };
        let figures = written.figures();
        let ambiguous = |meanings: String| {
            Err(ValueError::Ambiguous {
                text: self.text.to_owned(),
                meanings,
            })
        };
        if figures.starts_with('0') || figures.ends_with('0') {
            return ambiguous(format!(
                "a number without unit or a code of two figures and a power of ten; write the unit, such as `{figures} pF`"
            ));
        }
        if let Some(prefix @ ('N' | 'P')) = letter {
            let small = prefix.to_ascii_lowercase();
            return ambiguous(format!(
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
    fn bare(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        match self.quantity {
            Quantity::Resistance => self.finish(written, 0, None, None),
            Quantity::Capacitance if written.is_below_one() => {
                self.finish(written, -6, Some(Remark::BareMicrofarad), None)
            }
            Quantity::Capacitance => Err(ValueError::Ambiguous {
                text: self.text.to_owned(),
                meanings: "a capacitance without a unit may be in pF or µF; write the unit"
                    .to_owned(),
            }),
        }
    }

    /// `4.7k`, `1 Meg`, `250 pF`, and with a tolerance letter `47KJ`.
    fn number_and_word(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        let word = written.word();
        let whole = self.power(word, false);
        let Err(ValueError::UnknownUnit { .. }) = whole else {
            let (power, remark) = whole?;
            return self.finish(written, power, remark, None);
        };
        let shorter = word
            .strip_suffix(|c: char| c.is_ascii_uppercase())
            .filter(|short| !short.is_empty() && !written.is_spaced());
        match shorter.map(|short| (self.power(short, false), self.letter(&word[short.len()..]))) {
            Some((Ok((power, remark)), Ok(letter))) => {
                self.finish(written, power, remark, Some(letter))
            }
            _ => whole.and_then(|(power, remark)| self.finish(written, power, remark, None)),
        }
    }

    fn power(self, word: &str, within: bool) -> Result<(i32, Option<Remark>), ValueError> {
        match unit_word(word, self.quantity, self.drawing, within) {
            UnitWord::Power(power, remark) => Ok((power, remark)),
            UnitWord::Ambiguous(meanings) => Err(ValueError::Ambiguous {
                text: self.text.to_owned(),
                meanings: format!("`{word}` may mean {meanings}"),
            }),
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
        self.finish_number(
            written.mantissa(),
            written.exponent(),
            power,
            remark,
            letter,
        )
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
            return Err(ValueError::NotPositive { text: text() });
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const MODERN: Drawing = Drawing {
        m_is_thousand: false,
    };
    const M_IS_THOUSAND: Drawing = Drawing {
        m_is_thousand: true,
    };

    fn check(text: &str, quantity: Quantity, value: f64, remarks: &[Remark]) {
        let read = parse_value(text, Some(quantity), MODERN)
            .unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(read.amount, Amount::new(quantity, value).unwrap(), "{text}");
        assert_eq!(read.remarks, remarks, "{text}");
    }

    #[test]
    fn resistances_are_read_in_every_writing() {
        for text in [
            "4K7",
            "4k7",
            "4.7k",
            "4.7 K",
            "4.7kΩ",
            "4.7 k\u{2126}",
            "4700",
            "4700 ohms",
            "4.7 K ohms",
            "4.7 kilohms",
            "4.7e3",
            "4K70",
            "0.0047M",
        ] {
            check(text, Quantity::Resistance, 4700.0, &[]);
        }
        for text in [
            "1 Meg", "1M", "1M0", "1 MΩ", "1 megohm", "1 MEG.", "1000K", "1 Megs",
        ] {
            check(text, Quantity::Resistance, 1e6, &[]);
        }
        check("6R8", Quantity::Resistance, 6.8, &[]);
        check("820", Quantity::Resistance, 820.0, &[]);
        check("R47", Quantity::Resistance, 0.47, &[]);
        check(
            "12 mΩ",
            Quantity::Resistance,
            0.012,
            &[Remark::SmallMIsMilli],
        );
    }

    #[test]
    fn capacitances_are_read_in_every_writing() {
        for text in [
            "47n",
            "47nF",
            ".047 MFD",
            "0.047uF",
            ".047 µF",
            ".047 \u{3bc}F",
            "47 NF",
            "47000 pF",
            "47000 MMF",
            "47000 µµF",
            "47000 uuF",
            "0.047 mfd.",
            ".047 M.F.D.",
        ] {
            check(text, Quantity::Capacitance, 47e-9, &[]);
        }
        check("470 MMF", Quantity::Capacitance, 470e-12, &[]);
        check("470 MMFD", Quantity::Capacitance, 470e-12, &[]);
        check("250 pF", Quantity::Capacitance, 250e-12, &[]);
        check("16uF", Quantity::Capacitance, 16e-6, &[]);
        check("2µ2", Quantity::Capacitance, 2.2e-6, &[]);
        check("p33", Quantity::Capacitance, 0.33e-12, &[]);
        check(
            "16 mF",
            Quantity::Capacitance,
            16e-6,
            &[Remark::MfIsMicrofarad],
        );
        check(
            "16MF",
            Quantity::Capacitance,
            16e-6,
            &[Remark::MfIsMicrofarad],
        );
        check("1m0", Quantity::Capacitance, 1e-3, &[Remark::SmallMIsMilli]);
        check(
            ".05",
            Quantity::Capacitance,
            0.05e-6,
            &[Remark::BareMicrofarad],
        );
    }

    #[test]
    fn old_notation_is_a_setting_and_is_reported() {
        let old = |text| {
            parse_value(text, Some(Quantity::Resistance), M_IS_THOUSAND)
                .map(|read| (read.amount.value(), read.remarks))
        };
        assert_eq!(old("10M"), Ok((10e3, vec![Remark::MIsThousand])));
        assert_eq!(old("22 m"), Ok((22e3, vec![Remark::MIsThousand])));
        assert_eq!(old("1 Meg"), Ok((1e6, vec![])));
        assert_eq!(old("1Ω"), Ok((1.0, vec![Remark::OmegaMayBeMillion])));
        assert!(matches!(
            parse_value("22 m", Some(Quantity::Resistance), MODERN),
            Err(ValueError::Ambiguous { .. })
        ));
    }

    #[test]
    fn what_has_two_meanings_is_refused() {
        for text in [
            "250", "220", "016", "8", "50", "1000", "470N", "470P", "8M", "8 m", "473P", "100K",
        ] {
            let read = parse_value(text, Some(Quantity::Capacitance), MODERN);
            assert!(
                matches!(
                    read,
                    Err(ValueError::Ambiguous { .. } | ValueError::Tolerance { .. })
                ),
                "{text}: {read:?}"
            );
        }
        for text in ["473", "473K", ".05", "8MF"] {
            assert!(
                matches!(
                    parse_value(text, None, MODERN),
                    Err(ValueError::AmbiguousQuantity { .. })
                ),
                "{text}"
            );
        }
    }

    #[test]
    fn the_writing_tells_the_quantity_where_it_can() {
        let quantity = |text| parse_value(text, None, MODERN).map(|read| read.amount.quantity());
        for text in ["4K7", "820", "6R8", "470K", "1 Meg", "10M"] {
            assert_eq!(quantity(text), Ok(Quantity::Resistance), "{text}");
        }
        for text in ["47n", ".047 MFD", "250 pF", "2µ2", "8 MF"] {
            assert_eq!(quantity(text), Ok(Quantity::Capacitance), "{text}");
        }
    }

    #[test]
    fn a_letter_behind_the_value_is_its_tolerance() {
        let tolerance =
            |text, quantity| parse_value(text, Some(quantity), MODERN).map(|read| read.tolerance);
        for text in ["4K7K", "470RK", "47KK", "47MK"] {
            assert_eq!(
                tolerance(text, Quantity::Resistance),
                Ok(Tolerance::symmetric(10.0).ok()),
                "{text}"
            );
        }
        for text in ["473K", "4n7K", "47nK", "100pK", "2µ2K"] {
            assert_eq!(
                tolerance(text, Quantity::Capacitance),
                Ok(Tolerance::symmetric(10.0).ok()),
                "{text}"
            );
        }
        assert_eq!(
            tolerance("1MF", Quantity::Resistance),
            Ok(Tolerance::symmetric(1.0).ok())
        );
    }

    #[test]
    fn what_is_no_value_is_refused_with_the_reason() {
        let error = |text| parse_value(text, Some(Quantity::Resistance), MODERN).unwrap_err();
        assert_eq!(error(" "), ValueError::Empty);
        assert!(matches!(error("4,7k"), ValueError::Comma { .. }));
        assert!(matches!(error("-4K7"), ValueError::NotPositive { .. }));
        assert!(matches!(error("0"), ValueError::NotPositive { .. }));
        assert!(matches!(error("0R0"), ValueError::NotPositive { .. }));
        assert!(matches!(error("47 nF"), ValueError::UnknownUnit { .. }));
        assert!(matches!(error("1e999"), ValueError::OutOfRange { .. }));
        assert!(matches!(error("1e-999"), ValueError::OutOfRange { .. }));
        for text in [
            "K",
            "4K7K7",
            "4 K7",
            "4.7K7",
            "1.2.3",
            "10 000",
            "k\u{2009}",
            ".",
            ".",
        ] {
            assert!(
                matches!(
                    error(text),
                    ValueError::NotAValue { .. } | ValueError::UnknownUnit { .. }
                ),
                "{text}: {:?}",
                error(text)
            );
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC*", short in "[0-9.eE+kKMRmpnuµΩFJ ]{0,10}") {
            for quantity in [None, Some(Quantity::Resistance), Some(Quantity::Capacitance)] {
                let _ = parse_value(&text, quantity, MODERN);
                let _ = parse_value(&short, quantity, M_IS_THOUSAND);
            }
        }
    }
}
