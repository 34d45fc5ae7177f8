//! A value that reads like that of another part, and what becomes of it when the person says so.

use super::Bench;
use crate::engine::judge::capacitor::Condition;
use crate::engine::judge::{Found, Verdict};
use crate::engine::parts::{Choice, Title};
use crate::engine::probing::{Finding, OnFunction, SettledValue, Specification};
use crate::engine::sitting::command::Command;
use crate::engine::sitting::event::What;
use crate::engine::sitting::likeness::{Seen, may_be_taken_for, reads_like};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::row::Row;

/// From so many parts on it is said whether many of them fail, and the share that is many.
const ENOUGH: usize = 6;
const MANY: f64 = 1.0 / 3.0;

/// Ratio of likelihoods by which a value must fit its neighbour better to be doubted.
const BETTER: f64 = 10.0;

/// A decision at the bench, and the row that the part had then.
#[derive(Debug, Clone)]
pub(super) struct DecidedOn {
    row: Option<u32>,
    choice: Choice,
    reason: String,
}

impl Bench {
    /// The parts that a value reads like which settled on that entry; none where it passes. What was read on the entry before is
    /// known, what is judged now is not.
    pub(super) fn likeness_of(
        &self,
        plan: &Plan,
        entry: usize,
        settled: &SettledValue,
        row: &Row,
    ) -> Vec<usize> {
        let passes = matches!(row.value_verdict, Verdict::Pass | Verdict::ConditionalPass);
        let in_service = plan.conditions().condition == Condition::InService;
        let value = row.value.filter(|value| value.value > 0.0);
        let (Some(value), Finding::Value(estimate)) = (value, settled.finding) else {
            return Vec::new();
        };
        let told = in_service && !plan.is_of_earlier_edition() && row.found == Found::Value;
        if passes || !told || self.place.is_some() || !may_be_taken_for(plan, entry, entry) {
            return Vec::new();
        }
        let recorded = self.recorded(plan);
        let seen = Seen {
            plan,
            value,
            scatter: self.scatter_share(plan, settled, estimate.value),
            recorded: &recorded,
        };
        let next = self.progress.following(entry);
        let heads = plan.entries().heads();
        let next = next
            .map(|entry| heads[entry])
            .find(|head| *head != heads[entry]);
        reads_like(&seen, entry, next, self.many_fail())
    }

    /// Last reading of each entry, in this sitting or before.
    pub(super) fn recorded(&self, plan: &Plan) -> Vec<Option<f64>> {
        let earlier = plan.earlier().iter().enumerate();
        let here = |entry| self.found.value_of(entry).map(|value| value.value);
        earlier
            .map(|(entry, earlier)| here(entry).or(*earlier))
            .collect()
    }

    /// Scatter of a settled value, which its last digit never lets be nothing, as a share of it.
    pub(super) fn scatter_share(&self, plan: &Plan, settled: &SettledValue, value: f64) -> f64 {
        let meter = OnFunction {
            profile: plan.profile_of(self.meter),
            quantity: settled.quantity,
        };
        let digit = meter.resolution(value) / libm::sqrt(12.0);
        let estimate = settled.finding.estimate();
        let scatter = estimate.map_or(0.0, |estimate| super::gripping::scatter(&estimate));
        scatter.max(digit) / value.abs()
    }

    fn many_fail(&self) -> bool {
        let summary = self.progress.summary();
        let judged = summary.judged();
        let failed = summary.count(Verdict::Fail) + summary.count(Verdict::ConditionalFail);
        judged >= ENOUGH && failed as f64 > MANY * judged as f64
    }

    /// Says what the value just judged reads like.
    pub(super) fn tell_likeness(&mut self, now: &mut Moment<'_>, title: Title, like: Vec<usize>) {
        let names = like.iter();
        let names = names.map(|entry| now.plan.parts()[*entry].title().into());
        let names: Vec<String> = names.collect();
        self.like = like;
        if !names.is_empty() {
            let what = What::ReadsLike {
                title,
                candidates: names,
            };
            now.say(what);
        }
    }

    /// The command with the part that it means, where it can only mean one.
    pub(in crate::engine::sitting) fn spelled_out(
        &self,
        plan: &Plan,
        command: &Command,
    ) -> Command {
        if let Some(answer) = self.spelled_answer(plan, command) {
            return answer;
        }
        match (command, self.like.as_slice()) {
            (Command::Was(None), [like]) => {
                Command::Was(Some(plan.parts()[*like].designator.clone()))
            }
            _ => command.clone(),
        }
    }

    /// Why `was` without a name moves nothing.
    pub(super) fn why_not_moved(&self) -> Refusal {
        match self.value {
            Some(_) => Refusal::WhichPart,
            None => Refusal::NothingToMove,
        }
    }

    /// The value just judged is that of another part: that one gets a row which takes the other back, and the part that it was
    /// taken from is in hand again.
    pub(super) fn give_to(
        &mut self,
        now: &mut Moment<'_>,
        designator: &str,
    ) -> Result<(), Refusal> {
        let plan = now.plan;
        let (from, row) = self.progress.last_row().ok_or(Refusal::NothingToMove)?;
        let value = self.value.filter(|(number, _)| *number == row);
        let (_, settled) = value.ok_or(Refusal::NothingToMove)?;
        let to = plan.head_of(designator).ok_or(Refusal::NoSuchPart)?;
        if plan.entries().heads()[from] == to {
            return Err(Refusal::SamePart);
        }
        if !may_be_taken_for(plan, from, to) {
            return Err(Refusal::OtherValue);
        }
        if self.held_back(plan) {
            return Err(Refusal::DischargeFirst);
        }
        let (choice, reason) = self.decided_on(row);
        self.judge_on(now, to, settled, vec![row]);
        self.grip.moved(to, settled);
        let what = What::Moved {
            title: plan.parts()[from].title(),
            belongs_to: plan.parts()[to].title().into(),
            choice,
            reason,
            check_from: self.doubtful_since(plan, from, to),
        };
        now.say(what);
        match self.place.take() {
            Some(place) => self.turn_to_place(now, place),
            None => self.take(now, Some(from)),
        }
        Ok(())
    }

    /// Decision at the bench while that row stood, and its reason.
    pub(super) fn decided_on(&self, row: u32) -> (Option<Choice>, String) {
        let decided = self.decided.iter().rev().find(|one| one.row == Some(row));
        let decided = decided.cloned();
        let choice = decided.as_ref().map(|one| one.choice);
        (choice, decided.map(|one| one.reason).unwrap_or_default())
    }

    /// Notes what was decided on the part of an entry, and on which row.
    pub(super) fn note_decision(
        &mut self,
        plan: &Plan,
        entry: usize,
        choice: Choice,
        reason: &str,
    ) {
        let head = plan.entries().heads()[entry];
        self.decided.push(DecidedOn {
            row: self.progress.row_of(head),
            choice,
            reason: reason.to_owned(),
        });
    }

    /// The first of the parts before `from`, back while each value fits the neighbour towards `to` better than its own part.
    fn doubtful_since(&self, plan: &Plan, from: usize, to: usize) -> Option<String> {
        let mut heads = plan.entries().heads().to_vec();
        heads.dedup();
        let place = heads.iter().position(|head| *head == from)?;
        let fits_better = |place: &usize| {
            let here = heads[*place];
            let neighbour = if to > from {
                heads.get(place + 1)
            } else {
                place.checked_sub(1).map(|before| &heads[before])
            };
            let (Some(value), Some(&neighbour)) = (self.found.value_of(here), neighbour) else {
                return false;
            };
            let seen = Seen {
                plan,
                value,
                scatter: 0.0,
                recorded: &[],
            };
            value.value > 0.0
                && may_be_taken_for(plan, here, neighbour)
                && seen.on_aged(neighbour) >= seen.on_aged(here) + libm::log(BETTER)
        };
        let back = (0..place).rev().take_while(fits_better);
        let first = back.last()?;
        Some(plan.parts()[heads[first]].title().into())
    }
}
