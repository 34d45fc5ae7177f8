//! Capacitors that are to be seen discharged: what was read across one, and going on without.

use super::{AfterLift, Bench};
use crate::engine::meter::{Reading, Shown};
use crate::engine::probing::{Estimate, Finding};
use crate::engine::sitting::discharge_stage::{DischargeStage, Without};
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;

impl Bench {
    /// Takes in a reading behind the verdict that the capacitor is discharged: one that recovers holds the work back, come to rest or
    /// not. A single reading may be a blip.
    pub(super) fn look_on(&mut self, now: &mut Moment<'_>, reading: &Reading) {
        let Some(stage) = self.discharge.as_ref() else {
            return;
        };
        let seen = self.after_lift == AfterLift::Advance && !now.plan.is_of_earlier_edition();
        let risen = match reading.shown {
            Shown::Value(volts) if seen && volts.abs() >= stage.limit() => Some(volts),
            _ => None,
        };
        if let (Some(volts), Some(_)) = (risen, std::mem::replace(&mut self.risen, risen)) {
            let found = Finding::Value(Estimate::combine(volts, 0.0, 0.0, 0.0));
            self.see_discharged(now, &found);
        }
    }

    /// Takes in what settled anew across the capacitor, where that changes whether it counts as discharged.
    pub(super) fn see_changed(&mut self, now: &mut Moment<'_>, found: &Finding) {
        let limit = self.discharge.as_ref().map(DischargeStage::limit);
        let low = |limit| matches!(found, Finding::Value(volts) if volts.value.abs() < limit);
        if limit.is_some_and(low) != (self.after_lift == AfterLift::Advance) {
            self.see_discharged(now, found);
        }
    }

    pub(super) fn see_discharged(&mut self, now: &mut Moment<'_>, found: &Finding) {
        let Some(stage) = &mut self.discharge else {
            return;
        };
        let capacitor = stage.in_hand();
        let Some((volts, discharged)) = stage.take(found) else {
            return;
        };
        let below_volt = stage.limit();
        self.after_lift = if discharged {
            AfterLift::Advance
        } else {
            AfterLift::Stay
        };
        now.say(What::AcrossCapacitor {
            title: now.plan.charged()[capacitor].title(),
            volts,
            discharged,
            below_volt,
        });
    }

    /// Goes on without having seen one capacitor discharged, or all that are left.
    pub(super) fn go_without(&mut self, now: &mut Moment<'_>, said: &str) -> Result<(), Refusal> {
        let plan = now.plan;
        let held_back = self.held_back(plan);
        let stage = self
            .discharge
            .as_mut()
            .filter(|_| held_back)
            .ok_or(Refusal::NothingToOverride)?;
        let (which, reason) = meant(plan, said)?;
        let next = stage.go_without(which, reason)?;
        let left = stage
            .left()
            .map(|place| plan.charged()[place].title().into());
        let left: Vec<String> = left.collect();
        let one = match which {
            Without::All => None,
            Without::One(place) => Some(plan.charged()[place].title()),
        };
        now.say(What::Overridden {
            title: one,
            reason: reason.to_owned(),
            left,
        });
        if next {
            self.after_lift = AfterLift::Stay;
            self.grip.forget();
            self.probes.disregard();
            self.advance(now);
        }
        Ok(())
    }
}

/// The stage in which the capacitors at these places are seen discharged.
pub(super) fn stage(plan: &Plan, places: &[usize]) -> Option<DischargeStage> {
    let unseen = if plan.is_of_earlier_edition() {
        Some(0.0)
    } else {
        plan.unseen_volts()
    };
    DischargeStage::of(places, plan.residual_volts(), unseen)
}

/// The capacitor that stands first in what was said, or `all`, and the reason behind it.
fn meant<'a>(plan: &Plan, said: &'a str) -> Result<(Without, &'a str), Refusal> {
    if plan.is_of_earlier_edition() {
        return Ok((Without::All, said));
    }
    let named = plan
        .charged()
        .iter()
        .enumerate()
        .filter_map(|(place, part)| Some((Without::One(place), behind(said, &part.designator)?)));
    let named = named.min_by_key(|(_, reason)| reason.len());
    named
        .or_else(|| Some((Without::All, behind(said, "all")?)))
        .ok_or(Refusal::NameTheCapacitor)
}

/// Text behind that word where the text begins with it, in either case.
fn behind<'a>(text: &'a str, word: &str) -> Option<&'a str> {
    let (first, rest) = text.split_at_checked(word.len())?;
    let is_whole = rest.is_empty() || rest.starts_with([' ', ':', ',', '\t']);
    let is_it = first.eq_ignore_ascii_case(word) && is_whole;
    is_it.then(|| rest.trim_start_matches([' ', ':', ',', '\t']))
}
