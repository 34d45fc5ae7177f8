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
        "it sits {place}, and the job does not state the mains: set [mains] in job.toml, so that class and voltage can be looked for"
    )]
    NoMains {
        /// Where it sits.
        place: MainsPlace,
    },
    /// The list does not tell which class is needed.
    #[error(
        "its role speaks of the mains, and not of what it connects: say `across the line` or `line to chassis` in the column role, since the one asks for class X and the other for class Y"
    )]
    PlaceUnstated,
}
