//! [`RoleWords`]: words that are looked for in a part's role.

use toml::Spanned;

use crate::engine::source::{TextError, TomlText};

/// Words or phrases, at least one, of which one must stand in a role. Upper and lower case are alike, and so are the signs
/// between words; a word is found as a whole only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoleWords(Vec<String>);

impl RoleWords {
    /// These words; one without a letter or figure is left out.
    pub fn of(words: &[&str]) -> Self {
        let words = words.iter().map(|word| plain(word));
        Self(words.filter(|word| !word.is_empty()).collect())
    }

    /// The words, in small letters.
    pub fn words(&self) -> &[String] {
        &self.0
    }

    /// Whether one of them stands in `role`.
    pub fn fits(&self, role: &str) -> bool {
        let role = plain(role);
        self.0.iter().any(|word| stands_in(&role, word))
    }

    /// Words at `span`-carrying places; an empty list is a fault of `whole`.
    pub(super) fn check(
        source: TomlText<'_>,
        whole: &Spanned<Vec<Spanned<String>>>,
    ) -> Result<Self, TextError> {
        if whole.get_ref().is_empty() {
            let empty = Spanned::new(whole.span(), "[]");
            return Err(source.fault("words", &empty, "at least one word"));
        }
        Self::check_each(source, whole.get_ref())
    }

    pub(super) fn check_each(
        source: TomlText<'_>,
        words: &[Spanned<String>],
    ) -> Result<Self, TextError> {
        let word = |word: &Spanned<String>| match plain(word.get_ref()) {
            plain if plain.is_empty() => Err(source.fault("words", word, "a word with a letter")),
            plain => Ok(plain),
        };
        Ok(Self(words.iter().map(word).collect::<Result<_, _>>()?))
    }
}

/// Whether a word or phrase stands in a role as a whole; both as [`plain`] gives them.
pub(in crate::engine::judge) fn stands_in(role: &str, word: &str) -> bool {
    format!(" {role} ").contains(&format!(" {word} "))
}

/// Small letters, one blank between words, no other signs.
pub(in crate::engine::judge) fn plain(text: &str) -> String {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_whole_in_any_case_and_between_any_signs() {
        let words = RoleWords(vec!["bias".to_owned(), "plate load".to_owned()]);
        for role in ["bias", "Grid-Bias", "output stage: BIAS", "Plate  load, V2"] {
            assert!(words.fits(role), "{role}");
        }
        for role in ["", "biased", "plate", "load plate"] {
            assert!(!words.fits(role), "{role}");
        }
    }
}
