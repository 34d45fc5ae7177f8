//! [`Window`]: a stretch of a touch, and what is tried on it besides the candidates.

use super::candidates::{Candidate, Falls, Prior};
use super::limits::{FEWEST_JUDGED, REACH, WIDEST, WORTH};
use crate::engine::statistics::{Line, least_ratio, square};

/// Rounding that makes two distances of one count differ.
const ROUNDING: f64 = 1e-6;

/// A stretch of a touch, in the unit of the rule.
#[derive(Debug, Clone, Copy)]
pub(super) struct Window<'a> {
    /// Since contact, s.
    pub(super) times: &'a [f64],
    pub(super) values: &'a [f64],
    /// Shares left with each time constant.
    pub(super) falls: &'a [Falls],
}

impl Window<'_> {
    /// From there on.
    pub(super) fn from(&self, at: usize) -> Self {
        Self {
            times: &self.times[at..],
            values: &self.values[at..],
            falls: &self.falls[at..],
        }
    }

    /// How far its values lie apart at most.
    pub(super) fn lies_within(&self, width: f64) -> bool {
        let least = self.values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = self
            .values
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        most - least <= width + ROUNDING
    }

    /// Puts down what a curve leaves unexplained.
    pub(super) fn residuals(&self, curve: &Candidate, into: &mut Vec<f64>) {
        into.clear();
        let each = self.values.iter().zip(self.times);
        into.extend(each.map(|(value, time)| value - curve.at(*time)));
    }

    /// How far the last half of the residuals moves by its straight line, with the standard error of that for a scatter of one.
    pub(super) fn moves(&self, residuals: &[f64]) -> Option<(f64, f64)> {
        let half = residuals.len() / 2;
        let points = self.times[half..].iter().zip(&residuals[half..]);
        let line = Line::through(points.map(|(time, off)| (*time, *off)))?;
        let span = self.times[self.times.len() - 1] - self.times[half];
        Some((line.slope().abs() * span, span / line.leverage().sqrt()))
    }

    /// Whether the residuals of a curve are scatter: none that is out of all proportion, no slope in their last half, and none follows another.
    ///
    /// `moves` is what [`Window::moves`] says of them.
    pub(super) fn fits(residuals: &[f64], moves: Option<(f64, f64)>, prior: &Prior) -> bool {
        if moves.is_some_and(|(far, error)| far > REACH * error * scatter(residuals, prior)) {
            return false;
        }
        let count = residuals.len();
        let squares: f64 = residuals.iter().map(|off| off * off).sum();
        if squares > WIDEST * prior.expected * count as f64 {
            return false;
        }
        let judged = count >= FEWEST_JUDGED && squares > 4.0 * prior.hidden * count as f64;
        !judged || steps(residuals) >= least_ratio(count) * squares
    }
}

/// Scatter of single values from second differences, which a smooth approach hardly enlarges: √(Σ(x₋ - 2x + x₊)² / 6(n - 2)),
/// with what is expected beforehand.
pub(super) fn scatter(values: &[f64], prior: &Prior) -> f64 {
    let curved = values.windows(3).map(|v| square(v[0] - 2.0 * v[1] + v[2]));
    let known = WORTH * prior.expected + curved.sum::<f64>() / 6.0;
    (known / (WORTH + values.len() as f64 - 2.0) + prior.hidden).sqrt()
}

/// Σ(x₊ - x)².
pub(super) fn steps(values: &[f64]) -> f64 {
    let steps = values.windows(2).map(|pair| square(pair[1] - pair[0]));
    steps.sum()
}
