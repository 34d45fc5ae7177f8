//! [`TomlError`]: what is wrong with the text of a table or a policy, and in which line.

use std::ops::Range;

use thiserror::Error;
use toml::Spanned;

/// The text of a table or a policy cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TomlError {
    /// Not TOML, a key that is not known, or one that is missing.
    #[error("{what}, line {line}: {message}")]
    Text {
        /// The file that was read: `loss.toml`, `policy.toml`.
        what: &'static str,
        /// The line, counted from one.
        line: usize,
        /// What the TOML reader says, in one line.
        message: String,
    },
    /// A value that makes no sense at its place.
    #[error("{what}, line {line}: found {key} = `{found}`, expected {expected}")]
    Value {
        /// The file that was read.
        what: &'static str,
        /// The line, counted from one.
        line: usize,
        /// The key.
        key: &'static str,
        /// What stands there.
        found: String,
        /// What would have been right.
        expected: &'static str,
    },
}

impl TomlError {
    /// The line of the fault, counted from one.
    pub const fn line(&self) -> usize {
        match self {
            Self::Text { line, .. } | Self::Value { line, .. } => *line,
        }
    }
}

/// A text that is being read, and what it is called in messages.
#[derive(Clone, Copy)]
pub(crate) struct Source<'a> {
    pub(crate) what: &'static str,
    pub(crate) text: &'a str,
}

impl Source<'_> {
    /// The structures of the text.
    pub(crate) fn read<T: serde::de::DeserializeOwned>(self) -> Result<T, TomlError> {
        toml::from_str(self.text).map_err(|error| TomlError::Text {
            what: self.what,
            line: self.line(error.span().unwrap_or(0..0)),
            message: error.message().replace('\n', ", "),
        })
    }

    /// `value` if it is a finite number from `least` on.
    pub(crate) fn at_least(
        self,
        key: &'static str,
        value: &Spanned<f64>,
        least: f64,
        expected: &'static str,
    ) -> Result<f64, TomlError> {
        let number = *value.get_ref();
        if number.is_finite() && number >= least {
            Ok(number)
        } else {
            Err(self.fault(key, value, expected))
        }
    }

    /// `value` if it is a finite number above zero.
    pub(crate) fn positive(
        self,
        key: &'static str,
        value: &Spanned<f64>,
    ) -> Result<f64, TomlError> {
        self.at_least(key, value, f64::MIN_POSITIVE, "a number above zero")
    }

    /// `value` without blanks around it if anything is left.
    pub(crate) fn words(
        self,
        key: &'static str,
        value: &Spanned<String>,
    ) -> Result<String, TomlError> {
        match value.get_ref().trim() {
            "" => Err(self.fault(key, value, "a text")),
            words => Ok(words.to_owned()),
        }
    }

    /// What is wrong with `value`, at its line.
    pub(crate) fn fault<T: ToString>(
        self,
        key: &'static str,
        value: &Spanned<T>,
        expected: &'static str,
    ) -> TomlError {
        TomlError::Value {
            what: self.what,
            line: self.line(value.span()),
            key,
            found: value.get_ref().to_string(),
            expected,
        }
    }

    /// The line on which `span` starts, counted from one.
    fn line(self, span: Range<usize>) -> usize {
        let before = self.text.bytes().take(span.start);
        1 + before.filter(|&byte| byte == b'\n').count()
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

    fn sample(text: &str) -> Result<(f64, String), TomlError> {
        let source = Source {
            what: "sample",
            text,
        };
        let read: Sample = source.read()?;
        Ok((
            source.positive("size", &read.size)?,
            source.words("name", &read.name)?,
        ))
    }

    #[test]
    fn every_fault_is_found_in_its_line() {
        let fault = |text| sample(text).unwrap_err();
        let unknown = fault("size = 1.0\nname = 'x'\ncolour = 'red'\n");
        assert_eq!(unknown.line(), 3);
        assert!(unknown.to_string().contains("colour"), "{unknown}");
        assert_eq!(
            fault("name = 'x'\nsize = -1.0\n").to_string(),
            "sample, line 2: found size = `-1`, expected a number above zero"
        );
        assert_eq!(fault("size = nan\nname = 'x'\n").line(), 1);
        assert_eq!(fault("size = 1.0\nname = ' '\n").line(), 2);
        assert_eq!(fault("size = 1.0\n\nname =\n").line(), 3);
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
