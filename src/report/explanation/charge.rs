//! The charge that a capacitor of the list may still hold.

use crate::judge::discharge::{CAUTION, parts_to_discharge};
use crate::parts::Part;

/// What a capacitor that must be discharged before work may hold, how long its bleeder takes, and the caution; `None` for any
/// other part.
pub(super) fn words(part: &Part, list: &[Part]) -> Option<String> {
    let charged = parts_to_discharge(list)
        .into_iter()
        .find(|charged| charged.designator == part.designator)?;
    Some(format!("Charge of {charged}. {CAUTION}"))
}
