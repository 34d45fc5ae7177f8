//! [`CannotSubstitute`]: why nothing can be looked for.

use thiserror::Error;

use crate::engine::judge::safety::MainsPlace;
use crate::engine::parts::Kind;

/// Nothing can be looked for in place of a part.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CannotSubstitute {
    /// A part of that kind is not sold by its value.
    #[error("a {kind} is not sold by its value alone: look for one like it or have it made")]
    NotByValue {
        /// The kind.
        kind: Kind,
    },
    /// The mains is not known.
    #[error(
        "it sits {place}, by {because}, and the job does not state the mains: set [mains] in job.toml, so that class and voltage can be looked for"
    )]
    NoMains {
        /// Where it sits.
        place: MainsPlace,
        /// From what that was taken.
        because: String,
    },
    /// The list does not tell which class is needed, or whether any is.
    #[error(
        "{place}, by {because}: say between what it sits in `from` and `to`, or in the role, since `across the line` asks for class X and `line to chassis` for class Y"
    )]
    PlaceUnstated {
        /// What is known.
        place: MainsPlace,
        /// From what that was taken.
        because: String,
    },
}
