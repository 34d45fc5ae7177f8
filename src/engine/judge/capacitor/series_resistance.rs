//! Equivalent series resistance (ESR) and loss factor, one from the other.

use std::f64::consts::TAU;

/// ESR in ohm of a capacitor of `capacitance_farad` with the loss factor `tan_delta` at `frequency_hz`:
/// tan δ/(2π f C), by the definition of the loss factor for the series circuit, tan δ = ω C ESR.
///
/// Frequency and capacitance above zero.
pub fn esr_ohm(tan_delta: f64, frequency_hz: f64, capacitance_farad: f64) -> f64 {
    tan_delta / (TAU * frequency_hz * capacitance_farad)
}

/// Loss factor tan δ = 2π f C ESR of the series circuit; the inverse of [`esr_ohm`].
pub fn tan_delta(esr_ohm: f64, frequency_hz: f64, capacitance_farad: f64) -> f64 {
    TAU * frequency_hz * capacitance_farad * esr_ohm
}
