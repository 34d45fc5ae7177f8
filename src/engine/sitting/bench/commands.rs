//! The commands of the person: each is followed, or refused with the reason.

use super::{Bench, Task, to_discharge};
use crate::engine::parts::{Choice, Part, Step, Title, is_at};
use crate::engine::sitting::command::Command;
use crate::engine::sitting::event::{Resolve, What};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::soak_stage::SoakStage;

impl Bench {
    /// Follows a command of the person.
    pub(in crate::engine::sitting) fn follow(&mut self, now: &mut Moment<'_>, command: &Command) {
        let plan = now.plan;
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
        if *command == Command::Next && self.take_as_next(now) {
            return;
        }
        if moves {
            self.grip.forget();
            self.remarked = None;
        }
        let done = match command {
            _ if moves && self.held_back(plan) => Err(Refusal::DischargeFirst),
            Command::Next | Command::Back | Command::Skip if self.place.is_some() => {
                self.step_at_place(now);
                Ok(())
            }
            Command::At(place) => self.go_at(now, place),
            Command::Is(designator) => self.answer(now, designator),
            Command::OneOf(Some(designators)) => self.answer_set(now, designators),
            Command::OneOf(None) if self.asks() => Err(Refusal::NotAlike),
            Command::Answer(_) | Command::OneOf(None) => Err(Refusal::NothingAsked),
            Command::Next => self.step(now, true),
            Command::Back => self.step(now, false),
            Command::Skip => self.skip(now),
            Command::Redo => self.redo(now),
            Command::Goto(designator) => self.go_to(now, designator),
            Command::On => self.said_on(now),
            Command::Zero => self.begin_zero(now),
            Command::Heed => self.heed(now),
            Command::Soak(volts) => self.begin_soak(now, *volts),
            Command::Override(said) => self.go_without(now, said),
            Command::Live => self.power_on(now),
            Command::Lifted(designator) => self.lead(now, designator, true),
            Command::Rejoined(designator) => self.lead(now, designator, false),
            Command::Was(Some(designator)) => self.give_to(now, designator),
            Command::Was(None) => Err(self.why_not_moved()),
            Command::Note(text) => {
                let (title, text) = self.remark(plan, text);
                now.say(What::Noted { title, text });
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
                    now.say(what);
                }),
            Command::End => {
                self.leave_soak(plan);
                if let Some(stage) = self.discharge.as_ref().filter(|_| charged) {
                    let what = to_discharge(plan, stage);
                    now.say(what);
                }
                self.tell_still_lifted(now);
                self.ended = true;
                let what = What::Ended(Box::new(self.summary()));
                now.say(what);
                Ok(())
            }
        };
        if let Err(obstacle) = done {
            now.say(What::Refused {
                command: command.clone(),
                obstacle,
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
        now: &mut Moment<'_>,
        outcome: Result<(), &str>,
    ) {
        let Some(resolve) = self.deciding.take() else {
            return;
        };
        let what = match outcome {
            Ok(()) => What::Decided(resolve),
            Err(obstacle) => What::NotDecided {
                resolve,
                obstacle: obstacle.to_owned(),
            },
        };
        now.say(what);
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

    fn step(&mut self, now: &mut Moment<'_>, forward: bool) -> Result<(), Refusal> {
        let part = self.progress.neighbour(forward).ok_or(Refusal::EndOfList)?;
        self.take(now, Some(part));
        Ok(())
    }

    fn skip(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        let part = self.progress.in_hand().ok_or(Refusal::NothingInHand)?;
        self.progress.skip(part);
        let title = now.plan.parts()[part].title();
        now.say(What::Skipped { title });
        self.tell_progress(now);
        self.advance(now);
        Ok(())
    }

    fn redo(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        let part = self.progress.last_judged().ok_or(Refusal::NothingToRedo)?;
        self.take(now, Some(part));
        Ok(())
    }

    fn go_to(&mut self, now: &mut Moment<'_>, designator: &str) -> Result<(), Refusal> {
        let plan = now.plan;
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
        self.take(now, Some(part));
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

    fn said_on(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        let (plan, at) = (now.plan, now.at);
        match self.task(plan).ok_or(Refusal::NothingInHand)? {
            Task::Soak => return self.begin_soak(now, None),
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
        now.say(what);
        Ok(())
    }
}
