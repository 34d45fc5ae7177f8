//! The two touches of a ratio of turns, as lines.

use crate::engine::judge::LARGEST_FED_VOLTS;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Quantity, format_value};

/// What is to be done for the entry; `None` for one that is no voltage of a ratio.
pub(super) fn to_do(part: &Part) -> Option<String> {
    let what = match part.step {
        Step::Primary => format!(
            "feed a small alternating voltage into the primary, {} at most, nothing on the secondary; probes on the primary",
            format_value(Quantity::AcVoltage, LARGEST_FED_VOLTS, 3)
        ),
        Step::Secondary => format!(
            "probes on the secondary, the same still fed in ({})",
            format_value(part.nominal.quantity(), part.nominal.value(), 4)
        ),
        _ => return None,
    };
    Some(what)
}
