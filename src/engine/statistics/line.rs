//! [`Line`]: a straight line by least squares with its errors.
//!
//! The formulas are those of simple linear regression: slope Sxy/Sxx, residual variance with n - 2 degrees of freedom, and
//! for a new observation at x₀ the prediction interval ± t s √(1 + 1/n + (x₀ - x̄)²/Sxx) (N. R. Draper and H. Smith, Applied
//! Regression Analysis, chapter 1, from memory). They hold for independent errors of equal size.

use super::{normal_cdf, square, student};

/// Fewest points about which a line has a scatter.
const FEWEST: usize = 3;

/// Standard score of a one-sided probability of 99 %.
const ONE_PERCENT: f64 = 2.326_347_874;

/// Standard score of a two-sided probability of 99 %.
const TWO_SIDED_ONE_PERCENT: f64 = 2.575_829_304;

/// A curvature that moves the line by less than this share over its whole length is rounding.
const ROUNDING: f64 = 1e-9;

/// A straight line by least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    count: usize,
    mean_x: f64,
    mean_y: f64,
    /// Σ(x - x̄)².
    leverage: f64,
    slope: f64,
    scatter: f64,
}

impl Line {
    /// The line through `points`; `None` with fewer than three points, or if all x are equal or a number is not finite.
    pub fn through(points: impl Iterator<Item = (f64, f64)> + Clone) -> Option<Self> {
        let (mut count, mut sum_x, mut sum_y) = (0, 0.0, 0.0);
        for (x, y) in points.clone() {
            count += 1;
            sum_x += x;
            sum_y += y;
        }
        if count < FEWEST {
            return None;
        }
        let n = count as f64;
        let (mean_x, mean_y) = (sum_x / n, sum_y / n);
        let (mut leverage, mut joint) = (0.0, 0.0);
        for (x, y) in points.clone() {
            leverage += square(x - mean_x);
            joint += (x - mean_x) * (y - mean_y);
        }
        let mut line = Self {
            count,
            mean_x,
            mean_y,
            leverage,
            slope: joint / leverage,
            scatter: 0.0,
        };
        let squares: f64 = points.map(|point| square(line.residual(point))).sum();
        line.scatter = (squares / (n - 2.0)).sqrt();
        (leverage > 0.0 && line.slope.is_finite() && line.scatter.is_finite()).then_some(line)
    }

    /// Slope of the line.
    pub const fn slope(&self) -> f64 {
        self.slope
    }

    /// Standard error of the slope, s/√Sxx.
    pub fn slope_error(&self) -> f64 {
        self.scatter / self.leverage.sqrt()
    }

    /// Σ(x - x̄)².
    pub const fn leverage(&self) -> f64 {
        self.leverage
    }

    /// The line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.mean_y + self.slope * (x - self.mean_x)
    }

    /// Student's quantile with the line's degrees of freedom, for the probability of the standard score `z`.
    pub fn student(&self, z: f64) -> f64 {
        of_score(z, self.count - 2)
    }

    /// Whether `points`, those of the line, are curved or wander about it, so that a straight line is the wrong picture.
    pub fn misfit(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        self.curvature(points).or_else(|| self.wandering(points))
    }

    /// The quadratic term that least squares would add, if it is beyond chance (two-sided, 1 %).
    fn curvature(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        let degrees = self.count.checked_sub(3).filter(|degrees| *degrees > 0)?;
        let square_of = |(x, _): &(f64, f64)| (*x, square(x - self.mean_x));
        let parabola = Self::through(points.iter().map(square_of))?;
        let (mut own, mut joint, mut left) = (0.0, 0.0, 0.0);
        for point in points {
            let (q, r) = (parabola.residual(square_of(point)), self.residual(*point));
            own += q * q;
            joint += q * r;
            left += r * r;
        }
        let term = joint / own;
        let error = ((left - term * joint).max(0.0) / degrees as f64 / own).sqrt();
        let bend = term.abs() * self.leverage / self.count as f64;
        let beyond = term.abs() > of_score(TWO_SIDED_ONE_PERCENT, degrees) * error;
        (beyond && bend > ROUNDING).then_some(if term > 0.0 {
            Misfit::BendsUp
        } else {
            Misfit::BendsDown
        })
    }

    /// Whether von Neumann's ratio of the residuals is small, as where they wander.
    fn wandering(&self, points: &[(f64, f64)]) -> Option<Misfit> {
        let n = self.count as f64;
        let step = |pair: &[(f64, f64)]| square(self.residual(pair[1]) - self.residual(pair[0]));
        let steps = points.windows(2).map(step).sum::<f64>() / (n - 1.0);
        let mean = square(self.scatter) * (n - 2.0) / n;
        (self.scatter > ROUNDING && steps < least_ratio(self.count) * mean)
            .then_some(Misfit::Wanders)
    }

    fn residual(&self, (x, y): (f64, f64)) -> f64 {
        y - self.at(x)
    }
}

/// The smallest ratio δ²/s² of a series that scatters: a wandering one has a smaller (one-sided, 1 %). Its mean is 2 and its variance 4(n - 2)/(n² - 1)
/// for independent normal values (J. von Neumann 1941, from memory; the mean here without the factor n/(n - 1), which makes the test milder).
pub fn least_ratio(count: usize) -> f64 {
    let n = count as f64;
    2.0 - ONE_PERCENT * 2.0 * ((n - 2.0) / (n * n - 1.0)).sqrt()
}

/// Student's quantile for the one-sided probability of a standard score; infinite without a degree.
fn of_score(z: f64, degrees: usize) -> f64 {
    student(normal_cdf(-z), degrees as f64).unwrap_or(f64::INFINITY)
}

/// Shape in which points depart from a straight line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Misfit {
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

    fn through(points: &[(f64, f64)]) -> Option<Line> {
        Line::through(points.iter().copied())
    }

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
            through(&points).unwrap().misfit(&points)
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
        let line = through(&points).unwrap();
        assert_eq!(line.misfit(&points), Some(Misfit::Wanders));
    }

    #[test]
    fn an_exact_line_is_no_misfit() {
        let points: Vec<_> = (0..60)
            .map(|i| (f64::from(i).sqrt(), 0.1 - 0.7 * f64::from(i).sqrt()))
            .collect();
        assert_eq!(through(&points).unwrap().misfit(&points), None);
    }

    #[test]
    fn too_few_points_and_points_above_each_other_make_no_line() {
        assert_eq!(through(&[(0.0, 0.0), (1.0, 1.0)]), None);
        assert_eq!(through(&[(1.0, 1.0); 5]), None);
        assert_eq!(
            through(&[(0.0, f64::NAN), (1.0, 1.0), (2.0, 2.0), (3.0, 2.0)]),
            None
        );
    }
}
