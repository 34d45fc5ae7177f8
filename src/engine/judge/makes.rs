//! The makes of a contact: each against its limit, and the last one also against the others.
//!
//! A contact that is measured once may have been found on a good day; operated between the touches, a dirty or worn one scatters.
//! Military practice measures three operations, one reading each (MIL-DTL-24317B, 4.8.4.1, by MIL-STD-202, method 307), and takes
//! their mean; here every single one is held to the limit, which is stricter.

use super::check::{Aspect, Check};
use super::judgement::{Case, Looked};
use super::lcr::Rated;
use super::one_sided::at_most;
use super::rule::Rule;
use crate::engine::parts::{Part, Step};
use crate::engine::probing::Estimate;
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};
use crate::engine::statistics::mean_and_deviation;

/// Largest difference between the makes, as a share of the limit of each (common practice, no source).
pub const SPREAD_SHARE: f64 = 0.5;

/// The measurement as an entry of a plan; its limit is that of the contact.
pub(super) fn entry(part: &Part, step: Step) -> Part {
    Part {
        step,
        also: Vec::new(),
        ..part.clone()
    }
}

/// A make of an entry made by [`entry`].
pub(super) fn look(case: Case<'_>) -> Looked {
    let part = case.part;
    let (grounds, mut checks) = case.look_at(part.band, Rated::plain);
    let Step::Make { number, of } = part.step else {
        return (grounds, checks);
    };
    if number == of {
        let own = case.settled.finding.estimate();
        let earlier = case.beside.makes.iter().flatten().copied();
        let makes: Vec<Estimate> = earlier.chain(own).collect();
        checks.push(spread(&makes, of, part.band.upper(), case.conditions.rule));
    }
    (grounds, checks)
}

/// Distance of the makes that were measured, against the share of the limit `ohms` that they may have.
///
/// The meter's own error is the same in all of them and drops out of a difference; what is left is the scatter of the two.
fn spread(makes: &[Estimate], of: u8, ohms: f64, rule: Rule) -> Check {
    let by_value = |a: &&Estimate, b: &&Estimate| a.value.total_cmp(&b.value);
    let extremes = (makes.iter().max_by(by_value), makes.iter().min_by(by_value));
    let values = makes.iter().map(|make| make.value);
    let (Some(largest), Some(smallest), Some((_, deviation)), true) = (
        extremes.0,
        extremes.1,
        mean_and_deviation(values, ohms),
        makes.len() > 1,
    ) else {
        let words = "fewer than two makes have a value, so there is no spread".to_owned();
        return Check::remark(Aspect::Spread, words);
    };
    let difference = largest.value - smallest.value;
    let u = libm::hypot(largest.scatter, smallest.scatter);
    let shown = |ohms| format_value(Quantity::Resistance, ohms, 3);
    let limit = SPREAD_SHARE * ohms;
    let words = format!(
        "{} of {of} makes from {} to {}, {} apart, standard deviation {}; up to {} apart is put up with (half the limit of \
         the contact, common practice)",
        makes.len(),
        shown(smallest.value),
        shown(largest.value),
        format_with_uncertainty(Quantity::Resistance, difference, 2.0 * u),
        shown(deviation),
        shown(limit)
    );
    Check {
        aspect: Aspect::Spread,
        verdict: Some(rule.decide(difference, u, at_most(limit))),
        words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::judge::Verdict;

    fn makes(values: &[f64]) -> Vec<Estimate> {
        let estimate = |ohms: &f64| Estimate::combine(*ohms, 0.001, 0.05, 0.0);
        values.iter().map(estimate).collect()
    }

    fn verdict(values: &[f64]) -> Option<Verdict> {
        spread(&makes(values), 5, 1.0, Rule::GuardBand).verdict
    }

    #[test]
    fn makes_that_agree_pass_and_one_that_stands_off_fails() {
        assert_eq!(verdict(&[0.10, 0.12, 0.11]), Some(Verdict::Pass));
        assert_eq!(verdict(&[0.10, 0.12, 0.80]), Some(Verdict::Fail));
        assert_eq!(verdict(&[0.10, 0.601]), Some(Verdict::ConditionalFail));
        assert_eq!(verdict(&[0.10]), None);
    }

    #[test]
    fn the_numbers_are_told() {
        let words = spread(&makes(&[0.10, 0.12, 0.14]), 3, 1.0, Rule::GuardBand).words;
        assert!(
            words.starts_with("3 of 3 makes from 0.1 Ω to 0.14 Ω, 40.0 mΩ ± 2.8 mΩ apart"),
            "{words}"
        );
        assert!(words.contains("standard deviation 20 mΩ"), "{words}");
    }
}
