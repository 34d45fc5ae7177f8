//! A further measurement of a part: a resistance against a band of its own, which no policy on the part's value touches.

use super::conditions::Conditions;
use super::judgement::{Beside, Looked, look_at_value, without_value};
use super::lcr::Rated;
use crate::engine::impedance::Uncertain;
use crate::engine::parts::Part;
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::Band;

/// The value that settled on `part` against `band`: without the leads. `known` may add to the uncertainty of a value before that.
pub(super) fn look_at(
    part: &Part,
    band: Band,
    settled: &SettledValue,
    beside: &Beside<'_>,
    conditions: &Conditions,
    known: impl FnOnce(Uncertain) -> Uncertain,
) -> Looked {
    match settled.finding {
        Finding::Value(estimate) => {
            let read = Uncertain::new(estimate.value, estimate.standard_uncertainty);
            let rated = Rated {
                value: known(read),
                loss: None,
                checks: Vec::new(),
            };
            look_at_value(part, band, rated, beside.leads, conditions)
        }
        finding => (without_value(part, band, finding, conditions.rule), vec![]),
    }
}
