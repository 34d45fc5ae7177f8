//! [`DischargeResistor`]: a resistor to discharge the capacitors of a chassis with.

use std::fmt;

use super::StoredCharge;
use crate::engine::judge::BadFigure;
use crate::engine::judge::bad_figure::positive;
use crate::engine::judge::figure::figure;
use crate::engine::quantity::Series;

/// Resistances between which a discharge stick is made, in ohm: lower ones spark, higher ones are no better than a meter
/// (common practice, no source).
const OHMS: (f64, f64) = (1e3, 100e3);

/// How much more than its rated power a wire-wound resistor stands for some seconds (common practice, no source).
const OVERLOAD: f64 = 5.0;

/// Powers that wire-wound resistors are sold for, in watt (common practice, no source).
const WATTS: [f64; 9] = [3.0, 5.0, 7.0, 10.0, 15.0, 25.0, 50.0, 100.0, 200.0];

/// A resistor that discharges each of several capacitors, one after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DischargeResistor {
    /// Resistance, from the E12 series, in ohm.
    pub ohms: f64,
    /// Power rating to look for, wire-wound, in watt.
    pub rated_watts: f64,
    /// Power at the first moment with the highest voltage, in watt.
    pub first_watts: f64,
    /// The highest voltage across it, in volt.
    pub volts: f64,
    /// Seconds until the slowest capacitor is down to the limit.
    pub seconds: f64,
    /// How long to hold it on: five time constants of the largest capacitance, or `seconds` if that is longer.
    pub hold_seconds: f64,
}

impl DischargeResistor {
    /// A resistor that brings each of `charges` down to `limit_volts` within `seconds`, as far as a resistor between
    /// 1 kΩ and 100 kΩ can. `None` for no charges at all, or if no resistor that is sold would stand it.
    ///
    /// # Errors
    /// If `limit_volts` or `seconds` is not a finite number above zero.
    pub fn suggest(
        charges: &[StoredCharge],
        limit_volts: f64,
        seconds: f64,
    ) -> Result<Option<Self>, BadFigure> {
        let wanted = positive("the time in second", seconds)?;
        // Times for one ohm.
        let slowest = largest(charges, |charge| charge.seconds_to(limit_volts, 1.0))?;
        let constant = largest(charges, |charge| charge.time_constant(1.0))?;
        let volts = largest(charges, |charge| Ok(charge.volts()))?;
        let ohms = (wanted / slowest).clamp(OHMS.0, OHMS.1);
        let Some(ohms) = Series::E12.at_or_below(ohms) else {
            return Ok(None);
        };
        let first_watts = volts * volts / ohms;
        let rated = WATTS.iter().find(|watts| **watts * OVERLOAD >= first_watts);
        let rated = rated.filter(|_| !charges.is_empty());
        Ok(rated.map(|rated_watts| Self {
            ohms,
            rated_watts: *rated_watts,
            first_watts,
            volts,
            seconds: slowest * ohms,
            hold_seconds: (5.0 * constant * ohms).max(slowest * ohms),
        }))
    }
}

impl fmt::Display for DischargeResistor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} wire-wound, {} W or more, for {}: hold it on for {}",
            figure(self.ohms, "Ω"),
            self.rated_watts,
            figure(self.volts, "V"),
            figure(self.hold_seconds, "s")
        )
    }
}

/// The largest of a figure over all charges; zero for none.
fn largest(
    charges: &[StoredCharge],
    figure: impl Fn(&StoredCharge) -> Result<f64, BadFigure>,
) -> Result<f64, BadFigure> {
    charges
        .iter()
        .try_fold(0.0_f64, |most, charge| Ok(most.max(figure(charge)?)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn charge(farads: f64, volts: f64) -> StoredCharge {
        StoredCharge::new(farads, volts).unwrap()
    }

    #[test]
    fn one_resistor_does_for_the_whole_set() {
        let charges = [
            charge(32e-6, 500.0),
            charge(100e-6, 450.0),
            charge(8e-6, 350.0),
        ];
        let resistor = DischargeResistor::suggest(&charges, 60.0, 5.0)
            .unwrap()
            .unwrap();
        // 100 µF from 450 V to 60 V takes 2.0149 time constants: 5 s need at most 24.8 kΩ.
        assert_eq!(resistor.ohms, 22e3);
        assert!(resistor.seconds <= 5.0);
        assert_eq!(resistor.volts, 500.0);
        assert_eq!(resistor.rated_watts, 3.0);
        assert_eq!(
            resistor.to_string(),
            "22 kΩ wire-wound, 3 W or more, for 500 V: hold it on for 11 s"
        );
    }

    #[test]
    fn nothing_charged_needs_none() {
        assert_eq!(DischargeResistor::suggest(&[], 60.0, 5.0), Ok(None));
        assert!(DischargeResistor::suggest(&[], 60.0, 0.0).is_err());
    }

    proptest! {
        #[test]
        fn it_stands_the_first_moment_and_keeps_the_time_where_it_can(
            farads in 1e-7..1e-3_f64, volts in 61.0..700.0_f64, seconds in 1.0..30.0_f64,
        ) {
            let one = charge(farads, volts);
            let resistor = DischargeResistor::suggest(&[one], 60.0, seconds).unwrap().unwrap();
            prop_assert!(resistor.first_watts <= OVERLOAD * resistor.rated_watts);
            prop_assert!((OHMS.0..=OHMS.1).contains(&resistor.ohms));
            prop_assert!(resistor.seconds <= seconds * (1.0 + 1e-12) || resistor.ohms == OHMS.0);
            prop_assert!(one.volts_after(resistor.hold_seconds, resistor.ohms).unwrap() <= 60.0 * (1.0 + 1e-12));
        }
    }
}
