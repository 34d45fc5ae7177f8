//! [`Derivation`]: the value that a meter's impedance means, where the reply does not hold it.

use serde::Deserialize;
use strum::IntoStaticStr;

use super::Field;
use crate::engine::impedance::{
    PairKind, angular_frequency, parallel_capacitance, parallel_inductance,
};
use crate::engine::meter::Shown;
use crate::engine::quantity::Quantity;

/// Form in which the two numbers of an impedance are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// |Z| in ohm and θ in degrees.
    Degrees,
    /// |Z| in ohm and θ in radian.
    Radians,
    /// R and X in ohm.
    Parts,
}

/// Derivation of a value and the second value beside it from the two numbers of an impedance, reading by reading.
///
/// A capacitance comes with its loss factor, an inductance with its quality factor, a resistance (that of the series
/// circuit) with the reactance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Derivation {
    quantity: Quantity,
    circuit: EquivalentCircuit,
    form: Form,
    /// Angular frequency of the test signal in radian per second; 0 where none is needed.
    omega: f64,
}

/// Two numbers that are no impedance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::engine::meter) enum NoImpedance {
    /// |Z| is below zero.
    Magnitude,
    /// θ is more than half a turn.
    Angle,
}

impl Derivation {
    /// Derivation of `quantity` from the fields `first` and `second` at `hertz`; `None` if it does not follow.
    ///
    /// A frequency is needed for a capacitance and an inductance.
    pub(super) fn new(
        quantity: Quantity,
        circuit: EquivalentCircuit,
        [first, second]: [Field; 2],
        hertz: Option<f64>,
    ) -> Option<Self> {
        let form = match (first, second) {
            (Field::Impedance, Field::AngleDeg) => Form::Degrees,
            (Field::Impedance, Field::AngleRad) => Form::Radians,
            (Field::Resistance | Field::Esr, Field::Reactance) => Form::Parts,
            _ => return None,
        };
        let omega = match quantity {
            Quantity::Capacitance | Quantity::Inductance => angular_frequency(hertz?),
            Quantity::Resistance => 0.0,
            Quantity::Voltage | Quantity::Current | Quantity::AcVoltage | Quantity::Ratio => {
                return None;
            }
        };
        Some(Self {
            quantity,
            circuit,
            form,
            omega,
        })
    }

    /// Value that is derived.
    pub const fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// Field of the second value that is derived with it.
    pub const fn second_is(&self) -> Field {
        match self.quantity {
            Quantity::Capacitance => Field::Loss,
            Quantity::Inductance => Field::Quality,
            Quantity::Resistance
            | Quantity::Voltage
            | Quantity::Current
            | Quantity::AcVoltage
            | Quantity::Ratio => Field::Reactance,
        }
    }

    /// Value and second value from what the two fields show.
    ///
    /// An impedance beyond the meter's range is that of open leads: no capacitance at all, and more inductance or
    /// resistance than the meter can show. A reactance of the other kind is beyond the range likewise: a shorted capacitor
    /// is none, and open leads are no inductance.
    pub(in crate::engine::meter) fn of(
        &self,
        first: Shown,
        second: Shown,
    ) -> Result<(Shown, Option<f64>), NoImpedance> {
        match (first, second) {
            (Shown::Value(first), Shown::Value(second)) => {
                let (r, x) = self.parts(first, second)?;
                Ok(self.equivalent(r, x))
            }
            (Shown::Overload, _) => Ok((self.open(), None)),
            (_, Shown::Overload) if self.form == Form::Parts => Ok((self.open(), None)),
            _ => Ok((Shown::NotANumber, None)),
        }
    }

    /// Display of open leads.
    const fn open(&self) -> Shown {
        match self.quantity {
            Quantity::Capacitance => Shown::Value(0.0),
            _ => Shown::Overload,
        }
    }

    /// R and X in ohm: |Z| cos θ and |Z| sin θ (by definition).
    fn parts(&self, first: f64, second: f64) -> Result<(f64, f64), NoImpedance> {
        let radians = match self.form {
            Form::Parts => return Ok((first, second)),
            Form::Degrees => second.to_radians(),
            Form::Radians => second,
        };
        // Half a turn as a meter rounds it may be a little more.
        if radians.abs() > 1.001 * std::f64::consts::PI {
            return Err(NoImpedance::Angle);
        }
        if first < 0.0 {
            return Err(NoImpedance::Magnitude);
        }
        let (sine, cosine) = libm::sincos(radians);
        Ok((first * cosine, first * sine))
    }

    /// The equivalent of R + jX: X = -1/(ωCs) and D = R/|X|, or X = ωLs and Q = X/R (by definition).
    fn equivalent(&self, r: f64, x: f64) -> (Shown, Option<f64>) {
        let series = self.circuit == EquivalentCircuit::Series;
        let (value, second) = match self.quantity {
            Quantity::Capacitance if x < 0.0 => {
                let (c, d) = (-1.0 / (self.omega * x), -r / x);
                let c = if series {
                    c
                } else {
                    parallel_capacitance(c, d)
                };
                (c, Some(d))
            }
            Quantity::Inductance if x > 0.0 => {
                let (l, q) = (x / self.omega, x / r);
                let l = if series { l } else { parallel_inductance(l, q) };
                (l, Some(q).filter(|_| r > 0.0))
            }
            Quantity::Capacitance | Quantity::Inductance => return (Shown::Overload, None),
            Quantity::Resistance
            | Quantity::Voltage
            | Quantity::Current
            | Quantity::AcVoltage
            | Quantity::Ratio => (r, Some(x)),
        };
        if value.is_finite() {
            (
                Shown::Value(value),
                second.filter(|second| second.is_finite()),
            )
        } else {
            (Shown::Overload, None)
        }
    }
}

/// The equivalent circuit that a capacitance or an inductance belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
#[derive(IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum EquivalentCircuit {
    /// The loss is a resistance in series with it: Cs, Ls.
    #[default]
    Series,
    /// The loss is a resistance across it: Cp, Lp.
    Parallel,
}

words!(EquivalentCircuit: name);

impl EquivalentCircuit {
    /// The pair that `quantity` in this circuit and `second` beside it are; `None` if they are none that tells an impedance.
    pub const fn pair(self, quantity: Quantity, second: Field) -> Option<PairKind> {
        Some(match (quantity, second, self) {
            (Quantity::Capacitance, Field::Loss, Self::Series) => PairKind::CsD,
            (Quantity::Capacitance, Field::Loss, Self::Parallel) => PairKind::CpD,
            (Quantity::Capacitance, Field::Esr, Self::Series) => PairKind::CsEsr,
            (Quantity::Capacitance, Field::ParallelResistance, Self::Parallel) => PairKind::CpRp,
            (Quantity::Inductance, Field::Quality, Self::Series) => PairKind::LsQ,
            (Quantity::Inductance, Field::Quality, Self::Parallel) => PairKind::LpQ,
            (Quantity::Resistance, Field::Reactance, Self::Series) => PairKind::RX,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn derivation(
        quantity: Quantity,
        circuit: EquivalentCircuit,
        fields: [Field; 2],
        hz: f64,
    ) -> Derivation {
        Derivation::new(quantity, circuit, fields, Some(hz)).unwrap()
    }

    fn values(derivation: &Derivation, first: f64, second: f64) -> [f64; 2] {
        match derivation.of(Shown::Value(first), Shown::Value(second)) {
            Ok((Shown::Value(value), Some(second))) => [value, second],
            other => panic!("{other:?}"),
        }
    }

    const POLAR: [Field; 2] = [Field::Impedance, Field::AngleDeg];
    const PARTS: [Field; 2] = [Field::Resistance, Field::Reactance];

    #[test]
    fn open_leads_hold_no_capacitance_and_are_beyond_every_other_range() {
        for (quantity, open) in [
            (Quantity::Capacitance, Shown::Value(0.0)),
            (Quantity::Inductance, Shown::Overload),
            (Quantity::Resistance, Shown::Overload),
        ] {
            let polar = derivation(quantity, EquivalentCircuit::Series, POLAR, 1e3);
            let parts = derivation(quantity, EquivalentCircuit::Series, PARTS, 1e3);
            let overload = (Shown::Overload, Shown::NotANumber);
            assert_eq!(polar.of(overload.0, overload.1), Ok((open, None)));
            assert_eq!(
                parts.of(Shown::Value(3.0), Shown::Overload),
                Ok((open, None))
            );
            let no_angle = polar.of(Shown::Value(3.0), Shown::Overload);
            assert_eq!(no_angle, Ok((Shown::NotANumber, None)));
        }
    }

    #[test]
    fn a_reactance_of_the_other_kind_is_beyond_the_range() {
        let of = |quantity, x| {
            derivation(quantity, EquivalentCircuit::Series, PARTS, 1e3)
                .of(Shown::Value(0.1), Shown::Value(x))
                .unwrap()
        };
        for x in [0.0, 0.01] {
            assert_eq!(of(Quantity::Capacitance, x), (Shown::Overload, None));
            assert_eq!(of(Quantity::Inductance, -x), (Shown::Overload, None));
        }
        let tiny = of(Quantity::Capacitance, -f64::from_bits(1));
        assert_eq!(tiny, (Shown::Overload, None));
    }

    #[test]
    fn a_loss_below_zero_is_kept_and_a_quality_below_zero_is_none() {
        let coil = derivation(Quantity::Inductance, EquivalentCircuit::Series, PARTS, 50.0);
        let (shown, second) = coil
            .of(Shown::Value(-0.1), Shown::Value(314.159_265_358_979))
            .unwrap();
        assert_eq!(second, None);
        assert!(matches!(shown, Shown::Value(henry) if (henry - 1.0).abs() < 1e-12));
        let capacitor = derivation(Quantity::Capacitance, EquivalentCircuit::Series, PARTS, 1e3);
        assert!(values(&capacitor, -0.1, -100.0)[1] < 0.0);
    }

    #[test]
    fn two_numbers_that_are_no_impedance_are_named() {
        let polar = derivation(Quantity::Capacitance, EquivalentCircuit::Series, POLAR, 1e3);
        let of = |z, angle| polar.of(Shown::Value(z), Shown::Value(angle));
        assert_eq!(of(-1.0, -89.0), Err(NoImpedance::Magnitude));
        assert_eq!(of(1.0, -181.0), Err(NoImpedance::Angle));
        assert!(of(1.0, -180.0).is_ok());
        let fields = [Field::Impedance, Field::AngleRad];
        let radians = derivation(
            Quantity::Capacitance,
            EquivalentCircuit::Series,
            fields,
            1e3,
        );
        let degrees_sent = radians.of(Shown::Value(1.0), Shown::Value(-89.0));
        assert_eq!(degrees_sent, Err(NoImpedance::Angle));
    }

    /// X = 100 Ω/√2 each way at 45°, so D = Q = 1; the parallel forms then halve or double (by definition).
    #[test]
    fn the_circuit_decides_which_equivalent_is_derived() {
        let x = 100.0 / 2_f64.sqrt();
        let w = std::f64::consts::TAU * 1e3;
        for (quantity, circuit, angle, expected) in [
            (
                Quantity::Capacitance,
                EquivalentCircuit::Series,
                -45.0,
                1.0 / (w * x),
            ),
            (
                Quantity::Capacitance,
                EquivalentCircuit::Parallel,
                -45.0,
                0.5 / (w * x),
            ),
            (Quantity::Inductance, EquivalentCircuit::Series, 45.0, x / w),
            (
                Quantity::Inductance,
                EquivalentCircuit::Parallel,
                45.0,
                2.0 * x / w,
            ),
        ] {
            let derivation = derivation(quantity, circuit, POLAR, 1e3);
            let [value, second] = values(&derivation, 100.0, angle);
            assert_relative_eq!(value, expected, max_relative = 1e-14);
            assert_relative_eq!(second, 1.0, max_relative = 1e-14);
        }
    }

    #[test]
    fn a_capacitance_needs_the_frequency_and_a_resistance_does_not() {
        let new = |quantity| Derivation::new(quantity, EquivalentCircuit::Series, POLAR, None);
        assert_eq!(new(Quantity::Capacitance), None);
        assert_eq!(new(Quantity::Inductance), None);
        assert_eq!(new(Quantity::Voltage), None);
        assert!(new(Quantity::Resistance).is_some());
        let fields = [Field::Impedance, Field::Reactance];
        let hz = Some(1e3);
        assert_eq!(
            Derivation::new(Quantity::Capacitance, EquivalentCircuit::Series, fields, hz),
            None
        );
    }
}
