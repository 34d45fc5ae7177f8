//! Before and after: what of a part changed between two measurements, and how parts of many jobs have drifted.
//!
//! Pure: takes the ledger's accounts, opens nothing, prints nothing, reads no clock. It never imports `cli`, `report` or `recording`.
//!
//! | word | meaning |
//! |---|---|
//! | change | the difference d of two measurements of the same thing, with its uncertainty |
//! | real | larger than its expanded uncertainty, \|d\| > U(d), k = 2 |
//! | as found | measured before any other part was put in |
//! | drift | how far a part lies from its nominal value, as a share of that |

mod as_found;
mod group;
mod pair;

pub use as_found::{AgeFinding, AsFound, FEWEST_JOBS, LeftOut, age_findings, as_found};
pub use group::{By, Group, groups};
pub use pair::{Change, Obstacle, Outcome, Pair, Pairs, When, pairs};
