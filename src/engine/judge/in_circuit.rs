//! What a reading in circuit can prove.
//!
//! A passive parallel path can only lower a resistance and only raise a capacitance (Rayleigh's monotonicity law:
//! P. G. Doyle and J. L. Snell, Random Walks and Electric Networks, section 1.4). So a resistance above its band is proof
//! of a fault and one below it is none; for a capacitance the other way round. A value inside the band proves one limit only.
//!
//! A parallel path can only raise a current, so one below its largest is proof. An inductance it lowers if it is a coil and raises if it is a capacitor, so neither
//! side proves anything. A voltage is measured in circuit and nowhere else; of a ratio
//! nothing is said here.

use super::verdict::{Reason, Side, Verdict};
use crate::engine::quantity::{Band, Quantity};

/// What remains of a verdict on an isolated part when the part is still in circuit.
pub(super) fn weaken(
    verdict: Verdict,
    side: Side,
    quantity: Quantity,
    band: Band,
) -> (Verdict, Reason) {
    match (quantity, side) {
        (Quantity::Current, Side::Inside) if band.lower() == f64::NEG_INFINITY => {
            (verdict, Reason::Value(side))
        }
        (Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio, side) => {
            (verdict, Reason::Value(side))
        }
        (Quantity::Resistance | Quantity::Inductance, Side::Low) => {
            (Verdict::Inconclusive, Reason::ParallelPathLowers)
        }
        (Quantity::Capacitance | Quantity::Inductance | Quantity::Current, Side::High) => {
            (Verdict::Inconclusive, Reason::ParallelPathRaises)
        }
        (_, Side::Inside) => (
            verdict.max(Verdict::ConditionalPass),
            Reason::ParallelPathMayHide,
        ),
        (Quantity::Resistance, Side::High)
        | (Quantity::Capacitance | Quantity::Current, Side::Low) => (verdict, Reason::Value(side)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_voltage_is_judged_as_it_is_and_an_inductance_proves_nothing() {
        let band = Band::new(90.0, 110.0).unwrap();
        for side in [Side::Low, Side::Inside, Side::High] {
            let (verdict, reason) = weaken(Verdict::Pass, side, Quantity::Voltage, band);
            assert_eq!((verdict, reason), (Verdict::Pass, Reason::Value(side)));
        }
        for side in [Side::Low, Side::High] {
            let (verdict, _) = weaken(Verdict::Fail, side, Quantity::Inductance, band);
            assert_eq!(verdict, Verdict::Inconclusive);
        }
    }

    #[test]
    fn a_leakage_that_is_small_in_spite_of_parallel_paths_is_small() {
        let largest = Band::at_most(1e-3).unwrap();
        let of = |verdict, side, band| weaken(verdict, side, Quantity::Current, band).0;
        assert_eq!(
            of(Verdict::Fail, Side::High, largest),
            Verdict::Inconclusive
        );
        assert_eq!(of(Verdict::Pass, Side::Inside, largest), Verdict::Pass);
        let both = Band::new(1e-3, 2e-3).unwrap();
        assert_eq!(of(Verdict::Fail, Side::Low, both), Verdict::Fail);
        assert_eq!(
            of(Verdict::Pass, Side::Inside, both),
            Verdict::ConditionalPass
        );
    }
}
