//! [`DriftError`]: why the effect of a drift cannot be told.

use thiserror::Error;

use super::Member;
use crate::engine::judge::BadFigure;

/// Why the effect of a drift cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum DriftError {
    /// A figure that cannot be.
    #[error(transparent)]
    Figure(#[from] BadFigure),
    /// The circuit has no such part.
    #[error("found a drift of the {member}, expected one of the parts of a {circuit}")]
    NoSuchMember {
        /// What drifted.
        member: Member,
        /// The circuit's name.
        circuit: &'static str,
    },
}
