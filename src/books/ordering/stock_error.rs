//! [`StockError`]: what is wrong with a stock file, and where.

use thiserror::Error;

use crate::engine::parts::ListError;

/// What is wrong with a stock file, and where.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StockError {
    /// Its bytes or its quotation marks cannot be read.
    #[error("line {0}")]
    Unreadable(ListError),
    /// A column is not there.
    #[error(
        "the column `{column}` is missing; expected a first row `article,count` and perhaps `place`, separated by commas, semicolons or tabs"
    )]
    NoColumn {
        /// Its name.
        column: &'static str,
    },
    /// A row does not say what it is about.
    #[error("line {line}, column `article`: it is empty")]
    NoArticle {
        /// The line that the row begins on, counted from one.
        line: usize,
    },
    /// A count is none.
    #[error("line {line}, column `count`: found `{found}`, expected a whole number")]
    Count {
        /// The line that the row begins on, counted from one.
        line: usize,
        /// What stands there.
        found: String,
    },
}
