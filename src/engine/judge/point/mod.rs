//! Voltages of a service sheet: what another meter reads where the sheet's meter loaded the circuit.
//!
//! Pure formulas; no file, port, clock or printing. A sheet states which meter it was made with: so many ohms per volt, on
//! such a range. Unloaded = V (Rs + S R)/(S R), and a meter of resistance N reads that times N/(N + Rs), by the definition
//! of a voltage divider.

mod expectation;
mod point_error;
mod sheet_meter;
mod sheet_value;
mod source_resistance;

pub use expectation::{Expectation, expected_reading};
pub use point_error::PointError;
pub use sheet_meter::SheetMeter;
pub use sheet_value::SheetValue;
pub use source_resistance::SourceResistance;

/// Resistance of most digital voltmeters on their direct-voltage ranges, in ohm (common practice, no source).
pub const USUAL_METER_OHMS: f64 = 10e6;
