//! [`Sentinels`]: the numbers and words by which a meter says that it has no value.

use super::Shown;

/// Relative slack of a comparison with a sentinel. SCPI's two, 9.9E37 and 9.91E37, are 0.1 % apart; each must stay nearer to itself.
const SLACK: f64 = 4e-4;

/// How a meter says "beyond my range" and "no number". The default is that of SCPI-1999: ±9.9E37 and 9.91E37.
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
    /// What a number means, before any unit prefix is applied.
    pub fn classify(&self, number: f64) -> Shown {
        if self.not_a_number.iter().any(|&s| meets(number, s)) {
            Shown::NotANumber
        } else if self.overload.iter().any(|&s| meets(number, s)) {
            Shown::Overload
        } else {
            Shown::Value(number)
        }
    }

    /// What the word at the start of `text` means, and what follows it; `None` if it is none of the words.
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

    /// What a status field says about its reading: `None` if it is good.
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

/// What follows `word`, if `text` starts with it and it ends there: `OL` is in `OL MOHM`, not in `OLD`.
fn after_word<'a>(text: &'a [u8], word: &[u8]) -> Option<&'a [u8]> {
    let (start, rest) = text.split_at_checked(word.len())?;
    (start.eq_ignore_ascii_case(word) && !rest.first().is_some_and(u8::is_ascii_alphanumeric))
        .then_some(rest)
}

#[cfg(test)]
mod tests {
    use super::{Sentinels, Shown};

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
}
