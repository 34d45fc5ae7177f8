//! [`judge`]: the one door into the room.

use super::check::{Aspect, Check, overall};
use super::conditions::Conditions;
use super::conformity::probability_of_conformity;
use super::in_circuit::weaken;
use super::lcr::{LcrReading, Rated, as_rated};
use super::leads;
use super::leakage::{self, Soaked};
use super::loss::{self, LossReading};
use super::rule::Rule;
use super::verdict::{Reason, Side, Verdict};
use super::{at_mains, at_point, by_policy, turns, winding_at_20};
use super::{makes, wiper};
use crate::engine::impedance::{Residuals, Uncertain};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::probing::{Estimate, Finding, SettledValue, SweepReport};
use crate::engine::quantity::{Band, Quantity};

/// A verdict with everything it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict on the whole: the worst of the value and of every check.
    pub verdict: Verdict,
    /// The verdict on the value alone.
    pub of_value: Verdict,
    /// Why the value alone is judged as it is.
    pub reason: Reason,
    /// What was compared with the limits: the settled value, or what became of it by a correction; `None` where no value was found.
    pub judged: Option<Uncertain>,
    /// Probability that the value conforms (0 to 1); `None` where no value was found, or the limits are in doubt.
    pub probability: Option<f64>,
    /// The limits used, in the SI unit of the quantity; of a point those that hold for this meter.
    pub band: Band,
    /// The decision rule.
    pub rule: Rule,
    /// Width of the guard band, in the SI unit of the quantity; `None` where no value was found.
    pub guard: Option<f64>,
    /// What else was looked at.
    pub checks: Vec<Check>,
}

impl Judgement {
    /// The check that the verdict on the whole comes from; `None` where the value alone decides. The safety class goes
    /// before everything that decides as much, the value before every other check.
    pub fn deciding(&self) -> Option<&Check> {
        let decides = |check: &&Check| check.verdict == Some(self.verdict);
        let class = |check: &&Check| check.aspect == Aspect::SafetyClass && decides(check);
        let others = || self.checks.iter().find(decides);
        let found = self.checks.iter().find(class);
        found.or_else(|| others().filter(|_| self.of_value != self.verdict))
    }

    /// Why the verdict is what it is, as a clause for people.
    pub fn why(&self) -> &str {
        self.deciding()
            .map_or(self.reason.words(), |check| check.words.as_str())
    }

    /// Takes in what else was looked at: the worst of it and of the value is the verdict on the whole.
    pub(super) fn conclude(&mut self) {
        let checked = self.checks.iter().filter_map(|check| check.verdict);
        self.verdict = overall(checked.chain([self.of_value])).unwrap_or(self.verdict);
    }
}

/// What was measured beside the value.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside<'a> {
    /// What an LCR meter said about the loss.
    pub loss: Option<LossReading>,
    /// The value as one of a pair that tells an impedance.
    pub pair: Option<LcrReading>,
    /// What leads and fixture add to such an impedance, where that was measured.
    pub residuals: Option<Residuals>,
    /// The resistance of the leads, ohm.
    pub leads: Option<Uncertain>,
    /// How a leakage was brought about.
    pub soaked: Option<Soaked<'a>>,
    /// The track that a wiper is on.
    pub track: Option<wiper::TrackValue>,
    /// What a sweep of a wiper has shown.
    pub sweep: Option<&'a SweepReport>,
    /// The makes of a contact before this one; nothing where none was found.
    pub makes: &'a [Option<Estimate>],
    /// The voltage on the primary of the same transformer, V.
    pub primary: Option<Uncertain>,
}

/// Judges what was found on `part` under `conditions`.
pub fn judge(
    part: &Part,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
) -> Judgement {
    match part.step {
        Step::Value => judge_listed(part, settled, beside, conditions),
        Step::Leakage => leakage::judge(part, settled.finding, beside.soaked, conditions.rule),
        Step::Stop => wiper::judge_stop(part, settled, beside, conditions),
        Step::Middle => wiper::judge_middle(part, settled, beside, conditions),
        Step::Sweep => wiper::judge_sweep(part, settled, beside, conditions),
        Step::Make { .. } => makes::judge(part, settled, beside, conditions),
        Step::Primary | Step::Secondary => {
            turns::judge(part, settled.finding, beside.primary, conditions.rule)
        }
    }
}

/// Judges the value that the list states.
fn judge_listed(
    part: &Part,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
) -> Judgement {
    let (band, remarks) = by_policy::apply(part, conditions);
    let loaded = at_point::loaded(part, band, conditions);
    let band = loaded
        .as_ref()
        .and_then(at_point::Loaded::band)
        .unwrap_or(band);
    let mut loss = beside.loss;
    let mut judgement = match settled.finding {
        Finding::Value(estimate) => {
            let read = Uncertain::new(estimate.value, estimate.standard_uncertainty);
            let rated = as_rated(part, read, beside);
            loss = rated.loss;
            judge_value(part, band, rated, beside.leads, conditions)
        }
        Finding::Open => without_value(band, Verdict::Fail, nothing(part), conditions.rule),
        Finding::BeyondRange => without_value(
            band,
            Verdict::Inconclusive,
            Reason::BeyondRange,
            conditions.rule,
        ),
    };
    let value = judgement
        .judged
        .map_or(part.nominal.value(), |judged| judged.value);
    judgement.checks.extend(remarks);
    judgement.checks.extend(at_point::uncorrected(part));
    if let Some(loaded) = loaded {
        let check = loaded.check(judgement.judged, conditions.rule);
        // Where the limits themselves are in doubt, nothing can be said about how probable it is to be within them.
        judgement.probability = judgement
            .probability
            .filter(|_| check.verdict != Some(Verdict::Inconclusive));
        judgement.checks.push(check);
    }
    judgement
        .checks
        .extend(loss::check(part, value, loss, conditions));
    judgement
        .checks
        .extend(at_mains::check(part, value, conditions));
    judgement.conclude();
    judgement
}

/// What it means that the meter shows nothing with the probes on the part.
fn nothing(part: &Part) -> Reason {
    if part.kind == Kind::Point {
        Reason::NoVoltage
    } else {
        Reason::Open
    }
}

pub(super) fn without_value(band: Band, verdict: Verdict, reason: Reason, rule: Rule) -> Judgement {
    Judgement {
        verdict,
        of_value: verdict,
        reason,
        judged: None,
        probability: None,
        band,
        rule,
        guard: None,
        checks: Vec::new(),
    }
}

pub(super) fn judge_value(
    part: &Part,
    band: Band,
    rated: Rated,
    leads: Option<Uncertain>,
    conditions: &Conditions,
) -> Judgement {
    let Rated {
        value: mut judged,
        loss,
        mut checks,
    } = rated;
    let rule = conditions.rule;
    if part.kind == Kind::Capacitor && loss.is_some_and(|loss| loss.is_negative) {
        let verdict = Verdict::Inconclusive;
        return Judgement {
            checks,
            ..without_value(band, verdict, Reason::NegativeLoss, rule)
        };
    }
    if let Some(leads) = leads.filter(|_| part.measured() == Quantity::Resistance) {
        let (without, check) = leads::take_off(judged, leads);
        judged = without;
        checks.push(check);
    }
    if part.kind == Kind::Winding {
        let (corrected, check) = winding_at_20::correct(judged, conditions.temperature);
        judged = corrected;
        checks.push(check);
    }
    let isolated = rule.decide(judged.value, judged.u, band);
    let side = side(judged.value, band);
    let (verdict, reason) = if part.in_circuit {
        weaken(isolated, side, part.measured())
    } else {
        (isolated, Reason::Value(side))
    };
    Judgement {
        verdict,
        of_value: verdict,
        reason,
        judged: Some(judged),
        probability: Some(probability_of_conformity(judged.value, judged.u, band)),
        band,
        rule,
        guard: Some(rule.guard(judged.u)),
        checks,
    }
}

fn side(value: f64, band: Band) -> Side {
    if value < band.lower() {
        Side::Low
    } else if value > band.upper() {
        Side::High
    } else {
        Side::Inside
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::Kind;
    use crate::engine::probing::Estimate;
    use crate::engine::quantity::{Quantity, Stamp};

    fn part(kind: Kind, in_circuit: bool) -> Part {
        let list = format!(
            "ref,kind,value,tolerance,in_circuit\nX1,{},100 {},10%,{}\n",
            kind.name(),
            if kind == Kind::Capacitor { "pF" } else { "" },
            if in_circuit { "yes" } else { "no" }
        );
        crate::engine::parts::read(
            list.as_bytes(),
            &crate::engine::parts::ListSettings::default(),
        )
        .unwrap()
        .parts
        .remove(0)
    }

    fn found(finding: Finding) -> SettledValue {
        SettledValue {
            quantity: Quantity::Resistance,
            contact: Stamp::ZERO,
            at: Stamp::ZERO,
            readings: 5,
            finding,
            second: None,
        }
    }

    /// The verdict on a part that measures `percent` of its nominal value with a standard uncertainty of one per cent.
    fn verdict(kind: Kind, in_circuit: bool, percent: f64) -> Verdict {
        let part = part(kind, in_circuit);
        let one = part.nominal.value() / 100.0;
        let finding = Finding::Value(Estimate::combine(percent * one, 0.0, one, 0.0));
        judge(
            &part,
            &found(finding),
            &Beside::default(),
            &Conditions::by(Rule::GuardBand),
        )
        .verdict
    }

    #[test]
    fn an_open_part_that_should_conduct_fails() {
        assert_eq!(
            judge(
                &part(Kind::Resistor, false),
                &found(Finding::Open),
                &Beside::default(),
                &Conditions::by(Rule::Simple)
            )
            .verdict,
            Verdict::Fail
        );
        assert_eq!(
            judge(
                &part(Kind::Winding, true),
                &found(Finding::Open),
                &Beside::default(),
                &Conditions::by(Rule::Simple)
            )
            .verdict,
            Verdict::Fail
        );
    }

    #[test]
    fn in_circuit_a_low_resistance_proves_nothing_and_a_high_one_does() {
        assert_eq!(verdict(Kind::Resistor, true, 50.0), Verdict::Inconclusive);
        assert_eq!(verdict(Kind::Resistor, true, 150.0), Verdict::Fail);
        assert_eq!(
            verdict(Kind::Resistor, true, 100.0),
            Verdict::ConditionalPass
        );
        assert_eq!(verdict(Kind::Resistor, false, 50.0), Verdict::Fail);
    }

    #[test]
    fn in_circuit_a_high_capacitance_proves_nothing_and_a_low_one_does() {
        assert_eq!(verdict(Kind::Capacitor, true, 150.0), Verdict::Inconclusive);
        assert_eq!(verdict(Kind::Capacitor, true, 50.0), Verdict::Fail);
    }

    #[test]
    fn the_worst_check_decides_the_class_before_the_value_and_the_value_before_the_rest() {
        let band = part(Kind::Resistor, false).band;
        let decided = |of_value, checks: &[(Aspect, Verdict)]| {
            let mut judgement = without_value(band, of_value, Reason::Open, Rule::Simple);
            judgement.checks = checks
                .iter()
                .map(|(aspect, verdict)| Check {
                    aspect: *aspect,
                    verdict: Some(*verdict),
                    words: aspect.name().to_owned(),
                })
                .collect();
            judgement.conclude();
            (judgement.verdict, judgement.why().to_owned())
        };
        let own = Reason::Open.words().to_owned();
        let (loss, class) = (Aspect::Loss, Aspect::SafetyClass);
        for (of_value, checks, expected) in [
            (
                Verdict::Pass,
                vec![(loss, Verdict::Pass)],
                (Verdict::Pass, own.clone()),
            ),
            (
                Verdict::Fail,
                vec![(loss, Verdict::Fail)],
                (Verdict::Fail, own.clone()),
            ),
            (
                Verdict::Pass,
                vec![(loss, Verdict::Fail)],
                (Verdict::Fail, "loss".to_owned()),
            ),
            (
                Verdict::Fail,
                vec![(loss, Verdict::Fail), (class, Verdict::Fail)],
                (Verdict::Fail, "safety class".to_owned()),
            ),
            (
                Verdict::Fail,
                vec![(class, Verdict::Inconclusive)],
                (Verdict::Fail, own),
            ),
        ] {
            assert_eq!(decided(of_value, &checks), expected);
        }
    }

    #[test]
    fn the_further_inside_the_better_the_verdict() {
        let verdicts: Vec<Verdict> = (100..=130)
            .map(|v| verdict(Kind::Resistor, false, f64::from(v)))
            .collect();
        assert!(verdicts.is_sorted(), "{verdicts:?}");
    }
}
