//! [`Sitting`]: the engine.

use super::command::Command;
use super::event::{Event, LinkNews, MeterNews, Record, Refusal, What};
use super::plan::Plan;
use super::progress::{Progress, Standing};
use super::summary::Summary;
use crate::judge::judge;
use crate::meter::{Conversation, Heard, Reading};
use crate::parts::Part;
use crate::probing::{OnFunction, Probed, Probes, SettledValue};
use crate::quantity::{Quantity, Stamp};

/// What comes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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
        self.bench.progress.in_hand()
    }

    /// What became of a part so far.
    pub fn standing(&self, part: usize) -> Standing {
        self.bench.progress.standing(part)
    }

    /// Whether the sitting is over.
    pub fn ended(&self) -> bool {
        self.bench.ended
    }

    /// How the parts stand now.
    pub fn summary(&self) -> Summary {
        self.bench.progress.summary()
    }

    /// When [`Input::Tick`] is due if nothing else comes in.
    pub fn deadline(&self) -> Option<Stamp> {
        if self.bench.ended {
            None
        } else {
            self.conversation.deadline()
        }
    }

    /// What is to be sent to the meter next, complete with its ending.
    pub fn transmit(&mut self) -> Option<&[u8]> {
        if self.bench.ended {
            None
        } else {
            self.conversation.transmit()
        }
    }

    /// Takes in one input; `say` gets the events in order.
    pub fn handle(&mut self, now: Stamp, input: Input<'_>, say: &mut impl FnMut(Event)) {
        if self.bench.ended {
            return;
        }
        if !self.began {
            self.began = true;
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
                bench.probes.broken_off();
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
        if let Some(quantity) = self.bench.wanted.take() {
            // The bench wants only what the profile measures.
            let _ = self.conversation.measure(quantity, now);
        }
    }
}

/// Everything but the conversation: the probes, the list, and what the next lift means.
#[derive(Debug)]
struct Bench {
    probes: Probes,
    progress: Progress,
    function: Option<Quantity>,
    /// A function to set the meter to, once the conversation is free to be told.
    wanted: Option<Quantity>,
    advance_on_lift: bool,
    garbage_said: bool,
    ended: bool,
}

impl Bench {
    fn new(plan: &Plan) -> Self {
        Self {
            probes: Probes::new(),
            progress: Progress::new(plan.parts().len()),
            function: None,
            wanted: None,
            advance_on_lift: false,
            garbage_said: false,
            ended: false,
        }
    }

    /// Says which part is in hand and sets the function it needs.
    fn announce(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        let Some(part) = self.progress.in_hand() else {
            say(Event {
                at,
                what: What::NothingLeft,
            });
            return;
        };
        say(Event {
            at,
            what: What::InHand(part),
        });
        let quantity = plan.parts()[part].kind.quantity();
        if self.function == Some(quantity) {
            return;
        }
        if plan.profile().function(quantity).is_some() {
            self.function = Some(quantity);
            self.wanted = Some(quantity);
            self.probes.disregard();
        } else {
            say(Event {
                at,
                what: What::Meter(MeterNews::CannotMeasure(quantity)),
            });
        }
    }

    fn take(&mut self, plan: &Plan, at: Stamp, part: Option<usize>, say: &mut impl FnMut(Event)) {
        self.advance_on_lift = false;
        self.probes.disregard();
        self.progress.take(part);
        self.announce(plan, at, say);
    }

    fn hear(&mut self, plan: &Plan, at: Stamp, heard: &Heard<'_>, say: &mut impl FnMut(Event)) {
        if let Heard::Reading(reading) = heard {
            self.garbage_said = false;
            if self.function == Some(reading.quantity) {
                self.read(plan, reading, say);
            }
            return;
        }
        if matches!(heard, Heard::Silent { .. }) {
            self.probes.broken_off();
        }
        if matches!(heard, Heard::Refused { .. }) {
            // The next part of that quantity asks for it again.
            self.function = None;
        }
        let Some(news) = MeterNews::of(heard) else {
            return;
        };
        let garbage = matches!(news, MeterNews::NotUnderstood(_));
        if !(garbage && std::mem::replace(&mut self.garbage_said, garbage)) {
            say(Event {
                at,
                what: What::Meter(news),
            });
        }
    }

    fn read(&mut self, plan: &Plan, reading: &Reading, say: &mut impl FnMut(Event)) {
        let meter = OnFunction {
            profile: plan.profile(),
            quantity: reading.quantity,
        };
        let Self {
            probes,
            progress,
            advance_on_lift,
            ..
        } = self;
        let at = reading.at;
        let mut lifted = false;
        probes.feed(reading, &meter, |probed| {
            if let Some(what) = interpret(plan, progress, advance_on_lift, &mut lifted, probed) {
                say(Event { at, what });
            }
        });
        if lifted && std::mem::take(&mut self.advance_on_lift) {
            self.advance(plan, at, say);
        }
    }

    fn advance(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        let next = self
            .progress
            .in_hand()
            .and_then(|part| self.progress.next_open(part));
        self.take(plan, at, next, say);
    }

    fn follow(&mut self, plan: &Plan, at: Stamp, command: &Command, say: &mut impl FnMut(Event)) {
        let done = match command {
            Command::Next => self.step(plan, at, true, say),
            Command::Back => self.step(plan, at, false, say),
            Command::Skip => self.skip(plan, at, say),
            Command::Redo => self.redo(plan, at, say),
            Command::Goto(designator) => self.go_to(plan, at, designator, say),
            Command::On => self.said_on(at, say),
            Command::Note(text) => {
                say(Event {
                    at,
                    what: What::Noted {
                        part: self.progress.in_hand(),
                        text: text.clone(),
                    },
                });
                Ok(())
            }
            Command::End => {
                self.ended = true;
                say(Event {
                    at,
                    what: What::Ended(self.progress.summary()),
                });
                Ok(())
            }
        };
        if let Err(why) = done {
            say(Event {
                at,
                what: What::Refused {
                    command: command.clone(),
                    why,
                },
            });
        }
    }

    fn step(
        &mut self,
        plan: &Plan,
        at: Stamp,
        forward: bool,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let part = self.progress.neighbour(forward).ok_or(Refusal::EndOfList)?;
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn skip(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) -> Result<(), Refusal> {
        let part = self.progress.in_hand().ok_or(Refusal::NothingInHand)?;
        self.progress.skip(part);
        say(Event {
            at,
            what: What::Skipped(part),
        });
        self.advance(plan, at, say);
        Ok(())
    }

    fn redo(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) -> Result<(), Refusal> {
        let part = self.progress.last_judged().ok_or(Refusal::NothingToRedo)?;
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn go_to(
        &mut self,
        plan: &Plan,
        at: Stamp,
        designator: &str,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let named = |part: &Part| part.designator.eq_ignore_ascii_case(designator);
        let part = plan
            .parts()
            .iter()
            .position(named)
            .ok_or(Refusal::NoSuchPart)?;
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn said_on(&mut self, at: Stamp, say: &mut impl FnMut(Event)) -> Result<(), Refusal> {
        let part = self.progress.in_hand().ok_or(Refusal::NothingInHand)?;
        if !self.probes.said_to_be_on(at) {
            return Err(Refusal::ContactSeen);
        }
        say(Event {
            at,
            what: What::AwaitingOpen(part),
        });
        Ok(())
    }
}

/// What a change at the probes means for the part in hand; nothing where no part is in hand.
fn interpret(
    plan: &Plan,
    progress: &mut Progress,
    advance_on_lift: &mut bool,
    lifted: &mut bool,
    probed: Probed,
) -> Option<What> {
    let part = progress.in_hand()?;
    match probed {
        Probed::Contact => Some(What::Contact),
        Probed::Settled(settled) => {
            // An open part cannot be seen to be lifted: the list goes on at once.
            *lifted = settled.finding == crate::probing::Finding::Open;
            *advance_on_lift = true;
            Some(What::Judged(record(plan, progress, part, settled)))
        }
        Probed::Restless { value } => Some(What::Restless { part, value }),
        Probed::Lifted(touch) => {
            *lifted = true;
            if touch.settled || touch.brush {
                return Some(What::Lifted);
            }
            progress.unsettled(part);
            let seconds = touch.lifted.since(touch.contact).as_secs_f64();
            Some(What::Unsettled {
                part,
                seconds,
                readings: touch.readings,
            })
        }
    }
}

fn record(plan: &Plan, progress: &mut Progress, part: usize, settled: SettledValue) -> Record {
    let loss = plan.loss(&settled);
    let judgement = judge(&plan.parts()[part], &settled, loss, plan.conditions());
    let attempt = progress.judged(part, judgement.verdict);
    Record {
        part,
        attempt,
        settled,
        judgement,
    }
}
