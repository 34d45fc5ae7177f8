//! A winding's resistance at 20 °C, from a row of the results.

use crate::books::ledger::Measurement;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::winding::{Measured, resistance_at_20};
use crate::engine::parts::Kind;
use crate::engine::settings::room_temperature;

/// Whether the row is the resistance of a winding.
pub(super) fn is_winding(measurement: &Measurement) -> bool {
    measurement.kind == Kind::Winding.name()
}

/// What was read, brought to 20 °C; `None` where the row does not say how warm the winding was. A row of the results holds what was
/// read, and in its checks what that is at 20 °C: `187.54 Ω at 23 °C is 185.36 Ω at 20 °C`.
pub(super) fn at_20(measurement: &Measurement, read: Uncertain) -> Option<Uncertain> {
    let temperature = room_temperature(celsius(&measurement.checks)?).ok()?;
    let measured = Measured::new(read.value, read.u).ok()?;
    let at_20 = resistance_at_20(measured, temperature);
    Some(Uncertain::new(at_20.value, at_20.standard_uncertainty))
}

/// The temperature that the check of it names.
fn celsius(checks: &str) -> Option<f64> {
    let (_, check) = checks.split_once("temperature: ")?;
    let (before, _) = check.split_once(" °C is ")?;
    let (_, number) = before.rsplit_once(" at ")?;
    number.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_temperature_is_found_among_the_checks() {
        let checks = "role: held to more; temperature: 187.54 Ω at 23.5 °C is 185.36 Ω at 20 °C (copper, 234.5 rule); policy: x";
        assert_eq!(celsius(checks), Some(23.5));
        assert_eq!(
            celsius("temperature: taken as it is: nobody said the temperature"),
            None
        );
        assert_eq!(celsius(""), None);
    }

    /// The results of a demonstration that comes with the program say both values.
    #[test]
    fn what_the_results_say_at_20_degrees_comes_out() {
        let text = include_bytes!("../../../recordings/cinema-multimeter/results.csv");
        let rows = crate::books::ledger::read_measurements(text).unwrap();
        let choke = rows.iter().find(|row| row.designator == "L1").unwrap();
        let figures = choke.figures.unwrap();
        let read = Uncertain::new(figures.value.unwrap(), figures.uncertainty.unwrap());
        let at_20 = at_20(choke, read).unwrap();
        assert!(is_winding(choke));
        assert!((at_20.value - 185.35).abs() < 0.01, "{}", at_20.value);
        assert!(at_20.u > read.u);
    }
}
