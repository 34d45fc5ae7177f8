//! The current that a capacitor from line to chassis drives through a person.

use crate::engine::judge::Conditions;
use crate::engine::judge::safety::{Mains, MainsPlace, compare_touch_current};
use crate::engine::parts::Part;
use crate::engine::quantity::{Quantity, format_value};
use crate::engine::sitting::Row;

/// The touch current of the judged value, or of the nominal one where there is none, alone and together with the other
/// capacitors of the list from line to chassis; `None` for any other part, and if the mains is not stated.
pub(super) fn words(
    part: &Part,
    row: &Row,
    conditions: &Conditions,
    list: &[Part],
) -> Option<String> {
    let is_line_to_chassis = |part: &Part| {
        let sited = conditions.places.at(part);
        sited.is_some_and(|sited| sited.place == MainsPlace::LineToChassis)
    };
    let mains = conditions.mains.filter(|_| is_line_to_chassis(part))?;
    let own = row
        .value
        .map_or(part.nominal.value(), |judged| judged.value);
    let others: Vec<&Part> = list
        .iter()
        .filter(|other| is_line_to_chassis(other) && other.designator != part.designator)
        .collect();
    let mut all: Vec<f64> = others.iter().map(|other| other.nominal.value()).collect();
    all.push(own);
    let together = if others.is_empty() {
        String::new()
    } else {
        let names: Vec<&str> = others
            .iter()
            .map(|other| other.designator.as_str())
            .collect();
        let against = against_limits(&all, mains)?;
        format!(" Together with {} as listed: {against}.", names.join(", "))
    };
    Some(format!(
        "Touch current, 2πfCV at {} V and {} Hz into a person who joins the chassis to earth: {}.{together}",
        mains.volts(),
        mains.hertz(),
        against_limits(&[own], mains)?
    ))
}

/// `2.21 mA, above 4 of the 7 limits for alternating current that are commonly quoted`
fn against_limits(farads: &[f64], mains: Mains) -> Option<String> {
    let compared = compare_touch_current(farads, mains).ok()?;
    let current = format_value(Quantity::Current, compared.first()?.amperes, 3);
    let exceeded = compared.iter().filter(|one| one.exceeded).count();
    Some(format!(
        "{current}, above {exceeded} of the {} limits for alternating current that are commonly quoted",
        compared.len()
    ))
}
