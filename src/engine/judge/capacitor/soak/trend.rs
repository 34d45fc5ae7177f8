//! [`Direction`]: where the current is going just now.

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

words!(Direction: name);

/// The direction by the slope of a straight line through the last points, and the points of that window; `None` if there are too
/// few. The error of the slope holds for readings whose scatter is independent; a meter that averages makes it too small.
pub(super) fn trend(points: &[Point]) -> Option<(Direction, &[Point])> {
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
    Some((direction, window))
}

#[cfg(test)]
mod tests {
    use super::super::point::sample::{normal, points};
    use super::*;

    #[test]
    fn a_slope_beyond_its_error_is_told_and_its_sign_is_right() {
        let mut rng = fastrand::Rng::with_seed(9);
        for (slope, direction) in [(-2e-7, Direction::Falling), (2e-7, Direction::Rising)] {
            for _ in 0..300 {
                let mut points = points(100.0, 0.0, &mut rng, |s| 1e-4 + slope * s);
                for point in &mut points {
                    point.ampere += 1e-6 * normal(&mut rng);
                }
                assert_eq!(trend(&points).unwrap().0, direction);
            }
        }
    }

    #[test]
    fn a_level_current_is_hardly_ever_called_falling_or_rising() {
        let mut rng = fastrand::Rng::with_seed(10);
        let level = (0..300)
            .filter(|_| {
                let points = points(100.0, 0.01, &mut rng, |_| 1e-4);
                trend(&points).unwrap().0 == Direction::Level
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
