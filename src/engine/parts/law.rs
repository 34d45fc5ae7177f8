//! [`Law`]: how the resistance of a potentiometer follows the travel of its wiper.

use std::fmt;

use super::Kind;
use super::optional_cell::{Belongs, optional_cell};
use crate::engine::source::Problem;

/// How the resistance from the wiper to the end where it starts follows its travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Law {
    /// In proportion.
    Linear,
    /// Slowly first and fast in the end, as a volume control.
    Audio,
    /// Fast first and slowly in the end.
    Reverse,
}

/// Parts that have a wiper.
const OF_WIPERS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Potentiometer),
    otherwise: "nothing; only a potentiometer has a law",
};

impl Law {
    /// Every law.
    pub const ALL: [Self; 3] = [Self::Linear, Self::Audio, Self::Reverse];

    /// The word for lists and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Linear => "linear",
            Self::Audio => "audio",
            Self::Reverse => "reverse",
        }
    }

    /// Reads the cell: one of the words, upper and lower case alike. The letters of makers are refused, since the same letter
    /// means linear in one country and audio in another.
    pub(super) fn read(text: &str, kind: Option<Kind>) -> Result<Option<Self>, Problem> {
        let named = |text: &str| {
            Self::ALL
                .into_iter()
                .find(|law| law.name().eq_ignore_ascii_case(text))
        };
        let is_letter = text.chars().count() == 1 && text.chars().all(char::is_alphabetic);
        let expected = if is_letter {
            "`linear`, `audio` or `reverse`: the letter means different laws in different countries"
        } else {
            "`linear`, `audio`, `reverse` or nothing"
        };
        optional_cell(text, kind, &OF_WIPERS, named, expected)
    }
}

impl fmt::Display for Law {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn laws_are_words_and_letters_are_refused_with_the_reason() {
        let read = |text| Law::read(text, Some(Kind::Potentiometer));
        assert_eq!(read("Linear"), Ok(Some(Law::Linear)));
        assert_eq!(read(""), Ok(None));
        for letter in ["A", "b", "C"] {
            let said = read(letter).unwrap_err().to_string();
            assert!(
                said.contains("means different laws in different countries"),
                "{said}"
            );
        }
        let said = read("log").unwrap_err().to_string();
        assert!(said.ends_with("`reverse` or nothing"), "{said}");
        let said = Law::read("linear", Some(Kind::Resistor)).unwrap_err();
        assert!(said.to_string().contains("for a resistor"), "{said}");
    }
}
