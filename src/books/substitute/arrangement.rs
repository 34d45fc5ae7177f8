//! [`Arrangement`]: one part, or two in series or in parallel; what they measure together and how they share.
//!
//! [`Share`]: what each of two parts takes of the voltage, the current and the power.

use strum::{Display, IntoStaticStr};

use crate::engine::parts::Kind;
use crate::engine::quantity::Band;
use crate::engine::statistics::square;

/// Arrangement of parts that stand in for one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Display, IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Arrangement {
    /// One part.
    Single,
    /// Two, one behind the other.
    #[strum(serialize = "in series")]
    Series,
    /// Two, side by side.
    #[strum(serialize = "in parallel")]
    Parallel,
}

/// A way in which two values combine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Combination {
    /// a + b: resistances in series, capacitances in parallel.
    Sum,
    /// 1/(1/a + 1/b): resistances in parallel, capacitances in series.
    Reciprocal,
}

impl Combination {
    /// Value of `a` and `b` (over zero) together, in their unit.
    pub fn of(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Sum => a + b,
            Self::Reciprocal => 1.0 / (1.0 / a + 1.0 / b),
        }
    }

    /// Change of the whole for a small change of `a`: its partial derivative.
    fn sensitivity(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Sum => 1.0,
            Self::Reciprocal => square(b / (a + b)),
        }
    }
}

words!(Arrangement: name);

impl Arrangement {
    /// The two ways to arrange a pair.
    pub const PAIRS: [Self; 2] = [Self::Series, Self::Parallel];

    /// The way in which two parts of that kind combine in this arrangement; `None` for one part alone.
    pub const fn combination(self, kind: Kind) -> Option<Combination> {
        match (self, kind) {
            (Self::Single, _) => None,
            (Self::Series, Kind::Capacitor) | (Self::Parallel, Kind::Resistor | Kind::Coil) => {
                Some(Combination::Reciprocal)
            }
            _ => Some(Combination::Sum),
        }
    }

    /// Shares of voltage and current of two parts of that kind, whose values lie in `bands` around `nominal`.
    pub(super) fn shares(self, kind: Kind, nominal: [f64; 2], bands: [Band; 2]) -> [Share; 2] {
        [(0, 1), (1, 0)].map(|(own, other)| {
            // The larger of two takes the more where its value stands on top of the fraction.
            let rising = Fraction {
                nominal: nominal[own] / (nominal[own] + nominal[other]),
                largest: bands[own].upper() / (bands[own].upper() + bands[other].lower()),
            };
            let falling = Fraction {
                nominal: nominal[other] / (nominal[own] + nominal[other]),
                largest: bands[other].upper() / (bands[own].lower() + bands[other].upper()),
            };
            let capacitors = kind == Kind::Capacitor;
            match (self, capacitors) {
                (Self::Single, _) => Share::WHOLE,
                (Self::Series, false) => Share::of_voltage(rising),
                (Self::Series, true) => Share::of_voltage(falling),
                (Self::Parallel, false) => Share::of_current(falling),
                (Self::Parallel, true) => Share::of_current(rising),
            }
        })
    }
}

/// Value of two parts that are both off to the same side as far as they may be: the worst case.
pub(super) fn worst(combination: Combination, bands: [Band; 2]) -> Option<Band> {
    let [a, b] = bands;
    Band::new(
        combination.of(a.lower(), b.lower()),
        combination.of(a.upper(), b.upper()),
    )
}

/// Where they lie with some 95 % probability: each value anywhere in its band alike (a rectangular distribution, standard
/// uncertainty u = a/√3 for a half-width a; JCGM 100:2008, 4.3.7, clause from memory), the two independent, to first order,
/// coverage factor k = 2. Never wider than the worst case, which a rectangular distribution does not leave.
pub(super) fn statistical(combination: Combination, bands: [Band; 2]) -> Option<Band> {
    let centre = bands.map(|band| f64::midpoint(band.lower(), band.upper()));
    let u = bands.map(|band| (band.upper() - band.lower()) / 2.0 / 3f64.sqrt());
    let [a, b] = centre;
    let expanded = 2.0
        * libm::hypot(
            combination.sensitivity(a, b) * u[0],
            combination.sensitivity(b, a) * u[1],
        );
    let value = combination.of(a, b);
    let worst = worst(combination, bands)?;
    Band::new(
        (value - expanded).max(worst.lower()),
        (value + expanded).min(worst.upper()),
    )
}

/// A part of the whole, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fraction {
    /// With both parts at their nominal values.
    pub nominal: f64,
    /// With the two off to opposite sides as far as their tolerances allow.
    pub largest: f64,
}

impl Fraction {
    /// All of it.
    pub const WHOLE: Self = Self {
        nominal: 1.0,
        largest: 1.0,
    };
}

/// Share of the load on one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Of the voltage.
    pub volts: Fraction,
    pub current: Fraction,
}

impl Share {
    /// All of everything: a part alone.
    pub const WHOLE: Self = Self {
        volts: Fraction::WHOLE,
        current: Fraction::WHOLE,
    };

    pub(super) const fn of_voltage(volts: Fraction) -> Self {
        Self {
            volts,
            current: Fraction::WHOLE,
        }
    }

    pub(super) const fn of_current(current: Fraction) -> Self {
        Self {
            volts: Fraction::WHOLE,
            current,
        }
    }

    /// Of the power: one of the two is the whole.
    pub fn power(self) -> Fraction {
        Fraction {
            nominal: self.volts.nominal * self.current.nominal,
            largest: self.volts.largest * self.current.largest,
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    fn band(nominal: f64, percent: f64) -> Band {
        Band::new(
            nominal * (1.0 - percent / 100.0),
            nominal * (1.0 + percent / 100.0),
        )
        .unwrap()
    }

    #[test]
    fn two_alike_share_evenly_and_at_worst_by_their_tolerances() {
        let bands = [band(68e-6, 20.0), band(68e-6, 20.0)];
        let shares = Arrangement::Series.shares(Kind::Capacitor, [68e-6; 2], bands);
        for share in shares {
            assert_relative_eq!(share.volts.nominal, 0.5);
            // 1.2/(1.2 + 0.8), by arithmetic.
            assert_relative_eq!(share.volts.largest, 0.6, max_relative = 1e-12);
            assert_eq!(share.current.nominal, 1.0);
        }
    }

    #[test]
    fn the_smaller_capacitor_in_series_and_the_larger_resistor_take_the_more() {
        let bands = [band(10.0, 10.0), band(30.0, 10.0)];
        let nominal = [10.0, 30.0];
        let of = |arrangement: Arrangement, kind| arrangement.shares(kind, nominal, bands);
        assert_relative_eq!(
            of(Arrangement::Series, Kind::Capacitor)[0].volts.nominal,
            0.75
        );
        assert_relative_eq!(
            of(Arrangement::Series, Kind::Resistor)[1].volts.nominal,
            0.75
        );
        assert_relative_eq!(
            of(Arrangement::Parallel, Kind::Capacitor)[1]
                .current
                .nominal,
            0.75
        );
        assert_relative_eq!(
            of(Arrangement::Parallel, Kind::Resistor)[0].current.nominal,
            0.75
        );
    }

    proptest! {
        #[test]
        fn what_is_likely_lies_inside_the_worst_case_and_no_corner_outside(
            a in 1.0..1e6_f64, ratio in 0.001..1000.0_f64, first in 0.1..20.0_f64, second in 0.1..20.0_f64, sum in any::<bool>(),
            at in 0.0..1.0_f64, and in 0.0..1.0_f64,
        ) {
            let combination = if sum { Combination::Sum } else { Combination::Reciprocal };
            let bands = [band(a, first), band(a * ratio, second)];
            let worst = worst(combination, bands).unwrap();
            let likely = statistical(combination, bands).unwrap();
            prop_assert!(worst.lower() <= likely.lower() && likely.upper() <= worst.upper());
            let inside = |band: Band, share: f64| band.lower() + share * (band.upper() - band.lower());
            let value = combination.of(inside(bands[0], at), inside(bands[1], and));
            prop_assert!(value >= worst.lower() * (1.0 - 1e-12) && value <= worst.upper() * (1.0 + 1e-12));
        }

        #[test]
        fn no_share_is_larger_than_the_largest(
            ratio in 0.01..100.0_f64, percent in 0.1..30.0_f64, at in 0.0..1.0_f64, and in 0.0..1.0_f64,
        ) {
            let bands = [band(1.0, percent), band(ratio, percent)];
            let inside = |band: Band, share: f64| band.lower() + share * (band.upper() - band.lower());
            let (a, b) = (inside(bands[0], at), inside(bands[1], and));
            let shares = Arrangement::Series.shares(Kind::Resistor, [1.0, ratio], bands);
            prop_assert!(a / (a + b) <= shares[0].volts.largest * (1.0 + 1e-12));
            let shares = Arrangement::Series.shares(Kind::Capacitor, [1.0, ratio], bands);
            prop_assert!(b / (a + b) <= shares[0].volts.largest * (1.0 + 1e-12));
        }
    }
}
