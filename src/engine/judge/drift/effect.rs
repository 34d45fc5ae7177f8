//! [`Effect`]: what a drift does, in hertz, decibel, volt or ampere, and the formulas of it, in SI base units.

use std::f64::consts::TAU;
use std::fmt;

use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::{figure, finite, not_negative, positive, signed_percent};

/// A figure before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// With nominal values.
    pub nominal: f64,
    /// With the measured ones.
    pub actual: f64,
}

impl Change {
    /// Actual less nominal.
    pub fn difference(self) -> f64 {
        self.actual - self.nominal
    }

    /// The difference in percent of the nominal figure's size; infinite or not a number if that is zero.
    pub fn percent(self) -> f64 {
        100.0 * self.difference() / self.nominal.abs()
    }
}

/// A first-order filter by its corner frequencies, in hertz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Filter {
    /// Lets the lower frequencies through.
    LowPass { corner: Change },
    /// Lets the higher frequencies through.
    HighPass { corner: Change },
}

impl Filter {
    /// The level at `hertz`, before and after, in decibel.
    ///
    /// # Errors
    /// If `hertz` is not a finite number of zero or above.
    pub fn decibels_at(self, hertz: f64) -> Result<Change, BadFigure> {
        let of = |level: &dyn Fn(fn(Change) -> f64) -> Result<f64, BadFigure>| {
            Ok(Change {
                nominal: level(|change| change.nominal)?,
                actual: level(|change| change.actual)?,
            })
        };
        match self {
            Self::LowPass { corner } => of(&|side| low_pass_decibels(hertz, side(corner))),
            Self::HighPass { corner } => of(&|side| high_pass_decibels(hertz, side(corner))),
        }
    }

    pub const fn corner(self) -> Change {
        match self {
            Self::LowPass { corner } | Self::HighPass { corner } => corner,
        }
    }
}

/// Effect of a drift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Effect {
    /// A filter moves.
    Filter(Filter),
    /// The frequency moves at which the bypass of a cathode resistor begins, 1/(2πRC), in hertz. The bass corner lies above
    /// it, how far depends on the valve; a capacitor that drifted moves both by the same factor.
    Bypass(Change),
    /// A voltage moves, in volt.
    Voltage(Change),
    /// A current moves, in ampere: either the true one behind an unchanged voltage, or the one that sets itself.
    Current(Change),
}

impl Effect {
    /// The effect on the level at `hertz` in words; `None` if it is not a filter that moved.
    ///
    /// # Errors
    /// If `hertz` is not a finite number above zero.
    pub fn words_at(&self, hertz: f64) -> Result<Option<String>, BadFigure> {
        let Self::Filter(filter) = self else {
            return Ok(None);
        };
        let hertz = crate::engine::judge::figure::positive("the frequency in hertz", hertz)?;
        let change = filter.decibels_at(hertz)?.difference();
        let tenths = (change.abs() * 10.0).round() / 10.0;
        let at = figure(hertz, "Hz");
        Ok(Some(match tenths {
            0.0 => format!("less than 0.1 dB of change at {at}"),
            _ if change > 0.0 => format!("{tenths} dB more at {at}"),
            _ => format!("{tenths} dB less at {at}"),
        }))
    }
}

impl fmt::Display for Effect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (what, change, unit) = match self {
            Self::Filter(Filter::LowPass { corner }) => ("treble corner", *corner, "Hz"),
            Self::Filter(filter) => ("bass corner", filter.corner(), "Hz"),
            Self::Bypass(change) => ("bypass begins at", *change, "Hz"),
            Self::Voltage(change) => ("voltage", *change, "V"),
            Self::Current(change) => ("current", *change, "A"),
        };
        write!(
            f,
            "{what} {} instead of {}",
            figure(change.actual, unit),
            figure(change.nominal, unit)
        )?;
        let percent = change.percent();
        if percent.is_finite() {
            write!(f, " ({})", signed_percent(percent))?;
        }
        Ok(())
    }
}

/// Corner frequency of a resistor and a capacitor, 1/(2πRC), in hertz: where the level is 3.01 dB down.
///
/// # Errors
/// If `ohms` or `farads` is not a finite number above zero.
pub fn corner_frequency(ohms: f64, farads: f64) -> Result<f64, BadFigure> {
    let constant = resistance(ohms)? * positive("the capacitance in farad", farads)?;
    Ok(1.0 / (TAU * constant))
}

/// Level behind a first-order low-pass, -10 log(1 + (f/fc)²), in decibel.
///
/// # Errors
/// If `hertz` is not a finite number of zero or above, or `corner_hertz` not one above zero.
pub fn low_pass_decibels(hertz: f64, corner_hertz: f64) -> Result<f64, BadFigure> {
    let ratio = frequency(hertz)? / corner(corner_hertz)?;
    Ok(-10.0 * libm::log10(1.0 + ratio * ratio))
}

/// Level behind a first-order high-pass, -10 log(1 + (fc/f)²), in decibel; minus infinity at zero hertz.
///
/// # Errors
/// If `hertz` is not a finite number of zero or above, or `corner_hertz` not one above zero.
pub fn high_pass_decibels(hertz: f64, corner_hertz: f64) -> Result<f64, BadFigure> {
    let ratio = corner(corner_hertz)? / frequency(hertz)?;
    Ok(-10.0 * libm::log10(1.0 + ratio * ratio))
}

/// Output of a divider without load, V R2/(R1 + R2), in volt; the sign of the supply is kept.
///
/// # Errors
/// If the supply is not finite, or a resistance not a finite number above zero.
pub fn divider_volts(
    supply_volts: f64,
    upper_ohms: f64,
    lower_ohms: f64,
) -> Result<f64, BadFigure> {
    let supply = finite("the supply in volt", supply_volts)?;
    let (upper, lower) = (resistance(upper_ohms)?, resistance(lower_ohms)?);
    Ok(supply * (lower / (upper + lower)))
}

/// Current of a self-biased valve from the voltage across its cathode resistor, V/R, in ampere.
///
/// # Errors
/// If the voltage is not a finite number of zero or above, or the resistance not one above zero.
pub fn self_bias_amperes(cathode_volts: f64, ohms: f64) -> Result<f64, BadFigure> {
    Ok(not_negative("the cathode voltage in volt", cathode_volts)? / resistance(ohms)?)
}

fn resistance(ohms: f64) -> Result<f64, BadFigure> {
    positive("the resistance in ohm", ohms)
}

fn frequency(hertz: f64) -> Result<f64, BadFigure> {
    not_negative("the frequency in hertz", hertz)
}

fn corner(hertz: f64) -> Result<f64, BadFigure> {
    positive("the corner frequency in hertz", hertz)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_ends_of_a_filter() {
        assert_eq!(low_pass_decibels(0.0, 100.0), Ok(0.0));
        assert_eq!(high_pass_decibels(0.0, 100.0), Ok(f64::NEG_INFINITY));
        assert!(low_pass_decibels(-1.0, 100.0).is_err());
        assert!(high_pass_decibels(1.0, 0.0).is_err());
        assert!(corner_frequency(0.0, 1e-9).is_err());
    }

    proptest! {
        #[test]
        fn more_of_either_lowers_the_corner(ohms in 1.0..1e7_f64, farads in 1e-12..1e-3_f64, factor in 1.001..10.0_f64) {
            let at = |ohms, farads| corner_frequency(ohms, farads).unwrap();
            prop_assert!(at(ohms * factor, farads) < at(ohms, farads));
            assert_relative_eq!(at(ohms * factor, farads), at(ohms, farads * factor), max_relative = 1e-12);
        }

        #[test]
        fn low_and_high_pass_share_the_power(hertz in 0.1..1e5_f64, corner in 0.1..1e5_f64) {
            let power = |decibels: f64| libm::exp10(decibels / 10.0);
            let sum = power(low_pass_decibels(hertz, corner).unwrap()) + power(high_pass_decibels(hertz, corner).unwrap());
            assert_relative_eq!(sum, 1.0, max_relative = 1e-10);
        }
    }
}
