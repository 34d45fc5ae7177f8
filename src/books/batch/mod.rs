//! New parts before they go in: each in a bag of its own with a number, as measured, and what a batch of them is worth.
//!
//! The engine knows nothing of this: a batch is a sitting whose parts list holds one article many times ([`parts_list()`]).
//! Everything but [`read`] and [`Bags::named_in`] is pure; nothing here imports the engine, a screen or a meter.
//!
//! | word | meaning |
//! |---|---|
//! | bag | holds one new part; its number belongs to that part for ever |
//! | batch | bags with parts of one article, measured in one sitting |
//! | good | passed, or passed conditionally |
//! | spread | how far apart the values of good parts lie, in one batch or one group |

mod bag;
mod bags;
mod centre;
mod group;
mod histogram;
mod incoming;
mod parts_list;
mod spread;

pub use bag::{Bag, bag_label, bag_number};
pub use bags::Bags;
pub use centre::Centre;
pub use group::{Group, distinguishable, match_groups};
pub use histogram::Histogram;
pub use incoming::{Batch, read};
pub(crate) use parts_list::last_number;
pub use parts_list::parts_list;
pub use spread::Spread;
