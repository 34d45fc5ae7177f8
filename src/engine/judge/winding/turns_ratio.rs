//! Turns and impedance ratio of a transformer, from two voltages without load.

use super::Measured;

/// n = N1/N2 = V1/V2, without load, by the definition of an ideal transformer; voltages in the same unit, root mean square.
pub fn turns_ratio(first: Measured, second: Measured) -> Measured {
    let ratio = first.value / second.value;
    Measured::from_contributions(
        ratio,
        &[
            ratio * first.relative_uncertainty(),
            ratio * second.relative_uncertainty(),
        ],
    )
}

/// n²: the ratio of impedances that belongs to a ratio of turns.
pub fn impedance_ratio(turns: Measured) -> Measured {
    let value = turns.value * turns.value;
    Measured::from_contributions(value, &[2.0 * value * turns.relative_uncertainty()])
}

/// n² Z: the load that the first winding shows when `load` is on the second, in the unit of `load`.
///
/// An ideal transformer: the windings' own resistances come on top of it.
pub fn reflected_load(turns: Measured, load: Measured) -> Measured {
    let ratio = impedance_ratio(turns);
    let value = ratio.value * load.value;
    Measured::from_contributions(
        value,
        &[
            value * ratio.relative_uncertainty(),
            value * load.relative_uncertainty(),
        ],
    )
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn relative_uncertainties_combine_and_double() {
        let ratio = turns_ratio(
            Measured::new(240.0, 2.4).unwrap(),
            Measured::new(8.0, 0.08).unwrap(),
        );
        assert_relative_eq!(
            ratio.relative_uncertainty(),
            2f64.sqrt() * 0.01,
            max_relative = 1e-12
        );
        let squared = impedance_ratio(ratio);
        assert_relative_eq!(
            squared.relative_uncertainty(),
            8f64.sqrt() * 0.01,
            max_relative = 1e-12
        );
        let load = reflected_load(ratio, Measured::new(8.0, 0.08).unwrap());
        assert_relative_eq!(load.relative_uncertainty(), 0.03, max_relative = 1e-12);
    }

    #[test]
    fn nothing_has_no_ratio() {
        assert!(Measured::new(0.0, 0.1).is_err());
    }

    proptest! {
        #[test]
        fn swapping_the_windings_inverts_the_ratio(a in 0.1..1e3_f64, b in 0.1..1e3_f64) {
            let (a, b) = (Measured::exact(a).unwrap(), Measured::exact(b).unwrap());
            assert_relative_eq!(turns_ratio(a, b).value * turns_ratio(b, a).value, 1.0, max_relative = 1e-12);
        }
    }
}
