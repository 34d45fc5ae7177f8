//! [`ValueReader`]: the ways to read the pieces of a written value.

use super::tolerance_text::letter_tolerance;
use super::unit_word::{UnitWord, is_plain_unit, unit_word};
use super::written_number::WrittenNumber;
use super::{Amount, Drawing, MarkedValue, Quantity, Remark, ValueError};

/// What is being read, and how.
#[derive(Clone, Copy)]
pub(super) struct ValueReader<'a> {
    /// The whole text, without blanks at its ends.
    pub(super) text: &'a str,
    /// What it is to be a value of.
    pub(super) quantity: Quantity,
    /// The conventions of the drawing.
    pub(super) drawing: Drawing,
}

impl ValueReader<'_> {
    /// `4K7`, `R47`, `2µ2F`, `4K7J`: the letter stands for the decimal point.
    pub(super) fn letter_code(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
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
    pub(super) fn three_figure_code(
        self,
        written: &WrittenNumber,
    ) -> Result<Option<MarkedValue>, ValueError> {
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
    pub(super) fn bare(self, written: &WrittenNumber) -> Result<MarkedValue, ValueError> {
        match self.quantity {
            Quantity::Resistance | Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio => {
                self.finish(written, 0, None, None)
            }
            Quantity::Inductance => Err(ValueError::Ambiguous {
                text: self.text.to_owned(),
                meanings: "an inductance without a unit may be in H, mH or µH; write the unit"
                    .to_owned(),
            }),
            Quantity::Current => Err(ValueError::Ambiguous {
                text: self.text.to_owned(),
                meanings: "a current without a unit may be in A, mA or µA; write the unit"
                    .to_owned(),
            }),
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
    pub(super) fn number_and_word(
        self,
        written: &WrittenNumber,
    ) -> Result<MarkedValue, ValueError> {
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
