//! What loads the secondary of a transformer, as its primary shows it.

use crate::engine::judge::winding::{Measured, impedance_ratio, reflected_load};
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Quantity, format_value, format_with_uncertainty};
use crate::engine::sitting::Row;

/// Impedance ratio n² and the reflected load n² Z of the ratio that was judged, beside what the list comes to; `None` for any
/// other part, without a ratio, and if the list states no load.
pub(super) fn words(part: &Part, row: &Row) -> Option<String> {
    let ohms = part.load_ohm.filter(|_| part.step == Step::Secondary)?;
    let judged = row.value?;
    let turns = Measured::new(judged.value, judged.u).ok()?;
    let (listed, load) = (
        Measured::exact(part.nominal.value()).ok()?,
        Measured::exact(ohms).ok()?,
    );
    let square = impedance_ratio(turns);
    let seen = reflected_load(turns, load);
    let shown = |measured: Measured, quantity| {
        format_with_uncertainty(
            quantity,
            measured.value,
            2.0 * measured.standard_uncertainty,
        )
    };
    Some(format!(
        "Impedance ratio, n²: {} (U = 2 u). A load of {} on the secondary shows as {} on the primary, instead of {} with the listed \
         ratio; an ideal transformer, the resistances of the windings come on top.",
        shown(square, Quantity::Ratio),
        format_value(Quantity::Resistance, ohms, 6),
        shown(seen, Quantity::Resistance),
        format_value(Quantity::Resistance, reflected_load(listed, load).value, 3)
    ))
}
