//! Windings: resistance at 20 °C, turns and impedance ratio, balance of two halves, siblings.
//!
//! Pure formulas over [`Measured`] values with their standard uncertainties (first order, JCGM 100:2008, 5.1.2); no file,
//! port, clock or printing.

mod balance;
mod measured;
mod resistance;
mod sibling;
mod turns_ratio;

pub use balance::{Balance, HALVES_LIMIT_PERCENT, balance};
pub use measured::Measured;
pub use resistance::{Temperature, TemperatureError, resistance_at_20};
pub use sibling::{other_half, sibling};
pub use turns_ratio::{impedance_ratio, reflected_load, turns_ratio};
