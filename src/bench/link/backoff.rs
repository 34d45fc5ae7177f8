//! [`Backoff`]: how long to wait before the next try.

use std::time::Duration;

/// Waits of 0.25 s, 0.5 s, 1 s and so on, doubling up to 5 s.
#[derive(Debug, Clone)]
pub(super) struct Backoff {
    next: Duration,
}

impl Backoff {
    const SHORTEST: Duration = Duration::from_millis(250);
    const LONGEST: Duration = Duration::from_secs(5);

    /// Starts with the shortest wait.
    pub(super) const fn new() -> Self {
        Self {
            next: Self::SHORTEST,
        }
    }

    /// The wait before the coming try; the one after it is twice as long.
    pub(super) fn step(&mut self) -> Duration {
        let wait = self.next;
        self.next = (wait * 2).min(Self::LONGEST);
        wait
    }

    /// The wait that [`step`](Self::step) would give next.
    pub(super) const fn peek(&self) -> Duration {
        self.next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_five_seconds() {
        let mut backoff = Backoff::new();
        let waits: Vec<_> = (0..7).map(|_| backoff.step().as_millis()).collect();
        assert_eq!(waits, [250, 500, 1000, 2000, 4000, 5000, 5000]);
    }
}
