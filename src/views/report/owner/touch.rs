//! [`Touch`]: the readings of one touch, from contact until its value had settled.

use crate::engine::quantity::{Band, Quantity};

/// The readings of one touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Touch {
    /// What was measured: the designator, and the step where that is not the value.
    pub title: String,
    /// Name of the sitting.
    pub sitting: String,
    /// Of what quantity the readings are.
    pub quantity: Quantity,
    /// The readings since contact, in order of time; at least two.
    pub points: Vec<TouchPoint>,
    /// When the value had settled, in seconds since contact.
    pub settled_s: f64,
    /// The settled value, in the SI unit.
    pub value: f64,
    /// Its standard uncertainty, k = 1.
    pub uncertainty: f64,
    /// The values that conform.
    pub band: Band,
}

/// A reading of a touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchPoint {
    /// Since contact, in seconds.
    pub at_s: f64,
    /// The value, in the SI unit.
    pub value: f64,
}

impl Touch {
    /// How telling it is: how far its readings moved, in units of its uncertainty, as long as there are some to be seen.
    /// Zero if there is nothing to be seen of it.
    pub fn telling(&self) -> f64 {
        let values = || self.points.iter().map(|point| point.value);
        let lowest = values().fold(f64::INFINITY, f64::min);
        let highest = values().fold(f64::NEG_INFINITY, f64::max);
        let moved = (highest - lowest) / self.uncertainty;
        let zone = 2.0 * self.uncertainty;
        // What was taken off, such as the leads, would have to be explained beside the readings.
        let reached = (lowest - zone..=highest + zone).contains(&self.value);
        if self.points.len() < Self::FEWEST || !moved.is_finite() || !reached {
            return 0.0;
        }
        // A single wild reading at contact tells less than a long way to the end.
        self.settled_s * moved.clamp(0.1, 20.0)
    }

    /// Fewer readings than this show no settling.
    const FEWEST: usize = 6;
}
