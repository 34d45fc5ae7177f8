//! [`Moment`]: everything that happens at the bench happens at one.

use super::event::{Event, What};
use super::plan::Plan;
use crate::engine::quantity::Stamp;

/// The plan, the time, and whoever is told of events.
pub(super) struct Moment<'a> {
    pub(super) plan: &'a Plan,
    pub(super) at: Stamp,
    tell: &'a mut dyn FnMut(Event),
}

impl<'a> Moment<'a> {
    pub(super) fn new(plan: &'a Plan, at: Stamp, tell: &'a mut dyn FnMut(Event)) -> Self {
        Self { plan, at, tell }
    }

    /// The moment of a reading, which was stamped before it was understood.
    pub(super) fn of_reading(&mut self, at: Stamp) -> Moment<'_> {
        Moment::new(self.plan, at, self.tell)
    }

    /// Tells an event of now.
    pub(super) fn say(&mut self, what: What) {
        (self.tell)(Event { at: self.at, what });
    }
}
