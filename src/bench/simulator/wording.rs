//! [`Wording`]: how a value is written on the line.

use crate::engine::quantity::Quantity;

use super::front_end::Sample;

/// Form of a value on the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wording {
    /// As IEEE 488.2 NR3, overload as 9.9E37: `+4.70000000E+03`.
    Nr3 {
        /// Digits after the point.
        decimals: usize,
    },
    /// Number with the unit behind it: `+4.70000000E+03 OHM`.
    Nr3WithUnit {
        /// Digits after the point.
        decimals: usize,
    },
    /// As a display shows it, with prefix and unit, overload as `OL`: `4.7000 kOhm`, `46.98 nF`.
    Display,
}

/// Infinity, as SCPI-1999 sends it.
const INFINITY: f64 = 9.9e37;

/// Not a number, as SCPI-1999 sends it.
const NOT_A_NUMBER: f64 = 9.91e37;

impl Wording {
    /// Writes `sample`, and behind it its loss factor (of an inductance its quality factor) and its status where the meter sends them.
    pub(super) fn line(self, sample: &Sample, with_loss: bool, with_status: bool) -> String {
        let mut line = self.value(sample);
        if with_loss {
            line.push(',');
            line.push_str(&self.loss(sample));
        }
        if with_status {
            line.push_str(if sample.value.is_some() { ",+0" } else { ",+1" });
        }
        line
    }

    fn value(self, sample: &Sample) -> String {
        let unit = match sample.quantity {
            Quantity::Resistance => "OHM",
            Quantity::Capacitance => "F",
            Quantity::Inductance => "H",
            Quantity::Voltage => "VDC",
            Quantity::Current => "ADC",
            Quantity::AcVoltage | Quantity::Ratio => "VAC",
        };
        match self {
            Self::Nr3 { decimals } => nr3(sample.value.unwrap_or(INFINITY), decimals),
            Self::Nr3WithUnit { decimals } => {
                format!("{} {unit}", nr3(sample.value.unwrap_or(INFINITY), decimals))
            }
            Self::Display => display(sample),
        }
    }

    fn loss(self, sample: &Sample) -> String {
        let second = match sample.quantity {
            Quantity::Inductance => sample.loss.map(f64::recip),
            _ => sample.loss,
        };
        let second = second.filter(|second| second.is_finite());
        match self {
            Self::Nr3 { decimals } | Self::Nr3WithUnit { decimals } => {
                nr3(second.unwrap_or(NOT_A_NUMBER), decimals)
            }
            Self::Display => second.map_or("----".to_owned(), |loss| format!("{loss:.4}")),
        }
    }
}

/// `value` as NR3: sign, one digit, point, digits, `E`, sign, two digits of exponent or more.
fn nr3(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$E}");
    match text.split_once('E') {
        Some((mantissa, exponent)) => match exponent.strip_prefix('-') {
            Some(digits) => format!("{mantissa}E-{digits:0>2}"),
            None => format!("{mantissa}E+{exponent:0>2}"),
        },
        // Infinities and NaN have no exponent; no front end produces them.
        None => text,
    }
}

/// `sample` with the prefix that leaves one to three digits before the point, down to one count.
fn display(sample: &Sample) -> String {
    let (unit, prefixes): (_, &[(f64, &str)]) = match sample.quantity {
        Quantity::Resistance => ("Ohm", &[(1e6, "M"), (1e3, "k"), (1.0, "")]),
        Quantity::Capacitance => ("F", &[(1e-3, "m"), (1e-6, "u"), (1e-9, "n"), (1e-12, "p")]),
        Quantity::Inductance => ("H", &[(1.0, ""), (1e-3, "m"), (1e-6, "u")]),
        Quantity::Voltage => ("VDC", &[(1.0, ""), (1e-3, "m")]),
        Quantity::AcVoltage | Quantity::Ratio => ("VAC", &[(1.0, ""), (1e-3, "m")]),
        Quantity::Current => ("ADC", &[(1.0, ""), (1e-3, "m"), (1e-6, "u")]),
    };
    let Some(value) = sample.value else {
        return "OL".to_owned();
    };
    let lowest = prefixes[prefixes.len() - 1];
    let &(factor, prefix) = prefixes
        .iter()
        .find(|(factor, _)| value.abs() >= *factor)
        .unwrap_or(&lowest);
    let decimals = libm::log10(factor / sample.resolution).round().max(0.0) as usize;
    format!("{:.decimals$} {prefix}{unit}", value / factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(quantity: Quantity, value: Option<f64>, resolution: f64) -> Sample {
        Sample {
            quantity,
            value,
            loss: Some(1.2e-3),
            resolution,
        }
    }

    #[test]
    fn numbers_follow_the_nr3_pattern() {
        // Sign, digits, point, digits, E, sign, digits: IEEE 488.2, 8.7.4, from memory.
        assert_eq!(nr3(4700.0, 8), "+4.70000000E+03");
        assert_eq!(nr3(-4.7e-8, 5), "-4.70000E-08");
        assert_eq!(nr3(0.0, 2), "+0.00E+00");
        assert_eq!(nr3(1e-123, 1), "+1.0E-123");
    }

    #[test]
    fn overload_is_the_infinity_of_scpi() {
        let open = sample(Quantity::Resistance, None, 1.0);
        assert_eq!(
            Wording::Nr3 { decimals: 8 }.line(&open, false, false),
            "+9.90000000E+37"
        );
        assert_eq!(Wording::Display.line(&open, false, false), "OL");
    }

    #[test]
    fn an_lcr_answer_has_two_fields() {
        let film = sample(Quantity::Capacitance, Some(4.7e-8), 1e-12);
        assert_eq!(
            Wording::Nr3 { decimals: 5 }.line(&film, true, false),
            "+4.70000E-08,+1.20000E-03"
        );
        let open = Sample {
            value: None,
            loss: None,
            ..film
        };
        assert_eq!(
            Wording::Nr3 { decimals: 2 }.line(&open, true, false),
            "+9.90E+37,+9.91E+37"
        );
    }

    #[test]
    fn an_inductance_comes_with_its_quality_factor() {
        // Q = 1 / tan δ [by definition]: 1 / 0.05 = 20.
        let coil = Sample {
            loss: Some(0.05),
            ..sample(Quantity::Inductance, Some(0.1), 1e-5)
        };
        let wording = Wording::Nr3 { decimals: 2 };
        assert_eq!(wording.line(&coil, true, true), "+1.00E-01,+2.00E+01,+0");
        let lossless = Sample {
            loss: Some(0.0),
            ..coil
        };
        assert_eq!(wording.line(&lossless, true, false), "+1.00E-01,+9.91E+37");
    }

    #[test]
    fn a_display_shows_prefix_unit_and_no_more_than_the_counts() {
        assert_eq!(
            Wording::Display.line(
                &sample(Quantity::Resistance, Some(4700.0), 0.1),
                false,
                false
            ),
            "4.7000 kOhm"
        );
        assert_eq!(
            Wording::Display.line(
                &sample(Quantity::Resistance, Some(0.08), 0.01),
                false,
                false
            ),
            "0.08 Ohm"
        );
        assert_eq!(
            Wording::Display.line(
                &sample(Quantity::Capacitance, Some(4.698e-8), 1e-11),
                false,
                false
            ),
            "46.98 nF"
        );
        assert_eq!(
            Wording::Display.line(&sample(Quantity::Voltage, Some(-12.5), 1e-3), false, false),
            "-12.500 VDC"
        );
        assert_eq!(
            Wording::Nr3WithUnit { decimals: 2 }.line(
                &sample(Quantity::Capacitance, Some(1e-6), 1e-9),
                false,
                false
            ),
            "+1.00E-06 F"
        );
    }
}
