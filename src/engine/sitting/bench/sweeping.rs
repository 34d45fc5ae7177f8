//! A sweep in hand: from the first touch of the wiper to the report that is judged.

use super::{AfterLift, Bench};
use crate::engine::judge::Verdict;
use crate::engine::meter::Reading;
use crate::engine::probing::{Estimate, Finding, SettledValue, Specification, Sweeping};
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;

impl Bench {
    /// Takes in a reading for the sweep in hand.
    pub(super) fn sweep(
        &mut self,
        now: &mut Moment<'_>,
        reading: &Reading,
        meter: &impl Specification,
    ) {
        let told = self
            .sweep
            .as_mut()
            .and_then(|sweep| sweep.feed(reading, meter));
        self.tell_reading(now, reading);
        let Some(told) = told else { return };
        let Some(settled) = settled_by(reading, &told) else {
            let what = match told {
                Sweeping::Begun => What::Contact,
                _ => What::Lifted,
            };
            now.say(what);
            return;
        };
        if let Sweeping::Swept(report) = told {
            self.swept = Some(report);
        }
        self.grip.forget();
        self.judge(now, settled);
        if settled.finding != Finding::Open {
            now.say(What::Lifted);
        }
        let part = self.progress.in_hand();
        let verdict = part.and_then(|part| self.progress.verdict(part));
        if verdict == Some(Verdict::Inconclusive) {
            // Going on would take the rest of that wiper's way for the next part.
            self.after_lift = AfterLift::Resume;
        }
        self.after_lift(now);
    }

    /// Leaves a sweep; probes that are still on its wiper count for nothing until they are lifted.
    pub(super) fn leave_sweep(&mut self) {
        self.swept = None;
        if self.sweep.take().is_some_and(|sweep| sweep.touching()) {
            self.probes.left_on();
        }
    }
}

/// Yield of a sweep in place of a settled value: the track it covered, or that the wiper is open.
fn settled_by(reading: &Reading, told: &Sweeping) -> Option<SettledValue> {
    let (contact, readings, finding) = match told {
        Sweeping::Begun | Sweeping::Brush => return None,
        Sweeping::Open { said, readings } => (*said, *readings, Finding::Open),
        Sweeping::Swept(report) => {
            let covered = Estimate::combine(report.covered_ohms, 0.0, report.specification, 0.0);
            (report.contact, report.readings, Finding::Value(covered))
        }
    };
    Some(SettledValue {
        quantity: reading.quantity,
        contact,
        at: reading.at,
        readings,
        finding,
        second: None,
    })
}
