//! [`PlugRule`]: what standards ask of a capacitor across the plug once it is pulled.

use super::{StoredCharge, energy_band};
use crate::engine::judge::BadFigure;

/// What a standard asks of the capacitors across the mains once the plug is out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlugRule {
    /// Over 0.1 µF a time constant of at most 1 s: IEC 60950-1, 2.1.1.7, pluggable equipment type A (as quoted on a public
    /// forum).
    TimeConstantOneSecond,
    /// Over 0.1 µF a time constant of at most 10 s: the same, pluggable type B and fixed equipment.
    TimeConstantTenSeconds,
    /// Over 0.1 µF not above 34 V peak after 1 s (as quoted in public; that it is IEC 60335-1, 22.5, is from memory).
    ThirtyFourVoltsAfterOneSecond,
    /// The ES1 limit of the capacitance after 2 s: IEC 62368-1 (the time as quoted in a public test form, the limit from
    /// memory).
    Es1AfterTwoSeconds,
    /// Not above 60 V or 45 µC after 5 s: IEC 61010-1, 6.10.3 (as quoted on a public mailing list).
    SixtyVoltsAfterFiveSeconds,
}

/// Capacitance up to which the first three rules ask nothing, in farad.
const EXEMPT_FARADS: f64 = 0.1e-6;

impl PlugRule {
    /// Every rule.
    pub const ALL: [Self; 5] = [
        Self::TimeConstantOneSecond,
        Self::TimeConstantTenSeconds,
        Self::ThirtyFourVoltsAfterOneSecond,
        Self::Es1AfterTwoSeconds,
        Self::SixtyVoltsAfterFiveSeconds,
    ];

    /// The rule in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TimeConstantOneSecond => "IEC 60950-1, pluggable type A: time constant up to 1 s",
            Self::TimeConstantTenSeconds => {
                "IEC 60950-1, pluggable type B or fixed: time constant up to 10 s"
            }
            Self::ThirtyFourVoltsAfterOneSecond => "IEC 60335-1: up to 34 V after 1 s",
            Self::Es1AfterTwoSeconds => "IEC 62368-1: ES1 limit after 2 s",
            Self::SixtyVoltsAfterFiveSeconds => "IEC 61010-1: up to 60 V or 45 µC after 5 s",
        }
    }

    /// Whether a capacitor charged to the peak of the mains meets the rule with a resistance across it.
    ///
    /// # Errors
    /// If `ohms` is not a finite number above zero.
    pub fn is_met(self, charge: StoredCharge, ohms: f64) -> Result<bool, BadFigure> {
        let exempt = charge.farads() <= EXEMPT_FARADS;
        let constant = charge.time_constant(ohms)?;
        Ok(match self {
            Self::TimeConstantOneSecond => exempt || constant <= 1.0,
            Self::TimeConstantTenSeconds => exempt || constant <= 10.0,
            Self::ThirtyFourVoltsAfterOneSecond => exempt || charge.volts_after(1.0, ohms)? <= 34.0,
            Self::Es1AfterTwoSeconds => {
                charge.volts_after(2.0, ohms)? <= energy_band(charge.farads())?.es1_volts
            }
            Self::SixtyVoltsAfterFiveSeconds => {
                let volts = charge.volts_after(5.0, ohms)?;
                volts <= 60.0 || volts * charge.farads() <= 45e-6
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn small_capacitors_are_exempt_where_the_standard_says_so() {
        let small = StoredCharge::new(0.1e-6, 325.0).unwrap();
        let met = |rule: PlugRule| rule.is_met(small, 100e6).unwrap();
        assert!(met(PlugRule::TimeConstantOneSecond));
        assert!(met(PlugRule::ThirtyFourVoltsAfterOneSecond));
        // 0.1 µF at 325 V holds 32.5 µC, below 45 µC.
        assert!(met(PlugRule::SixtyVoltsAfterFiveSeconds));
        assert!(!met(PlugRule::Es1AfterTwoSeconds));
    }

    proptest! {
        #[test]
        fn a_lower_resistance_never_breaks_a_rule(farads in 1e-9..1e-5_f64, ohms in 1e3..1e8_f64, factor in 0.01..1.0_f64) {
            let charge = StoredCharge::new(farads, 325.0).unwrap();
            for rule in PlugRule::ALL {
                prop_assert!(!rule.is_met(charge, ohms).unwrap() || rule.is_met(charge, ohms * factor).unwrap());
            }
        }
    }
}
