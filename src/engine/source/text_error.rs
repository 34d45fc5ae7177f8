//! [`TextError`]: what is wrong with the text of a file, each thing at its place.
//!
//! [`TomlText`]: the text of a TOML file that is being read, and the values in it that are checked.

use std::fmt;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde::de::DeserializeOwned;
use thiserror::Error;
use toml::Spanned;

/// Finding and expectation in words: `found ..., expected ...`.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{0}")]
pub struct Problem(pub(crate) String);

impl Problem {
    /// A cell or a value that holds something else.
    pub(crate) fn cell(found: &str, expected: impl fmt::Display) -> Self {
        match found {
            "" => Self(format!("found nothing, expected {expected}")),
            _ => Self(format!("found `{found}`, expected {expected}")),
        }
    }

    /// Error in a part of that kind, at its place likewise.
    pub(crate) fn of_kind(
        found: &str,
        kind: impl fmt::Display,
        expected: impl fmt::Display,
    ) -> Self {
        Self(format!("found `{found}` for a {kind}, expected {expected}"))
    }

    /// The words of another error.
    pub(crate) fn said(error: impl fmt::Display) -> Self {
        Self(error.to_string())
    }
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The line of the file, counted from one; of a table that on which the row begins.
    pub line: usize,
    /// The name of the column, where one cell of a table is at fault.
    pub column: Option<&'static str>,
    /// The text found, and the one expected instead.
    pub problem: Problem,
    /// The place in the text, underlined; of tables there is none.
    picture: Option<String>,
}

impl Fault {
    /// A fault of a whole row or file.
    pub(crate) const fn in_line(line: usize, problem: Problem) -> Self {
        Self {
            line,
            column: None,
            problem,
            picture: None,
        }
    }

    /// A fault of one cell.
    pub(crate) const fn in_column(line: usize, column: &'static str, problem: Problem) -> Self {
        Self {
            line,
            column: Some(column),
            problem,
            picture: None,
        }
    }
}

impl fmt::Display for Fault {
    /// `line:column: found ..., expected ...`, ready to stand behind a file's name and a colon.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.column {
            Some(column) => write!(f, "{}:{column}: {}", self.line, self.problem),
            None => write!(f, "{}: {}", self.line, self.problem),
        }
    }
}

/// A place in a text, with what is wrong there.
#[derive(Debug)]
pub(crate) struct Mark {
    /// In bytes of the text.
    pub(crate) span: Range<usize>,
    /// The fault in a few words.
    pub(crate) title: String,
    /// Expectation or advice, shown at the place. May be empty.
    pub(crate) label: String,
}

/// The text of a file cannot be used. It displays at least one fault, in the order of the lines.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub struct TextError {
    file: String,
    faults: Vec<Fault>,
}

impl TextError {
    /// Fault of a table, or of a file that is no text.
    pub(crate) fn new(file: &str, mut faults: Vec<Fault>) -> Self {
        faults.sort_by_key(|fault| fault.line);
        Self {
            file: file.to_owned(),
            faults,
        }
    }

    /// Faults at those places of `text`, each shown underlined.
    pub(crate) fn marked(file: &str, text: &str, marks: Vec<Mark>) -> Self {
        let fault = |mut mark: Mark| {
            mark.span = within(&mark.span, text);
            let before = &text.as_bytes()[..mark.span.start];
            Fault {
                picture: Some(picture(&mark, text, file)),
                ..Fault::in_line(
                    1 + memchr::memchr_iter(b'\n', before).count(),
                    Problem(mark.title),
                )
            }
        };
        let mut marks = marks;
        marks.sort_by_key(|mark| mark.span.start);
        Self::new(file, marks.into_iter().map(fault).collect())
    }

    /// The line of the first fault.
    #[cfg(test)]
    pub(crate) fn line(&self) -> usize {
        self.faults[0].line
    }

    /// Everything that is wrong, in the order of the lines.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }
}

impl fmt::Display for TextError {
    /// A line for each fault of a table, a paragraph for each of another text.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, fault) in self.faults.iter().enumerate() {
            match &fault.picture {
                Some(picture) => write!(f, "{}{picture}", if at > 0 { "\n\n" } else { "" })?,
                None => write!(f, "{}{}:{fault}", if at > 0 { "\n" } else { "" }, self.file)?,
            }
        }
        Ok(())
    }
}

/// A place inside the text, on whole characters.
fn within(span: &Range<usize>, text: &str) -> Range<usize> {
    let start = boundary(span.start, text);
    start..boundary(span.end, text).max(start)
}

/// The last border of a character that is not after `index`.
fn boundary(index: usize, text: &str) -> usize {
    let mut before = (0..=index.min(text.len())).rev();
    before.find(|&at| text.is_char_boundary(at)).unwrap_or(0)
}

fn picture(mark: &Mark, text: &str, file: &str) -> String {
    let place = AnnotationKind::Primary.span(mark.span.clone());
    let place = if mark.label.is_empty() {
        place
    } else {
        place.label(mark.label.as_str())
    };
    let report = [Level::ERROR
        .primary_title(mark.title.as_str())
        .element(Snippet::source(text).path(file).annotation(place))];
    Renderer::plain().render(&report)
}

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
    /// Error for what is not TOML, for a key that is not known, and for one that is missing.
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

    /// Fault of `value`, at its place.
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

    /// Fault at that place, with what to do about it, which may be empty.
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
