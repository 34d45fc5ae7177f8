//! [`StepRow`]: a step of a part, before and after.

use crate::books::ledger::{Account, Row};
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Band, Quantity};

/// A step of a part: how it was found, and how what is in now reads.
#[derive(Debug, Clone)]
pub struct StepRow<'a, 'b> {
    /// The part and all that is known of it.
    pub account: &'b Account<'a>,
    /// Which of its measurements.
    pub step: Step,
    /// The measurement of the part that was found.
    pub before: Option<&'a Row>,
    /// The last measurement of the part that is in now; the same one if it was measured once.
    pub after: Option<&'a Row>,
}

/// What a step is held to, in the SI unit of its quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Target {
    pub(super) quantity: Quantity,
    pub(super) nominal: f64,
    pub(super) band: Band,
}

impl<'a, 'b> StepRow<'a, 'b> {
    /// The steps of a part that were measured or should be, the value first.
    pub(super) fn of(account: &'b Account<'a>) -> Vec<Self> {
        let (first, latest) = (account.first(), account.latest());
        let find =
            |among: &[&'a Row], step: Step| among.iter().copied().find(|one| one.step.is(step));
        let rows = account.steps().into_iter().map(|step| Self {
            account,
            before: find(&first, step),
            after: find(&latest, step),
            step,
        });
        rows.collect()
    }

    /// The part.
    pub(super) const fn part(&self) -> &'a Part {
        self.account.part
    }

    /// What it is called: the designator, and the step where that is not the value.
    pub(super) fn title(&self) -> String {
        self.step.title(&self.part().designator)
    }

    /// Whether what is in now was measured after what was found, so that there are two measurements to be told apart.
    pub(super) fn measured_anew(&self) -> bool {
        match (self.before, self.after) {
            (Some(before), Some(after)) => !std::ptr::eq(before, after),
            (None, Some(_)) => self.account.fitted().is_some(),
            _ => false,
        }
    }

    /// What it is held to: the limits of its last verdict, else, for a value, those of the list.
    pub(super) fn target(&self) -> Option<Target> {
        let part = self.part();
        let judged = self.after.or(self.before).map(|one| Target {
            quantity: one.quantity,
            nominal: one.nominal,
            band: one.band,
        });
        let listed = || Target {
            quantity: part.nominal.quantity(),
            nominal: part.nominal.value(),
            band: part.band,
        };
        judged.or_else(|| (self.step == Step::Value).then(listed))
    }
}
