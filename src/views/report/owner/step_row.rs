//! [`StepRow`]: a step of a part, before and after.

use crate::books::ledger::{Account, Figures, Measurement};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::quantity::Quantity;

/// A step of a part: how it was found, and how what is in now reads.
#[derive(Debug, Clone)]
pub struct StepRow<'a, 'b> {
    /// The part and all that is known of it.
    pub account: &'b Account<'a>,
    /// Which of its measurements, as the results write it.
    pub step: String,
    /// The measurement of the part that was found.
    pub before: Option<&'a Measurement>,
    /// The last measurement of the part that is in now; the same one if it was measured once.
    pub after: Option<&'a Measurement>,
}

/// What a step is held to, in the SI unit of its quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Target {
    pub(super) quantity: Quantity,
    pub(super) nominal: Option<f64>,
    pub(super) lower: Option<f64>,
    pub(super) upper: Option<f64>,
}

impl<'a, 'b> StepRow<'a, 'b> {
    /// The steps of a part that were measured or should be, the value first.
    pub(super) fn of(account: &'b Account<'a>) -> Vec<Self> {
        let (first, latest) = (account.first(), account.latest());
        let find = |among: &[&'a Measurement], step: &str| {
            among.iter().copied().find(|one| one.step == step)
        };
        let part = account.part;
        let steps = own_steps(part.kind).iter().chain(&part.also);
        let rows = steps.map(|step| {
            let step = step.to_string();
            Self {
                account,
                before: find(&first, &step),
                after: find(&latest, &step),
                step,
            }
        });
        rows.collect()
    }

    /// The part.
    pub(super) const fn part(&self) -> &'a Part {
        self.account.part
    }

    /// What it is called: the designator, and the step where that is not the value.
    pub(super) fn title(&self) -> String {
        if self.step == Step::Value.name() {
            self.part().designator.clone()
        } else {
            format!("{} {}", self.part().designator, self.step)
        }
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
        let judged = self.after.or(self.before).and_then(|one| one.figures);
        if let Some(Figures {
            quantity,
            nominal: nominal @ Some(_),
            lower,
            upper,
            ..
        }) = judged
        {
            return Some(Target {
                quantity,
                nominal,
                lower,
                upper,
            });
        }
        (self.step == Step::Value.name()).then(|| Target {
            quantity: part.nominal.quantity(),
            nominal: Some(part.nominal.value()),
            lower: Some(part.band.lower()).filter(|limit| limit.is_finite()),
            upper: Some(part.band.upper()).filter(|limit| limit.is_finite()),
        })
    }
}

/// The steps that every part of the kind has.
const fn own_steps(kind: Kind) -> &'static [Step] {
    match kind {
        Kind::Ratio => &[Step::Primary, Step::Secondary],
        _ => &[Step::Value],
    }
}
