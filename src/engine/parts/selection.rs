//! [`Selection`]: which parts of a list are meant, by designator.

use thiserror::Error;

/// A choice of designators: patterns of which one has to fit. Upper and lower case alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Selection(Vec<Vec<char>>);

/// Why a text is no selection.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SelectionError {
    /// A pattern without a character.
    #[error("found an empty pattern in `{text}`, expected designators such as `R*,C4`")]
    EmptyPattern {
        /// The text.
        text: String,
    },
}

impl Selection {
    /// Reads patterns parted by commas, in which `*` stands for any characters and `?` for one: `R*,C4,T?.pri`.
    ///
    /// # Errors
    /// If a pattern is empty.
    pub fn parse(text: &str) -> Result<Self, SelectionError> {
        let patterns: Vec<Vec<char>> = text
            .split(',')
            .map(|pattern| folded(pattern.trim()))
            .collect();
        if patterns.iter().any(Vec::is_empty) {
            return Err(SelectionError::EmptyPattern {
                text: text.to_owned(),
            });
        }
        Ok(Self(patterns))
    }

    /// Whether a designator is chosen.
    pub fn matches(&self, designator: &str) -> bool {
        let designator = folded(designator.trim());
        self.0.iter().any(|pattern| fits(pattern, &designator))
    }
}

fn folded(text: &str) -> Vec<char> {
    text.chars().flat_map(char::to_lowercase).collect()
}

/// Whether `text` fits `pattern`. Goes back to the last `*` only, so the time is bounded by the product of the lengths.
fn fits(pattern: &[char], text: &[char]) -> bool {
    let (mut at, mut read) = (0, 0);
    let mut last_star: Option<(usize, usize)> = None;
    while read < text.len() {
        match pattern.get(at) {
            Some('*') => {
                last_star = Some((at, read));
                at += 1;
            }
            Some(c) if *c == '?' || *c == text[read] => (at, read) = (at + 1, read + 1),
            _ => match &mut last_star {
                Some((star, taken)) => {
                    *taken += 1;
                    (at, read) = (*star + 1, *taken);
                }
                None => return false,
            },
        }
    }
    pattern[at..].iter().all(|c| *c == '*')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn check(patterns: &str, designator: &str, expected: bool) {
        assert_eq!(
            Selection::parse(patterns).unwrap().matches(designator),
            expected,
            "{patterns}, {designator}"
        );
    }

    #[test]
    fn patterns_choose_designators() {
        check("R*", "R12", true);
        check("R*", "r1", true);
        check("r*", "RV1", true);
        check("R*", "C1", false);
        check("R*,C4", "C4", true);
        check("R*, C4", "c4", true);
        check("C4", "C44", false);
        check("R?", "R1", true);
        check("R?", "R12", false);
        check("T?.pri", "T1.pri", true);
        check("*.*i", "T1.pri", true);
        check("*a*b*c", "xxaxbxbxc", true);
        check("*a*b*c", "xxaxbxbx", false);
        check("*", "", true);
    }

    #[test]
    fn an_empty_pattern_is_refused() {
        for text in ["", " ", "R*,", ",C4", "R1,,R2"] {
            assert!(Selection::parse(text).is_err(), "{text:?}");
        }
    }

    proptest! {
        #[test]
        fn a_designator_chooses_itself_and_its_beginning(designator in "[A-Z]{1,3}[0-9]{1,4}", cut in 0_usize..7) {
            prop_assert!(Selection::parse(&designator).unwrap().matches(&designator));
            let beginning = &designator[..cut.min(designator.len())];
            let pattern = format!("{beginning}*");
            prop_assert!(Selection::parse(&pattern).unwrap().matches(&designator));
        }

        #[test]
        fn no_text_makes_the_selection_panic(pattern in "\\PC*", designator in "\\PC*") {
            if let Ok(selection) = Selection::parse(&pattern) {
                selection.matches(&designator);
            }
        }
    }
}
