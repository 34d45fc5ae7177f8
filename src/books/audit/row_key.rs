//! [`RowKey`]: which measurement a row of the results is about.

use std::fmt;

use serde::Serialize;

use crate::engine::source::from_cell;

/// Which measurement of which part a row is about; within a sitting no two rows have the same.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct RowKey {
    /// Reference designator.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Which measurement of the part.
    pub step: String,
    /// Counts the settled values of that measurement.
    pub attempt: String,
}

impl RowKey {
    /// The key in these three cells.
    pub(super) fn of(designator: &str, step: &str, attempt: &str) -> Self {
        Self {
            designator: from_cell(designator).to_owned(),
            step: step.to_owned(),
            attempt: attempt.to_owned(),
        }
    }
}

impl fmt::Display for RowKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}, attempt {}",
            self.designator, self.step, self.attempt
        )
    }
}
