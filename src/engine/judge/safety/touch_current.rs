//! The current that line-to-chassis capacitors drive through a person, from the definition of reactance.

use std::f64::consts::TAU;
use std::fmt;

use super::{Mains, TOUCH_LIMITS, TouchLimit};
use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::figure;
use crate::engine::judge::figure::{not_negative, positive};

/// One limit beside the current that was computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchComparison {
    pub limit: TouchLimit,
    /// The current, root mean square, in ampere.
    pub amperes: f64,
    /// Whether the current is above the limit; a current equal to it is not.
    pub exceeded: bool,
}

/// I = 2πfCV, root mean square, in ampere: what `farads` from one line to an unearthed chassis drive through whoever
/// connects the chassis to earth.
///
/// # Errors
/// If `farads` is not a finite number, zero or above.
pub fn touch_current(farads: f64, mains: Mains) -> Result<f64, BadFigure> {
    let farads = not_negative("the capacitance in farad", farads)?;
    Ok(TAU * mains.hertz() * farads * mains.volts())
}

/// The capacitance of several capacitors from line to chassis, in farad: they add, since the two lines may be swapped or
/// joined by the load (the worst case).
///
/// # Errors
/// If one of them is not a finite number, zero or above.
pub fn total_capacitance(farads: &[f64]) -> Result<f64, BadFigure> {
    farads.iter().try_fold(0.0, |sum, one| {
        Ok(sum + not_negative("the capacitance in farad", *one)?)
    })
}

/// The largest capacitance, in farad, whose touch current stays at `rms_amperes`.
///
/// # Errors
/// If `rms_amperes` is not a finite number above zero.
pub fn largest_capacitance(rms_amperes: f64, mains: Mains) -> Result<f64, BadFigure> {
    let amperes = positive("the limit in ampere", rms_amperes)?;
    Ok(amperes / (TAU * mains.hertz() * mains.volts()))
}

/// The touch current of capacitors from line to chassis beside every limit for alternating current in [`TOUCH_LIMITS`].
///
/// # Errors
/// If a capacitance is not a finite number, zero or above.
pub fn compare_touch_current(
    farads: &[f64],
    mains: Mains,
) -> Result<Vec<TouchComparison>, BadFigure> {
    let amperes = touch_current(total_capacitance(farads)?, mains)?;
    let compared = TOUCH_LIMITS.iter().filter_map(|limit| {
        let allowed = limit.rms_amperes()?;
        Some(TouchComparison {
            limit: *limit,
            amperes,
            exceeded: amperes > allowed,
        })
    });
    Ok(compared.collect())
}

impl fmt::Display for TouchComparison {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let TouchLimit {
            standard,
            condition,
            amperes,
            waveform,
            ..
        } = self.limit;
        let side = if self.exceeded { "above" } else { "within" };
        write!(
            f,
            "{} of touch current, {side} the {}{} of {standard} ({condition})",
            figure(self.amperes, "A"),
            figure(amperes, "A"),
            waveform.suffix()
        )
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn an_old_capacitor_to_chassis_exceeds_every_limit_for_unearthed_parts() {
        let mains = Mains::new(117.0, 60.0).unwrap();
        let compared = compare_touch_current(&[0.05e-6], mains).unwrap();
        assert_eq!(compared.len(), 7);
        for one in &compared {
            assert_eq!(one.exceeded, one.limit.amperes < 2.2e-3, "{one:?}");
        }
        assert_eq!(
            compared[0].to_string(),
            "2.21 mA of touch current, above the 250 µA of IEC 60950-1, table 5A (accessible parts not connected to protective earth)"
        );
        assert_eq!(
            compared[2].to_string(),
            "2.21 mA of touch current, within the 3.5 mA of IEC 60950-1, table 5A (other earthed equipment)"
        );
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let mains = Mains::new(230.0, 50.0).unwrap();
        assert!(touch_current(-1e-9, mains).is_err());
        assert!(total_capacitance(&[1e-9, f64::NAN]).is_err());
        assert!(largest_capacitance(0.0, mains).is_err());
        assert!(Mains::new(0.0, 50.0).is_err());
        assert!(Mains::new(230.0, f64::NAN).is_err());
        assert_eq!(touch_current(0.0, mains), Ok(0.0));
    }

    proptest! {
        #[test]
        fn it_grows_with_capacitance_voltage_and_frequency(
            farads in 1e-12..1e-5_f64, volts in 50.0..500.0_f64, hertz in 16.0..400.0_f64, factor in 1.001..10.0_f64,
        ) {
            let at = |c: f64, v: f64, f: f64| touch_current(c, Mains::new(v, f).unwrap()).unwrap();
            let base = at(farads, volts, hertz);
            prop_assert!(at(farads * factor, volts, hertz) > base);
            prop_assert!(at(farads, volts * factor, hertz) > base);
            prop_assert!(at(farads, volts, hertz * factor) > base);
        }

        #[test]
        fn the_largest_capacitance_draws_just_the_limit(amperes in 1e-6..1e-1_f64, volts in 50.0..500.0_f64) {
            let mains = Mains::new(volts, 50.0).unwrap();
            let farads = largest_capacitance(amperes, mains).unwrap();
            assert_relative_eq!(touch_current(farads, mains).unwrap(), amperes, max_relative = 1e-12);
        }
    }
}
