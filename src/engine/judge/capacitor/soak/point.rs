//! [`Point`]: one reading of the current.

/// One reading of the current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Since the voltage is on the part, s; above zero.
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

#[cfg(test)]
pub(super) mod sample {
    use super::Point;

    /// A value of the standard normal distribution.
    pub(in super::super) fn normal(rng: &mut fastrand::Rng) -> f64 {
        (-2.0 * libm::log(1.0 - rng.f64())).sqrt() * libm::cos(std::f64::consts::TAU * rng.f64())
    }

    /// Two readings a second from 1 s on to `until`, each with a scatter of `noise` of itself.
    pub(in super::super) fn points(
        until: f64,
        noise: f64,
        rng: &mut fastrand::Rng,
        current: impl Fn(f64) -> f64,
    ) -> Vec<Point> {
        let count = ((until - 1.0) * 2.0) as u32 + 1;
        (0..count)
            .map(|half| {
                let seconds = 1.0 + f64::from(half) / 2.0;
                Point {
                    seconds,
                    ampere: current(seconds) * (1.0 + noise * normal(rng)),
                    uncertainty: 0.0,
                }
            })
            .collect()
    }
}
