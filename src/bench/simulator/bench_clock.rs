//! [`BenchClock`]: simulated time.

use std::time::{Duration, Instant};

/// The time of a simulated bench: seconds since it was made, running `speed` times as fast as real ones.
///
/// Copies show the same time.
#[derive(Debug, Clone, Copy)]
pub struct BenchClock {
    origin: Instant,
    speed: f64,
}

impl BenchClock {
    /// A clock that starts at zero now. `None` unless `speed` is from 0.01 to 1000.
    pub fn new(speed: f64) -> Option<Self> {
        (0.01..=1000.0).contains(&speed).then(|| Self {
            origin: Instant::now(),
            speed,
        })
    }

    /// A clock that runs as fast as real time.
    pub fn real_time() -> Self {
        Self {
            origin: Instant::now(),
            speed: 1.0,
        }
    }

    /// How many simulated seconds pass in a real one.
    pub const fn speed(&self) -> f64 {
        self.speed
    }

    /// Simulated time since the start.
    pub fn now(&self) -> Duration {
        self.origin.elapsed().mul_f64(self.speed)
    }

    /// How long `simulated` takes in real time.
    pub fn real(&self, simulated: Duration) -> Duration {
        simulated.div_f64(self.speed)
    }

    /// Sleeps for a simulated time.
    pub fn sleep(&self, simulated: Duration) {
        std::thread::sleep(self.real(simulated));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_divide_by_the_speed() {
        let clock = BenchClock::new(20.0).unwrap();
        assert_eq!(
            clock.real(Duration::from_secs(1)),
            Duration::from_millis(50)
        );
    }

    #[test]
    fn a_senseless_speed_is_refused() {
        for speed in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e6] {
            assert!(BenchClock::new(speed).is_none(), "{speed}");
        }
    }
}
