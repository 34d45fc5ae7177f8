//! Windings: resistance at 20 °C, temperature rise by resistance, turns and impedance ratio, balance of two halves, siblings.
//!
//! Pure formulas over [`Measured`] values with their standard uncertainties (first order, JCGM 100:2008, 5.1.2); no file,
//! port, clock or printing.

mod balance;
mod conductor;
mod halves;
mod measured;
mod resistance;
mod sibling;
mod temperature;
mod temperature_rise;
mod turns_ratio;

pub use balance::{Balance, HALVES_LIMIT_PERCENT, balance};
pub use conductor::{Conductor, REFERENCE_CELSIUS, TEMPERATURE_COEFFICIENT};
pub use halves::other_half;
pub use measured::Measured;
pub use resistance::{resistance_at, resistance_at_20, resistance_at_20_by_coefficient};
pub use sibling::sibling;
pub use temperature::{Temperature, TemperatureError};
pub use temperature_rise::{temperature_rise, winding_temperature};
pub use turns_ratio::{impedance_ratio, ratio_for_impedances, reflected_load, turns_ratio};
