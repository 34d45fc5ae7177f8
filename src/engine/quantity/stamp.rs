//! [`Stamp`]: the time of an event, in whole microseconds since the sitting began.

use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};

/// Microseconds since the start of the sitting. Monotonic, independent of the wall clock.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct Stamp(u64);

impl Stamp {
    /// The start of the sitting.
    pub const ZERO: Self = Self(0);

    /// A stamp `micros` microseconds after the start.
    pub const fn from_micros(micros: u64) -> Self {
        Self(micros)
    }

    /// Whole microseconds since the start.
    pub const fn micros(self) -> u64 {
        self.0
    }

    /// Seconds since the start.
    pub fn seconds(self) -> f64 {
        self.0 as f64 * 1e-6
    }

    /// The stamp `by` later; stays at the largest stamp instead of overflowing.
    #[must_use]
    pub fn after(self, by: Duration) -> Self {
        Self(
            self.0
                .saturating_add(u64::try_from(by.as_micros()).unwrap_or(u64::MAX)),
        )
    }

    /// The time by the clock that stood at `begun` when the sitting began.
    pub fn on_clock(self, begun: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
        let since = TimeDelta::microseconds(i64::try_from(self.0).unwrap_or(i64::MAX));
        begun.checked_add_signed(since).unwrap_or(begun)
    }

    /// The time from `earlier` to this stamp; zero if `earlier` is the later one.
    pub fn since(self, earlier: Self) -> Duration {
        Duration::from_micros(self.0.saturating_sub(earlier.0))
    }
}
