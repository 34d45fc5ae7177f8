//! The charge that a capacitor of the list may still hold.

use crate::engine::judge::discharge::{CAUTION, ChargedPart};
use crate::engine::parts::Part;

/// What a capacitor that must be discharged before work may hold, how long its bleeder takes, and the caution; `None` for any
/// other part.
pub(super) fn words(part: &Part, list: &[Part]) -> Option<String> {
    let charged = ChargedPart::of(part, list)?;
    Some(format!("Charge of {charged}. {CAUTION}"))
}
