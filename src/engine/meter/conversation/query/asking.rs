//! What is asked next.

use std::sync::Arc;

use super::{Query, Queue, State, Timer};
use crate::engine::meter::Function;
use crate::engine::quantity::{Quantity, Stamp};

impl Query {
    /// Sends whatever is next: set-up, the error queue's question, or the question for a reading.
    pub(super) fn go_on(&mut self, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        self.alarm = None;
        let Some((quantity, function)) = self.wanted.and_then(|q| Some((q, profile.function(q)?)))
        else {
            self.state = State::Idle;
            return;
        };
        if self.set_up != Some(quantity) {
            self.send_setup(quantity, function);
        }
        if self.queue == Queue::Due {
            self.queue = Queue::Done;
            self.ask_errors(0, now);
        } else {
            self.ask(quantity, function, now);
        }
    }

    fn send_setup(&mut self, quantity: Quantity, function: &Function) {
        for command in function.setup() {
            self.outgoing.push(command);
        }
        self.set_up = Some(quantity);
        let wanted = self
            .profile
            .errors()
            .is_some_and(|errors| errors.after_setup);
        self.read_errors_next(wanted && !function.setup().is_empty());
    }

    pub(super) fn read_errors_next(&mut self, wanted: bool) {
        if wanted && self.queue != Queue::Mute {
            self.queue = Queue::Due;
        }
    }

    pub(super) fn ask_errors(&mut self, read: u8, now: Stamp) {
        let profile = Arc::clone(&self.profile);
        if let Some(errors) = profile.errors() {
            self.outgoing.push(&errors.query);
            self.state = State::ReadingErrors { read };
            self.await_answer(now);
        }
    }

    fn ask(&mut self, quantity: Quantity, function: &Function, now: Stamp) {
        self.outgoing.push(function.query());
        self.state = State::Asked {
            quantity,
            wanted_still: true,
        };
        self.await_answer(now);
    }

    fn await_answer(&mut self, now: Stamp) {
        self.stale = self.owed;
        self.asked_just_now = true;
        self.asked_at = now;
        self.wake(Timer::Answer, self.profile.timing().answer_within, now);
    }
}
