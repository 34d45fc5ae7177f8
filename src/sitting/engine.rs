//! [`Sitting`]: the engine.

use super::bench::Bench;
use super::command::Command;
use super::event::{Event, LinkNews, What};
use super::plan::Plan;
use super::progress::Standing;
use super::summary::Summary;
use crate::meter::Conversation;
use crate::quantity::Stamp;

/// What comes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Input<'a> {
    /// Bytes from the meter, in any portions.
    Bytes(&'a [u8]),
    /// The link is up: at the start, and again after it was lost.
    LinkUp,
    /// The link is lost.
    LinkLost {
        /// The reason, in the words of the operating system.
        reason: &'a str,
    },
    /// The person said something.
    Command(&'a Command),
    /// Nothing, but time has passed.
    Tick,
}

/// One continuous spell at the bench.
#[derive(Debug)]
pub struct Sitting {
    plan: Plan,
    conversation: Conversation,
    bench: Bench,
    began: bool,
}

impl Sitting {
    /// A sitting by that plan. The first events come with the first input.
    pub fn begin(plan: Plan) -> Self {
        let conversation = Conversation::new(plan.profile().clone());
        let bench = Bench::new(&plan);
        Self {
            plan,
            conversation,
            bench,
            began: false,
        }
    }

    /// The plan it follows.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The part in hand, as an index into the plan.
    pub fn in_hand(&self) -> Option<usize> {
        self.bench.in_hand()
    }

    /// What became of a part so far.
    pub fn standing(&self, part: usize) -> Standing {
        self.bench.standing(part)
    }

    /// Whether the sitting is over.
    pub fn ended(&self) -> bool {
        self.bench.ended()
    }

    /// How the parts stand now.
    pub fn summary(&self) -> Summary {
        self.bench.summary()
    }

    /// When [`Input::Tick`] is due if nothing else comes in.
    pub fn deadline(&self) -> Option<Stamp> {
        if self.bench.ended() {
            None
        } else {
            self.conversation.deadline()
        }
    }

    /// What is to be sent to the meter next, complete with its ending.
    pub fn transmit(&mut self) -> Option<&[u8]> {
        if self.bench.ended() {
            None
        } else {
            self.conversation.transmit()
        }
    }

    /// Takes in one input; `say` gets the events in order.
    pub fn handle(&mut self, now: Stamp, input: Input<'_>, say: &mut impl FnMut(Event)) {
        if self.bench.ended() {
            return;
        }
        if !self.began {
            self.began = true;
            tell_charge(&self.plan, now, say);
            self.bench.announce(&self.plan, now, say);
        }
        self.fire_timers(now, say);
        let Self {
            plan,
            conversation,
            bench,
            ..
        } = self;
        match input {
            Input::Bytes(bytes) => {
                conversation.receive(bytes, now, &mut |heard| bench.hear(plan, now, &heard, say));
            }
            Input::LinkUp => {
                say(Event {
                    at: now,
                    what: What::Link(LinkNews::Up),
                });
                conversation.link_up(now);
            }
            Input::LinkLost { reason } => {
                say(Event {
                    at: now,
                    what: What::Link(LinkNews::Lost {
                        reason: reason.to_owned(),
                    }),
                });
                conversation.link_lost(now);
                bench.broken_off();
            }
            Input::Command(command) => bench.follow(plan, now, command, say),
            Input::Tick => {}
        }
        self.want_function(now);
    }

    /// Deals with every timer that ran out up to `now`, each at the time it was due.
    fn fire_timers(&mut self, now: Stamp, say: &mut impl FnMut(Event)) {
        while let Some(due) = self.conversation.deadline().filter(|&due| due <= now) {
            let Self {
                plan,
                conversation,
                bench,
                ..
            } = self;
            conversation.tick(due, &mut |heard| bench.hear(plan, due, &heard, say));
        }
    }

    /// Sets the meter to what the part in hand needs.
    fn want_function(&mut self, now: Stamp) {
        if let Some(quantity) = self.bench.take_wanted() {
            // The bench wants only what the profile measures.
            let _ = self.conversation.measure(quantity, now);
        }
    }
}

/// Says before any work which capacitors may hold a charge, and once what is to be done about it.
fn tell_charge(plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
    let capacitors = 0..plan.may_hold_charge().len();
    let caution = (!capacitors.is_empty()).then_some(What::ChargeCaution);
    for what in capacitors.map(What::MayBeCharged).chain(caution) {
        say(Event { at, what });
    }
}
