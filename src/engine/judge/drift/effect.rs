//! [`Effect`]: what a drift does, in hertz, decibel, volt or ampere.

use std::fmt;

use super::formula::{high_pass_decibels, low_pass_decibels};
use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::{figure, signed_percent};

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
    LowPass {
        /// Its corner.
        corner: Change,
    },
    /// Lets the higher frequencies through.
    HighPass {
        /// Its corner.
        corner: Change,
    },
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

    /// The corner.
    pub const fn corner(self) -> Change {
        match self {
            Self::LowPass { corner } | Self::HighPass { corner } => corner,
        }
    }
}

/// What a drift does.
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
        let hertz = crate::engine::judge::bad_figure::positive("the frequency in hertz", hertz)?;
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
