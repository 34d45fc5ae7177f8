//! The commands of the person: each is followed, or refused with the reason.

use super::{Bench, Task, to_discharge};
use crate::engine::parts::{Choice, Part, Step, Title, is_at};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::command::Command;
use crate::engine::sitting::event::{Event, Resolve, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::soak_stage::SoakStage;

impl Bench {
    /// Follows a command of the person.
    pub(in crate::engine::sitting) fn follow(
        &mut self,
        plan: &Plan,
        at: Stamp,
        command: &Command,
        say: &mut impl FnMut(Event),
    ) {
        let charged = self.soak.as_ref().is_some_and(SoakStage::applied);
        let moves = matches!(
            command,
            Command::Next
                | Command::Back
                | Command::Skip
                | Command::Redo
                | Command::Goto(_)
                | Command::At(_)
        );
        if *command == Command::Next && self.take_as_next(plan, at, say) {
            return;
        }
        if moves {
            self.grip.forget();
            self.remarked = None;
        }
        let done = match command {
            _ if moves && self.held_back(plan) => Err(Refusal::DischargeFirst),
            Command::Next | Command::Back | Command::Skip if self.place.is_some() => {
                self.step_at_place(plan, at, say);
                Ok(())
            }
            Command::At(place) => self.go_at(plan, at, place, say),
            Command::Is(designator) => self.answer(plan, at, designator, say),
            Command::OneOf(Some(designators)) => self.answer_set(plan, at, designators, say),
            Command::OneOf(None) if self.asks() => Err(Refusal::NotAlike),
            Command::Answer(_) | Command::OneOf(None) => Err(Refusal::NothingAsked),
            Command::Next => self.step(plan, at, true, say),
            Command::Back => self.step(plan, at, false, say),
            Command::Skip => self.skip(plan, at, say),
            Command::Redo => self.redo(plan, at, say),
            Command::Goto(designator) => self.go_to(plan, at, designator, say),
            Command::On => self.said_on(plan, at, say),
            Command::Zero => self.begin_zero(plan, at, say),
            Command::Heed => self.heed(plan, at, say),
            Command::Soak(volts) => self.begin_soak(plan, at, *volts, say),
            Command::Override(said) => self.go_without(plan, at, said, say),
            Command::Live => self.power_on(plan, at, say),
            Command::Lifted(designator) => self.lead(plan, at, designator, true, say),
            Command::Rejoined(designator) => self.lead(plan, at, designator, false, say),
            Command::Was(Some(designator)) => self.give_to(plan, at, designator, say),
            Command::Was(None) => Err(self.why_not_moved()),
            Command::Note(text) => {
                let (title, text) = self.remark(plan, text);
                say(Event {
                    at,
                    what: What::Noted { title, text },
                });
                Ok(())
            }
            Command::Decide {
                designator,
                choice,
                reason,
            } => self
                .to_be_decided(plan, designator.as_deref(), *choice, reason)
                .map(|(entry, warning)| {
                    self.note_decision(plan, entry, *choice, reason);
                    let designator = plan.parts()[entry].designator.clone();
                    let resolve = Resolve {
                        designator,
                        choice: *choice,
                        reason: reason.clone(),
                        warning,
                    };
                    let what = if plan.awaits_writing() {
                        self.deciding = Some(resolve.clone());
                        What::Deciding(resolve)
                    } else {
                        What::Decided(resolve)
                    };
                    say(Event { at, what });
                }),
            Command::End => {
                self.leave_soak(plan);
                if let Some(stage) = self.discharge.as_ref().filter(|_| charged) {
                    let what = to_discharge(plan, stage);
                    say(Event { at, what });
                }
                self.tell_still_lifted(plan, at, say);
                self.ended = true;
                let what = What::Ended(Box::new(self.summary()));
                say(Event { at, what });
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

    /// Subject of a remark, and its text: the part that its first word names; without a name the part judged last until the
    /// probes touch the next, and then the one in hand.
    fn remark(&self, plan: &Plan, text: &str) -> (Option<Title>, String) {
        let in_hand = || self.progress.in_hand().filter(|_| !self.held_back(plan));
        if plan.is_of_earlier_edition() {
            let title = in_hand().map(|part| plan.parts()[part].title());
            return (title, text.to_owned());
        }
        if let Some((name, rest)) = text.split_once(char::is_whitespace)
            && let Some(name) = plan.listed(name)
        {
            return (Some(name.into()), rest.trim().to_owned());
        }
        let part = self.remarked.or_else(in_hand);
        let title = part.map(|part| plan.parts()[part].title());
        (title, text.to_owned())
    }

    /// Tells what became of the decision that was asked for.
    pub(in crate::engine::sitting) fn decided(
        &mut self,
        at: Stamp,
        outcome: Result<(), &str>,
        say: &mut impl FnMut(Event),
    ) {
        let Some(resolve) = self.deciding.take() else {
            return;
        };
        let what = match outcome {
            Ok(()) => What::Decided(resolve),
            Err(why) => What::NotDecided {
                resolve,
                why: why.to_owned(),
            },
        };
        say(Event { at, what });
    }

    /// The part that a decision is about, whichever of its entries was measured, and what is to be warned of.
    fn to_be_decided(
        &self,
        plan: &Plan,
        designator: Option<&str>,
        choice: Choice,
        reason: &str,
    ) -> Result<(usize, Option<String>), Refusal> {
        let entry = match designator {
            Some(designator) => plan
                .head_of(designator)
                .filter(|entry| plan.parts()[*entry].step != Step::Between)
                .ok_or(Refusal::NoSuchPart)?,
            None => self
                .progress
                .last_judged()
                .filter(|entry| plan.parts()[*entry].step != Step::Between)
                .ok_or(Refusal::NothingToDecide)?,
        };
        if choice.needs_reason() && reason.is_empty() {
            return Err(Refusal::NoReason);
        }
        let warning = plan.warning(entry, choice);
        if reason.is_empty() && warning.is_some() {
            return Err(Refusal::NoReasonAtMains);
        }
        if choice == Choice::Keep && reason.is_empty() && plan.is_replaced_by_policy(entry) {
            return Err(Refusal::NoReasonAgainstPolicy);
        }
        Ok((entry, warning))
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
        let title = plan.parts()[part].title();
        say(Event {
            at,
            what: What::Skipped { title },
        });
        self.tell_progress(at, say);
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
        let parts = plan.parts();
        let place = |named: &dyn Fn(&Part) -> bool| parts.iter().position(named);
        let first = place(&|part| part.designator.eq_ignore_ascii_case(designator));
        let further = place(&|part| {
            part.step != Step::Value && part.title().eq_ignore_ascii_case(designator)
        });
        let part = match (first, further) {
            (_, Some(entry)) => entry,
            (Some(head), None) => self.pair_or(plan, self.progress.entry_of(head)),
            (None, None) => self.pair_or(plan, self.first_at(plan, designator)?),
        };
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    /// The first entry at that place that is still to be measured, else the first one there.
    fn first_at(&self, plan: &Plan, place: &str) -> Result<usize, Refusal> {
        if plan.is_of_earlier_edition() {
            return Err(Refusal::NoSuchPart);
        }
        let place = place.strip_prefix("at ").unwrap_or(place);
        let parts = plan.parts().iter().enumerate();
        let there = || {
            let parts = parts.clone();
            parts
                .filter(|(_, part)| is_at(place, part))
                .map(|(entry, _)| entry)
        };
        let open = there().find(|entry| self.progress.is_open(*entry));
        open.or_else(|| there().next()).ok_or(Refusal::NoSuchPart)
    }

    fn said_on(
        &mut self,
        plan: &Plan,
        at: Stamp,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        match self.task(plan).ok_or(Refusal::NothingInHand)? {
            Task::Soak => return self.begin_soak(plan, at, None, say),
            Task::Power => return Err(Refusal::LiveFirst),
            // Nobody can tell which of them is open.
            Task::Place => return Err(Refusal::NothingInHand),
            _ => {}
        }
        let needed = match &mut self.sweep {
            Some(sweep) => sweep.said_to_be_on(at),
            None => self.probes.said_to_be_on(at),
        };
        if !needed {
            return Err(Refusal::ContactSeen);
        }
        let stage = self.discharge.as_ref().filter(|_| self.held_back(plan));
        let what = match (stage, self.progress.in_hand()) {
            (None, Some(part)) => What::AwaitingOpen {
                title: plan.parts()[part].title(),
            },
            (Some(stage), _) => to_discharge(plan, stage),
            (None, None) => return Err(Refusal::NothingInHand),
        };
        say(Event { at, what });
        Ok(())
    }
}
