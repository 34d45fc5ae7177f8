//! [`Need`]: one item that one part of one job needs.

use std::fmt;

use super::Item;

/// The part of a job that an item is for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct User {
    /// Name of the job.
    pub job: String,
    /// Reference designator.
    pub designator: String,
}

impl fmt::Display for User {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.job, self.designator)
    }
}

/// One item that one part of one job needs. A part that is replaced by two has two needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// What it is for.
    pub user: User,
    /// What is needed.
    pub item: Item,
}
