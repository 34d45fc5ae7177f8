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

mod age;
mod as_found;
mod change;
mod group;
mod pair;

pub use age::{AgeFinding, FEWEST_JOBS, age_findings};
pub use as_found::{AsFound, LeftOut, as_found};
pub use change::Change;
pub use group::{By, Group, groups};
pub use pair::{Obstacle, Outcome, Pair, Pairs, When, pairs};
