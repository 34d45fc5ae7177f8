//! Figures of any unit: in three significant figures for the sentences of this room, and [`BadFigure`] for those that cannot be.

use thiserror::Error;

/// Prefixes from pico to giga, with their powers of ten.
const PREFIXES: [(i32, &str); 8] = [
    (9, "G"),
    (6, "M"),
    (3, "k"),
    (0, ""),
    (-3, "m"),
    (-6, "µ"),
    (-9, "n"),
    (-12, "p"),
];

/// `value` in three significant figures with a prefix and `unit`: `33.9 Hz`, `1.27 kHz`, `47.8 mA`.
pub(super) fn figure(value: f64, unit: &str) -> String {
    if !value.is_finite() {
        return format!("{value} {unit}");
    }
    let rounded = round_to_three(value);
    let (power, prefix) = match prefix_of(rounded) {
        // As `quantity::format_value` has voltages.
        (3, _) if unit == "V" && rounded.abs() < 1e4 => (0, ""),
        other => other,
    };
    format!("{} {prefix}{unit}", plain(rounded, power))
}

/// `percent` with its sign, in two figures behind the point at most: `+20 %`, `-0.35 %`.
pub(super) fn signed_percent(percent: f64) -> String {
    let rounded = round_to_three(percent);
    if rounded == 0.0 {
        return "0 %".to_owned();
    }
    format!("{rounded:+} %")
}

/// The number nearest to `value` that three significant figures can write.
fn round_to_three(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

fn prefix_of(value: f64) -> (i32, &'static str) {
    let exponent = exponent_of(value);
    PREFIXES
        .into_iter()
        .find(|(power, _)| value == 0.0 && *power == 0 || value != 0.0 && exponent >= *power)
        .unwrap_or((-12, "p"))
}

/// The power of ten of the first figure.
fn exponent_of(value: f64) -> i32 {
    let text = format!("{value:e}");
    text.split_once('e')
        .and_then(|(_, exponent)| exponent.parse().ok())
        .unwrap_or(0)
}

/// `value` divided by ten to `power`, without idle zeros; the decimal point is moved in text, so nothing is lost.
fn plain(value: f64, power: i32) -> String {
    let text = format!("{value:e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let moved: f64 = format!("{mantissa}e{}", exponent - power)
        .parse()
        .unwrap_or(value);
    moved.to_string()
}

/// A number that has to be finite and above zero, or at least not below zero, and is not.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("found `{found}` for {what}, expected {expected}; check the figure that was entered")]
pub struct BadFigure {
    /// Meaning of the number, with its unit: `the resistance in ohm`.
    pub what: &'static str,
    pub found: f64,
    /// The expected number, in words.
    pub expected: &'static str,
}

/// `found`, if it is finite and above zero.
pub(super) fn positive(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() && found > 0.0 {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number above zero",
    })
}

/// `found`, if it is finite and not below zero.
pub(super) fn not_negative(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() && found >= 0.0 {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number, zero or above",
    })
}

/// `found`, if it is finite.
pub(super) fn finite(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_figures_and_a_prefix() {
        assert_eq!(figure(33.862_753, "Hz"), "33.9 Hz");
        assert_eq!(figure(1273.239, "Hz"), "1.27 kHz");
        assert_eq!(figure(0.047_777, "A"), "47.8 mA");
        assert_eq!(figure(999.96, "V"), "1000 V");
        assert_eq!(figure(12_000.0, "V"), "12 kV");
        assert_eq!(figure(-17.64, "V"), "-17.6 V");
        assert_eq!(figure(0.0, "V"), "0 V");
        assert_eq!(figure(3.459_89e-9, "F"), "3.46 nF");
        assert_eq!(figure(500.0, "V"), "500 V");
        assert_eq!(figure(f64::INFINITY, "V"), "inf V");
    }

    #[test]
    fn percents_carry_their_sign() {
        assert_eq!(signed_percent(20.0), "+20 %");
        assert_eq!(signed_percent(-16.666_7), "-16.7 %");
        assert_eq!(signed_percent(0.0), "0 %");
    }

    #[test]
    fn what_cannot_be_is_refused_with_words() {
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(positive("the resistance in ohm", wrong).is_err());
        }
        assert_eq!(positive("the resistance in ohm", 1e-3), Ok(1e-3));
        assert_eq!(not_negative("the current in ampere", 0.0), Ok(0.0));
        assert!(not_negative("the current in ampere", -0.1).is_err());
        assert!(finite("the voltage in volt", f64::NEG_INFINITY).is_err());
        assert_eq!(
            positive("the resistance in ohm", -3.0)
                .unwrap_err()
                .to_string(),
            "found `-3` for the resistance in ohm, expected a finite number above zero; check the figure that was entered"
        );
    }
}
