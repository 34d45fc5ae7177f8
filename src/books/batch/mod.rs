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
mod group;
mod incoming;
mod spread;

pub(crate) use bag::last_number;
pub use bag::{Bag, Bags, bag_label, bag_number, parts_list};
pub use group::{Group, distinguishable, match_groups};
pub use incoming::{Batch, read};
pub use spread::{Centre, Histogram, Spread};
