//! The parts list: kinds, ratings, materials, roles; reading it and checking it.
//!
//! Pure: takes the text of a file, opens none.

mod part;

pub use part::{Kind, Part};
