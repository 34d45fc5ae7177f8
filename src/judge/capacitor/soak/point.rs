//! [`Point`]: one reading of the current.

/// One reading of the current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Since the voltage stands at the part, s; above zero.
    pub(super) seconds: f64,
    /// Current, A.
    pub(super) ampere: f64,
    /// Its standard uncertainty, A.
    pub(super) uncertainty: f64,
}

impl Point {
    /// The current less twice its uncertainty.
    pub(super) fn surely(self) -> f64 {
        self.ampere - 2.0 * self.uncertainty
    }
}

/// The points from `seconds` on.
pub(super) fn from(points: &[Point], seconds: f64) -> &[Point] {
    &points[points.partition_point(|point| point.seconds < seconds)..]
}
