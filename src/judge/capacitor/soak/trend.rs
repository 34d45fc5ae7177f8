//! [`Trend`]: where the current is going just now.

use std::time::Duration;

use super::point::{Point, from};
use super::regression::Regression;

/// Length of the window, s; a tenth of the time since the voltage stands where that is longer.
const WINDOW_SECONDS: f64 = 30.0;

/// Fewest readings in the window.
const FEWEST: usize = 8;

/// Standard score of a two-sided probability of 99 %.
const SURE: f64 = 2.575_829_304;

/// Which way the current goes, beyond chance (99 %).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// It falls, as it should.
    Falling,
    /// Neither is beyond chance.
    Level,
    /// It rises: take the voltage off if it goes on.
    Rising,
}

/// Where the current is going: the slope of a straight line through the last readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Slope, in ampere per second.
    pub ampere_per_second: f64,
    /// Standard error of the slope, in ampere per second.
    pub standard_uncertainty: f64,
    /// Which way.
    pub direction: Direction,
    /// From the first reading of the window to the last.
    pub window: Duration,
    /// Readings in the window.
    pub readings: usize,
}

/// The trend of the points, and the points of its window. `None` if there are too few.
pub(super) fn trend(points: &[Point]) -> Option<(Trend, &[Point])> {
    let last = points.last()?.seconds;
    let length = WINDOW_SECONDS.max(last / 10.0);
    let window = from(points, last - length);
    let span = last - window.first()?.seconds;
    if window.len() < FEWEST || span < length / 2.0 {
        return None;
    }
    let line: Vec<(f64, f64)> = window.iter().map(|p| (p.seconds, p.ampere)).collect();
    let line = Regression::through(&line)?;
    let reach = line.student(SURE) * line.slope_error();
    let direction = match line.slope() {
        slope if slope - reach > 0.0 => Direction::Rising,
        slope if slope + reach < 0.0 => Direction::Falling,
        _ => Direction::Level,
    };
    let trend = Trend {
        ampere_per_second: line.slope(),
        standard_uncertainty: line.slope_error(),
        direction,
        window: Duration::from_secs_f64(span),
        readings: window.len(),
    };
    Some((trend, window))
}
