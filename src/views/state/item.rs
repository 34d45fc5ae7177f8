//! [`Item`]: an event as others are told it; and [`Trace`], the readings since contact.

use serde::{Deserialize, Serialize};

use crate::engine::sitting::Event;
use crate::views::told::{Line, told};

/// Version of the vocabulary. It rises when something that a view may rely on changes or goes; what is only added leaves it.
pub const VERSION: u32 = 3;

/// An event, numbered, with its line of the plain view.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// [`VERSION`].
    pub version: u32,
    /// Counts from 1 in a sitting, without gaps.
    pub id: u64,
    /// The event.
    #[serde(flatten)]
    pub event: Event,
    /// The same as a line of the plain view, where that has one.
    #[serde(flatten)]
    pub line: Option<Line>,
}

impl Item {
    /// The event of that number.
    pub fn of(id: u64, event: &Event) -> Self {
        Self {
            version: VERSION,
            id,
            event: event.clone(),
            line: told(&event.what).line,
        }
    }
}

/// A reading since contact.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Since contact, in microseconds.
    pub t_us: u64,
    /// The value, in the SI unit of its quantity.
    pub value: f64,
}

/// The readings since contact, at most [`Trace::MOST`] of them, evenly thinned out: each time it is full every second one
/// goes, and from then on only every second reading as before comes in.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Trace {
    /// When the probes made contact, or the voltage was applied, in microseconds since the sitting began.
    pub since_us: u64,
    /// How many readings make one point: 1, 2, 4, ...
    pub every: u32,
    /// Readings since the last point that came in.
    pub passed: u32,
    /// The points, in order of time.
    pub points: Vec<Point>,
}

impl Trace {
    /// The largest number of points.
    pub const MOST: usize = 240;

    /// An empty one that begins now.
    pub(super) fn since(at_us: u64) -> Self {
        Self {
            since_us: at_us,
            every: 1,
            passed: 0,
            points: Vec::new(),
        }
    }

    /// Takes in a reading.
    pub(super) fn add(&mut self, at_us: u64, value: f64) {
        if self.passed > 0 {
            self.passed = (self.passed + 1) % self.every.max(1);
            return;
        }
        if self.points.len() == Self::MOST {
            let mut place = 0;
            self.points.retain(|_| {
                place += 1;
                place % 2 == 1
            });
            self.every = self.every.saturating_mul(2);
        }
        let t_us = at_us.saturating_sub(self.since_us);
        self.points.push(Point { t_us, value });
        self.passed = 1 % self.every.max(1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_long_touch_is_thinned_out_evenly_and_stays_bounded() {
        let mut trace = Trace::since(1000);
        for reading in 0..100_000_u64 {
            trace.add(1000 + reading, reading as f64);
            assert!(trace.points.len() <= Trace::MOST);
        }
        let step = u64::from(trace.every);
        assert_eq!(step, 512);
        for (i, point) in trace.points.iter().enumerate() {
            assert_eq!(point.t_us, i as u64 * step);
        }
    }

    #[test]
    fn a_short_touch_is_kept_whole() {
        let mut trace = Trace::since(0);
        for reading in 0..Trace::MOST as u64 {
            trace.add(reading, 1.0);
        }
        assert_eq!(trace.points.len(), Trace::MOST);
        assert_eq!(trace.every, 1);
    }
}
