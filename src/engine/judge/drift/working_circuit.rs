//! [`WorkingCircuit`]: a part's role with the nominal values of the parts that it works with, and what a [`Drift`] does to it.

use strum::{Display, IntoStaticStr};
use thiserror::Error;

use super::effect::{corner_frequency, divider_volts, self_bias_amperes};
use super::{Change, Effect, Filter};
use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::positive;

/// A part's role with the nominal values of the parts that it works with, in SI base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WorkingCircuit {
    /// A coupling capacitor into a grid leak: a high-pass.
    Coupling {
        /// The grid leak (and what lies in parallel), in ohm.
        ohms: f64,
        /// The coupling capacitor, in farad.
        farads: f64,
    },
    /// A resistor and a capacitor to chassis: tone control, decoupling, AVC line: a low-pass.
    LowPass {
        /// The resistance, in ohm.
        ohms: f64,
        /// The capacitance, in farad.
        farads: f64,
    },
    /// A cathode resistor with its bypass capacitor, of a valve that is not known: only where the bypass begins can be told.
    Bypass {
        /// The cathode resistor, in ohm.
        ohms: f64,
        /// The bypass capacitor, in farad.
        farads: f64,
    },
    /// Two resistors from a supply to chassis, without load.
    Divider {
        /// Voltage of the supply, V.
        supply_volts: f64,
        /// The resistor at the supply, in ohm.
        upper_ohms: f64,
        /// The resistor at chassis, in ohm.
        lower_ohms: f64,
    },
    /// A cathode resistor with a voltage measured across it: the current that it stands for.
    SelfBias {
        /// The voltage across it, in volt.
        cathode_volts: f64,
        /// The resistor, in ohm.
        ohms: f64,
    },
}

impl WorkingCircuit {
    /// The circuit's name.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Coupling { .. } => "coupling",
            Self::LowPass { .. } => "low-pass",
            Self::Bypass { .. } => "cathode bypass",
            Self::Divider { .. } => "divider",
            Self::SelfBias { .. } => "cathode bias",
        }
    }

    /// Effect of measured values of its parts, against the nominal ones. Parts that are not named keep theirs.
    ///
    /// # Errors
    /// If a figure cannot be, or the circuit has no part of that place.
    pub fn effect(self, drifts: &[Drift]) -> Result<Effect, DriftError> {
        let drifted = drifts
            .iter()
            .try_fold(self, |circuit, drift| circuit.with(*drift))?;
        let main = Change {
            nominal: self.figure()?,
            actual: drifted.figure()?,
        };
        Ok(match self {
            Self::Coupling { .. } => Effect::Filter(Filter::HighPass { corner: main }),
            Self::LowPass { .. } => Effect::Filter(Filter::LowPass { corner: main }),
            Self::Bypass { .. } => Effect::Bypass(main),
            Self::Divider { .. } => Effect::Voltage(main),
            Self::SelfBias { .. } => Effect::Current(main),
        })
    }

    /// Behaviour of the circuit with the values it has: its corner in hertz, voltage in volt or current in ampere.
    fn figure(self) -> Result<f64, BadFigure> {
        match self {
            Self::Coupling { ohms, farads }
            | Self::LowPass { ohms, farads }
            | Self::Bypass { ohms, farads } => corner_frequency(ohms, farads),
            Self::Divider {
                supply_volts,
                upper_ohms,
                lower_ohms,
            } => divider_volts(supply_volts, upper_ohms, lower_ohms),
            Self::SelfBias {
                cathode_volts,
                ohms,
            } => self_bias_amperes(cathode_volts, ohms),
        }
    }

    /// The circuit with one part at its measured value.
    fn with(mut self, drift: Drift) -> Result<Self, DriftError> {
        let measured = positive("the measured value", drift.measured)?;
        let name = self.name();
        let place = self.member(drift.member).ok_or(DriftError::NoSuchMember {
            member: drift.member,
            circuit: name,
        })?;
        *place = measured;
        Ok(self)
    }

    fn member(&mut self, member: Member) -> Option<&mut f64> {
        match (self, member) {
            (
                Self::Coupling { ohms, .. }
                | Self::LowPass { ohms, .. }
                | Self::Bypass { ohms, .. }
                | Self::SelfBias { ohms, .. },
                Member::Resistor,
            ) => Some(ohms),
            (
                Self::Coupling { farads, .. }
                | Self::LowPass { farads, .. }
                | Self::Bypass { farads, .. },
                Member::Capacitor,
            ) => Some(farads),
            (Self::Divider { upper_ohms, .. }, Member::Upper) => Some(upper_ohms),
            (Self::Divider { lower_ohms, .. }, Member::Lower) => Some(lower_ohms),
            _ => None,
        }
    }
}

/// A part's place in its circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Display, IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Member {
    /// The resistor, where there is one.
    Resistor,
    /// Coupling, bypass or other capacitor of it.
    Capacitor,
    /// The divider's resistor at the supply.
    #[strum(serialize = "upper resistor")]
    Upper,
    /// The divider's resistor at chassis.
    #[strum(serialize = "lower resistor")]
    Lower,
}

words!(Member: name);

/// A part that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift {
    /// The part of the circuit.
    pub member: Member,
    /// Its measured value, in the SI base unit (ohm, farad).
    pub measured: f64,
}

/// Reason why the effect of a drift cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum DriftError {
    /// A figure that cannot be.
    #[error(transparent)]
    Figure(#[from] BadFigure),
    /// The circuit has no such part.
    #[error("found a drift of the {member}, expected one of the parts of a {circuit}")]
    NoSuchMember {
        /// The part that drifted.
        member: Member,
        /// The circuit's name.
        circuit: &'static str,
    },
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    const COUPLING: WorkingCircuit = WorkingCircuit::Coupling {
        ohms: 470e3,
        farads: 10e-9,
    };

    fn drift(member: Member, measured: f64) -> Drift {
        Drift { member, measured }
    }

    #[test]
    fn an_effect_says_what_moved_and_how_far() {
        let effect = COUPLING.effect(&[drift(Member::Capacitor, 5e-9)]).unwrap();
        assert_eq!(
            effect.to_string(),
            "bass corner 67.7 Hz instead of 33.9 Hz (+100 %)"
        );
        assert_eq!(
            effect.words_at(50.0).unwrap().as_deref(),
            Some("2.9 dB less at 50 Hz")
        );
        assert_eq!(
            effect.words_at(10e3).unwrap().as_deref(),
            Some("less than 0.1 dB of change at 10 kHz")
        );
        assert!(effect.words_at(0.0).is_err());
        let bias = WorkingCircuit::SelfBias {
            cathode_volts: 12.9,
            ohms: 270.0,
        };
        let effect = bias.effect(&[drift(Member::Resistor, 324.0)]).unwrap();
        assert_eq!(
            effect.to_string(),
            "current 39.8 mA instead of 47.8 mA (-16.7 %)"
        );
        assert_eq!(effect.words_at(50.0), Ok(None));
    }

    #[test]
    fn a_treble_corner_that_rose_gives_more_treble() {
        let tone = WorkingCircuit::LowPass {
            ohms: 50e3,
            farads: 20e-9,
        };
        let effect = tone.effect(&[drift(Member::Capacitor, 10e-9)]).unwrap();
        assert_eq!(
            effect.to_string(),
            "treble corner 318 Hz instead of 159 Hz (+100 %)"
        );
        let words = effect.words_at(1e3).unwrap().unwrap();
        assert!(words.ends_with("dB more at 1 kHz"), "{words}");
    }

    #[test]
    fn of_an_unknown_valve_only_the_beginning_of_the_bypass_is_told() {
        let bypass = WorkingCircuit::Bypass {
            ohms: 2200.0,
            farads: 25e-6,
        };
        let effect = bypass.effect(&[drift(Member::Capacitor, 12.5e-6)]).unwrap();
        assert_eq!(
            effect.to_string(),
            "bypass begins at 5.79 Hz instead of 2.89 Hz (+100 %)"
        );
        assert_eq!(effect.words_at(50.0), Ok(None));
    }

    #[test]
    fn a_part_that_the_circuit_does_not_have_is_refused() {
        let refused = COUPLING.effect(&[drift(Member::Upper, 1.0)]).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "found a drift of the upper resistor, expected one of the parts of a coupling"
        );
        assert!(COUPLING.effect(&[drift(Member::Resistor, 0.0)]).is_err());
    }

    proptest! {
        #[test]
        fn without_a_drift_nothing_changes(ohms in 1.0..1e7_f64, farads in 1e-12..1e-3_f64, hertz in 1.0..1e5_f64) {
            let Effect::Filter(filter) = (WorkingCircuit::LowPass { ohms, farads }).effect(&[]).unwrap() else {
                panic!("a low-pass is a filter");
            };
            prop_assert_eq!(filter.corner().difference(), 0.0);
            prop_assert_eq!(filter.decibels_at(hertz).unwrap().difference(), 0.0);
        }

        #[test]
        fn a_divider_does_not_feel_a_drift_of_both(upper in 1e3..1e6_f64, lower in 1e3..1e6_f64, factor in 0.5..2.0_f64) {
            let divider = WorkingCircuit::Divider { supply_volts: 250.0, upper_ohms: upper, lower_ohms: lower };
            let both = [drift(Member::Upper, upper * factor), drift(Member::Lower, lower * factor)];
            let Effect::Voltage(change) = divider.effect(&both).unwrap() else {
                panic!("a divider gives a voltage");
            };
            assert_relative_eq!(change.actual, change.nominal, max_relative = 1e-12);
        }
    }
}
