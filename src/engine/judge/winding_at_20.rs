//! A winding's resistance is judged at 20 °C, the temperature of a maker's list.

use super::check::{Aspect, Check};
use super::winding::{Measured, Temperature, resistance_at_20};
use crate::engine::impedance::Uncertain;
use crate::engine::quantity::{Quantity, format_value};

/// The resistance at 20 °C of a copper winding, and the check that says so. Without a temperature nothing is corrected.
pub(super) fn correct(judged: Uncertain, temperature: Option<Temperature>) -> (Uncertain, Check) {
    let as_it_is = |words: &str| (judged, Check::remark(Aspect::NotAt20, words.to_owned()));
    match (temperature, Measured::new(judged.value, judged.u)) {
        (None, _) => as_it_is(
            "taken as it is: nobody said the temperature (`--temperature`, or [bench] in job.toml)",
        ),
        (Some(_), Err(_)) => as_it_is("not corrected: a resistance of zero or less"),
        (Some(temperature), Ok(measured)) => corrected(measured, temperature),
    }
}

fn corrected(measured: Measured, temperature: Temperature) -> (Uncertain, Check) {
    let at_20 = resistance_at_20(measured, temperature);
    let shown = |value| format_value(Quantity::Resistance, value, 5);
    let words = format!(
        "{} at {} °C is {} at 20 °C (copper, 234.5 rule)",
        shown(measured.value),
        temperature.celsius(),
        shown(at_20.value)
    );
    (
        Uncertain::new(at_20.value, at_20.standard_uncertainty),
        Check::remark(Aspect::Temperature, words),
    )
}
