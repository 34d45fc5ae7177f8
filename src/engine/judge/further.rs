//! A further measurement of a part: a resistance against a band of its own, which no policy on the part's value touches.

use super::conditions::Conditions;
use super::judgement::{Beside, Judgement, judge_value, without_value};
use super::lcr::Rated;
use super::verdict::{Reason, Verdict};
use crate::engine::impedance::Uncertain;
use crate::engine::parts::Part;
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::Band;

/// Judges what settled on `part` against `band`: without the leads, and by what a reading in circuit can prove. `known` may
/// add to the uncertainty of a value before that.
pub(super) fn judge_against(
    part: &Part,
    band: Band,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
    known: impl FnOnce(Uncertain) -> Uncertain,
) -> Judgement {
    let rule = conditions.rule;
    match settled.finding {
        Finding::Value(estimate) => {
            let read = Uncertain::new(estimate.value, estimate.standard_uncertainty);
            let rated = Rated {
                value: known(read),
                loss: None,
                checks: Vec::new(),
            };
            judge_value(part, band, rated, beside.leads, conditions)
        }
        Finding::Open => without_value(band, Verdict::Fail, Reason::Open, rule),
        Finding::BeyondRange => {
            without_value(band, Verdict::Inconclusive, Reason::BeyondRange, rule)
        }
    }
}
