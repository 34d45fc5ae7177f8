//! [`SoakReport`]: what a soak has shown so far.

use std::time::Duration;

use super::forecast::{Forecast, NoForecast};
use super::trend::Direction;
use crate::engine::judge::Verdict;

/// Outcome of the reading at one, two or five minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// Its time has not come.
    Waiting,
    /// The current at that time.
    Read {
        /// Current, A.
        ampere: f64,
        /// Standard uncertainty of the current, k = 1, A.
        standard_uncertainty: f64,
        /// Verdict against the limit, whenever that is to be read.
        against_limit: Verdict,
    },
    /// No reading came within ten seconds of its time.
    Missed,
}

/// Reason why a soak is judged as it is, or not yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SoakReason {
    /// Not yet: its time has not come.
    TooEarly,
    /// Not yet: the limit is to be read after five minutes.
    WaitsForFiveMinutes,
    /// Certain at any time: it rises and is above the limit already.
    RisesAboveLimit,
    /// Certain at any time: even falling with the time itself, faster than any dielectric, it would stay above the limit.
    OutOfReach,
    /// Read when it was to be read.
    AtItsTime,
    /// For the present: within the limit of five minutes after two already, and not rising.
    WithinEarly,
    /// The reading at its time was missed, and after five it is still above the limit.
    StillAbove,
    /// The reading that counts was missed; what came later does not make up for it.
    Missed,
}

impl SoakReason {
    /// The reason as a clause for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TooEarly => "too early, its time has not come",
            Self::WaitsForFiveMinutes => "the limit is read after five minutes",
            Self::RisesAboveLimit => {
                "above the limit and rising: take the voltage off and discharge the part"
            }
            Self::OutOfReach => "too high to come down to the limit in time",
            Self::AtItsTime => "read at the time of the limit",
            Self::WithinEarly => "within the limit already and not rising",
            Self::StillAbove => "above the limit long after its time",
            Self::Missed => "no reading came at the time of the limit: soak again",
        }
    }
}

/// Findings of a soak so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoakReport {
    /// Since the voltage is on the part.
    pub elapsed: Duration,
    /// The latest current, A.
    pub latest_ampere: Option<f64>,
    /// The reading that counts: the one at the time of the limit.
    pub own: Mark,
    /// Where the current is going; `None` with too few readings.
    pub trend: Option<Direction>,
    /// Expected current when the limit is to be read; `None` once that time has come.
    pub forecast: Option<Result<Forecast, NoForecast>>,
    /// The verdict; `None`: not yet.
    pub verdict: Option<Verdict>,
    /// The reason, or why not yet.
    pub reason: SoakReason,
}
