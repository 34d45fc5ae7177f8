//! [`compare_windings`]: a winding beside its sibling, in search of a shorted turn.
//!
//! A shorted turn is a secondary that is closed upon itself. It takes k²ω²L2²/(R2² + ω²L2²) of the inductance away and
//! puts its own resistance, transformed, in series (by definition of coupled windings), so L and Q fall together. That
//! two windings made alike are each other's reference, and how much they may differ, is common practice, no source.

use std::fmt;

use super::complex_impedance::is_same_setting;
use super::{Impedance, NoEquivalent, Parameter, Uncertain};

/// By what fraction L or Q of two sound windings made alike may differ: 0.2 (common practice, no source).
pub const SIBLING_SPREAD: f64 = 0.2;

/// Hint from a comparison with a sibling, which is never a verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShortedTurn {
    /// L and Q are both clearly lower than the sibling's.
    Suspected,
    /// Only Q is clearly lower: a poor joint, a load on another winding, a damaged core.
    OnlyQualityLower,
    /// Only L is clearly lower: another air gap, level, magnetisation or number of turns.
    OnlyInductanceLower,
    /// Neither is lower than the spread of sound windings.
    NotSuspected,
    /// L or Q is so near the bound that the uncertainty decides.
    Undecided,
}

impl fmt::Display for ShortedTurn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Suspected => {
                "L and Q are both lower than the sibling's, which hints at a shorted turn (common practice, no source)"
            }
            Self::OnlyQualityLower => {
                "only Q is lower than the sibling's; look for a poor joint or a load on another winding (common practice, no source)"
            }
            Self::OnlyInductanceLower => {
                "only L is lower than the sibling's; look for another air gap, level or number of turns (common practice, no source)"
            }
            Self::NotSuspected => {
                "L and Q are not lower than sound siblings differ; nothing hints at a shorted turn (common practice, no source)"
            }
            Self::Undecided => {
                "L or Q is too near the bound for its uncertainty; measure more exactly or at another frequency (common practice, no source)"
            }
        })
    }
}

/// A hint with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindingComparison {
    pub hint: ShortedTurn,
    /// Series inductance of the winding divided by that of the sibling.
    pub inductance_ratio: Uncertain,
    /// Quality factor of the winding divided by that of the sibling.
    pub quality_ratio: Uncertain,
    /// The bound that the ratios were compared with.
    pub bound: f64,
}

/// Two windings cannot be compared.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum WindingError {
    /// Measured at different frequencies.
    #[error(
        "the winding was measured at {winding} Hz, its sibling at {sibling} Hz, expected the same; measure both at one frequency and level"
    )]
    Frequency {
        /// Frequency of the winding's measurement in hertz.
        winding: f64,
        /// Frequency of the sibling's measurement in hertz.
        sibling: f64,
    },
    /// The spread is not a fraction.
    #[error("the spread of siblings is {found}, expected 0 or more and less than 1")]
    Spread {
        /// The number that was found.
        found: f64,
    },
    /// One of them shows no inductance or no resistance.
    #[error(transparent)]
    NoEquivalent(#[from] NoEquivalent),
    /// The resistance of one of them is not above zero.
    #[error("the quality factor is {found}, expected more than 0; repeat the short correction")]
    Quality {
        /// The number that was found.
        found: f64,
    },
}

/// Compares `winding` with its `sibling`, both measured alone (all other windings open) at the same frequency and level.
///
/// L or Q counts as lower if its ratio plus twice its standard uncertainty is below 1 - `spread`, and as not lower if the
/// ratio minus that is at or above it. The four values count as independent. [`SIBLING_SPREAD`] is the usual spread.
///
/// # Errors
/// [`WindingError`] if the frequencies differ, `spread` is no fraction, or one of the two is not inductive.
pub fn compare_windings(
    winding: &Impedance,
    sibling: &Impedance,
    spread: f64,
) -> Result<WindingComparison, WindingError> {
    if !is_same_setting(winding.frequency(), sibling.frequency()) {
        return Err(WindingError::Frequency {
            winding: winding.frequency(),
            sibling: sibling.frequency(),
        });
    }
    if !(0.0..1.0).contains(&spread) {
        return Err(WindingError::Spread { found: spread });
    }
    let [inductance_ratio, quality_ratio] = ratios(winding, sibling)?;
    let bound = 1.0 - spread;
    let hint = hint(
        is_lower(inductance_ratio, bound),
        is_lower(quality_ratio, bound),
    );
    Ok(WindingComparison {
        hint,
        inductance_ratio,
        quality_ratio,
        bound,
    })
}

fn ratios(winding: &Impedance, sibling: &Impedance) -> Result<[Uncertain; 2], WindingError> {
    let inductance = |z: &Impedance| z.equivalent(Parameter::SeriesInductance);
    let quality = |z: &Impedance| match z.equivalent(Parameter::QualityFactor) {
        Ok(q) if q.value <= 0.0 => Err(WindingError::Quality { found: q.value }),
        other => Ok(other?),
    };
    Ok([
        inductance(winding)?.over_independent(inductance(sibling)?),
        quality(winding)?.over_independent(quality(sibling)?),
    ])
}

/// Whether `ratio` is below `bound`; `None` if its expanded uncertainty (k = 2) leaves that open.
fn is_lower(ratio: Uncertain, bound: f64) -> Option<bool> {
    let expanded = 2.0 * ratio.u;
    if ratio.value + expanded < bound {
        Some(true)
    } else if ratio.value - expanded >= bound {
        Some(false)
    } else {
        None
    }
}

const fn hint(inductance_lower: Option<bool>, quality_lower: Option<bool>) -> ShortedTurn {
    match (inductance_lower, quality_lower) {
        (Some(true), Some(true)) => ShortedTurn::Suspected,
        (Some(false), Some(true)) => ShortedTurn::OnlyQualityLower,
        (Some(true), Some(false)) => ShortedTurn::OnlyInductanceLower,
        (Some(false), Some(false)) => ShortedTurn::NotSuspected,
        (None, _) | (_, None) => ShortedTurn::Undecided,
    }
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::*;
    use crate::engine::impedance::{Pair, PairKind, angular_frequency};
    use crate::engine::statistics::square;

    fn winding(l: f64, q: f64, relative: f64) -> Impedance {
        let values = [
            Uncertain::new(l, l * relative),
            Uncertain::new(q, q * relative),
        ];
        let pair = Pair::new(PairKind::LsQ, 1e3, values, 0.0).unwrap();
        pair.impedance().unwrap()
    }

    fn hint_of(l: f64, q: f64, relative: f64) -> ShortedTurn {
        let sibling = winding(10.0, 20.0, relative);
        let found = compare_windings(&winding(l, q, relative), &sibling, SIBLING_SPREAD);
        found.unwrap().hint
    }

    #[test]
    fn each_combination_has_its_own_hint() {
        assert_eq!(hint_of(5.0, 4.0, 0.01), ShortedTurn::Suspected);
        assert_eq!(hint_of(9.5, 4.0, 0.01), ShortedTurn::OnlyQualityLower);
        assert_eq!(hint_of(5.0, 19.0, 0.01), ShortedTurn::OnlyInductanceLower);
        assert_eq!(hint_of(9.5, 21.0, 0.01), ShortedTurn::NotSuspected);
    }

    #[test]
    fn near_the_bound_the_uncertainty_decides() {
        assert_eq!(hint_of(7.9, 4.0, 0.01), ShortedTurn::Undecided);
        assert_eq!(hint_of(7.9, 4.0, 0.001), ShortedTurn::Suspected);
        assert_eq!(hint_of(8.1, 4.0, 0.001), ShortedTurn::OnlyQualityLower);
    }

    /// A winding of 10 H and 400 Ω with 3000 turns, one of which is shorted; coupled windings, worked out by
    /// Z = R1 + jωL1 + ω²M²/(R2 + jωL2).
    #[test]
    fn a_turn_shorted_in_a_model_of_coupled_windings_is_found() {
        let w = angular_frequency(1e3);
        let (l1, r1, turns, coupling) = (10.0, 400.0, 3000.0_f64, 0.99_f64);
        let (l2, r2) = (l1 / (turns * turns), 2e-3);
        let mutual = coupling * (l1 * l2).sqrt();
        let sound = Complex64::new(r1, w * l1);
        let shorted = sound + square(w * mutual) / Complex64::new(r2, w * l2);
        let exact = |z: Complex64| {
            let values = [Uncertain::exact(z.re), Uncertain::exact(z.im)];
            let pair = Pair::new(PairKind::RX, 1e3, values, 0.0).unwrap();
            pair.impedance().unwrap()
        };
        let (faulty, sibling) = (exact(shorted), exact(sound));
        let found = compare_windings(&faulty, &sibling, SIBLING_SPREAD).unwrap();
        assert_eq!(found.hint, ShortedTurn::Suspected);
        let found = compare_windings(&sibling, &sibling, SIBLING_SPREAD).unwrap();
        assert_eq!(found.hint, ShortedTurn::NotSuspected);
    }

    #[test]
    fn what_cannot_be_compared_is_refused() {
        let sound = winding(10.0, 20.0, 0.01);
        let values = [Uncertain::exact(10.0), Uncertain::exact(20.0)];
        let elsewhere = Pair::new(PairKind::LsQ, 120.0, values, 0.0).unwrap();
        let elsewhere = elsewhere.impedance().unwrap();
        let capacitor = Pair::new(
            PairKind::RX,
            1e3,
            values.map(|v| Uncertain::exact(-v.value)),
            0.0,
        );
        let capacitor = capacitor.unwrap().impedance().unwrap();
        let lossless = [Uncertain::exact(-0.1), Uncertain::exact(20.0)];
        let lossless = Pair::new(PairKind::RX, 1e3, lossless, 0.0).unwrap();
        let lossless = lossless.impedance().unwrap();
        let error = |winding, spread| compare_windings(winding, &sound, spread).unwrap_err();
        assert!(matches!(
            error(&elsewhere, 0.2),
            WindingError::Frequency { .. }
        ));
        assert!(matches!(
            error(&capacitor, 0.2),
            WindingError::NoEquivalent(_)
        ));
        assert!(matches!(
            error(&lossless, 0.2),
            WindingError::Quality { .. }
        ));
        assert!(matches!(error(&sound, 1.0), WindingError::Spread { .. }));
    }

    #[test]
    fn every_hint_says_where_it_comes_from() {
        for l in [Some(true), Some(false), None] {
            for q in [Some(true), Some(false), None] {
                assert!(
                    hint(l, q)
                        .to_string()
                        .ends_with("(common practice, no source)")
                );
            }
        }
    }
}
