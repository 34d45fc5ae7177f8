//! The tolerance letters of IEC 60062, and the old letters that cannot be trusted.
//!
//! Letters B C D F G J K M N Q S T Z as several public lists agree on them; H and W from one list each; E, L and P from
//! memory of IEC 60062.

use super::{Amount, Quantity, Tolerance, ToleranceError};

/// Below this capacitance, in farad, the letters B to G are in picofarad.
const PICOFARAD_BELOW: f64 = 10e-12;

/// The tolerance that `letter` stands for behind the value `nominal`.
///
/// # Errors
/// If the letter is unknown for the quantity, or lists disagree on it. Voltages and currents have no letters.
pub(super) fn letter_tolerance(letter: char, nominal: Amount) -> Result<Tolerance, ToleranceError> {
    let quantity = nominal.quantity();
    if quantity.is_signed() {
        return Err(ToleranceError::NotATolerance {
            text: letter.to_string(),
        });
    }
    if let (Quantity::Capacitance, Some(meanings)) = (quantity, old_meanings(letter)) {
        return Err(ToleranceError::AmbiguousLetter { letter, meanings });
    }
    if let (Quantity::Capacitance, Some((minus, plus))) = (quantity, asymmetric(letter)) {
        return Tolerance::percent(minus, plus);
    }
    let small = quantity == Quantity::Capacitance && nominal.value() < PICOFARAD_BELOW;
    if let Some(picofarad) = in_picofarad(letter).filter(|_| small)
        && let Some(difference) = Amount::new(quantity, picofarad * 1e-12)
    {
        return Tolerance::absolute(difference);
    }
    let percent = symmetric(letter).ok_or(ToleranceError::UnknownLetter { letter, quantity })?;
    Tolerance::symmetric(percent)
}

/// Letters to both sides, in per cent.
const fn symmetric(letter: char) -> Option<f64> {
    Some(match letter {
        'E' => 0.005,
        'L' => 0.01,
        'P' => 0.02,
        'W' => 0.05,
        'B' => 0.1,
        'C' => 0.25,
        'D' => 0.5,
        'F' => 1.0,
        'G' => 2.0,
        'H' => 3.0,
        'J' => 5.0,
        'K' => 10.0,
        'M' => 20.0,
        'N' => 30.0,
        _ => return None,
    })
}

/// Letters of capacitors with different limits, in per cent.
const fn asymmetric(letter: char) -> Option<(f64, f64)> {
    Some(match letter {
        'Q' => (10.0, 30.0),
        'T' => (10.0, 50.0),
        'S' => (20.0, 50.0),
        'Z' => (20.0, 80.0),
        _ => return None,
    })
}

/// Letters of capacitors below 10 pF, in picofarad.
const fn in_picofarad(letter: char) -> Option<f64> {
    Some(match letter {
        'B' => 0.1,
        'C' => 0.25,
        'D' => 0.5,
        'F' => 1.0,
        'G' => 2.0,
        _ => return None,
    })
}

/// What lists of letters on old capacitors say where they disagree, or go beyond the standard.
const fn old_meanings(letter: char) -> Option<&'static str> {
    Some(match letter {
        'P' => "0.02 % in IEC 60062, guaranteed minimum or 0/+80 % on old capacitors",
        'L' => "0.01 % in IEC 60062, 15 % on old capacitors",
        'E' => "0.005 % in IEC 60062, 1 pF or 0.5 % on old capacitors",
        'Y' => "-20/+50 % or 0/+50 % on old capacitors",
        'V' => "not in IEC 60062, -10/+100 % in one list",
        _ => return None,
    })
}
