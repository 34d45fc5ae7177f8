//! What the further measurements of a potentiometer or a contact are held to.

use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Quantity, format_band, format_value};

/// What was to be measured and what is expected of it; `None` for a value and for a leakage.
pub(super) fn words(part: &Part) -> Option<String> {
    let row = part.row;
    let ohms = |digits| format_value(Quantity::Resistance, part.nominal.value(), digits);
    Some(match part.step {
        Step::Value | Step::Leakage | Step::Primary | Step::Secondary => return None,
        Step::Stop => format!(
            "From its wiper at the stop to that end of the track there may be {} at most (row {row} of the list asks for it).",
            ohms(6)
        ),
        Step::Middle => format!(
            "From its wiper at half the travel to the end where it starts there should be {} of a nominal track, and {} conforms \
             (row {row} of the list asks for it, law {}); the share that holds for the track as it is stands below.",
            ohms(6),
            format_band(Quantity::Resistance, part.band),
            part.law
                .map_or("not stated", crate::engine::parts::Law::name)
        ),
        Step::Sweep => format!(
            "Its wiper was dragged over the track of {} nominally, as one touch (row {row} of the list asks for it): no dropout and \
             no jump may show on most of it. What is over between two readings of the meter leaves no trace.",
            ohms(6)
        ),
        Step::Make { number, of } => format!(
            "The contact was opened and closed between the touches; this is make {number} of {of} (row {row} of the list asks for \
             them), and each may have {} at most.",
            ohms(6)
        ),
    })
}
