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
use super::regression::{Misfit, Regression};

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
    /// When, counted from the moment at which the voltage stands at the part.
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

/// What a forecast says about a limit. It is no verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outlook {
    /// The whole interval is within the limit.
    Within,
    /// The limit lies inside the interval.
    Open,
    /// The whole interval is above the limit.
    Above,
}

impl Forecast {
    /// Where the interval lies to a limit in ampere.
    pub fn outlook(&self, limit_ampere: f64) -> Outlook {
        if self.high_ampere <= limit_ampere {
            Outlook::Within
        } else if self.low_ampere > limit_ampere {
            Outlook::Above
        } else {
            Outlook::Open
        }
    }
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

/// What the current will be `after` so many seconds.
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
        .map(|point| (point.seconds.ln(), point.ampere.ln()))
        .collect();
    let line = Regression::through(&logarithms).ok_or(NoForecast::TooFewReadings)?;
    match line.misfit(&logarithms) {
        Some(Misfit::BendsUp) => return Err(NoForecast::Flattens),
        Some(Misfit::BendsDown) => return Err(NoForecast::Steepens),
        Some(Misfit::Wanders) => return Err(NoForecast::Wanders),
        None => {}
    }
    let best = line.at(ahead.ln());
    let own = 2.0 * last.uncertainty / last.ampere;
    let half_width = line.prediction_half_width(ahead.ln()).hypot(own);
    Ok(Forecast {
        after,
        low_ampere: (best - half_width).exp(),
        ampere: best.exp(),
        high_ampere: (best + half_width).exp(),
        exponent: -line.slope(),
        exponent_uncertainty: line.slope_error(),
        readings: used.len(),
    })
}
