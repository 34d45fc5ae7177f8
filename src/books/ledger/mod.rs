//! A job over weeks: what was measured, what was decided, and where each part stands.
//!
//! `results.csv` and `decisions.csv` are read here, never a meter. Everything but [`Book::open`] and [`DecisionsFile`] is pure.
//!
//! | word | meaning |
//! |---|---|
//! | measurement | a row of the results |
//! | decision | what the person says about a part; a verdict never overwrites one |
//! | account | everything that is known of one part |
//! | standing | where a part stands, and so what is still to be done about it |
//! | glance | where the whole job stands |

mod account;
mod book;
mod decision;
mod measurements;

pub use crate::engine::judge::Found;
pub use crate::engine::parts::Choice;
pub use crate::engine::sitting::Row;
pub use account::{Account, Standing};
pub use book::{Book, Glance};
pub use decision::{DECISION_COLUMNS, Decision, DecisionsFile};
pub use measurements::{counting, read_incoming, read_measurements};
