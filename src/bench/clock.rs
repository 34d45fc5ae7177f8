//! [`Clock`]: the only place where live work reads a clock.

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, SubsecRound, TimeDelta};

use crate::engine::quantity::Stamp;

/// The clock of a sitting: when it began by the wall, and how time goes on from there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Clock {
    origin: Instant,
    begun: DateTime<FixedOffset>,
    speed: f64,
}

impl Clock {
    /// Starts now; `speed` bench seconds pass in a real one.
    pub(crate) fn start(speed: f64) -> Self {
        Self::start_as_if(Local::now().fixed_offset().trunc_subsecs(6), speed)
    }

    /// Starts now, as if the wall clock showed `begun`.
    pub(crate) fn start_as_if(begun: DateTime<FixedOffset>, speed: f64) -> Self {
        Self {
            origin: Instant::now(),
            begun,
            speed,
        }
    }

    /// The wall clock at time 0.
    pub(crate) fn begun(&self) -> DateTime<FixedOffset> {
        self.begun
    }

    /// The wall clock now.
    pub(crate) fn now(&self) -> DateTime<FixedOffset> {
        let passed = self.stamp(Instant::now()).micros();
        let passed = TimeDelta::microseconds(i64::try_from(passed).unwrap_or(i64::MAX));
        self.begun.checked_add_signed(passed).unwrap_or(self.begun)
    }

    /// The stamp of an instant.
    pub(crate) fn stamp(&self, instant: Instant) -> Stamp {
        let passed = instant.saturating_duration_since(self.origin);
        Stamp::ZERO.after(passed.mul_f64(self.speed))
    }

    /// Real time until `due`.
    pub(crate) fn until(&self, due: Stamp) -> Duration {
        due.since(self.stamp(Instant::now())).div_f64(self.speed)
    }
}
