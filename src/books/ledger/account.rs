//! [`Account`]: everything that is known of one part.
//!
//! [`Standing`]: where a part stands.

use chrono::{DateTime, FixedOffset};

use strum::{Display, IntoStaticStr, VariantArray};

use super::{Choice, Decision, Row};
use crate::engine::judge::{Aspect, Verdict};
use crate::engine::parts::{Kind, Part, Step, unfit_fuse};
use crate::engine::sitting::LeftOut;

/// Everything that is known of one part: its row of the list, what was measured of it, and what was decided.
#[derive(Debug, Clone)]
pub struct Account<'a> {
    /// Its row of the list.
    pub part: &'a Part,
    /// Measurements of it, the oldest first.
    pub measurements: Vec<&'a Row>,
    /// Decisions, the oldest first; the last one counts.
    pub decisions: Vec<&'a Decision>,
    /// Measurements of it that no rule can judge.
    pub left_out: Vec<&'a LeftOut>,
}

impl<'a> Account<'a> {
    /// The decision that counts.
    pub fn decision(&self) -> Option<&'a Decision> {
        self.decisions.last().copied()
    }

    /// When the part now fitted was put in; `None` if it is the one that was found.
    pub fn fitted(&self) -> Option<&'a Decision> {
        let mut fitted = self.decisions.iter().rev().copied();
        fitted.find(|decision| decision.choice == Choice::Fitted)
    }

    /// Reason why the fuse now fitted should not stay, by the article that was said to go in.
    pub fn unfit_fuse(&self) -> Option<String> {
        let article = self.fitted().map(|fitted| fitted.article.as_str())?;
        (!article.is_empty()).then(|| unfit_fuse(self.part, article))?
    }

    /// The last measurement of each of the part's steps, in the order of the list; of the part now fitted alone.
    pub fn latest(&self) -> Vec<&'a Row> {
        self.last_of_each(|time| self.fitted().is_none_or(|fitted| time > fitted.time))
    }

    /// The first measurement of each step of the part that was found, before anything was fitted: the last attempt of its
    /// first sitting.
    pub fn first(&self) -> Vec<&'a Row> {
        let first_fitted = self
            .decisions
            .iter()
            .find(|one| one.choice == Choice::Fitted);
        let as_found = |time| first_fitted.is_none_or(|fitted| time <= fitted.time);
        let steps = self.steps();
        let first = steps.iter().filter_map(|step| {
            let of_step = || {
                self.measurements
                    .iter()
                    .copied()
                    .filter(|one| one.step.is(*step) && as_found(one.time))
            };
            let sitting = &of_step().next()?.sitting;
            of_step().rfind(|one| one.sitting == *sitting)
        });
        first.collect()
    }

    /// The steps that the list asks for which were not measured of the part now fitted.
    pub fn missing(&self) -> Vec<String> {
        let missing = self.missing_steps();
        missing.iter().map(Step::to_string).collect()
    }

    /// Entries of them that a sitting can measure.
    pub fn to_measure(&self) -> Vec<String> {
        let judged = |step: &Step| self.left_out.iter().all(|one| one.step != *step);
        let missing = self.missing_steps().into_iter().filter(judged);
        missing.map(|step| step.to_string()).collect()
    }

    fn missing_steps(&self) -> Vec<Step> {
        let latest = self.latest();
        let measured = |step: &Step| latest.iter().any(|one| one.step.is(*step));
        let mut steps = self.steps();
        steps.retain(|step| !measured(step));
        steps
    }

    /// The measurement with the worst verdict on the part now fitted; `None` if nothing was measured.
    pub fn worst(&self) -> Option<&'a Row> {
        let latest = self.latest().into_iter();
        latest.max_by_key(|one| one.verdict.severity())
    }

    /// The worst verdict on the part now fitted; `None` if nothing was measured.
    pub fn verdict(&self) -> Option<Verdict> {
        self.worst().map(|one| one.verdict)
    }

    /// Whether the policy replaces the part now fitted whatever it reads, as its measurements say.
    pub fn by_policy(&self) -> bool {
        let replaced = |one: &&Row| one.check(Aspect::Replacement).is_some();
        self.latest().iter().any(replaced)
    }

    /// Where the part stands.
    pub fn standing(&self) -> Standing {
        let measured = self.to_measure().is_empty();
        let unjudged = measured && !self.missing_steps().is_empty();
        let good = matches!(
            self.verdict(),
            Some(Verdict::Pass | Verdict::ConditionalPass)
        );
        let bad = self.verdict().is_some() && !good;
        match self.decision().map(|decision| decision.choice) {
            Some(Choice::Keep) => Standing::Kept,
            Some(Choice::Accept) => Standing::Accepted,
            Some(Choice::Replace) => Standing::ToReplace,
            Some(Choice::Order) => Standing::OnOrder,
            _ if bad => Standing::Undecided,
            None if self.by_policy() => Standing::ByPolicy,
            Some(Choice::Fitted) | None if unjudged => Standing::Unjudged,
            Some(Choice::Fitted) if measured => Standing::FittedGood,
            Some(Choice::Fitted) => Standing::FittedNotMeasured,
            None if measured => Standing::Good,
            None => Standing::NotMeasured,
        }
    }

    /// Whether the part was kept or accepted, and a later measurement came to a worse verdict than the one that stood then.
    pub fn worse_since(&self) -> bool {
        let stays = |one: &&Decision| matches!(one.choice, Choice::Keep | Choice::Accept);
        let Some(decision) = self.decision().filter(stays) else {
            return false;
        };
        let worst = |of: Vec<&Row>| of.iter().map(|one| one.verdict.severity()).max();
        let then = worst(self.last_of_each(|time| time <= decision.time));
        let since = worst(self.last_of_each(|time| time > decision.time));
        then.is_some() && since > then
    }

    fn last_of_each(&self, counts: impl Fn(DateTime<FixedOffset>) -> bool) -> Vec<&'a Row> {
        let last = |step: &Step| {
            let mut newest_first = self.measurements.iter().rev().copied();
            newest_first.find(|one| one.step.is(*step) && counts(one.time))
        };
        self.steps().iter().filter_map(last).collect()
    }

    /// The steps that the list asks for, in their order.
    pub fn steps(&self) -> Vec<Step> {
        let value: &[Step] = match self.part.kind {
            Kind::Ratio => &[Step::Primary, Step::Secondary],
            _ => &[Step::Value],
        };
        value.iter().chain(&self.part.also).copied().collect()
    }
}

/// Where a part stands, from what is most urgent to what is done.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Display, IntoStaticStr, VariantArray,
)]
#[strum(serialize_all = "lowercase")]
pub enum Standing {
    /// Not good, or not known to be, and nobody has said what is to be done.
    #[strum(serialize = "not good, to be decided")]
    Undecided,
    /// Reads well, the policy replaces it all the same, and nobody has decided.
    #[strum(serialize = "to be replaced by policy")]
    ByPolicy,
    /// Something of it was never measured, and nothing was decided.
    #[strum(serialize = "not measured yet")]
    NotMeasured,
    /// Measured as far as there are rules; the rest no rule can judge until the list or the policy says more.
    #[strum(serialize = "not judged for want of a rule")]
    Unjudged,
    /// To be replaced.
    #[strum(serialize = "to be replaced")]
    ToReplace,
    /// A new one is on order.
    #[strum(serialize = "on order")]
    OnOrder,
    /// A new one was put in, and not measured since.
    #[strum(serialize = "fitted, to be measured")]
    FittedNotMeasured,
    /// A new one was put in, measured since, and good.
    #[strum(serialize = "fitted and good")]
    FittedGood,
    /// Stays although it is not good, knowingly.
    #[strum(serialize = "accepted as it is")]
    Accepted,
    /// The person said that it stays.
    Kept,
    /// Measured, good, and nothing needed to be decided.
    Good,
}

words!(Standing: ALL);

impl Standing {
    /// The words for people.
    pub fn words(self) -> &'static str {
        self.into()
    }

    /// Whether something is still to be done.
    pub const fn is_to_do(self) -> bool {
        match self {
            Self::Undecided
            | Self::ByPolicy
            | Self::NotMeasured
            | Self::Unjudged
            | Self::ToReplace
            | Self::OnOrder
            | Self::FittedNotMeasured => true,
            Self::FittedGood | Self::Accepted | Self::Kept | Self::Good => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::{Amount, Quantity, Tolerance};

    fn at(hour: u32) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(&format!("2056-11-03T{hour:02}:00:00Z")).unwrap()
    }

    fn part() -> Part {
        let nominal = Amount::new(Quantity::Capacitance, 47e-9).unwrap();
        let tolerance = Tolerance::percent(20.0, 20.0).unwrap();
        Part::new("C4", Kind::Capacitor, nominal, tolerance)
    }

    fn measured(hour: u32, step: Step, verdict: Verdict) -> Row {
        Row {
            time: at(hour),
            sitting: format!("sitting-{hour}"),
            step,
            verdict,
            ..Row::sample("C4")
        }
    }

    fn decided(hour: u32, choice: Choice) -> Decision {
        Decision {
            time: at(hour),
            designator: "C4".to_owned(),
            choice,
            reason: String::new(),
            article: String::new(),
            bag: None,
        }
    }

    fn standing(part: &Part, measurements: &[Row], decisions: &[Decision]) -> Standing {
        let account = Account {
            part,
            measurements: measurements.iter().collect(),
            decisions: decisions.iter().collect(),
            left_out: vec![],
        };
        account.standing()
    }

    #[test]
    fn a_part_goes_its_way_from_bad_to_fitted_and_good() {
        let part = part();
        let mut measurements = vec![];
        let mut decisions = vec![];
        assert_eq!(
            standing(&part, &measurements, &decisions),
            Standing::NotMeasured
        );
        measurements.push(measured(1, Step::Value, Verdict::Fail));
        assert_eq!(
            standing(&part, &measurements, &decisions),
            Standing::Undecided
        );
        for (hour, choice, expected) in [
            (2, Choice::Replace, Standing::ToReplace),
            (3, Choice::Order, Standing::OnOrder),
            (4, Choice::Fitted, Standing::FittedNotMeasured),
        ] {
            decisions.push(decided(hour, choice));
            assert_eq!(standing(&part, &measurements, &decisions), expected);
        }
        measurements.push(measured(5, Step::Value, Verdict::Pass));
        assert_eq!(
            standing(&part, &measurements, &decisions),
            Standing::FittedGood
        );
        measurements.push(measured(6, Step::Value, Verdict::ConditionalFail));
        assert_eq!(
            standing(&part, &measurements, &decisions),
            Standing::Undecided
        );
    }

    #[test]
    fn a_verdict_never_overwrites_a_decision_but_is_told() {
        let part = part();
        let measurements = [
            measured(1, Step::Value, Verdict::ConditionalFail),
            measured(3, Step::Value, Verdict::Fail),
        ];
        let decisions = [decided(2, Choice::Accept)];
        let account = Account {
            part: &part,
            measurements: measurements.iter().collect(),
            decisions: decisions.iter().collect(),
            left_out: vec![],
        };
        assert_eq!(account.standing(), Standing::Accepted);
        assert!(account.worse_since());
        let account = Account {
            measurements: measurements[..1].iter().collect(),
            ..account
        };
        assert!(!account.worse_since());
    }

    #[test]
    fn a_step_that_the_list_asks_for_is_missed() {
        let mut part = part();
        part.also = vec![Step::Leakage];
        let value = measured(1, Step::Value, Verdict::Pass);
        assert_eq!(
            standing(&part, std::slice::from_ref(&value), &[]),
            Standing::NotMeasured
        );
        let leakage = measured(2, Step::Leakage, Verdict::Fail);
        assert_eq!(
            standing(&part, &[value.clone(), leakage], &[]),
            Standing::Undecided
        );
        let leakage = measured(2, Step::Leakage, Verdict::Pass);
        assert_eq!(standing(&part, &[value, leakage], &[]), Standing::Good);
    }

    #[test]
    fn as_found_is_the_last_attempt_of_the_first_sitting() {
        let part = part();
        let mut again = measured(1, Step::Value, Verdict::Pass);
        again.attempt = 2;
        let measurements = [
            measured(1, Step::Value, Verdict::Fail),
            again,
            measured(5, Step::Value, Verdict::Pass),
        ];
        let account = Account {
            part: &part,
            measurements: measurements.iter().collect(),
            decisions: vec![],
            left_out: vec![],
        };
        assert_eq!(account.first()[0].attempt, 2);
        assert_eq!(account.latest()[0].time, at(5));
    }
}
