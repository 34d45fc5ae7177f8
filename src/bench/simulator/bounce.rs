//! [`Bounce`]: how probes chatter before they sit still.

use std::time::Duration;

use fastrand::Rng;

/// Moments after the first contact at which it opens and closes in turn; it is closed after the last.
#[derive(Debug, Clone, Default)]
pub(super) struct Bounce {
    edges: Vec<Duration>,
}

impl Bounce {
    /// Chatter of contact and open, 1 to 12 ms each, that is over within `total`.
    pub(super) fn within(total: Duration, rng: &mut Rng) -> Self {
        let mut edges = Vec::new();
        let mut at = Duration::ZERO;
        loop {
            let open = at + stretch(rng);
            let closed = open + stretch(rng);
            if closed > total {
                return Self { edges };
            }
            edges.extend([open, closed]);
            at = closed;
        }
    }

    /// Whether the probes touch, `since` the first contact.
    pub(super) fn touches(&self, since: Duration) -> bool {
        self.edges.partition_point(|&edge| edge <= since) % 2 == 0
    }
}

fn stretch(rng: &mut Rng) -> Duration {
    Duration::from_micros(rng.u64(1_000..=12_000))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounce_alternates_and_ends_in_contact() {
        let bounce = Bounce::within(Duration::from_millis(80), &mut Rng::with_seed(7));
        let states: Vec<_> = (0..200)
            .map(|ms| bounce.touches(Duration::from_millis(ms)))
            .collect();
        assert!(states[0], "the first moment is a contact");
        assert!(states.contains(&false), "it opens at least once");
        assert!(
            states[80..].iter().all(|&touches| touches),
            "it sits still in the end"
        );
    }

    #[test]
    fn no_bounce_is_contact_throughout() {
        let bounce = Bounce::within(Duration::ZERO, &mut Rng::with_seed(7));
        assert!(bounce.touches(Duration::ZERO));
    }
}
