//! [`Regression`]: a straight line by least squares with its errors.
//!
//! The formulas are those of simple linear regression: slope Sxy/Sxx, residual variance with n - 2 degrees of freedom, and
//! for a new observation at x₀ the prediction interval ± t s √(1 + 1/n + (x₀ - x̄)²/Sxx) (N. R. Draper and H. Smith, Applied
//! Regression Analysis, chapter 1, from memory). They hold for independent errors of equal size.

use super::student::student;
use crate::engine::statistics::square;

/// Fewest points that a line with an error can be laid through.
const FEWEST: usize = 4;

/// Standard score of a one-sided probability of 99 %.
const ONE_PERCENT: f64 = 2.326_347_874;

/// Standard score of a two-sided probability of 99 %.
const TWO_SIDED_ONE_PERCENT: f64 = 2.575_829_304;

/// A curvature that moves the line by less than this share over its whole length is rounding.
const ROUNDING: f64 = 1e-9;

/// A straight line by least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regression {
    count: usize,
    mean_x: f64,
    mean_y: f64,
    /// Σ(x - x̄)².
    spread: f64,
    slope: f64,
    scatter: f64,
}

impl Regression {
    /// The line through `points`; `None` with fewer than four points, or if all x are equal or a number is not finite.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let count = points.len();
        if count < FEWEST {
            return None;
        }
        let n = count as f64;
        let mean_x = points.iter().map(|p| p.0).sum::<f64>() / n;
        let mean_y = points.iter().map(|p| p.1).sum::<f64>() / n;
        let (mut spread, mut joint) = (0.0, 0.0);
        for (x, y) in points {
            spread += square(x - mean_x);
            joint += (x - mean_x) * (y - mean_y);
        }
        let mut line = Self {
            count,
            mean_x,
            mean_y,
            spread,
            slope: joint / spread,
            scatter: 0.0,
        };
        let square: f64 = points.iter().map(|p| square(line.residual(*p))).sum();
        line.scatter = (square / (n - 2.0)).sqrt();
        (spread > 0.0 && line.slope.is_finite() && line.scatter.is_finite()).then_some(line)
    }

    /// Slope of the line.
    pub const fn slope(&self) -> f64 {
        self.slope
    }

    /// Standard error of the slope, s/√Sxx.
    pub fn slope_error(&self) -> f64 {
        self.scatter / self.spread.sqrt()
    }

    /// Residual standard deviation s.
    pub const fn scatter(&self) -> f64 {
        self.scatter
    }

    /// The line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.mean_y + self.slope * (x - self.mean_x)
    }

    /// Standard error of the line at `x`, s √(1/n + (x - x̄)²/Sxx).
    pub fn error_at(&self, x: f64) -> f64 {
        let distance = square(x - self.mean_x) / self.spread;
        self.scatter * (1.0 / self.count as f64 + distance).sqrt()
    }

    /// Half-width of the 95 % prediction interval for a new observation at `x`.
    pub fn prediction_half_width(&self, x: f64) -> f64 {
        self.student(1.959_963_985) * libm::hypot(self.error_at(x), self.scatter)
    }

    /// Student's quantile with the line's degrees of freedom, for the probability of the standard score `z`.
    pub(super) fn student(&self, z: f64) -> f64 {
        student(z, self.count - 2)
    }

    /// Whether `points`, those of the line, are curved or wander about it, so that a straight line is the wrong picture.
    pub(super) fn misfit(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        self.curvature(points).or_else(|| self.wandering(points))
    }

    /// The quadratic term that least squares would add, if it is beyond chance (two-sided, 1 %).
    fn curvature(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        let squares: Vec<(f64, f64)> = points
            .iter()
            .map(|(x, _)| (*x, square(x - self.mean_x)))
            .collect();
        let parabola = Self::through(&squares)?;
        let (mut own, mut joint, mut left) = (0.0, 0.0, 0.0);
        for (point, square) in points.iter().zip(&squares) {
            let (q, r) = (parabola.residual(*square), self.residual(*point));
            own += q * q;
            joint += q * r;
            left += r * r;
        }
        let term = joint / own;
        let degrees = self.count - 3;
        let error = ((left - term * joint).max(0.0) / degrees as f64 / own).sqrt();
        let bend = term.abs() * self.spread / self.count as f64;
        let beyond = term.abs() > student(TWO_SIDED_ONE_PERCENT, degrees) * error;
        (beyond && bend > ROUNDING).then_some(if term > 0.0 {
            Misfit::BendsUp
        } else {
            Misfit::BendsDown
        })
    }

    /// Von Neumann's ratio of residuals, small where they wander (one-sided, 1 %; J. von Neumann 1941, from memory).
    fn wandering(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        let n = self.count as f64;
        let step = |pair: &[(f64, f64)]| square(self.residual(pair[1]) - self.residual(pair[0]));
        let steps = points.windows(2).map(step).sum::<f64>() / (n - 1.0);
        let square = self.scatter * self.scatter * (n - 2.0) / n;
        let least = 2.0 - ONE_PERCENT * 2.0 * ((n - 2.0) / (n * n - 1.0)).sqrt();
        (self.scatter > ROUNDING && steps < least * square).then_some(Misfit::Wanders)
    }

    fn residual(&self, (x, y): (f64, f64)) -> f64 {
        y - self.at(x)
    }
}

/// How points depart from a straight line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Misfit {
    /// Above the line at both ends.
    BendsUp,
    /// Below the line at both ends.
    BendsDown,
    /// Neighbours depart alike.
    Wanders,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(bend: f64) -> Vec<(f64, f64)> {
        let mut rng = fastrand::Rng::with_seed(3);
        (0..40)
            .map(|i| {
                let x = f64::from(i) / 10.0;
                (
                    x,
                    1.0 - x + bend * square(x - 2.0) + 0.01 * (rng.f64() - 0.5),
                )
            })
            .collect()
    }

    #[test]
    fn a_bend_is_found_with_its_direction_and_a_straight_line_has_none() {
        let misfit = |bend| {
            let points = line(bend);
            Regression::through(&points).unwrap().misfit(&points)
        };
        assert_eq!(misfit(0.0), None);
        assert_eq!(misfit(0.01), Some(Misfit::BendsUp));
        assert_eq!(misfit(-0.01), Some(Misfit::BendsDown));
    }

    #[test]
    fn slow_waves_about_a_line_are_found() {
        let points: Vec<_> = (0..126)
            .map(|i| (f64::from(i), libm::sin(f64::from(i) / 2.0)))
            .collect();
        let line = Regression::through(&points).unwrap();
        assert_eq!(line.misfit(&points), Some(Misfit::Wanders));
    }

    #[test]
    fn an_exact_line_is_no_misfit() {
        let points: Vec<_> = (0..60)
            .map(|i| (f64::from(i).sqrt(), 0.1 - 0.7 * f64::from(i).sqrt()))
            .collect();
        assert_eq!(Regression::through(&points).unwrap().misfit(&points), None);
    }

    #[test]
    fn too_few_points_and_points_above_each_other_make_no_line() {
        assert_eq!(
            Regression::through(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]),
            None
        );
        assert_eq!(Regression::through(&[(1.0, 1.0); 5]), None);
        assert_eq!(
            Regression::through(&[(0.0, f64::NAN), (1.0, 1.0), (2.0, 2.0), (3.0, 2.0)]),
            None
        );
    }
}
