//! [`judge`]: the one door into the room.

use super::check::{Aspect, Check, overall};
use super::conditions::Conditions;
use super::fitted::{self, InPlace};
use super::grounds::Grounds;
use super::lcr::{self, LcrReading, Rated, as_rated};
use super::leads;
use super::leakage::{self, Soaked};
use super::loss::{self, LossReading};
use super::own_value::OwnVerdict;
use super::rule::Rule;
use super::verdict::{Reason, Verdict};
use super::{at_mains, at_point, by_policy, conduction, in_circuit, turns, winding_at_20};
use super::{makes, wiper};
use crate::engine::impedance::{Residuals, Uncertain};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::probing::{Estimate, Finding, SettledValue, SweepReport};
use crate::engine::quantity::{Band, Quantity, Stamp};

/// A verdict with everything it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict on the whole: the worst of the value and of every check.
    pub verdict: Verdict,
    /// The verdict on the value alone.
    pub of_value: Verdict,
    /// Reason why the value alone is judged as it is.
    pub reason: Reason,
    /// Grounds of the verdict on the value.
    pub grounds: Grounds,
    /// Probability that the value conforms (0 to 1); `None` where no value was found, or a check holds that the limits or the
    /// value itself say nothing sure.
    pub probability: Option<f64>,
    pub checks: Vec<Check>,
}

impl Judgement {
    /// The judgement that follows from these grounds and checks, and from nothing else.
    pub fn by(grounds: Grounds, checks: Vec<Check>) -> Self {
        let (of_value, reason) = grounds.verdict();
        let checked = checks.iter().filter_map(|check| check.verdict);
        let verdict = overall(checked.chain([of_value])).unwrap_or(of_value);
        let doubted = |check: &Check| {
            matches!(check.aspect, Aspect::Loading | Aspect::Leakage)
                && check.verdict == Some(Verdict::Inconclusive)
        };
        let probability = grounds.probability();
        Self {
            verdict,
            of_value,
            reason,
            grounds,
            probability: probability.filter(|_| !checks.iter().any(doubted)),
            checks,
        }
    }

    /// The check that the verdict on the whole comes from; `None` where the value alone decides. The safety class goes
    /// before everything that decides as much, the value before every other check.
    pub fn deciding(&self) -> Option<&Check> {
        deciding(&self.checks, self.of_value, self.verdict)
    }

    /// Reason why the verdict is what it is, as a clause for people: `loss: tan δ 0.2 at 120 Hz, at most 0.1 at 120 Hz`.
    pub fn why(&self) -> String {
        match self.deciding() {
            Some(check) => format!("{}: {}", check.aspect.name(), check.brief()),
            None => self.reason.words().to_owned(),
        }
    }
}

/// The one of `checks` that a verdict on the whole comes from, as [`Judgement::deciding`] says.
pub fn deciding(checks: &[Check], of_value: Verdict, verdict: Verdict) -> Option<&Check> {
    let decides = |check: &&Check| check.verdict == Some(verdict);
    let class = |check: &&Check| check.aspect == Aspect::SafetyClass && decides(check);
    let others = || checks.iter().find(decides);
    // Of a value in circuit its network says more than the value by itself.
    let network = |check: &&Check| check.aspect == Aspect::Network && decides(check);
    let found = checks.iter().find(class);
    let found = found.or_else(|| checks.iter().find(network));
    found.or_else(|| others().filter(|_| of_value != verdict))
}

/// Measurement beside the value.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside<'a> {
    /// Loss as an LCR meter told it.
    pub loss: Option<LossReading>,
    /// The value as one of a pair that tells an impedance.
    pub pair: Option<LcrReading>,
    /// Addition of leads and fixture to such an impedance, where that was measured.
    pub residuals: Option<Residuals>,
    /// The resistance of the leads, ohm.
    pub leads: Option<Uncertain>,
    /// Circumstances of a leakage.
    pub soaked: Option<Soaked<'a>>,
    /// The track that a wiper is on.
    pub track: Option<wiper::TrackValue>,
    /// Findings of a sweep of a wiper.
    pub sweep: Option<&'a SweepReport>,
    /// The makes of a contact before this one; nothing where none was found.
    pub makes: &'a [Option<Estimate>],
    /// The voltage on the primary of the same transformer, V.
    pub primary: Option<Uncertain>,
}

/// The grounds of the verdict on the value, and the further checks.
pub(super) type Looked = (Grounds, Vec<Check>);

/// A finding with all that it is judged by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case<'a> {
    pub(super) part: &'a Part,
    pub(super) settled: &'a SettledValue,
    pub(super) beside: &'a Beside<'a>,
    pub(super) conditions: &'a Conditions,
}

/// Judges what was found on `part` under `conditions`.
pub fn judge(
    part: &Part,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
) -> Judgement {
    let case = Case {
        part,
        settled,
        beside,
        conditions,
    };
    let (mut grounds, mut checks) = match part.step {
        Step::Value | Step::Own => look_at_listed(case),
        Step::Between => case.look_at(part.band, |read| as_rated(part, read, beside)),
        Step::Leakage => leakage::look(part, settled.finding, beside.soaked, conditions.rule),
        Step::Stop => wiper::look_at_stop(case),
        Step::Middle => wiper::look_at_middle(case),
        Step::Sweep => wiper::look_at_sweep(case),
        Step::Make { .. } => makes::look(case),
        Step::Primary | Step::Secondary => {
            turns::look(part, settled.finding, beside.primary, conditions.rule)
        }
    };
    grounds.is_read_negative =
        matches!(settled.finding, Finding::Value(estimate) if estimate.value < 0.0);
    if grounds.verdict().1.is_below_zero() {
        // Verdicts that follow from such a value are worth no more than it; the class that is marked on the part is.
        checks.retain(|check| check.verdict.is_none() || check.aspect == Aspect::SafetyClass);
    }
    Judgement::by(grounds, checks)
}

/// Judges the own value of a part in circuit, which is at [`Step::Own`], `None` where the readings do not tell it, with what they came to.
pub fn judge_own_value(
    part: &Part,
    own: Option<Uncertain>,
    found: &OwnVerdict,
    conditions: &Conditions,
) -> Judgement {
    let settled = SettledValue {
        quantity: part.nominal.quantity(),
        contact: Stamp::default(),
        at: Stamp::default(),
        readings: 0,
        finding: own.map_or(Finding::BeyondRange, |own| {
            Finding::Value(Estimate::combine(own.value, own.u, 0.0, 0.0))
        }),
        second: None,
    };
    let (grounds, mut checks) = look_at_listed(Case {
        part,
        settled: &settled,
        beside: &Beside::default(),
        conditions,
    });
    checks.push(Check {
        aspect: Aspect::Network,
        verdict: Some(found.verdict),
        words: found.words.clone(),
    });
    Judgement::by(grounds, checks)
}

/// The value that the list states.
fn look_at_listed(case: Case<'_>) -> Looked {
    let Case {
        part,
        beside,
        conditions,
        ..
    } = case;
    let (band, remarks) = by_policy::apply(part, conditions);
    let in_place = conditions.fitted.in_place(part, band, &conditions.policy);
    let band = match in_place {
        InPlace::Instead(own) | InPlace::Far { own, .. } => own,
        InPlace::Needed | InPlace::NotAtReservoir => band,
    };
    let loaded = at_point::loaded(part, band, conditions);
    let band = loaded
        .as_ref()
        .and_then(at_point::Loaded::band)
        .unwrap_or(band);
    let mut loss = beside.loss;
    let (grounds, mut checks) = case.look_at(band, |read| {
        let rated = as_rated(part, read, beside);
        loss = rated.loss;
        rated
    });
    let nominal = Uncertain::exact(part.nominal.value());
    let value = grounds.value.unwrap_or(nominal);
    checks.extend(remarks);
    checks.extend(at_point::uncorrected(part));
    checks.extend(loaded.map(|loaded| loaded.check(grounds.value, conditions.rule)));
    let in_series = lcr::is_in_series(part, beside);
    checks.extend(fitted::check(part, &grounds, &in_place, conditions));
    checks.extend(conduction::check(part, &grounds));
    checks.extend(at_point::above_ratings(part, grounds.value, conditions));
    checks.extend(loss::check(part, value, in_series, loss, conditions));
    checks.extend(at_mains::check(part, value.value, conditions));
    checks.extend(in_circuit::low_by_itself(part, &grounds, conditions));
    (grounds, checks)
}

/// The grounds where no value was found.
pub(super) fn without_value(part: &Part, band: Band, finding: Finding, rule: Rule) -> Grounds {
    Grounds {
        step: part.step,
        quantity: part.nominal.quantity(),
        in_circuit: part.in_circuit,
        found: finding.into(),
        is_fed: false,
        is_read_negative: false,
        with_leads: false,
        value: None,
        band,
        rule,
    }
}

impl Case<'_> {
    /// The grounds by `band`, as long as no value is known.
    pub(super) fn grounds(self, band: Band) -> Grounds {
        without_value(self.part, band, self.settled.finding, self.conditions.rule)
    }

    /// The value that settled against `band`, without the leads, and of a winding at 20 °C. `rated` makes of what was read what is
    /// judged of it.
    pub(super) fn look_at(self, band: Band, rated: impl FnOnce(Uncertain) -> Rated) -> Looked {
        let Finding::Value(estimate) = self.settled.finding else {
            return (self.grounds(band), vec![]);
        };
        let read = Uncertain::new(estimate.value, estimate.standard_uncertainty);
        let Rated {
            value: mut judged,
            loss,
            mut checks,
        } = rated(read);
        let (part, leads) = (self.part, self.beside.leads);
        let grounds = |value| Grounds {
            with_leads: leads.is_none() && part.kind.conducts(),
            value,
            ..self.grounds(band)
        };
        let below_zero = judged.value + 2.0 * judged.u < 0.0;
        if part.kind == Kind::Capacitor && !below_zero && loss.is_some_and(|loss| loss.is_negative)
        {
            return (grounds(None), checks);
        }
        if let Some(leads) = leads.filter(|_| part.measured() == Quantity::Resistance) {
            let (without, check) = leads::take_off(judged, leads);
            judged = without;
            checks.push(check);
        }
        if part.kind == Kind::Winding {
            let (corrected, check) = winding_at_20::correct(judged, self.conditions.temperature);
            judged = corrected;
            checks.push(check);
        }
        (grounds(Some(judged)), checks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::Side;
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
    fn in_circuit_a_high_capacitance_proves_nothing_and_neither_does_a_low_one() {
        assert_eq!(verdict(Kind::Capacitor, true, 150.0), Verdict::Inconclusive);
        assert_eq!(verdict(Kind::Capacitor, true, 50.0), Verdict::Inconclusive);
    }

    #[test]
    fn the_worst_check_decides_the_class_before_the_value_and_the_value_before_the_rest() {
        let band = part(Kind::Resistor, false).band;
        let decided = |of_value, checks: &[(Aspect, Verdict)]| {
            let resistor = part(Kind::Resistor, false);
            let value = (of_value == Verdict::Pass).then_some(Uncertain::exact(100.0));
            let grounds = Grounds {
                value,
                ..without_value(&resistor, band, Finding::Open, Rule::Simple)
            };
            let checks = checks
                .iter()
                .map(|(aspect, verdict)| Check {
                    aspect: *aspect,
                    verdict: Some(*verdict),
                    words: aspect.name().to_owned(),
                })
                .collect();
            let judgement = Judgement::by(grounds, checks);
            (judgement.verdict, judgement.why())
        };
        let own = Reason::Open.words().to_owned();
        let good = Reason::Value(Side::Inside).words().to_owned();
        let (loss, class) = (Aspect::Loss, Aspect::SafetyClass);
        for (of_value, checks, expected) in [
            (
                Verdict::Pass,
                vec![(loss, Verdict::Pass)],
                (Verdict::Pass, good),
            ),
            (
                Verdict::Fail,
                vec![(loss, Verdict::Fail)],
                (Verdict::Fail, own.clone()),
            ),
            (
                Verdict::Pass,
                vec![(loss, Verdict::Fail)],
                (Verdict::Fail, "loss: loss".to_owned()),
            ),
            (
                Verdict::Fail,
                vec![(loss, Verdict::Fail), (class, Verdict::Fail)],
                (Verdict::Fail, "safety class: safety class".to_owned()),
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
