//! A winding's resistance is judged at 20 °C, the temperature of a maker's list.

use super::check::{Aspect, Check};
use super::judgement::Judged;
use super::winding::{Conductor, Measured, Temperature, resistance_at_20};
use crate::quantity::{Quantity, format_value};

/// The resistance at 20 °C of a copper winding, and the check that says so. Without a temperature nothing is corrected.
pub(super) fn correct(judged: Judged, temperature: Option<Temperature>) -> (Judged, Check) {
    let Some(temperature) = temperature else {
        let words =
            "taken as it is: nobody said the temperature (`--temperature`, or [bench] in job.toml)"
                .to_owned();
        return (
            judged,
            Check {
                aspect: Aspect::Temperature,
                verdict: None,
                words,
            },
        );
    };
    let Ok(measured) = Measured::new(judged.value, judged.standard_uncertainty) else {
        let words = "not corrected: a resistance of zero or less".to_owned();
        return (
            judged,
            Check {
                aspect: Aspect::Temperature,
                verdict: None,
                words,
            },
        );
    };
    let at_20 = resistance_at_20(measured, temperature, Conductor::Copper);
    let shown = |value| format_value(Quantity::Resistance, value, 5);
    let words = format!(
        "{} at {} °C is {} at 20 °C (copper, 234.5 rule)",
        shown(judged.value),
        temperature.celsius(),
        shown(at_20.value)
    );
    let judged = Judged {
        value: at_20.value,
        standard_uncertainty: at_20.standard_uncertainty,
    };
    (
        judged,
        Check {
            aspect: Aspect::Temperature,
            verdict: None,
            words,
        },
    )
}
