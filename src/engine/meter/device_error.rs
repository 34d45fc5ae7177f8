//! [`DeviceError`]: an answer of the error queue, `-113,"Undefined header"`.

use std::borrow::Cow;

/// One entry of a meter's error queue (SCPI-1999, `SYSTem:ERRor?`). Code 0 means that the queue is empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceError<'a> {
    /// Negative codes belong to SCPI, positive ones to the device.
    pub code: i32,
    /// The text, without its quotes; empty if the meter sends none.
    pub text: Cow<'a, str>,
}

/// Why a line is no answer of an error queue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DeviceErrorError {
    /// It does not start with a whole number.
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

    /// The same, only for a line that cannot be anything else: its text stands in quotes.
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
    use super::{DeviceError, DeviceErrorError};

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
