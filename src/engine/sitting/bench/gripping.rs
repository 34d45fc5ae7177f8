//! A part that is gripped again: its value must not go to the next part, which nobody touched.

use std::time::Duration;

use super::{AfterLift, Bench, Task};
use crate::engine::judge::capacitor::Condition;
use crate::engine::parts::Title;
use crate::engine::probing::{Estimate, Finding, OnFunction, Second, SettledValue, Specification};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;

/// The longest air within which the same value means the same part (common practice, no source: a hand that has slipped is
/// back sooner, one that goes to another part and reads its label takes longer).
const AIR: Duration = Duration::from_secs(1);

/// Standard deviations that two means of one part may lie apart.
const SAME: f64 = 3.0;

/// Share by which second values of one part may lie apart beyond their scatter, for their digits are not known.
const SECOND: f64 = 0.02;

/// Subject that a value was last tagged to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Subject {
    /// The entry of the plan.
    Entry(usize),
    /// The capacitor of the discharge stage.
    Capacitor(usize),
    /// A part of the place in hand, which of them is not known yet.
    Place,
}

/// The value that was tagged last, how long the air behind it lasts, and a value that was taken for the same part.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Grip {
    last: Option<(Subject, SettledValue)>,
    /// Since when the meter shows nothing.
    air: Option<Stamp>,
    /// The touch that is going on began soon after a lift.
    soon: bool,
    /// Value that was tagged to nothing.
    pending: Option<SettledValue>,
}

impl Grip {
    /// The person said what is in hand.
    pub(super) fn forget(&mut self) {
        self.last = None;
        self.pending = None;
    }

    /// Takes in whether a reading shows nothing, once what it means was dealt with.
    pub(super) fn show(&mut self, at: Stamp, idle: bool) {
        if idle {
            self.air.get_or_insert(at);
        } else {
            self.air = None;
        }
    }

    /// The value that was tagged last is of that entry after all.
    pub(super) fn moved(&mut self, entry: usize, settled: SettledValue) {
        self.last = Some((Subject::Entry(entry), settled));
        self.pending = None;
    }

    /// Whether the part under the probes was taken for the one judged last.
    pub(super) const fn is_again(&self) -> bool {
        self.pending.is_some()
    }

    /// The probes touch something.
    pub(super) fn touch(&mut self, at: Stamp) {
        self.soon = self.air.is_some_and(|air| at.since(air) < AIR);
        self.pending = None;
    }

    /// The stream of readings broke off: how long the air lasted is not known.
    pub(super) fn broken_off(&mut self) {
        self.air = None;
    }
}

impl Bench {
    /// Tells whether the settled value belongs to the part that was judged last, gripped again; that is then said, and nothing tagged.
    pub(super) fn is_gripped_again(
        &mut self,
        now: &mut Moment<'_>,
        task: Task,
        settled: SettledValue,
    ) -> bool {
        let plan = now.plan;
        let Some((subject, next)) = self.subject(plan, task) else {
            self.grip.forget();
            return false;
        };
        let last = self.grip.last.filter(|(_, last)| {
            let soon = self.grip.soon && !plan.is_of_earlier_edition();
            soon && same(plan, self.meter, last, &settled)
        });
        let title = last.and_then(|(last, _)| title_of_other(plan, last, subject));
        let Some(title) = title else {
            self.grip.last = Some((subject, settled));
            return false;
        };
        self.grip.pending = Some(settled);
        self.after_lift = AfterLift::Stay;
        let asked = plan.conditions().condition == Condition::New;
        let what = What::GrippedAgain {
            title,
            in_hand: next.into(),
            asked,
        };
        now.say(what);
        true
    }

    /// `next` behind a part that was gripped again: it is the part in hand after all, and the value is its own.
    pub(super) fn take_as_next(&mut self, now: &mut Moment<'_>) -> bool {
        let plan = now.plan;
        let (Some(settled), Some(task)) = (self.grip.pending.take(), self.task(plan)) else {
            return false;
        };
        self.grip.last = self
            .subject(plan, task)
            .map(|(subject, _)| (subject, settled));
        self.tag(now, task, settled);
        if !self.probes.touching() {
            self.after_lift(now);
        }
        true
    }

    /// Subject that a value goes to, and its title.
    fn subject(&self, plan: &Plan, task: Task) -> Option<(Subject, Title)> {
        match task {
            Task::Part => {
                let entry = self.progress.in_hand()?;
                Some((Subject::Entry(entry), plan.parts()[entry].title()))
            }
            Task::Discharge => {
                let capacitor = self.discharge.as_ref()?.in_hand();
                let title = plan.charged()[capacitor].title();
                Some((Subject::Capacitor(capacitor), title))
            }
            Task::Place => {
                let name = self.place.as_ref()?.name();
                Some((Subject::Place, name.into()))
            }
            Task::Zero | Task::Soak | Task::Sweep | Task::Power => None,
        }
    }
}

/// The title of what was tagged last if that is another part than this; the further steps of a part are no other part.
fn title_of_other(plan: &Plan, last: Subject, now: Subject) -> Option<Title> {
    let heads = plan.entries().heads();
    match (last, now) {
        (Subject::Entry(last), Subject::Entry(now)) => {
            (heads[last] != heads[now]).then(|| plan.parts()[last].title())
        }
        (Subject::Entry(last), Subject::Place) => Some(plan.parts()[last].title()),
        (Subject::Capacitor(last), Subject::Capacitor(now)) => {
            (last != now).then(|| plan.charged()[last].title())
        }
        _ => None,
    }
}

/// Whether two values are one within their scatter, which the last digit never lets be nothing. The specification says nothing here: it shifts both alike.
pub(super) fn same(plan: &Plan, meter: usize, one: &SettledValue, other: &SettledValue) -> bool {
    if one.quantity != other.quantity {
        return false;
    }
    let meter = OnFunction {
        profile: plan.profile_of(meter),
        quantity: one.quantity,
    };
    match (one.finding, other.finding) {
        (Finding::Value(_), Finding::Value(_)) if !same_second(one.second, other.second) => false,
        (Finding::Value(one), Finding::Value(other)) => {
            let digit = meter.resolution(one.value) / libm::sqrt(12.0);
            let scatter = libm::hypot(scatter(&one).max(digit), scatter(&other).max(digit));
            (one.value - other.value).abs() <= SAME * scatter
        }
        (Finding::BeyondRange, Finding::BeyondRange) => true,
        _ => false,
    }
}

/// Compares the second values of an LCR meter likewise; without one they tell nothing apart.
fn same_second(one: Option<Second>, other: Option<Second>) -> bool {
    one.zip(other).is_none_or(|(one, other)| {
        let scatter = libm::hypot(one.scatter, other.scatter);
        (one.value - other.value).abs() <= SAME * scatter + SECOND * one.value.abs()
    })
}

/// Standard uncertainty of an estimate without the share of the specification.
pub(super) fn scatter(estimate: &Estimate) -> f64 {
    libm::hypot(estimate.scatter, estimate.remaining / libm::sqrt(3.0))
}
