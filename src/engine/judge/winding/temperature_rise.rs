//! Temperature of a winding from the change of its resistance.

use super::{Conductor, Measured, Temperature};

/// T2 = (R2/R1)(k + T1) - k: the mean temperature of a hot winding, in degree Celsius, from its resistance `cold` at
/// `cold_temperature` and its resistance `hot` (the resistance method, as quoted in a public text on motors from a safety
/// standard, 49.8).
pub fn winding_temperature(
    cold: Measured,
    cold_temperature: Temperature,
    hot: Measured,
    conductor: Conductor,
) -> Measured {
    let k = conductor.constant();
    let ratio = hot.value / cold.value;
    let span = k + cold_temperature.celsius();
    Measured::from_contributions(
        ratio * span - k,
        &[
            ratio * span * hot.relative_uncertainty(),
            ratio * span * cold.relative_uncertainty(),
            ratio * cold_temperature.standard_uncertainty(),
        ],
    )
}

/// The rise over the surroundings, in kelvin: the hot winding's temperature less that of the room when it was measured hot.
///
/// The two temperatures are taken as independent. One thermometer read twice has part of its error in common, which
/// makes the stated uncertainty larger than the true one.
pub fn temperature_rise(
    cold: Measured,
    cold_temperature: Temperature,
    hot: Measured,
    room_when_hot: Temperature,
    conductor: Conductor,
) -> Measured {
    let winding = winding_temperature(cold, cold_temperature, hot, conductor);
    Measured::from_contributions(
        winding.value - room_when_hot.celsius(),
        &[
            winding.standard_uncertainty,
            room_when_hot.standard_uncertainty(),
        ],
    )
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::super::resistance_at;
    use super::*;

    #[test]
    fn every_input_adds_its_share() {
        let room = Temperature::new(20.0, 1.0).unwrap();
        let cold = Measured::new(10.0, 0.01).unwrap();
        let hot = Measured::new(12.0, 0.012).unwrap();
        let winding = winding_temperature(cold, room, hot, Conductor::Copper);
        // 0.1 % of 1.2 × 254.5 K from either resistance, and 1.2 K from the temperature.
        let share: f64 = 0.001 * 1.2 * 254.5;
        let expected = (2.0 * share * share + 1.2 * 1.2).sqrt();
        assert_relative_eq!(winding.standard_uncertainty, expected, max_relative = 1e-12);
        let rise = temperature_rise(cold, room, hot, room, Conductor::Copper);
        assert!(rise.standard_uncertainty > winding.standard_uncertainty);
    }

    proptest! {
        #[test]
        fn it_finds_the_temperature_that_made_the_resistance(ohms in 0.1..1e4_f64, cold in -40.0..40.0_f64, hot in 40.0..150.0_f64) {
            let celsius = |value| Temperature::new(value, 0.0).unwrap();
            let at = |t| resistance_at(Measured::exact(ohms).unwrap(), celsius(t), Conductor::Aluminium);
            let found = winding_temperature(at(cold), celsius(cold), at(hot), Conductor::Aluminium);
            assert_relative_eq!(found.value, hot, max_relative = 1e-10);
        }
    }
}
