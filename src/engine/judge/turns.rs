//! The ratio of turns of a transformer: what its two touches are held to, and the verdict on them.
//!
//! A small alternating voltage is fed in, and measured on the primary, then on the secondary, both without load. What feeds it
//! must stay as it is in between: that is not seen, and is no part of the uncertainty.

use super::check::{Aspect, Check};
use super::grounds::{Found, Grounds};
use super::judgement::{Looked, without_value};
use super::rule::Rule;
use super::winding::{Measured, turns_ratio};
use crate::engine::impedance::Uncertain;
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::probing::Finding;
use crate::engine::quantity::{Amount, Quantity, Tolerance, format_value, format_with_uncertainty};

/// The largest alternating voltage that may be on the primary, in volt, root mean square: the limit of extra-low voltage
/// (IEC 61140, from memory).
pub const LARGEST_FED_VOLTS: f64 = 50.0;

/// The two measurements of `part` as entries of a plan; `None` for any part but a ratio.
///
/// The first has the largest voltage that may be fed as its nominal value and the band up to it, the second ratio and band of
/// the list.
pub fn turns_entries(part: &Part) -> Option<[Part; 2]> {
    if part.kind != Kind::Ratio {
        return None;
    }
    let nominal = Amount::new(Quantity::AcVoltage, LARGEST_FED_VOLTS)?;
    let primary = part.further(Step::Primary, nominal, Tolerance::MAXIMUM);
    let secondary = Part {
        step: Step::Secondary,
        ..part.clone()
    };
    Some([primary, secondary])
}

/// Takes in the finding on one of the two entries of `part`; `primary` is the voltage on the primary, in volt, if it is known.
pub(super) fn look(
    part: &Part,
    finding: Finding,
    primary: Option<Uncertain>,
    rule: Rule,
) -> Looked {
    let fed = primary.and_then(|fed| Measured::new(fed.value, fed.u).ok());
    let grounds = Grounds {
        is_fed: fed.is_some(),
        ..without_value(part, part.band, finding, rule)
    };
    let Finding::Value(estimate) = finding else {
        return (grounds, Vec::new());
    };
    let Ok(read) = Measured::try_from(estimate) else {
        let found = Found::Open;
        return (Grounds { found, ..grounds }, Vec::new());
    };
    let (value, checks) = match (part.step, fed) {
        (Step::Primary, _) => (Some(read), Vec::new()),
        (_, None) => (None, Vec::new()),
        (_, Some(fed)) => {
            let ratio = turns_ratio(fed, read);
            let remark = Check::remark(Aspect::Turns, words(ratio, fed, read));
            (Some(ratio), vec![remark])
        }
    };
    let value = value.map(|value| Uncertain::new(value.value, value.standard_uncertainty));
    (Grounds { value, ..grounds }, checks)
}

/// `38.10:1 ± 0.21:1 (U = 2 u), from 8.02 V AC on the primary and 210.5 mV AC on the secondary, ...`
fn words(ratio: Measured, primary: Measured, secondary: Measured) -> String {
    let volts = |volts: Measured| format_value(Quantity::AcVoltage, volts.value, 5);
    format!(
        "{} (U = 2 u), from {} on the primary and {} on the secondary without load, if what feeds it stayed as it was",
        format_with_uncertainty(
            Quantity::Ratio,
            ratio.value,
            2.0 * ratio.standard_uncertainty
        ),
        volts(primary),
        volts(secondary)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::{Judgement, Reason, Verdict};
    use crate::engine::probing::Estimate;

    fn entries() -> [Part; 2] {
        let list = b"ref,kind,value,tolerance\nT2.ratio,ratio,38:1,5%\n";
        let list = crate::engine::parts::read(list, &crate::engine::parts::ListSettings::default())
            .unwrap();
        turns_entries(&list.parts[0]).unwrap()
    }

    fn volts(value: f64, u: f64) -> Finding {
        Finding::Value(Estimate::combine(value, 0.0, u, 0.0))
    }

    fn judge(part: &Part, finding: Finding, primary: Option<Uncertain>, rule: Rule) -> Judgement {
        let (grounds, checks) = look(part, finding, primary, rule);
        Judgement::by(grounds, checks)
    }

    fn secondary(value: f64, primary: Option<f64>) -> Judgement {
        let primary = primary.map(|volts| Uncertain::new(volts, 0.003 * volts));
        judge(
            &entries()[1],
            volts(value, 0.004 * value),
            primary,
            Rule::GuardBand,
        )
    }

    #[test]
    fn the_second_voltage_yields_the_ratio() {
        // 8 V over 0.2 V is 40; 0.3 % and 0.4 % make 0.5 % (3, 4, 5).
        let found = secondary(0.2, Some(8.0));
        let judged = found.grounds.value.unwrap();
        approx::assert_relative_eq!(judged.value, 40.0, max_relative = 1e-12);
        approx::assert_relative_eq!(judged.u, 0.2, max_relative = 1e-12);
        assert_eq!(found.verdict, Verdict::ConditionalFail, "up to 39.9");
        assert_eq!(
            found.checks[0].words,
            "40.00:1 ± 0.40:1 (U = 2 u), from 8 V AC on the primary and 200 mV AC on the secondary without load, \
             if what feeds it stayed as it was"
        );
        assert_eq!(secondary(8.0 / 38.1, Some(8.0)).verdict, Verdict::Pass);
        assert_eq!(secondary(0.3, Some(8.0)).verdict, Verdict::Fail);
    }

    #[test]
    fn without_the_first_there_is_no_ratio_and_with_it_no_second_is_a_fault() {
        let alone = secondary(0.2, None);
        assert_eq!(
            (alone.verdict, alone.reason),
            (Verdict::Inconclusive, Reason::NoPrimary)
        );
        let [first, second] = entries();
        let fed = Some(Uncertain::new(8.0, 0.01));
        let open = |part, fed| judge(part, Finding::Open, fed, Rule::GuardBand).verdict;
        assert_eq!(open(&second, fed), Verdict::Fail);
        assert_eq!(open(&second, None), Verdict::Inconclusive);
        assert_eq!(
            open(&first, None),
            Verdict::Inconclusive,
            "nothing was fed in"
        );
    }

    #[test]
    fn more_than_a_small_voltage_on_the_primary_fails() {
        let first = &entries()[0];
        let verdict = |value| judge(first, volts(value, 0.01), None, Rule::GuardBand).verdict;
        assert_eq!(verdict(8.0), Verdict::Pass);
        assert_eq!(verdict(230.0), Verdict::Fail);
    }
}
