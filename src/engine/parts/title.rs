//! [`Title`]: a measurement of a part as people name it.

use std::fmt;
use std::ops::Deref;

use serde::{Deserialize, Serialize};

use super::step::Step;

/// The designator, and the step where that is not the value: `C4 leakage`. In JSON `ref` and `step`, as in the results.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(into = "Fields", from = "Fields")]
pub struct Title {
    text: String,
    designator: usize,
    step: Step,
}

#[derive(Serialize, Deserialize)]
struct Fields {
    r#ref: String,
    step: Step,
}

impl Title {
    /// Title of one measurement of a part.
    pub fn of(designator: &str, step: Step) -> Self {
        let text = match step {
            Step::Value | Step::Between => designator.to_owned(),
            _ => format!("{designator} {step}"),
        };
        Self {
            text,
            designator: designator.len(),
            step,
        }
    }
}

impl From<Title> for Fields {
    fn from(title: Title) -> Self {
        let mut designator = title.text;
        designator.truncate(title.designator);
        Self {
            r#ref: designator,
            step: title.step,
        }
    }
}

impl From<Fields> for Title {
    fn from(fields: Fields) -> Self {
        Self::of(&fields.r#ref, fields.step)
    }
}

/// A part, by its value.
impl From<&str> for Title {
    fn from(designator: &str) -> Self {
        Self::of(designator, Step::Value)
    }
}

impl From<Title> for String {
    fn from(title: Title) -> Self {
        title.text
    }
}

impl Deref for Title {
    type Target = str;

    fn deref(&self) -> &str {
        &self.text
    }
}

impl PartialEq<str> for Title {
    fn eq(&self, text: &str) -> bool {
        self.text == text
    }
}

impl PartialEq<&str> for Title {
    fn eq(&self, text: &&str) -> bool {
        self.text == *text
    }
}

impl fmt::Display for Title {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}
