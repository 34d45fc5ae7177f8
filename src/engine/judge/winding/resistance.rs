//! A winding's resistance referred from its [`Temperature`] to 20 °C.

use thiserror::Error;

use super::Measured;

/// The temperature that resistances are referred to, in degree Celsius (IEC 60028).
const REFERENCE_CELSIUS: f64 = 20.0;

/// The constant k of copper's line R ~ k + T, in degree Celsius (IEC 60028, from memory).
const COPPER_CELSIUS: f64 = 234.5;

/// R20 = RT (k + 20)/(k + T): the resistance of a copper winding at 20 °C, in the unit of `resistance`. Uncertainties of resistance and
/// temperature are taken as independent; k is taken as exact.
///
/// The rule with k = 234.5 °C for copper is the one of IEC 60028 and of standards for machines (from memory).
pub fn resistance_at_20(resistance: Measured, temperature: Temperature) -> Measured {
    let k = COPPER_CELSIUS;
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

/// Coldest and hottest temperature that is believed, in degree Celsius.
const BELIEVED: (f64, f64) = (-40.0, 150.0);

/// A temperature in degree Celsius, from -40 to 150, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    celsius: f64,
    standard_uncertainty: f64,
}

/// Reason why a temperature is not believed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TemperatureError {
    /// Outside what a bench can have.
    #[error(
        "found `{found}` °C, expected a temperature from -40 to 150 °C; check whether it is in Fahrenheit"
    )]
    Impossible {
        /// Temperature that was given, in degree Celsius.
        found: f64,
    },
    /// An uncertainty that is none.
    #[error(
        "found `{found}` K for the uncertainty of the temperature, expected a finite number, zero or above"
    )]
    Uncertainty {
        /// Temperature that was given, in kelvin.
        found: f64,
    },
}

impl Temperature {
    /// A temperature in degree Celsius with its standard uncertainty in kelvin.
    ///
    /// The winding's temperature counts, not the room's: let the set stand until both are the same (common practice).
    ///
    /// # Errors
    /// If the temperature is below -40 °C or above 150 °C, or the uncertainty not a finite number of zero or above.
    pub fn new(celsius: f64, standard_uncertainty: f64) -> Result<Self, TemperatureError> {
        if !(BELIEVED.0..=BELIEVED.1).contains(&celsius) {
            return Err(TemperatureError::Impossible { found: celsius });
        }
        if !(standard_uncertainty.is_finite() && standard_uncertainty >= 0.0) {
            return Err(TemperatureError::Uncertainty {
                found: standard_uncertainty,
            });
        }
        Ok(Self {
            celsius,
            standard_uncertainty,
        })
    }

    /// Degree Celsius.
    pub const fn celsius(self) -> f64 {
        self.celsius
    }

    /// Standard uncertainty, in kelvin.
    pub const fn standard_uncertainty(self) -> f64 {
        self.standard_uncertainty
    }
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
        let corrected = resistance_at_20(resistance, temperature);
        assert_relative_eq!(corrected.value, 254.5, max_relative = 1e-15);
        assert_relative_eq!(
            corrected.standard_uncertainty,
            1.01_f64.sqrt(),
            max_relative = 1e-12
        );
    }

    proptest! {
        #[test]
        fn the_first_order_uncertainty_follows_the_function(ohms in 1.0..1e4_f64, t in -30.0..140.0_f64) {
            let step = 1e-4;
            let at = |t: f64| resistance_at_20(Measured::exact(ohms).unwrap(), celsius(t)).value;
            let exact = Measured::exact(ohms).unwrap();
            let with = Temperature::new(t, 1.0).unwrap();
            let slope = (at(t - step) - at(t + step)) / (2.0 * step);
            assert_relative_eq!(
                resistance_at_20(exact, with).standard_uncertainty, slope, max_relative = 1e-4
            );
        }

        #[test]
        fn a_warmer_winding_is_corrected_further_down(ohms in 0.01..1e5_f64, t in -40.0..149.0_f64, more in 0.001..1.0_f64) {
            let at = |t: f64| resistance_at_20(Measured::exact(ohms).unwrap(), celsius(t)).value;
            prop_assert!(at(t + more) < at(t));
        }
    }

    #[test]
    fn the_limits_are_believed_and_nothing_beyond() {
        for celsius in [-40.0, 150.0, 20.0] {
            assert!(Temperature::new(celsius, 0.5).is_ok());
        }
        for celsius in [-40.1, 150.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Temperature::new(celsius, 0.5),
                Err(TemperatureError::Impossible { .. })
            ));
        }
        assert!(matches!(
            Temperature::new(20.0, -0.5),
            Err(TemperatureError::Uncertainty { .. })
        ));
        assert_eq!(
            Temperature::new(451.0, 1.0).unwrap_err().to_string(),
            "found `451` °C, expected a temperature from -40 to 150 °C; check whether it is in Fahrenheit"
        );
    }
}
