//! A capacitor at the mains needs the right safety class, whatever its value.

use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::safety::{MainsPlace, Sited, Weight, check_class, compare_touch_current};
use super::verdict::Verdict;
use crate::engine::parts::Part;

/// Findings on the class and rating of a capacitor at the mains, and the current that its capacitance (`farads`) drives
/// through whoever touches the chassis; nothing for any other part.
pub(super) fn check(part: &Part, farads: f64, conditions: &Conditions) -> Vec<Check> {
    let Some(Sited { place, because }) = conditions.places.at(part) else {
        return Vec::new();
    };
    let class = check_class(&part.rating, place, conditions.mains);
    let mut checks: Vec<Check> = class
        .findings()
        .iter()
        .map(|finding| Check {
            aspect: Aspect::SafetyClass,
            verdict: match finding.weight() {
                Weight::Fault => Some(Verdict::Fail),
                Weight::Doubt => Some(Verdict::Inconclusive),
                Weight::Remark => None,
            },
            words: finding.to_string(),
        })
        .collect();
    if let Some(first) = checks.first_mut() {
        first.words = format!("{} (by {because})", first.words);
    }
    if let (MainsPlace::LineToChassis, Some(mains)) = (place, conditions.mains) {
        let comparisons = compare_touch_current(&[farads], mains).unwrap_or_default();
        let exceeded = comparisons.iter().filter(|comparison| comparison.exceeded);
        checks.extend(
            exceeded.map(|comparison| Check::remark(Aspect::SafetyClass, comparison.to_string())),
        );
    }
    checks
}
