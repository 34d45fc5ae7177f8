//! Resistance of test leads in a two-wire measurement.

use super::Uncertain;

/// A two-wire resistance without its leads: `measured` minus the `zero` read with the probes on each other, in ohm.
///
/// The two readings count as independent, so their uncertainties add in square. The difference may come out a little
/// below zero; that is left to the uncertainty to explain. Below some 10 Ω the zero is needed, or four wires (common
/// practice, no source).
pub fn without_leads(measured: Uncertain, zero: Uncertain) -> Uncertain {
    measured.minus_independent(zero)
}

/// By what fraction `leads` ohm of lead make a resistance of `part` ohm read too high (by definition).
///
/// `part` is more than 0.
pub fn lead_excess(part: f64, leads: f64) -> f64 {
    leads / part
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_zero_takes_its_uncertainty_along() {
        let winding = without_leads(Uncertain::new(0.57, 0.003), Uncertain::new(0.15, 0.004));
        assert!((winding.value - 0.42).abs() < 1e-15);
        assert!((winding.u - 0.005).abs() < 1e-15);
    }

    #[test]
    fn a_short_measures_nothing_even_if_it_falls_below_zero() {
        let short = without_leads(Uncertain::new(0.149, 0.003), Uncertain::new(0.15, 0.004));
        assert!(short.value < 0.0 && short.value.abs() < short.u);
    }
}
