//! [`Trend`]: where the current is going just now.

use std::time::Duration;

use strum::IntoStaticStr;

use super::point::{Point, from};
use crate::engine::statistics::Line;

/// Length of the window, s; a tenth of the time since the voltage is on where that is longer.
const WINDOW_SECONDS: f64 = 30.0;

/// Fewest readings in the window.
const FEWEST: usize = 8;

/// Standard score of a two-sided probability of 99 %.
const SURE: f64 = 2.575_829_304;

/// Direction of the current, beyond chance (99 %).
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
#[derive(IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Direction {
    /// The current falls, as it should.
    Falling,
    /// Neither is beyond chance.
    Level,
    /// The current rises: take the voltage off if it goes on.
    Rising,
}

impl Direction {
    /// The word for people.
    pub fn name(self) -> &'static str {
        self.into()
    }
}

/// Where the current is going: the slope of a straight line through the last readings. Its error holds for readings whose
/// scatter is independent; a meter that averages makes it too small.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Slope, in ampere per second.
    pub ampere_per_second: f64,
    /// Standard error of the slope, in ampere per second.
    pub standard_uncertainty: f64,
    /// Sign of the slope, once its error leaves no doubt; else level.
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
    let line = Line::through(window.iter().map(|p| (p.seconds, p.ampere)))?;
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

#[cfg(test)]
mod tests {
    use super::super::point::sample::{normal, points};
    use super::*;

    #[test]
    fn the_error_of_the_slope_covers_the_true_slope() {
        let mut rng = fastrand::Rng::with_seed(9);
        let mut inside = 0;
        for _ in 0..300 {
            let mut points = points(100.0, 0.0, &mut rng, |s| 1e-4 - 2e-7 * s);
            for point in &mut points {
                point.ampere += 1e-6 * normal(&mut rng);
            }
            let (trend, _) = trend(&points).unwrap();
            let away = (trend.ampere_per_second + 2e-7).abs();
            inside += i32::from(away <= 2.0 * trend.standard_uncertainty);
        }
        // Twice the standard error of 58 degrees of freedom covers 95 %.
        assert!((270..=298).contains(&inside), "{inside} of 300");
    }

    #[test]
    fn a_level_current_is_hardly_ever_called_falling_or_rising() {
        let mut rng = fastrand::Rng::with_seed(10);
        let level = (0..300)
            .filter(|_| {
                let points = points(100.0, 0.01, &mut rng, |_| 1e-4);
                trend(&points).unwrap().0.direction == Direction::Level
            })
            .count();
        assert!(level >= 290, "{level} of 300");
    }

    #[test]
    fn too_few_readings_have_no_trend() {
        let mut rng = fastrand::Rng::with_seed(11);
        assert!(trend(&points(10.0, 0.0, &mut rng, |_| 1e-4)).is_none());
        let sparse: Vec<Point> = points(100.0, 0.0, &mut rng, |_| 1e-4)
            .into_iter()
            .step_by(20)
            .collect();
        assert!(trend(&sparse).is_none());
    }
}
