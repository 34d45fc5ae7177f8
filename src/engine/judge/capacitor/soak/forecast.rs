//! [`Forecast`]: what the current will be when it is to be read, as far as that can be said.
//!
//! The absorption current of a dielectric falls as a power of time, I = a t^-n with n near 1 (the law of Curie and von
//! Schweidler, from memory), which is a straight line in logarithms. The line is laid through the readings from an eighth of
//! the time on, by least squares; its 95 % prediction interval, widened by the meter's own uncertainty, is the forecast.
//! Where the readings bend away from the line or wander about it nothing is forecast: a current that flattens out has a
//! constant part, one that steepens is still charging the part, and neither is told by a power of time.

use std::time::Duration;

use thiserror::Error;

use super::point::{Point, from};
use crate::engine::statistics::{Line, Misfit};

/// The time before which nothing is forecast, s.
const EARLIEST_SECONDS: f64 = 60.0;

/// The readings used begin at this share of the time ...
const FIT_FROM: f64 = 1.0 / 8.0;

/// ... and must reach back at least to this share.
const FIT_REACHES: f64 = 1.0 / 4.0;

/// Fewest readings in the fit.
const FEWEST: usize = 12;

/// Nothing is forecast beyond this multiple of the time.
const FURTHEST: f64 = 5.0;

/// A current to come, with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// When, counted from the moment at which the voltage is on the part.
    pub after: Duration,
    /// Lower end of the 95 % interval, A.
    pub low_ampere: f64,
    /// Best guess, A.
    pub ampere: f64,
    /// Upper end of the 95 % interval, A.
    pub high_ampere: f64,
    /// The power of time n with which it falls; negative where it rises.
    pub exponent: f64,
    /// Standard error of the power.
    pub exponent_uncertainty: f64,
    /// Readings in the fit.
    pub readings: usize,
}

/// Why nothing is forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NoForecast {
    /// Less than a minute.
    #[error("too early: nothing is forecast in the first minute")]
    TooEarly,
    /// Too few readings, or none early enough.
    #[error("too few readings")]
    TooFewReadings,
    /// More than five times the time so far lies ahead.
    #[error("too far ahead")]
    TooFar,
    /// A current is zero or negative.
    #[error("the current is down in the meter's zero")]
    NearZero,
    /// The current flattens out: it has a constant part.
    #[error("the current flattens out, where it ends cannot be told yet")]
    Flattens,
    /// The current falls ever faster: the part is still charging.
    #[error("the current falls ever faster, the part may still be charging")]
    Steepens,
    /// The readings wander.
    #[error("the current wanders")]
    Wanders,
}

/// Forecast of the current `after` so many seconds.
pub(super) fn forecast(points: &[Point], after: Duration) -> Result<Forecast, NoForecast> {
    let last = points.last().ok_or(NoForecast::TooFewReadings)?;
    let ahead = after.as_secs_f64();
    if last.seconds < EARLIEST_SECONDS {
        return Err(NoForecast::TooEarly);
    }
    if ahead > FURTHEST * last.seconds {
        return Err(NoForecast::TooFar);
    }
    let used = from(points, last.seconds * FIT_FROM);
    if used.len() < FEWEST || used[0].seconds > last.seconds * FIT_REACHES {
        return Err(NoForecast::TooFewReadings);
    }
    if used.iter().any(|point| point.ampere <= 0.0) {
        return Err(NoForecast::NearZero);
    }
    let logarithms: Vec<(f64, f64)> = used
        .iter()
        .map(|point| (libm::log(point.seconds), libm::log(point.ampere)))
        .collect();
    let line = Line::through(logarithms.iter().copied()).ok_or(NoForecast::TooFewReadings)?;
    match line.misfit(&logarithms) {
        Some(Misfit::BendsUp) => return Err(NoForecast::Flattens),
        Some(Misfit::BendsDown) => return Err(NoForecast::Steepens),
        Some(Misfit::Wanders) => return Err(NoForecast::Wanders),
        None => {}
    }
    let best = line.at(libm::log(ahead));
    let own = 2.0 * last.uncertainty / last.ampere;
    let half_width = libm::hypot(line.prediction_half_width(libm::log(ahead)), own);
    Ok(Forecast {
        after,
        low_ampere: libm::exp(best - half_width),
        ampere: libm::exp(best),
        high_ampere: libm::exp(best + half_width),
        exponent: -line.slope(),
        exponent_uncertainty: line.slope_error(),
        readings: used.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::point::sample::{normal, points};
    use super::*;

    const AFTER: Duration = Duration::from_secs(300);

    fn power(exponent: f64) -> impl Fn(f64) -> f64 {
        move |seconds| 1e-3 * libm::pow(seconds, -exponent)
    }

    fn covers(forecast: &Forecast, ampere: f64) -> bool {
        forecast.low_ampere <= ampere && ampere <= forecast.high_ampere
    }

    #[test]
    fn the_interval_covers_the_truth_and_a_later_reading_as_often_as_it_says() {
        let mut rng = fastrand::Rng::with_seed(20);
        for (until, noise) in [(60.0, 0.01), (90.0, 0.05), (120.0, 0.01), (120.0, 0.1)] {
            let (mut told, mut truth_inside, mut reading_inside) = (0, 0, 0);
            for _ in 0..400 {
                let current = power(0.4 + 0.6 * rng.f64());
                let points = points(until, noise, &mut rng, &current);
                let Ok(forecast) = forecast(&points, AFTER) else {
                    continue;
                };
                let truth = current(300.0);
                let reading = truth * (1.0 + noise * normal(&mut rng));
                told += 1;
                truth_inside += i32::from(covers(&forecast, truth));
                reading_inside += i32::from(covers(&forecast, reading));
            }
            let case = format!("{until} s, {noise}: {told} {truth_inside} {reading_inside}");
            assert!(told >= 370, "{case}");
            assert!(truth_inside * 100 >= told * 95, "{case}");
            assert!(reading_inside * 100 >= told * 90, "{case}");
            assert!(reading_inside < told, "too wide to be wrong once: {case}");
        }
    }

    #[test]
    fn a_current_that_is_no_power_of_time_is_refused_or_covered() {
        type Shape = fn(f64) -> f64;
        let shapes: [(&str, Shape); 3] = [
            ("large constant part", |s| 20e-6 + 1e-3 / s),
            ("small constant part", |s| 1e-6 + 1e-3 / s),
            ("charging", |s| 1e-6 + 5e-3 * libm::exp(-s / 40.0)),
        ];
        let mut rng = fastrand::Rng::with_seed(21);
        for (name, current) in shapes {
            let wrong = (0..200)
                .filter(|_| {
                    let points = points(120.0, 0.01, &mut rng, current);
                    forecast(&points, AFTER).is_ok_and(|f| !covers(&f, current(300.0)))
                })
                .count();
            assert!(wrong <= 4, "{name}: {wrong} of 200 wrong");
        }
    }

    #[test]
    fn the_refusal_says_what_is_wrong() {
        let refusal = |until, current: fn(f64) -> f64| {
            let points = points(until, 0.01, &mut fastrand::Rng::with_seed(8), current);
            forecast(&points, AFTER).unwrap_err()
        };
        assert_eq!(refusal(50.0, |s| 1e-3 / s), NoForecast::TooEarly);
        assert_eq!(refusal(120.0, |s| 20e-6 + 1e-3 / s), NoForecast::Flattens);
        assert_eq!(
            refusal(120.0, |s| 5e-3 * libm::exp(-s / 40.0)),
            NoForecast::Steepens
        );
        assert_eq!(refusal(120.0, |s| 1e-6 * (s - 100.0)), NoForecast::NearZero);
        assert_eq!(forecast(&[], AFTER), Err(NoForecast::TooFewReadings));
        let points = points(60.0, 0.01, &mut fastrand::Rng::with_seed(8), power(0.8));
        let far = forecast(&points, Duration::from_secs(301));
        assert_eq!(far, Err(NoForecast::TooFar));
        let late = forecast(&points[30..], AFTER);
        assert_eq!(late, Err(NoForecast::TooFewReadings));
    }

    #[test]
    fn the_uncertainty_of_the_meter_widens_the_interval() {
        let mut points = points(120.0, 0.001, &mut fastrand::Rng::with_seed(8), power(0.8));
        let narrow = forecast(&points, AFTER).unwrap();
        for point in &mut points {
            point.uncertainty = 0.05 * point.ampere;
        }
        let wide = forecast(&points, AFTER).unwrap();
        assert!(wide.high_ampere > narrow.ampere * 1.1);
        assert!(wide.low_ampere < narrow.ampere * 0.91);
        assert!(narrow.high_ampere < narrow.ampere * 1.01);
    }
}
