//! Whether a coil beside its sibling hints at a shorted turn.

use super::Evidence;
use crate::engine::impedance::{Impedance, SIBLING_SPREAD, Uncertain, compare_windings};
use crate::engine::judge::winding::sibling;
use crate::engine::parts::Part;
use crate::engine::probing::Finding;
use crate::engine::sitting::{Plan, Record};

/// What L and Q of a coil beside those of its sibling hint at. `None` for a coil without a sibling, in circuit, or without a
/// reading that tells its impedance; and without such a reading of the sibling.
pub(super) fn words(part: &Part, record: &Record, evidence: &Evidence<'_>) -> Option<String> {
    let other = sibling(part, evidence.list)?;
    if part.in_circuit || other.in_circuit {
        return None;
    }
    let is_other =
        |record: &&Record| evidence.plan.parts()[record.part].designator == other.designator;
    let others = evidence.records.iter().find(is_other)?;
    let comparison = compare_windings(
        &impedance(record, evidence.plan)?,
        &impedance(others, evidence.plan)?,
        SIBLING_SPREAD,
    )
    .ok()?;
    let ratio = |ratio: Uncertain| format!("{:.2} ± {:.2}", ratio.value, 2.0 * ratio.u);
    Some(format!(
        "Beside its sibling {}: L is {} and Q {} times as large (U = 2 u, other windings open); {}.",
        other.designator,
        ratio(comparison.inductance_ratio),
        ratio(comparison.quality_ratio),
        comparison.hint
    ))
}

/// The impedance that a record tells.
fn impedance(record: &Record, plan: &Plan) -> Option<Impedance> {
    let Finding::Value(estimate) = record.settled.finding else {
        return None;
    };
    let value = Uncertain::new(estimate.value, estimate.standard_uncertainty);
    plan.pair(&record.settled)?.impedance(value, None).ok()
}
