//! [`judge`]: the one door into the room.

use super::conformity::probability_of_conformity;
use super::in_circuit::weaken;
use super::rule::Rule;
use super::verdict::{Reason, Side, Verdict};
use crate::parts::Part;
use crate::probing::{Estimate, Finding, SettledValue};
use crate::quantity::Band;

/// A verdict with everything it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// Why.
    pub reason: Reason,
    /// Probability that the part conforms (0 to 1); `None` where no value was found.
    pub probability: Option<f64>,
    /// The limits used, in the SI unit of the quantity.
    pub band: Band,
    /// The decision rule.
    pub rule: Rule,
    /// Width of the guard band, in the SI unit of the quantity; `None` where no value was found.
    pub guard: Option<f64>,
}

/// Judges what was found on `part` by `rule`.
pub fn judge(part: &Part, settled: &SettledValue, rule: Rule) -> Judgement {
    let without_value = |verdict, reason| Judgement {
        verdict,
        reason,
        probability: None,
        band: part.band,
        rule,
        guard: None,
    };
    match settled.finding {
        Finding::Value(estimate) => judge_value(part, estimate, rule),
        Finding::Open => without_value(Verdict::Fail, Reason::Open),
        Finding::BeyondRange => without_value(Verdict::Inconclusive, Reason::BeyondRange),
    }
}

fn judge_value(part: &Part, estimate: Estimate, rule: Rule) -> Judgement {
    let Estimate {
        value,
        standard_uncertainty,
        ..
    } = estimate;
    let isolated = rule.decide(value, standard_uncertainty, part.band);
    let side = side(value, part.band);
    let (verdict, reason) = if part.in_circuit {
        weaken(isolated, side, part.kind.quantity())
    } else {
        (isolated, Reason::Value(side))
    };
    Judgement {
        verdict,
        reason,
        probability: Some(probability_of_conformity(
            value,
            standard_uncertainty,
            part.band,
        )),
        band: part.band,
        rule,
        guard: Some(rule.guard(standard_uncertainty)),
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
    use crate::parts::Kind;
    use crate::quantity::{Quantity, Stamp};

    fn part(kind: Kind, in_circuit: bool) -> Part {
        let list = format!(
            "ref,kind,value,tolerance,in_circuit\nX1,{},100 {},10%,{}\n",
            kind.name(),
            if kind == Kind::Capacitor { "pF" } else { "" },
            if in_circuit { "yes" } else { "no" }
        );
        crate::parts::read(list.as_bytes(), &crate::parts::ListSettings::default())
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
        }
    }

    /// The verdict on a part that measures `percent` of its nominal value with a standard uncertainty of one per cent.
    fn verdict(kind: Kind, in_circuit: bool, percent: f64) -> Verdict {
        let part = part(kind, in_circuit);
        let one = part.nominal.value() / 100.0;
        let finding = Finding::Value(Estimate::combine(percent * one, 0.0, one, 0.0));
        judge(&part, &found(finding), Rule::GuardBand).verdict
    }

    #[test]
    fn an_open_part_that_should_conduct_fails() {
        assert_eq!(
            judge(
                &part(Kind::Resistor, false),
                &found(Finding::Open),
                Rule::Simple
            )
            .verdict,
            Verdict::Fail
        );
        assert_eq!(
            judge(
                &part(Kind::Winding, true),
                &found(Finding::Open),
                Rule::Simple
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
    fn the_further_inside_the_better_the_verdict() {
        let verdicts: Vec<Verdict> = (100..=130)
            .map(|v| verdict(Kind::Resistor, false, f64::from(v)))
            .collect();
        assert!(verdicts.is_sorted(), "{verdicts:?}");
    }
}
