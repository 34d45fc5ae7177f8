//! The books: a job over weeks. Its folder and tables, what was measured and decided, what is to be bought, what fits together.
//!
//! They use the bench and the engine.

pub mod archive;
pub mod audit;
pub mod batch;
pub mod comparison;
pub mod job;
pub mod ledger;
pub mod ordering;
pub mod results;
pub(crate) mod session;
pub mod substitute;
pub(crate) mod when;
