//! Statistics: what is computed of numbers alone, once for every room. It uses no other room.
//!
//! One rule for quantiles of values ([`quantile`]), and one crate for those of distributions.

mod distributions;
mod line;
mod location;
mod multiple;
mod rank_correlation;
mod slope;

pub use distributions::{
    Interval, chi_squared, deviation_interval, mean_interval, normal_cdf, student, tolerance_factor,
};
pub use line::{Line, Misfit, least_ratio};
pub use location::{Quartiles, mean_and_deviation, median, quantile, robust_mean};
pub use multiple::{SIGNIFICANT, benjamini_hochberg, holm};
pub use rank_correlation::{RankCorrelation, rank_correlation};
pub use slope::{Slope, slope};

/// The square of a number.
pub const fn square(x: f64) -> f64 {
    x * x
}
