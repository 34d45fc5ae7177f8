//! [`TomlText`]: the text of a TOML file that is being read, and the values in it that are checked.

use std::ops::Range;

use serde::de::DeserializeOwned;
use toml::Spanned;

use super::{Mark, TextError};

/// The text of a TOML file, and what the file is called in messages.
#[derive(Clone, Copy)]
pub(crate) struct TomlText<'a> {
    pub(crate) file: &'a str,
    pub(crate) text: &'a str,
}

impl TomlText<'_> {
    /// The structures of the text.
    ///
    /// # Errors
    /// What is not TOML, a key that is not known, or one that is missing.
    pub(crate) fn read<T: DeserializeOwned>(self) -> Result<T, TextError> {
        toml::from_str(self.text).map_err(|error| {
            let (title, label) = error
                .message()
                .split_once('\n')
                .unwrap_or((error.message(), ""));
            self.wrong(
                error.span().unwrap_or(0..0),
                title,
                &label.replace('\n', ", "),
            )
        })
    }

    /// `value` if it is a finite number from `least` on.
    pub(crate) fn at_least(
        self,
        key: &str,
        value: &Spanned<f64>,
        least: f64,
        expected: &str,
    ) -> Result<f64, TextError> {
        let number = *value.get_ref();
        if number.is_finite() && number >= least {
            Ok(number)
        } else {
            Err(self.fault(key, value, expected))
        }
    }

    /// `value` if it is a finite number above zero.
    pub(crate) fn positive(self, key: &str, value: &Spanned<f64>) -> Result<f64, TextError> {
        self.at_least(key, value, f64::MIN_POSITIVE, "a number above zero")
    }

    /// `value` without blanks around it if anything is left.
    pub(crate) fn words(self, key: &str, value: &Spanned<String>) -> Result<String, TextError> {
        match value.get_ref().trim() {
            "" => Err(self.fault(key, value, "a text")),
            words => Ok(words.to_owned()),
        }
    }

    /// What is wrong with `value`, at its place.
    pub(crate) fn fault<T: ToString>(
        self,
        key: &str,
        value: &Spanned<T>,
        expected: &str,
    ) -> TextError {
        let found = value.get_ref().to_string();
        self.wrong(
            value.span(),
            &format!("found {key} = `{found}`, expected {expected}"),
            "",
        )
    }

    /// The line of a place in bytes of the text, counted from one.
    pub(crate) fn line(self, at: usize) -> usize {
        let before = &self.text.as_bytes()[..at.min(self.text.len())];
        1 + memchr::memchr_iter(b'\n', before).count()
    }

    /// What is wrong at that place, with what to do about it, which may be empty.
    pub(crate) fn wrong(self, span: Range<usize>, title: &str, label: &str) -> TextError {
        let mark = Mark {
            span,
            title: title.to_owned(),
            label: label.to_owned(),
        };
        TextError::marked(self.file, self.text, vec![mark])
    }
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Sample {
        size: Spanned<f64>,
        name: Spanned<String>,
    }

    fn sample(text: &str) -> Result<(f64, String), TextError> {
        let source = TomlText {
            file: "sample.toml",
            text,
        };
        let read: Sample = source.read()?;
        Ok((
            source.positive("size", &read.size)?,
            source.words("name", &read.name)?,
        ))
    }

    #[test]
    fn every_fault_is_shown_at_its_place() {
        let fault = |text| sample(text).unwrap_err();
        let line = |text| fault(text).faults()[0].line;
        let unknown = "size = 1.0\nname = 'x'\ncolour = 'red'\n";
        assert_eq!(line(unknown), 3);
        assert!(fault(unknown).to_string().contains("colour"));
        assert_eq!(
            fault("name = 'x'\nsize = -1.0\n").to_string(),
            "error: found size = `-1`, expected a number above zero\n \
             --> sample.toml:2:8\n  |\n2 | size = -1.0\n  |        ^^^^"
        );
        assert_eq!(line("size = nan\nname = 'x'\n"), 1);
        assert_eq!(line("size = 1.0\nname = ' '\n"), 2);
        assert_eq!(line("size = 1.0\n\nname =\n"), 3);
        assert!(fault("size = 1.0\n").to_string().contains("`name`"));
    }

    #[test]
    fn what_is_right_is_handed_over() {
        assert_eq!(
            sample("size = 2\nname = ' x '\n"),
            Ok((2.0, "x".to_owned()))
        );
    }
}
