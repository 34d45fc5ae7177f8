//! The further measurements of a potentiometer or a contact, as lines: what to do, and what was found.

use crate::engine::judge::Aspect;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{format_band, format_value};
use crate::engine::sitting::Row;

/// What is to be done for such a measurement; `None` for any other.
pub(super) fn to_do(part: &Part) -> Option<String> {
    let quantity = part.nominal.quantity();
    let nominal = format_value(quantity, part.nominal.value(), 4);
    let task = match part.step {
        Step::Value | Step::Leakage | Step::Primary | Step::Secondary => return None,
        Step::Stop => {
            format!("wiper at its stop, probes on the wiper and that end: at most {nominal}")
        }
        Step::Middle => {
            let law = part.law.map(|law| law.to_string()).unwrap_or_default();
            let band = format_band(quantity, part.band);
            format!(
                "wiper at half its travel, probes on it and on the end where it starts: {law}, {band} if the track is nominal"
            )
        }
        Step::Sweep => {
            "wiper at its stop, meter on one fixed range, probes on the wiper and an end; rest, turn evenly to the other stop in \
             ten seconds or more, rest, lift"
                .to_owned()
        }
        Step::Make { .. } => {
            format!("open and close it, then the probes on it: at most {nominal}")
        }
    };
    Some(task)
}

/// What stands behind the verdict on a wiper between its stops; `None` for any other.
pub(super) fn found(row: &Row) -> Option<String> {
    let aspect = match row.step {
        Step::Middle => Aspect::Law,
        Step::Sweep => Aspect::Sweep,
        _ => return None,
    };
    let words = row.check(aspect)?.brief();
    Some(match row.deciding() {
        Some(check) if check.aspect == aspect => words.to_owned(),
        _ => format!("{words}; {}", row.reason),
    })
}
