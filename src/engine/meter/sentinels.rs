//! [`Sentinels`]: the numbers and words by which a meter says that it has no value.
//!
//! [`DeviceError`]: an answer of the error queue, `-113,"Undefined header"`.

use std::borrow::Cow;

use super::Shown;

/// Relative slack of a comparison with a sentinel. SCPI's two, 9.9E37 and 9.91E37, are 0.1 % apart; each must stay nearer to itself.
const SLACK: f64 = 4e-4;

/// Numbers by which a meter says "beyond my range" and "no number". The default is that of SCPI-1999: ±9.9E37 and 9.91E37.
#[derive(Debug, Clone, PartialEq)]
pub struct Sentinels {
    /// Numbers that mean overload.
    pub overload: Vec<f64>,
    /// Numbers that mean "not a number"; compared first.
    pub not_a_number: Vec<f64>,
    /// Words that mean overload, case ignored.
    pub overload_words: Vec<String>,
    /// Words that mean "not a number", case ignored.
    pub not_a_number_words: Vec<String>,
    /// Values of a status field that mean a good reading.
    pub status_good: Vec<f64>,
    /// Values of a status field that mean overload; every other value means "not a number".
    pub status_overload: Vec<f64>,
}

impl Default for Sentinels {
    fn default() -> Self {
        Self {
            overload: vec![9.9e37, -9.9e37],
            not_a_number: vec![9.91e37],
            overload_words: Vec::new(),
            not_a_number_words: Vec::new(),
            status_good: vec![0.0],
            status_overload: Vec::new(),
        }
    }
}

impl Sentinels {
    /// Meaning of a number, before any unit prefix is applied.
    pub fn classify(&self, number: f64) -> Shown {
        if self.not_a_number.iter().any(|&s| meets(number, s)) {
            Shown::NotANumber
        } else if self.overload.iter().any(|&s| meets(number, s)) {
            Shown::Overload
        } else {
            Shown::Value(number)
        }
    }

    /// Meaning of the word at the start of `text`, and the text behind it; `None` if it is none of the words.
    pub fn word<'a>(&self, text: &'a [u8]) -> Option<(Shown, &'a [u8])> {
        let text = text.trim_ascii_start();
        let text = text
            .strip_prefix(b"+")
            .or_else(|| text.strip_prefix(b"-"))
            .unwrap_or(text)
            .trim_ascii_start();
        let find = |words: &[String]| {
            words
                .iter()
                .find_map(|word| after_word(text, word.as_bytes()))
        };
        find(&self.not_a_number_words)
            .map(|rest| (Shown::NotANumber, rest))
            .or_else(|| find(&self.overload_words).map(|rest| (Shown::Overload, rest)))
    }

    /// Meaning of a status field for its reading: `None` if it is good.
    pub fn status(&self, number: f64) -> Option<Shown> {
        let among = |list: &[f64]| list.iter().any(|s| (s - number).abs() < 0.5);
        if among(&self.status_good) {
            None
        } else if among(&self.status_overload) {
            Some(Shown::Overload)
        } else {
            Some(Shown::NotANumber)
        }
    }

    /// Whether two sentinels are too near to each other to be told apart.
    pub(super) fn confusable(one: f64, other: f64) -> bool {
        (one - other).abs() <= 2.0 * SLACK * one.abs().max(other.abs())
    }
}

fn meets(number: f64, sentinel: f64) -> bool {
    (number - sentinel).abs() <= SLACK * sentinel.abs()
}

/// Text behind `word`, if `text` starts with it and it ends there: `OL` is in `OL MOHM`, not in `OLD`.
fn after_word<'a>(text: &'a [u8], word: &[u8]) -> Option<&'a [u8]> {
    let (start, rest) = text.split_at_checked(word.len())?;
    (start.eq_ignore_ascii_case(word) && !rest.first().is_some_and(u8::is_ascii_alphanumeric))
        .then_some(rest)
}

/// One entry of a meter's error queue (SCPI-1999, `SYSTem:ERRor?`). Code 0 means that the queue is empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceError<'a> {
    /// Negative codes belong to SCPI, positive ones to the device.
    pub code: i32,
    /// The text, without its quotes; empty if the meter sends none.
    pub text: Cow<'a, str>,
}

/// Reason why a line is no answer of an error queue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DeviceErrorError {
    /// Does not start with a whole number.
    #[error("no error number found at the start of the line")]
    NoCode,
    /// The quotes around the text are not closed, or something follows them.
    #[error("the quotes around the error text do not match: the line seems to be cut off")]
    Quotes,
}

impl<'a> DeviceError<'a> {
    /// Understands `-113,"Undefined header"`, `+0,"No error"`, doubled quotes inside, and a text without quotes or none at all.
    ///
    /// # Errors
    /// If there is no whole number, or if the quotes do not match.
    pub fn parse(line: &'a str) -> Result<Self, DeviceErrorError> {
        let (code, text) = line.split_once(',').unwrap_or((line, ""));
        let code = code.trim().parse().map_err(|_| DeviceErrorError::NoCode)?;
        let text = text.trim();
        let text = match text.strip_prefix('"') {
            Some(quoted) => unquoted(quoted)?,
            None => Cow::Borrowed(text),
        };
        Ok(Self { code, text })
    }

    /// Reads an error likewise, only from a line that cannot be anything else: its text stands in quotes.
    pub fn recognise(line: &'a str) -> Option<Self> {
        let (_, text) = line.split_once(',')?;
        text.trim_start()
            .starts_with('"')
            .then(|| Self::parse(line).ok())
            .flatten()
    }

    /// Whether the queue was empty.
    pub const fn is_none(&self) -> bool {
        self.code == 0
    }
}

/// The text up to the closing quote, which must be the last character; `""` inside stands for one quote.
fn unquoted(text: &str) -> Result<Cow<'_, str>, DeviceErrorError> {
    let inner = text.strip_suffix('"').ok_or(DeviceErrorError::Quotes)?;
    if !inner.contains('"') {
        return Ok(Cow::Borrowed(inner));
    }
    let single = inner.replace("\"\"", "\u{0}");
    if single.contains('"') {
        return Err(DeviceErrorError::Quotes);
    }
    Ok(Cow::Owned(single.replace('\u{0}', "\"")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_must_end_where_it_ends() {
        let sentinels = Sentinels {
            overload_words: vec!["OL".to_owned()],
            ..Sentinels::default()
        };
        assert_eq!(
            sentinels.word(b" ol MOHM"),
            Some((Shown::Overload, &b" MOHM"[..]))
        );
        assert_eq!(sentinels.word(b"-OL"), Some((Shown::Overload, &b""[..])));
        assert_eq!(sentinels.word(b"OLD"), None);
    }

    #[test]
    fn a_status_outside_both_lists_spoils_the_reading() {
        let sentinels = Sentinels {
            status_overload: vec![1.0],
            ..Sentinels::default()
        };
        assert_eq!(sentinels.status(0.0), None);
        assert_eq!(sentinels.status(1.0), Some(Shown::Overload));
        assert_eq!(sentinels.status(-1.0), Some(Shown::NotANumber));
    }

    #[test]
    fn the_two_sentinels_of_scpi_are_not_confusable() {
        assert!(!Sentinels::confusable(9.9e37, 9.91e37));
        assert!(Sentinels::confusable(9.9e37, 9.901e37));
    }

    #[test]
    fn a_cut_off_answer_is_not_taken() {
        assert_eq!(
            DeviceError::parse("-113,\"Undefined hea"),
            Err(DeviceErrorError::Quotes)
        );
        assert_eq!(
            DeviceError::parse("-113,\"a\"b\""),
            Err(DeviceErrorError::Quotes)
        );
        assert_eq!(DeviceError::parse("4.7E3"), Err(DeviceErrorError::NoCode));
        assert_eq!(DeviceError::parse(""), Err(DeviceErrorError::NoCode));
    }

    #[test]
    fn only_a_quoted_text_makes_a_line_unmistakable() {
        assert!(DeviceError::recognise("0,\"No error\"").is_some_and(|e| e.is_none()));
        assert_eq!(DeviceError::recognise("0,0"), None);
        assert_eq!(DeviceError::parse("0,No error").map(|e| e.code), Ok(0));
        assert_eq!(DeviceError::parse("12").map(|e| e.code), Ok(12));
    }
}
