//! A winding's resistance referred from one temperature to another.

use super::{Conductor, Measured, REFERENCE_CELSIUS, TEMPERATURE_COEFFICIENT, Temperature};

/// R20 = RT (k + 20)/(k + T): the resistance at 20 °C, in the unit of `resistance`. Uncertainties of resistance and
/// temperature are taken as independent; k is taken as exact.
///
/// The rule with k = 234.5 °C for copper is the one of IEC 60028 and of standards for machines (from memory).
pub fn resistance_at_20(
    resistance: Measured,
    temperature: Temperature,
    conductor: Conductor,
) -> Measured {
    let k = conductor.constant();
    let factor = (k + REFERENCE_CELSIUS) / (k + temperature.celsius());
    let value = resistance.value * factor;
    let per_kelvin = value / (k + temperature.celsius());
    Measured::from_contributions(
        value,
        &[
            factor * resistance.standard_uncertainty,
            per_kelvin * temperature.standard_uncertainty(),
        ],
    )
}

/// RT = R20 (k + T)/(k + 20): what a winding of `resistance` at 20 °C should read at `temperature`.
pub fn resistance_at(
    resistance: Measured,
    temperature: Temperature,
    conductor: Conductor,
) -> Measured {
    let k = conductor.constant();
    let factor = (k + temperature.celsius()) / (k + REFERENCE_CELSIUS);
    let per_kelvin = resistance.value / (k + REFERENCE_CELSIUS);
    Measured::from_contributions(
        resistance.value * factor,
        &[
            factor * resistance.standard_uncertainty,
            per_kelvin * temperature.standard_uncertainty(),
        ],
    )
}

/// R20 = RT/(1 + α (T - 20)) with α = 0.00393/K: copper's resistance at 20 °C by the coefficient of IEC 60028 (from
/// memory). It agrees with the rule by 234.5 to some 10 ppm at room temperature.
pub fn resistance_at_20_by_coefficient(resistance: Measured, temperature: Temperature) -> Measured {
    let denominator = 1.0 + TEMPERATURE_COEFFICIENT * (temperature.celsius() - REFERENCE_CELSIUS);
    let value = resistance.value / denominator;
    Measured::from_contributions(
        value,
        &[
            resistance.standard_uncertainty / denominator,
            value * TEMPERATURE_COEFFICIENT / denominator * temperature.standard_uncertainty(),
        ],
    )
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    fn celsius(value: f64) -> Temperature {
        Temperature::new(value, 0.0).unwrap()
    }

    #[test]
    fn the_temperature_adds_its_share_to_the_uncertainty() {
        // At 20 °C one kelvin is 1/254.5 of the resistance; the meter adds 0.1 Ω.
        let resistance = Measured::new(254.5, 0.1).unwrap();
        let temperature = Temperature::new(20.0, 1.0).unwrap();
        let corrected = resistance_at_20(resistance, temperature, Conductor::Copper);
        assert_relative_eq!(corrected.value, 254.5, max_relative = 1e-15);
        assert_relative_eq!(
            corrected.standard_uncertainty,
            1.01_f64.sqrt(),
            max_relative = 1e-12
        );
    }

    proptest! {
        #[test]
        fn the_corrections_invert(ohms in 0.01..1e5_f64, t in -40.0..150.0_f64) {
            let resistance = Measured::exact(ohms).unwrap();
            for conductor in [Conductor::Copper, Conductor::Aluminium] {
                let back = resistance_at(resistance_at_20(resistance, celsius(t), conductor), celsius(t), conductor);
                assert_relative_eq!(back.value, ohms, max_relative = 1e-12);
            }
        }

        #[test]
        fn the_first_order_uncertainty_follows_the_function(ohms in 1.0..1e4_f64, t in -30.0..140.0_f64) {
            let step = 1e-4;
            let at = |t: f64| resistance_at_20(Measured::exact(ohms).unwrap(), celsius(t), Conductor::Copper).value;
            let by_coefficient = |t: f64| resistance_at_20_by_coefficient(Measured::exact(ohms).unwrap(), celsius(t)).value;
            let exact = Measured::exact(ohms).unwrap();
            let with = Temperature::new(t, 1.0).unwrap();
            let slope = (at(t - step) - at(t + step)) / (2.0 * step);
            assert_relative_eq!(
                resistance_at_20(exact, with, Conductor::Copper).standard_uncertainty, slope, max_relative = 1e-4
            );
            let slope = (by_coefficient(t - step) - by_coefficient(t + step)) / (2.0 * step);
            assert_relative_eq!(
                resistance_at_20_by_coefficient(exact, with).standard_uncertainty, slope, max_relative = 1e-4
            );
        }

        #[test]
        fn a_warmer_winding_is_corrected_further_down(ohms in 0.01..1e5_f64, t in -40.0..149.0_f64, more in 0.001..1.0_f64) {
            let at = |t: f64| resistance_at_20(Measured::exact(ohms).unwrap(), celsius(t), Conductor::Copper).value;
            prop_assert!(at(t + more) < at(t));
        }
    }
}
