//! Bands with one limit.

use crate::engine::quantity::Band;

/// Everything up to `limit`, which is finite. There is no lower limit: nothing is held against a value that is too small.
pub(super) fn at_most(limit: f64) -> Band {
    Band::new(f64::MIN, limit).expect("a checked limit is finite and so not below the least number")
}

/// Everything from `limit` on, which is finite.
pub(super) fn at_least(limit: f64) -> Band {
    Band::new(limit, f64::INFINITY).expect("a checked limit is finite and so below infinity")
}
