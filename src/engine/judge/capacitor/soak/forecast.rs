//! [`Forecast`]: what the current will be when it is to be read, as far as that can be said.
//!
//! The absorption current of a dielectric falls as a power of time, I = a t^-n with n near 1 (the law of Curie and von
//! Schweidler, from memory), which is a straight line in logarithms. The line is laid through the readings from an eighth of
//! the time on, by least squares. Behind it there may be a constant part, the leakage proper, too small to be seen yet: every
//! constant that the readings do not rule out (95 %, by the likelihood ratio) has a line of its own, and the forecast goes from the
//! lowest to the highest of their 95 % prediction intervals, widened by the meter's own uncertainty.
//! Where the readings bend away from the line or wander about it nothing is forecast: a current that flattens out has a
//! constant part, one that steepens is still charging the part, and neither is told by a power of time.

use std::time::Duration;

use thiserror::Error;

use super::point::{Point, from};
use crate::engine::statistics::{Line, Misfit, square};

/// The time before which nothing is forecast, s.
const EARLIEST_SECONDS: f64 = 60.0;

/// The readings used begin at this share of the time ...
const FIT_FROM: f64 = 1.0 / 8.0;

/// ... and must reach back at least to this share.
const FIT_REACHES: f64 = 1.0 / 4.0;

/// Fewest readings in the fit.
const FEWEST: usize = 12;

/// Constant parts that are tried, as shares of the smallest current.
const CONSTANTS: [f64; 10] = [0.0, 0.02, 0.05, 0.1, 0.17, 0.26, 0.37, 0.5, 0.65, 0.8];

/// Twice the logarithm of the ratio of likelihoods that rules a constant out: the 95 % point of χ² with one degree of freedom.
const RULED_OUT: f64 = 3.841_458_821;

/// Standard score of a two-sided probability of 95 %.
const SURE: f64 = 1.959_963_985;

/// Nothing is forecast beyond this multiple of the time.
const FURTHEST: f64 = 5.0;

/// A current to come, with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// The time, counted from the moment at which the voltage is on the part.
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

/// Reason why nothing is forecast.
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

/// Forecast of the current `after` so many seconds. `last` is the last reading, `points` those that were kept.
pub(super) fn forecast(
    points: &[Point],
    last: Option<Point>,
    after: Duration,
) -> Result<Forecast, NoForecast> {
    let last = last.ok_or(NoForecast::TooFewReadings)?;
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
    let along: Vec<Along> = logarithms
        .iter()
        .map(|point| Along::of(&line, *point))
        .collect();
    let currents = along.iter().map(|point| point.ampere);
    let smallest = currents.fold(f64::INFINITY, f64::min);
    let behind = CONSTANTS.map(|share| Behind::through(&along, share * smallest));
    let best = behind.iter().min_by(|a, b| a.squares.total_cmp(&b.squares));
    let best = best.ok_or(NoForecast::TooFewReadings)?;
    let count = used.len() as f64;
    let most = best.squares * libm::exp(RULED_OUT / count);
    let own = 2.0 * last.uncertainty / last.ampere;
    let score = line.student(SURE);
    let possible = behind.iter().filter(|behind| behind.squares <= most);
    let (low, high) = possible.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), behind| {
        let (ampere, error) = behind.at(libm::log(ahead));
        let reach = libm::exp(libm::hypot(score * error, own));
        (low.min(ampere / reach), high.max(ampere * reach))
    });
    Ok(Forecast {
        after,
        low_ampere: low,
        ampere: best.at(libm::log(ahead)).0,
        high_ampere: high,
        exponent: -line.slope(),
        exponent_uncertainty: line.slope_error(),
        readings: used.len(),
    })
}

/// A reading beside the line without a constant.
#[derive(Clone, Copy)]
struct Along {
    x: f64,
    /// The line there, and the current that it says.
    logarithm: f64,
    ampere: f64,
    /// Excess of the reading over it.
    off: f64,
}

impl Along {
    fn of(line: &Line, (x, logarithm): (f64, f64)) -> Self {
        let along = line.at(x);
        Self {
            x,
            logarithm: along,
            ampere: libm::exp(along),
            off: logarithm - along,
        }
    }
}

/// A power of time behind a constant part: a straight line through the logarithms of what is above the constant. Where less is above
/// it a reading tells less, and so weighs less; how much that is follows from the line without a constant, for by the readings
/// themselves the low ones would weigh least.
struct Behind {
    constant: f64,
    count: f64,
    weight: f64,
    mean_x: f64,
    mean_y: f64,
    leverage: f64,
    slope: f64,
    /// Σ of squares of the logarithm of the current about the curve.
    squares: f64,
}

impl Behind {
    fn through(along: &[Along], constant: f64) -> Self {
        let points = along.iter().map(|point| {
            let share = 1.0 - constant / point.ampere;
            let above = point.logarithm + libm::log(share) + point.off / share;
            (point.x, above, square(share))
        });
        let (mut weight, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
        for (x, y, w) in points.clone() {
            weight += w;
            x_sum += w * x;
            y_sum += w * y;
        }
        let (mean_x, mean_y) = (x_sum / weight, y_sum / weight);
        let (mut leverage, mut joint, mut squares) = (0.0, 0.0, 0.0);
        for (x, y, w) in points {
            leverage += w * square(x - mean_x);
            joint += w * (x - mean_x) * (y - mean_y);
            squares += w * square(y - mean_y);
        }
        let slope = joint / leverage;
        Self {
            constant,
            count: along.len() as f64,
            weight,
            mean_x,
            mean_y,
            leverage,
            slope,
            squares: (squares - slope * joint).max(0.0),
        }
    }

    /// The current there, and the standard error of the logarithm of a reading of it.
    fn at(&self, x: f64) -> (f64, f64) {
        let above = libm::exp(self.mean_y + self.slope * (x - self.mean_x));
        let ampere = self.constant + above;
        let line = 1.0 / self.weight + square(x - self.mean_x) / self.leverage;
        let error = 1.0 + square(above / ampere) * line;
        let scatter = self.squares / (self.count - 2.0);
        (ampere, (scatter * error).sqrt())
    }
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
                let Ok(forecast) = forecast(&points, points.last().copied(), AFTER) else {
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

    /// Constant parts of so large a share of the current at its time, which nobody sees in the readings up to then.
    #[test]
    fn the_interval_covers_the_truth_where_a_constant_part_lies_hidden() {
        let mut rng = fastrand::Rng::with_seed(22);
        for share in [0.01, 0.02, 0.035, 0.05] {
            for (until, noise) in [(60.0, 0.01), (90.0, 0.02), (120.0, 0.01), (120.0, 0.05)] {
                let (mut told, mut inside) = (0, 0);
                for _ in 0..300 {
                    let falls = power(0.5 + 0.5 * rng.f64());
                    let constant = share / (1.0 - share) * falls(300.0);
                    let current = |seconds| constant + falls(seconds);
                    let points = points(until, noise, &mut rng, current);
                    if let Ok(forecast) = forecast(&points, points.last().copied(), AFTER) {
                        told += 1;
                        inside += i32::from(covers(&forecast, current(300.0)));
                    }
                }
                let case = format!("{share} {until} s, {noise}: {told} {inside}");
                assert!(told >= 200 && inside * 100 >= told * 95, "{case}");
            }
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
                    forecast(&points, points.last().copied(), AFTER)
                        .is_ok_and(|f| !covers(&f, current(300.0)))
                })
                .count();
            assert!(wrong <= 4, "{name}: {wrong} of 200 wrong");
        }
    }

    #[test]
    fn the_refusal_says_what_is_wrong() {
        let refusal = |until, current: fn(f64) -> f64| {
            let points = points(until, 0.01, &mut fastrand::Rng::with_seed(8), current);
            forecast(&points, points.last().copied(), AFTER).unwrap_err()
        };
        assert_eq!(refusal(50.0, |s| 1e-3 / s), NoForecast::TooEarly);
        assert_eq!(refusal(120.0, |s| 20e-6 + 1e-3 / s), NoForecast::Flattens);
        assert_eq!(
            refusal(120.0, |s| 5e-3 * libm::exp(-s / 40.0)),
            NoForecast::Steepens
        );
        assert_eq!(refusal(120.0, |s| 1e-6 * (s - 100.0)), NoForecast::NearZero);
        assert_eq!(forecast(&[], None, AFTER), Err(NoForecast::TooFewReadings));
        let points = points(60.0, 0.01, &mut fastrand::Rng::with_seed(8), power(0.8));
        let far = forecast(&points, points.last().copied(), Duration::from_secs(301));
        assert_eq!(far, Err(NoForecast::TooFar));
        let late = forecast(&points[30..], points.last().copied(), AFTER);
        assert_eq!(late, Err(NoForecast::TooFewReadings));
    }

    #[test]
    fn the_uncertainty_of_the_meter_widens_the_interval() {
        let mut points = points(120.0, 0.001, &mut fastrand::Rng::with_seed(8), power(0.8));
        let narrow = forecast(&points, points.last().copied(), AFTER).unwrap();
        for point in &mut points {
            point.uncertainty = 0.05 * point.ampere;
        }
        let wide = forecast(&points, points.last().copied(), AFTER).unwrap();
        assert!(wide.high_ampere > narrow.ampere * 1.1);
        assert!(wide.low_ampere < narrow.ampere * 0.91);
        assert!(narrow.high_ampere < narrow.ampere * 1.01);
    }
}
