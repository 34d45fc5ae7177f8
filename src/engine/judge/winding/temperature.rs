//! [`Temperature`]: of a winding or its surroundings, within what a bench can have.

use thiserror::Error;

/// Coldest and hottest temperature that is believed, in degree Celsius.
const BELIEVED: (f64, f64) = (-40.0, 150.0);

/// A temperature in degree Celsius, from -40 to 150, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    celsius: f64,
    standard_uncertainty: f64,
}

/// Why a temperature is not believed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TemperatureError {
    /// Outside what a bench can have.
    #[error(
        "found `{found}` °C, expected a temperature from -40 to 150 °C; check whether it is in Fahrenheit"
    )]
    Impossible {
        /// What was given, in degree Celsius.
        found: f64,
    },
    /// An uncertainty that is none.
    #[error(
        "found `{found}` K for the uncertainty of the temperature, expected a finite number, zero or above"
    )]
    Uncertainty {
        /// What was given, in kelvin.
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
    use super::*;

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
