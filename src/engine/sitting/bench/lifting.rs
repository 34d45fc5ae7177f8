//! Leads that the person has lifted or joined again: such a part is judged out of circuit, or in it.

use std::borrow::Cow;

use super::{Bench, Task};
use crate::engine::judge::{Aspect, Check, WITH_LIFTED};
use crate::engine::parts::{Part, Step};
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;

impl Bench {
    /// The part of an entry as it is joined now.
    pub(super) fn part<'a>(&self, plan: &'a Plan, entry: usize) -> Cow<'a, Part> {
        let part = &plan.parts()[entry];
        match self.lifted.get(&plan.entries().heads()[entry]) {
            Some(lifted) if *lifted == part.in_circuit => Cow::Owned(Part {
                in_circuit: !lifted,
                ..part.clone()
            }),
            _ => Cow::Borrowed(part),
        }
    }

    /// The parts that the person has lifted a lead of, by the entries that they begin with.
    pub(super) fn lifted_now(&self) -> impl Iterator<Item = usize> {
        let lifted = self.lifted.iter().filter(|(_, lifted)| **lifted);
        lifted.map(|(entry, _)| *entry)
    }

    /// A remark on what is read in circuit while leads of other parts are lifted: it is of another circuit than the list has.
    pub(super) fn lifted_beside(&self, plan: &Plan, part: &Part) -> Option<Check> {
        let others = self.lifted_now().map(|entry| &plan.parts()[entry]);
        let others = others.filter(|other| other.designator != part.designator);
        let names: Vec<&str> = others.map(|other| other.designator.as_str()).collect();
        (part.in_circuit && !names.is_empty()).then(|| Check {
            aspect: Aspect::Network,
            verdict: None,
            words: format!("{WITH_LIFTED}{}", names.join(", ")),
        })
    }

    /// The person says that a lead of that part is lifted, or joined again.
    pub(super) fn lead(
        &mut self,
        now: &mut Moment<'_>,
        designator: &str,
        lifted: bool,
    ) -> Result<(), Refusal> {
        let plan = now.plan;
        let head = plan.head_of(designator);
        let is_part = |head: &usize| plan.parts()[*head].step != Step::Between;
        let head = head.filter(is_part).ok_or(Refusal::NoSuchPart)?;
        self.lifted.insert(head, lifted);
        let title = plan.parts()[head].title();
        let what = What::Lead { title, lifted };
        now.say(what);
        let in_hand = self.progress.in_hand();
        let is_in_hand = in_hand.is_some_and(|entry| plan.entries().heads()[entry] == head);
        if plan.circuit().is_some() {
            self.change_circuit(now, head, lifted);
        } else if is_in_hand && self.task(plan) == Some(Task::Part) {
            self.announce(now);
        }
        Ok(())
    }

    /// Says which leads are still lifted, if any are.
    pub(super) fn tell_still_lifted(&self, now: &mut Moment<'_>) {
        let titles = self
            .lifted_now()
            .map(|entry| now.plan.parts()[entry].designator.clone());
        let parts: Vec<String> = titles.collect();
        if !parts.is_empty() {
            let what = What::StillLifted { parts };
            now.say(what);
        }
    }
}
