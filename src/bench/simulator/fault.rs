//! [`Fault`]: what can go wrong on the line, to order.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// Something that happens to one answer, the next one of those not yet ordered for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// It never comes.
    DropAnswer,
    /// It comes later by this simulated time.
    DelayAnswer(Duration),
    /// These bytes come right before it.
    GarbageFirst(Vec<u8>),
    /// So many digits come in its place, in one line.
    OverlongLine(usize),
    /// Its first half comes, then nothing for this simulated time, then the rest.
    HalfLine(Duration),
}

/// Orders faults of a running meter. Copies give orders to the same meter.
#[derive(Debug, Clone, Default)]
pub struct Faults(Arc<Mutex<State>>);

#[derive(Debug, Default)]
struct State {
    orders: VecDeque<Fault>,
    echo: bool,
    silent: bool,
}

impl Faults {
    /// Orders `fault` for the next answer that has none yet.
    pub fn order(&self, fault: Fault) {
        self.state().orders.push_back(fault);
    }

    /// Whether the meter sends back what it hears, from now on.
    pub fn set_echo(&self, echo: bool) {
        self.state().echo = echo;
    }

    /// Whether the meter says nothing at all, from now on.
    pub fn set_silent(&self, silent: bool) {
        self.state().silent = silent;
    }

    /// The fault of the next answer.
    pub(super) fn next(&self) -> Option<Fault> {
        self.state().orders.pop_front()
    }

    pub(super) fn echoes(&self) -> bool {
        self.state().echo
    }

    pub(super) fn is_silent(&self) -> bool {
        self.state().silent
    }

    /// No code panics while it holds the lock, so a poisoned one is still in order.
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
