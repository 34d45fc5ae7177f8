//! Statistics: what several rooms compute of numbers alone.

/// The square of a number.
pub const fn square(x: f64) -> f64 {
    x * x
}
