//! Values written for people: engineering prefixes, and no more figures than the uncertainty supports.

use std::fmt;

use super::written_number::{Decimal, power_of_ten};
use super::{Amount, Band, Quantity};

/// `value` (SI base unit, finite) rounded to `digits` significant figures (1 to 17), without idle zeros at the end,
/// with the prefix that the trade uses: `4.7 kΩ`, `47 nF`, `1000 µF`, `0.47 Ω`.
pub fn format_value(quantity: Quantity, value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return not_finite(quantity, value);
    }
    with_prefix(quantity, &Decimal::rounded(value, digits))
}

/// As [`format_value`], but with idle zeros: for a value that is shown anew many times a second and should not jump about.
pub fn format_steady(quantity: Quantity, value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return not_finite(quantity, value);
    }
    let rounded = Decimal::rounded(value, digits);
    let (power, prefix) = prefix_for(quantity, rounded.exponent());
    let last_place = rounded.exponent() + 1 - i32::try_from(digits).unwrap_or(17);
    let decimals = usize::try_from(power - last_place).unwrap_or(0);
    let number = rounded.value() / power_of_ten(power);
    format!("{number:.decimals$} {prefix}{}", quantity.symbol())
}

/// `value` with its uncertainty (both in the SI base unit), the uncertainty rounded to two significant figures and the
/// value to the same place: `4.7120 kΩ ± 0.0041 kΩ`.
///
/// JCGM 100:2008 (GUM), 7.2.6: two significant figures of an uncertainty usually suffice, and the value is rounded to
/// agree with them (clause from memory). An uncertainty of zero, or one that is no finite number, is left out.
pub fn format_with_uncertainty(quantity: Quantity, value: f64, uncertainty: f64) -> String {
    if !(value.is_finite() && uncertainty.is_finite() && uncertainty > 0.0) {
        return format_value(quantity, value, 6);
    }
    let last_place = Decimal::rounded(uncertainty, 2).exponent() - 1;
    let larger = Decimal::rounded(value.abs().max(uncertainty), 6);
    let (power, prefix) = prefix_for(quantity, larger.exponent());
    let decimals = usize::try_from(power - last_place).unwrap_or(0);
    let unit = unit(quantity, prefix);
    let scale = power_of_ten(power);
    // Rounding the uncertainty first keeps it at two figures where the unit's prefix shows none behind the point.
    let rounded = Decimal::rounded(uncertainty, 2).value();
    let mut number = format!("{:.decimals$}", value / scale);
    // Zero has no sign.
    if !number.contains(|digit| ('1'..='9').contains(&digit)) {
        number = number.replace('-', "");
    }
    format!("{number}{unit} ± {:.decimals$}{unit}", rounded / scale)
}

/// A nominal value or a limit, as somebody stated it: six figures, without idle zeros.
pub fn format_stated(quantity: Quantity, value: f64) -> String {
    format_value(quantity, value, 6)
}

/// The limits of a band with their prefixes: `4.23 kΩ to 5.17 kΩ`, `47 nF or more`, `up to -12 V`.
pub fn format_band(quantity: Quantity, band: Band) -> String {
    let lower = format_stated(quantity, band.lower());
    if band.lower().is_infinite() {
        format!("up to {}", format_stated(quantity, band.upper()))
    } else if band.upper().is_finite() {
        format!("{lower} to {}", format_stated(quantity, band.upper()))
    } else {
        format!("{lower} or more")
    }
}

impl fmt::Display for Amount {
    /// Writes every figure: what is written reads back as the same amount (unless `M` means a thousand).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let written = Decimal::shortest(self.value());
        if (-16..=16).contains(&written.exponent()) || self.value() == 0.0 {
            f.write_str(&with_prefix(self.quantity(), &written))
        } else {
            write!(f, "{:e}{}", self.value(), unit(self.quantity(), ""))
        }
    }
}

/// The number with prefix and unit.
pub(super) fn with_prefix(quantity: Quantity, number: &Decimal) -> String {
    let (power, prefix) = prefix_for(quantity, number.exponent());
    format!(
        "{}{}",
        number.divided_by_power_of_ten(power),
        unit(quantity, prefix)
    )
}

/// Text behind a number: a blank, the prefix and the unit; of a ratio `:1` alone.
fn unit(quantity: Quantity, prefix: &str) -> String {
    let symbol = quantity.symbol();
    if quantity == Quantity::Ratio {
        symbol.to_owned()
    } else {
        format!(" {prefix}{symbol}")
    }
}

/// The power of ten and the prefix for a value whose first figure has the power `exponent`.
///
/// Tenths of an ohm stay in ohm, a capacitance stays in microfarad however large, and a voltage in volt up to 10 kV, so that
/// readings look as ratings do: the trade writes `0.47 Ω`, `4700 µF` and `1600 V` (common practice, no source), and `mF` on old
/// parts means something else.
const fn prefix_for(quantity: Quantity, exponent: i32) -> (i32, &'static str) {
    use Quantity::{AcVoltage, Capacitance, Current, Inductance, Ratio, Resistance, Voltage};
    match (quantity, exponent) {
        (Resistance, 12..) => (12, "T"),
        (Resistance, 9..) => (9, "G"),
        (Resistance, 6..) => (6, "M"),
        (Resistance, 3..) | (Voltage | AcVoltage, 4..) => (3, "k"),
        (Ratio, _) | (Resistance, -1..) | (Inductance | Voltage | AcVoltage | Current, 0..) => {
            (0, "")
        }
        (Resistance | Inductance | Voltage | AcVoltage | Current, -3..) => (-3, "m"),
        (Resistance | Capacitance | Inductance | Current, -6..) | (Voltage | AcVoltage, _) => {
            (-6, "µ")
        }
        (Resistance | Capacitance | Current, -9..) | (Inductance, _) => (-9, "n"),
        (Resistance | Capacitance | Current, _) => (-12, "p"),
    }
}

/// Infinity and not-a-number, which have no figures.
fn not_finite(quantity: Quantity, value: f64) -> String {
    let sign = match value {
        f64::INFINITY => "∞",
        f64::NEG_INFINITY => "-∞",
        _ => "not a number of",
    };
    format!("{sign} {}", quantity.symbol())
}

/// `1 row`, `2 rows`, `3 switches`: a number with its word.
pub fn counted<N: fmt::Display + PartialEq + Copy + From<u8>>(number: N, word: &str) -> String {
    let ending = match word {
        _ if number == N::from(1) => "",
        _ if word.ends_with("ch") => "es",
        _ => "s",
    };
    format!("{number} {word}{ending}")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::quantity::{Drawing, parse_value};

    #[test]
    fn values_get_the_prefix_of_the_trade() {
        let ohm = |value, digits| format_value(Quantity::Resistance, value, digits);
        let farad = |value, digits| format_value(Quantity::Capacitance, value, digits);
        assert_eq!(ohm(4700.0, 4), "4.7 kΩ");
        assert_eq!(ohm(4712.3, 4), "4.712 kΩ");
        assert_eq!(ohm(1e6, 4), "1 MΩ");
        assert_eq!(ohm(999_960.0, 4), "1 MΩ");
        assert_eq!(ohm(0.47, 3), "0.47 Ω");
        assert_eq!(ohm(0.012, 3), "12 mΩ");
        assert_eq!(ohm(820.0, 2), "820 Ω");
        assert_eq!(farad(47e-9, 4), "47 nF");
        assert_eq!(farad(4700e-6, 4), "4700 µF");
        assert_eq!(farad(0.33e-12, 4), "0.33 pF");
        assert_eq!(ohm(f64::INFINITY, 4), "∞ Ω");
        assert_eq!(ohm(0.0, 4), "0 Ω");
        for (quantity, value, text) in [
            (Quantity::Inductance, 10.0, "10 H"),
            (Quantity::Inductance, 0.5, "500 mH"),
            (Quantity::Inductance, 100e-6, "100 µH"),
            (Quantity::Inductance, 30e-9, "30 nH"),
            (Quantity::Voltage, 1600.0, "1600 V"),
            (Quantity::AcVoltage, 12_000.0, "12 kV AC"),
            (Quantity::Voltage, -12.0, "-12 V"),
            (Quantity::Voltage, 0.063, "63 mV"),
            (Quantity::Voltage, 2e-9, "0.002 µV"),
            (Quantity::Current, 2.0, "2 A"),
            (Quantity::Current, 0.3e-3, "300 µA"),
            (Quantity::Current, 60e-3, "60 mA"),
            (Quantity::Current, 5e-9, "5 nA"),
        ] {
            assert_eq!(format_value(quantity, value, 4), text);
        }
    }

    #[test]
    fn a_steady_value_keeps_its_idle_zeros() {
        for (quantity, value, text) in [
            (Quantity::Resistance, 4700.0, "4.700 kΩ"),
            (Quantity::Resistance, 47_000.0, "47.00 kΩ"),
            (Quantity::Resistance, 0.4704, "0.4704 Ω"),
            (Quantity::Resistance, 999_960.0, "1.000 MΩ"),
            (Quantity::Capacitance, 47e-9, "47.00 nF"),
            (Quantity::Capacitance, 4700e-6, "4700 µF"),
            (Quantity::Voltage, -12.0, "-12.00 V"),
            (Quantity::Resistance, f64::INFINITY, "∞ Ω"),
        ] {
            assert_eq!(format_steady(quantity, value, 4), text);
        }
    }

    #[test]
    fn the_uncertainty_keeps_two_figures_and_rounds_the_value() {
        let ohm = |value, u| format_with_uncertainty(Quantity::Resistance, value, u);
        assert_eq!(ohm(-2e-4, 0.026), "0 mΩ ± 26 mΩ");
        assert_eq!(ohm(4712.04, 4.1), "4.7120 kΩ ± 0.0041 kΩ");
        assert_eq!(ohm(4712.04, 414.0), "4.71 kΩ ± 0.41 kΩ");
        assert_eq!(ohm(100.0, 0.996), "100.0 Ω ± 1.0 Ω");
        assert_eq!(ohm(2.0, 1234.0), "0.0 kΩ ± 1.2 kΩ");
        assert_eq!(ohm(100.0, 234.0), "100 Ω ± 230 Ω");
        assert_eq!(ohm(4712.0, 0.0), "4.712 kΩ");
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back(value in prop_oneof![1e-13..1e13_f64, 1e-300..1e300_f64, proptest::num::f64::POSITIVE]) {
            prop_assume!(value > 0.0 && value.is_finite());
            for quantity in Quantity::ALL {
                let amount = Amount::new(quantity, value).unwrap();
                let read = parse_value(&amount.to_string(), Some(quantity), Drawing::default());
                prop_assert_eq!(read.map(|read| read.amount), Ok(amount));
            }
        }

        #[test]
        fn what_is_written_with_a_sign_reads_back(value in prop_oneof![-1e6..-1e-12_f64, proptest::num::f64::NEGATIVE]) {
            prop_assume!(value < 0.0 && value.is_finite());
            for quantity in [Quantity::Voltage, Quantity::Current] {
                let amount = Amount::new(quantity, value).unwrap();
                for asked in [Some(quantity), None] {
                    let read = parse_value(&amount.to_string(), asked, Drawing::default());
                    prop_assert_eq!(read.map(|read| read.amount), Ok(amount));
                }
            }
        }

        #[test]
        fn a_value_of_few_figures_reads_back_without_naming_the_quantity(figures in 1_u32..1000, power in -12_i32..10) {
            let value: f64 = format!("{figures}e{power}").parse().unwrap();
            for quantity in Quantity::ALL {
                let amount = Amount::new(quantity, value).unwrap();
                let read = parse_value(&format_value(quantity, value, 3), None, Drawing::default());
                prop_assert_eq!(read.map(|read| read.amount), Ok(amount));
            }
        }
    }
}
