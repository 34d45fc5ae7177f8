//! [`WrittenNumber`]: a value's text taken apart into number, word and tail, before anything is understood.

use std::borrow::Cow;

use super::ValueError;

/// The pieces of `4.7 kΩ` (number, word) or `4K7J` (whole figures, word, figures behind, tail).
pub(super) struct WrittenNumber {
    /// `4.7`, ready for the standard parser together with an exponent.
    pub(super) mantissa: String,
    /// The exponent that was written: 3 in `4.7e3`.
    pub(super) exponent: i32,
    /// Whether the number has neither a point nor an exponent.
    whole: bool,
    /// Whether a blank parts number and word.
    pub(super) spaced: bool,
    /// The word without blanks and dots.
    pub(super) word: String,
    /// Text behind the figures after the word; `None` if there are none.
    tail: Option<String>,
}

impl WrittenNumber {
    /// Takes `text` apart.
    pub(super) fn split(text: &str) -> Result<Self, ValueError> {
        let text = &decimal_fraction(text.trim());
        let fail = || ValueError::NotAValue {
            text: text.to_string(),
        };
        refuse_signs(text)?;
        let number = leading_number(text);
        let (exponent_text, rest) = leading_exponent(&text[number.len()..], number);
        let whole = !number.contains('.') && exponent_text.is_empty();
        let spaced = rest.starts_with(char::is_whitespace);
        let exponent = if exponent_text.is_empty() {
            0
        } else {
            exponent_text.parse().map_err(|_| fail())?
        };
        let (word, behind) = rest.split_at(
            rest.find(|c: char| c.is_ascii_digit())
                .unwrap_or(rest.len()),
        );
        let mut pieces = Self {
            mantissa: number.to_owned(),
            exponent,
            whole,
            spaced,
            word: tidy_word(word),
            tail: None,
        };
        if behind.is_empty() {
            return if number.contains(|c: char| c.is_ascii_digit()) {
                Ok(pieces)
            } else {
                Err(fail())
            };
        }
        if !whole || word.contains(|c: char| c.is_whitespace() || c == '.') {
            return Err(fail());
        }
        let (fraction, tail) = behind.split_at(
            behind
                .find(|c: char| !c.is_ascii_digit())
                .unwrap_or(behind.len()),
        );
        if tail.contains(|c: char| c.is_ascii_digit()) {
            return Err(fail());
        }
        pieces.mantissa = format!(
            "{}.{fraction}",
            if number.is_empty() { "0" } else { number }
        );
        pieces.tail = Some(tidy_word(tail));
        Ok(pieces)
    }

    /// Whether the word stands within the figures, as in `4K7` and `R47`.
    pub(super) const fn is_within(&self) -> bool {
        self.tail.is_some()
    }

    /// Whether the number is three figures and nothing else.
    pub(super) fn is_three_figures(&self) -> bool {
        self.whole && self.tail.is_none() && self.mantissa.len() == 3
    }

    /// Whether the number is below one.
    pub(super) fn is_below_one(&self) -> bool {
        format!("{}e{}", self.mantissa, self.exponent)
            .parse::<f64>()
            .is_ok_and(|value| value < 1.0)
    }

    /// Text after a letter code.
    pub(super) fn tail(&self) -> &str {
        self.tail.as_deref().unwrap_or("")
    }
}

/// The halves and quarters that old lists write (`½ Meg`, `1/4 Meg`) at the start of `text`, as decimal numbers.
fn decimal_fraction(text: &str) -> Cow<'_, str> {
    let fractions = [
        ("½", "0.5"),
        ("1/2", "0.5"),
        ("¼", "0.25"),
        ("1/4", "0.25"),
        ("¾", "0.75"),
        ("3/4", "0.75"),
    ];
    let is_figure = |c: char| c.is_ascii_digit() || c == '.';
    for (fraction, decimal) in fractions {
        if let Some(rest) = text
            .strip_prefix(fraction)
            .filter(|rest| !rest.starts_with(is_figure))
        {
            return Cow::Owned(format!("{decimal}{rest}"));
        }
    }
    Cow::Borrowed(text)
}

/// Refuses what can never begin or be part of a value.
fn refuse_signs(text: &str) -> Result<(), ValueError> {
    match text.chars().next() {
        None => Err(ValueError::Empty),
        Some('-' | '−' | '–') => Err(ValueError::NotPositive {
            text: text.to_owned(),
        }),
        _ if text.contains(',') => Err(ValueError::Comma {
            text: text.to_owned(),
        }),
        _ => Ok(()),
    }
}

/// Figures with at most one point, from the start of `text`.
fn leading_number(text: &str) -> &str {
    let mut points = 0;
    let end = text.find(|c: char| {
        points += usize::from(c == '.');
        !(c.is_ascii_digit() || c == '.' && points == 1)
    });
    &text[..end.unwrap_or(text.len())]
}

/// `e3` or `E-6` at the start of `rest`, behind a number: the exponent's text and what follows.
fn leading_exponent<'a>(rest: &'a str, number: &str) -> (&'a str, &'a str) {
    let Some(behind) = rest.strip_prefix(['e', 'E']).filter(|_| !number.is_empty()) else {
        return ("", rest);
    };
    let figures = behind.strip_prefix(['+', '-']).unwrap_or(behind);
    let count = figures.bytes().take_while(u8::is_ascii_digit).count();
    if count == 0 {
        ("", rest)
    } else {
        behind.split_at(behind.len() - figures.len() + count)
    }
}

/// The word without blanks and dots, micro and omega in one code point each.
fn tidy_word(word: &str) -> String {
    let letters = word.chars().filter(|c| !c.is_whitespace() && *c != '.');
    letters
        .map(|c| match c {
            '\u{3bc}' => '\u{b5}',
            '\u{2126}' => '\u{3a9}',
            other => other,
        })
        .collect()
}

/// Figures `d.ddd` times ten to `exponent`.
pub(super) struct Decimal {
    negative: bool,
    figures: String,
    exponent: i32,
}

impl Decimal {
    /// The shortest figures that read back as `value`, which is finite.
    pub(super) fn shortest(value: f64) -> Self {
        Self::from_scientific(&format!("{value:e}"))
    }

    /// `value`, which is finite, rounded to `count` significant figures (at least one, at most seventeen).
    pub(super) fn rounded(value: f64, count: usize) -> Self {
        Self::from_scientific(&format!("{value:.*e}", count.clamp(1, 17) - 1))
    }

    /// Takes apart what the standard formatter writes: `-4.7e3`.
    fn from_scientific(text: &str) -> Self {
        let (mantissa, exponent) = text.split_once('e').unwrap_or((text, "0"));
        let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
        Self {
            negative: mantissa.starts_with('-'),
            figures,
            exponent: exponent.parse().unwrap_or(0),
        }
    }

    /// The power of ten of the first figure.
    pub(super) const fn exponent(&self) -> i32 {
        self.exponent
    }

    /// The number itself, correctly rounded.
    pub(super) fn value(&self) -> f64 {
        let sign = if self.negative { "-" } else { "" };
        let (first, others) = self.figures.split_at(1.min(self.figures.len()));
        format!("{sign}{first}.{others}e{}", self.exponent)
            .parse()
            .unwrap_or(f64::NAN)
    }

    /// The number divided by ten to `shift`, written without an exponent and without idle zeros at the end.
    pub(super) fn divided_by_power_of_ten(&self, shift: i32) -> String {
        let kept = self.figures.trim_end_matches('0');
        let before_point = self.exponent - shift + 1;
        let mut text = String::from(if self.negative { "-" } else { "" });
        match usize::try_from(before_point) {
            _ if kept.is_empty() => text.push('0'),
            Ok(count) if count >= kept.len() => {
                text.push_str(kept);
                text.extend(std::iter::repeat_n('0', count - kept.len()));
            }
            Ok(count) if count > 0 => {
                text.push_str(&kept[..count]);
                text.push('.');
                text.push_str(&kept[count..]);
            }
            _ => {
                text.push_str("0.");
                text.extend(std::iter::repeat_n(
                    '0',
                    before_point.unsigned_abs() as usize,
                ));
                text.push_str(kept);
            }
        }
        text
    }
}

/// `value` rounded to fourteen significant figures: takes back what binary arithmetic added to a decimal result.
pub(super) fn tidy(value: f64) -> f64 {
    // Whole numbers of fewer figures are tidy; this is the quick way for most resistances.
    if value.abs() < 1e14 && value.fract() == 0.0 {
        return value;
    }
    format!("{value:.13e}").parse().unwrap_or(value)
}

/// Ten to `power`, correctly rounded.
pub(super) fn power_of_ten(power: i32) -> f64 {
    format!("1e{power}").parse().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_point_moves_without_rounding() {
        let written = |value, shift| Decimal::shortest(value).divided_by_power_of_ten(shift);
        assert_eq!(written(4700.0, 3), "4.7");
        assert_eq!(written(4700.0, 0), "4700");
        assert_eq!(written(47e-9, -9), "47");
        assert_eq!(written(47e-9, -6), "0.047");
        assert_eq!(written(0.33e-12, -12), "0.33");
        assert_eq!(written(-1e6, 6), "-1");
        assert_eq!(written(0.0, 3), "0");
    }

    #[test]
    fn tidying_takes_back_binary_noise() {
        assert_eq!(tidy(0.1 + 0.2).to_bits(), 0.3_f64.to_bits());
        assert_eq!(
            tidy(47e-9 + 47e-9 * 10.0 / 100.0).to_bits(),
            51.7e-9_f64.to_bits()
        );
        assert!(tidy(f64::INFINITY).is_infinite());
    }
}
