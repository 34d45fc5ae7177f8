//! [`task`]: what is to be done for an entry that is more than a touch of a part.

use crate::engine::judge::LARGEST_FED_VOLTS;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Quantity, format_band, format_stated, format_value};

/// Task for the entry, for people; `None` where its part is only touched.
pub(super) fn task(part: &Part) -> Option<String> {
    let quantity = part.nominal.quantity();
    let nominal = || format_stated(quantity, part.nominal.value());
    Some(match part.step {
        Step::Value | Step::Own | Step::Leakage => return None,
        Step::Between => {
            let expected = match part.band.limits()[1] {
                None => "nothing on the list conducts there: say `on`, or `skip`".to_owned(),
                Some(_) => format!("{} if all is as listed", format_value(quantity, part.nominal.value(), 3)),
            };
            format!("probes on these two places, across {}: {expected}", part.value_text)
        }
        Step::Primary => format!(
            "feed a small alternating voltage into the primary, {} at most, nothing on the secondary; probes on the primary",
            format_value(Quantity::AcVoltage, LARGEST_FED_VOLTS, 3)
        ),
        Step::Secondary => format!(
            "probes on the secondary, the same still fed in ({})",
            nominal()
        ),
        Step::Stop => format!(
            "wiper at its stop, probes on the wiper and that end: at most {}",
            nominal()
        ),
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
            format!("open and close it, then the probes on it: at most {}", nominal())
        }
    })
}
