//! Equivalent series resistance (ESR) and loss factor, one from the other.

use std::f64::consts::TAU;

/// ESR in ohm of a capacitor of `capacitance_farad` with the loss factor `tan_delta` at `frequency_hz`:
/// tan δ/(2π f C), by the definition of the loss factor for the series circuit, tan δ = ω C ESR.
///
/// Frequency and capacitance above zero.
pub fn esr_ohm(tan_delta: f64, frequency_hz: f64, capacitance_farad: f64) -> f64 {
    tan_delta / (TAU * frequency_hz * capacitance_farad)
}
