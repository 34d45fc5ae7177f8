//! How well the halves of a winding agree.

use super::Evidence;
use crate::engine::judge::winding::{Balance, HALVES_LIMIT_PERCENT, Measured, balance, other_half};
use crate::engine::parts::Part;
use crate::engine::sitting::Record;

/// The balance of a winding and its other half, if both were measured in the sitting; that it is not known, if the other one has
/// no value. `None` for a part that has no other half, and without a value of its own.
///
/// The values are those that were judged, without the leads; the temperature of the sitting is the same in both and cancels.
pub(super) fn words(part: &Part, record: &Record, evidence: &Evidence<'_>) -> Option<String> {
    let other = other_half(part, evidence.list)?;
    let own = measured(record)?;
    let is_other =
        |record: &&Record| evidence.plan.parts()[record.part].title() == other.designator;
    let Some(others) = evidence.records.iter().find(is_other).and_then(measured) else {
        return Some(format!(
            "The other half, {}, has no value in this sitting: the balance of the halves is not known.",
            other.designator
        ));
    };
    let balance = balance(own, others);
    let verdict = balance
        .verdict(HALVES_LIMIT_PERCENT, record.row.rule)
        .ok()?;
    Some(format!(
        "Balance of the halves {} and {}: their difference is {:+.2} % ± {:.2} % (U = 2 u) of their mean, and up to \
         ±{HALVES_LIMIT_PERCENT} % is put up with (common practice): {} ({verdict}).",
        part.designator,
        other.designator,
        balance.percent.value,
        2.0 * balance.percent.standard_uncertainty,
        Balance::words(verdict),
    ))
}

/// The value that was judged, if there is one.
fn measured(record: &Record) -> Option<Measured> {
    let judged = record.row.value?;
    Measured::new(judged.value, judged.u).ok()
}
