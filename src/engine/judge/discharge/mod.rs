//! Residual charge: what capacitors may still hold, and how long it lasts.
//!
//! Pure arithmetic; no file, port, clock or printing. Nothing here
//! replaces local codes or a licensed person: [`CAUTION`] says so, and whoever shows a list shows it too.

mod charged_part;
mod stored_charge;

pub use charged_part::{ChargedPart, Harm, parts_to_discharge};
pub use stored_charge::StoredCharge;

/// Direct voltage below which a capacitor counts as discharged, in volt: the 60 V of energy class ES1 in IEC 62368-1,
/// table 4 (from memory).
pub const DISCHARGED_VOLTS: f64 = 60.0;

/// Caution wherever charged capacitors are listed.
pub const CAUTION: &str = "Capacitors hold lethal charge long after the plug is out, and an open bleeder bleeds nothing. Discharge \
     each one through a resistor, never with a screwdriver, measure that it is down, wait a minute and measure again. Local \
     codes come first, and licensed work is for licensed people.";
