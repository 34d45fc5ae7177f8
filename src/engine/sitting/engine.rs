//! [`Sitting`]: the engine.

use super::bench::Bench;
use super::charged::Charge;
use super::command::Command;
use super::event::{Event, What};
use super::moment::Moment;
use super::news::LinkNews;
use super::plan::Plan;
use super::summary::Summary;
use crate::engine::meter::Conversation;
use crate::engine::quantity::Stamp;

/// Something that comes in.
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
    /// Bytes of the meter that were passed over, up to an end of line.
    Missed(u64),
    /// The person said something.
    Command(&'a Command),
    /// The decision that was asked for is written down, or cannot be for that reason.
    Written(Result<(), &'a str>),
    /// Nothing, but time has passed.
    Tick,
}

/// One continuous spell at the bench.
#[derive(Debug)]
pub struct Sitting {
    plan: Plan,
    /// One for each meter.
    conversations: Vec<Conversation>,
    bench: Bench,
    began: bool,
}

impl Sitting {
    /// A sitting by that plan. The first events come with the first input.
    pub fn begin(plan: Plan) -> Self {
        let meters = plan.meters().iter();
        let conversations = meters.map(|meter| Conversation::new(meter.profile().clone()));
        let conversations = conversations.collect();
        let bench = Bench::new(&plan);
        Self {
            plan,
            conversations,
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

    /// Whether the sitting is over.
    pub fn ended(&self) -> bool {
        self.bench.ended()
    }

    /// The command with the part that it means, where it names none but can only mean one: `was R3` for `was`.
    pub fn spelled_out(&self, command: &Command) -> Command {
        self.bench.spelled_out(&self.plan, command)
    }

    /// Counts of the parts by where they stand now.
    pub fn summary(&self) -> Summary {
        self.bench.summary()
    }

    /// When [`Input::Tick`] is due if nothing else comes in.
    pub fn deadline(&self) -> Option<Stamp> {
        if self.bench.ended() {
            None
        } else {
            self.next_timer().map(|(due, _)| due)
        }
    }

    /// Next line for the first meter, complete with its ending.
    pub fn transmit(&mut self) -> Option<&[u8]> {
        if self.bench.ended() {
            None
        } else {
            self.conversations.first_mut()?.transmit()
        }
    }

    /// Next line to be sent, complete with its ending, and its meter.
    pub fn transmit_to(&mut self) -> Option<(usize, &[u8])> {
        if self.bench.ended() {
            return None;
        }
        let mut meters = self.conversations.iter_mut().enumerate();
        meters.find_map(|(meter, conversation)| Some((meter, conversation.transmit()?)))
    }

    /// Takes in one input, of the first meter where it comes from a meter; `say` gets the events in order.
    pub fn handle(&mut self, now: Stamp, input: Input<'_>, say: &mut impl FnMut(Event)) {
        self.handle_from(0, now, input, say);
    }

    /// Takes in one input; `say` gets the events in order. The meter is an index into [`Plan::meters`], and means nothing to
    /// an input that comes from no meter. What comes from a meter that the plan does not have is passed over.
    pub fn handle_from(
        &mut self,
        meter: usize,
        now: Stamp,
        input: Input<'_>,
        say: &mut impl FnMut(Event),
    ) {
        if self.bench.ended() {
            return;
        }
        if !self.began {
            self.began = true;
            tell_charge(&self.plan, now, say);
            self.bench.announce(&mut Moment::new(&self.plan, now, say));
        }
        self.fire_timers(now, say);
        match input {
            Input::Command(command) => {
                let now = &mut Moment::new(&self.plan, now, say);
                self.bench.follow(now, command);
            }
            Input::Written(outcome) => {
                let now = &mut Moment::new(&self.plan, now, say);
                self.bench.decided(now, outcome);
            }
            Input::Tick => {}
            Input::Bytes(_) | Input::Missed(_) | Input::LinkUp | Input::LinkLost { .. } => {
                self.take_from(meter, now, input, say);
            }
        }
        self.want_function(now);
    }

    /// Takes in what came from a meter.
    fn take_from(
        &mut self,
        meter: usize,
        now: Stamp,
        input: Input<'_>,
        say: &mut impl FnMut(Event),
    ) {
        let Self {
            plan,
            conversations,
            bench,
            ..
        } = self;
        let Some(conversation) = conversations.get_mut(meter) else {
            return;
        };
        let link = |news| Event {
            at: now,
            what: What::Link {
                meter: plan.meter_name(meter).map(str::to_owned),
                news,
            },
        };
        match input {
            Input::Bytes(bytes) => {
                conversation.receive(bytes, now, &mut |heard| {
                    bench.hear(&mut Moment::new(plan, now, say), meter, &heard);
                });
            }
            Input::Missed(bytes) => {
                conversation.missed(bytes, now, &mut |heard| {
                    bench.hear(&mut Moment::new(plan, now, say), meter, &heard);
                });
            }
            Input::LinkUp => {
                say(link(LinkNews::Up));
                conversation.link_up(now);
            }
            Input::LinkLost { reason } => {
                say(link(LinkNews::Lost {
                    reason: reason.to_owned(),
                }));
                conversation.link_lost(now);
                bench.broken_off(meter);
            }
            Input::Command(_) | Input::Written(_) | Input::Tick => {}
        }
    }

    /// Deals with every timer that ran out up to `now`, each at the time it was due, in that order over all meters.
    ///
    /// A meter's long silence repeats without a word; it is not done over and over, however long it lasts.
    fn fire_timers(&mut self, now: Stamp, say: &mut impl FnMut(Event)) {
        while let Some((due, meter)) = self.next_timer().filter(|&(due, _)| due <= now) {
            let Self {
                plan,
                conversations,
                bench,
                ..
            } = self;
            conversations[meter].tick(due, &mut |heard| {
                bench.hear(&mut Moment::new(plan, due, say), meter, &heard);
            });
            conversations[meter].pass_silence(now);
        }
    }

    /// The timer that is due first, and whose it is; of several at one time that of the first meter.
    fn next_timer(&self) -> Option<(Stamp, usize)> {
        let meters = self.conversations.iter().zip(0..);
        meters
            .filter_map(|(conversation, meter)| Some((conversation.deadline()?, meter)))
            .min()
    }

    /// Sets the meter in use to what the part in hand needs.
    fn want_function(&mut self, now: Stamp) {
        if let Some((meter, quantity)) = self.bench.take_wanted() {
            // The bench wants only what the meter's profile measures.
            let _ = self.conversations[meter].measure(quantity, now);
        }
    }
}

/// Says before any work which capacitors may hold a charge, and once what is to be done about it.
fn tell_charge(plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
    let capacitors = plan.may_hold_charge();
    let caution = (!capacitors.is_empty()).then_some(What::ChargeCaution);
    let charges = capacitors.iter().map(Charge::of).map(What::MayBeCharged);
    for what in charges.chain(caution) {
        say(Event { at, what });
    }
}
