//! [`certain_fail`]: the fail that needs no waiting.

use std::time::Duration;

use super::forecast::{Forecast, NoForecast};
use super::point::Point;
use super::report::SoakReason;
use super::trend::Direction;
use crate::engine::judge::capacitor::LeakageLimit;

/// The steepest fall of a dielectric's current: with the time itself, t^-1 (Curie and von Schweidler, from memory).
const STEEPEST: f64 = 1.0;

/// Time that a current above the limit must have been rising before that is a certain fail.
const RISES_FOR: Duration = Duration::from_secs(25);

/// Standard score of a two-sided probability of 99 %.
const SURE: f64 = 2.575_829_304;

/// Reason why the current cannot come down to the limit in time, if it cannot.
///
/// Either it rises, above the limit all the while; or it falls as a power of time that is surely slower than the steepest
/// one (so the part is not charging any more), and even falling as the steepest from every one of the last readings on it
/// would still be above the limit.
pub(super) fn certain_fail(
    limit: &LeakageLimit,
    found: Option<(Direction, &[Point])>,
    forecast: Result<Forecast, NoForecast>,
) -> Option<SoakReason> {
    let (direction, window) = found?;
    let lasts = window.last()?.seconds - window.first()?.seconds;
    let rises = direction == Direction::Rising && Duration::from_secs_f64(lasts) >= RISES_FOR;
    if rises && window.iter().all(|p| p.surely() > limit.ampere) {
        return Some(SoakReason::RisesAboveLimit);
    }
    let forecast = forecast.ok()?;
    let exponent = forecast.exponent + SURE * forecast.exponent_uncertainty;
    let due = limit.read_after.duration().as_secs_f64();
    let out_of_reach = |p: &Point| p.surely() * libm::pow(p.seconds / due, STEEPEST) > limit.ampere;
    (exponent < STEEPEST && window.iter().all(out_of_reach)).then_some(SoakReason::OutOfReach)
}
