//! [`Probes`]: the two tips and what they are held to.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use fastrand::Rng;

use super::component::Component;
use super::running::BenchClock;

/// The probes of a simulated bench. Copies hold the same probes: one for whoever moves them, one for each meter.
///
/// Their contact is a function of simulated time alone, once a movement has been ordered.
#[derive(Debug, Clone)]
pub struct Probes {
    clock: BenchClock,
    state: Arc<Mutex<State>>,
}

#[derive(Debug)]
struct State {
    rng: Rng,
    touches: u64,
    contact: Option<Contact>,
}

#[derive(Debug)]
struct Contact {
    component: Component,
    from: Duration,
    bounce: Bounce,
    slip: Option<(Duration, Duration)>,
}

/// Component that the probes touch at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Touching {
    pub(super) component: Component,
    /// Time since the first contact.
    pub(super) since: Duration,
    /// Number of this contact, from 1.
    pub(super) touch: u64,
}

impl Probes {
    /// Lifted probes. The `seed` decides how they bounce.
    pub fn new(clock: BenchClock, seed: u64) -> Self {
        let state = State {
            rng: Rng::with_seed(seed),
            touches: 0,
            contact: None,
        };
        Self {
            clock,
            state: Arc::new(Mutex::new(state)),
        }
    }

    /// The clock of this bench.
    pub const fn clock(&self) -> BenchClock {
        self.clock
    }

    /// Holds the probes to `component` from now on; contact and open alternate at first, for up to `bounce` (zero: a clean contact).
    pub fn place(&self, component: Component, bounce: Duration) {
        let mut state = self.state();
        let bounce = Bounce::within(bounce, &mut state.rng);
        state.touches += 1;
        state.contact = Some(Contact {
            component,
            from: self.clock.now(),
            bounce,
            slip: None,
        });
    }

    /// Lifts the probes now.
    pub fn lift(&self) {
        self.state().contact = None;
    }

    /// The probes lose contact now and find it again after `duration`. The part goes on charging or settling meanwhile.
    pub fn slip_for(&self, duration: Duration) {
        let now = self.clock.now();
        if let Some(contact) = &mut self.state().contact {
            contact.slip = Some((now, now + duration));
        }
    }

    /// Component that they touch at the time `at`; `None` if nothing.
    pub(super) fn touching(&self, at: Duration) -> Option<Touching> {
        let state = self.state();
        let contact = state.contact.as_ref()?;
        let since = at.checked_sub(contact.from)?;
        let slipping = contact
            .slip
            .is_some_and(|(from, until)| from <= at && at < until);
        (contact.bounce.touches(since) && !slipping).then_some(Touching {
            component: contact.component,
            since,
            touch: state.touches,
        })
    }

    /// No code panics while it holds the lock, so a poisoned one is still in order.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

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
    fn a_slip_is_open_for_as_long_as_ordered() {
        let probes = Probes::new(BenchClock::real_time(), 1);
        probes.place(Component::resistor(47.0), Duration::ZERO);
        let before = probes.clock().now();
        probes.slip_for(Duration::from_secs(5));
        let after = probes.clock().now();
        assert!(probes.touching(after).is_none());
        assert!(
            probes
                .touching(before + Duration::from_millis(4999))
                .is_none()
        );
        assert!(probes.touching(after + Duration::from_secs(5)).is_some());
    }

    #[test]
    fn lifted_probes_touch_nothing() {
        let probes = Probes::new(BenchClock::real_time(), 1);
        assert!(probes.touching(Duration::from_secs(1)).is_none());
        probes.place(Component::short(), Duration::ZERO);
        assert_eq!(probes.touching(Duration::from_secs(1)).unwrap().touch, 1);
        probes.lift();
        assert!(probes.touching(Duration::from_secs(1)).is_none());
    }

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
