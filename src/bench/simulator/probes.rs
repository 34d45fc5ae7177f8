//! [`Probes`]: the two tips and what they are held to.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use fastrand::Rng;

use super::bench_clock::BenchClock;
use super::bounce::Bounce;
use super::component::Component;

/// The probes of a simulated bench. Copies hold the same probes: one for whoever moves them, one for each meter.
///
/// What they touch is a function of simulated time alone, once a movement has been ordered.
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

/// What the probes touch at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Touching {
    /// The part.
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

    /// What they touch at the time `at`; `None` if nothing.
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
}
