//! The cells that state a limit beside the value: loss, leakage, and the frequency of the loss.

use super::optional_cell::{Belongs, optional_cell};
use super::{Kind, Problem};
use crate::engine::quantity::{Drawing, Quantity, parse_value};

/// Parts that have a loss or a leakage to limit.
const OF_LIMITED: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Capacitor | Kind::Winding | Kind::Coil),
    otherwise: |found, kind| Problem::LimitOfKind { found, kind },
};

/// A loss factor tan δ: `0.15` or `15%`.
pub(super) fn loss(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| match text.strip_suffix('%') {
        Some(percent) => positive(percent).map(|percent| percent / 100.0),
        None => positive(text),
    };
    optional_cell(text, kind, &OF_LIMITED, read, |found| Problem::Loss {
        found,
    })
}

/// A leakage, in ampere: `0.5 mA`.
pub(super) fn leakage(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let value = parse_value(text, Some(Quantity::Current), Drawing::default()).ok()?;
        Some(value.amount.value()).filter(|ampere| *ampere > 0.0)
    };
    optional_cell(text, kind, &OF_LIMITED, read, |found| Problem::Leakage {
        found,
    })
}

/// A frequency, in hertz: `120`, `120 Hz`, `1 kHz`, `1 kc/s`.
pub(super) fn frequency(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let lower = text.to_ascii_lowercase();
        let units = ["hz", "c/s", "cps"];
        let bare = units.into_iter().find_map(|unit| lower.strip_suffix(unit));
        let number = bare.unwrap_or(&lower).trim_end();
        match number.strip_suffix('k') {
            Some(thousands) => positive(thousands).map(|thousands| thousands * 1e3),
            None => positive(number),
        }
    };
    optional_cell(text, kind, &OF_LIMITED, read, |found| Problem::Frequency {
        found,
    })
}

/// A plain number over zero.
fn positive(text: &str) -> Option<f64> {
    let value: f64 = text.trim().parse().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    const C: Option<Kind> = Some(Kind::Capacitor);

    #[test]
    fn limits_are_read_in_their_units() {
        assert_eq!(loss("0.15", C), Ok(Some(0.15)));
        assert_eq!(loss("15 %", C), Ok(Some(0.15)));
        assert_eq!(leakage("0.5 mA", C), Ok(Some(0.5e-3)));
        assert_eq!(leakage("50uA", Some(Kind::Winding)), Ok(Some(50e-6)));
        for text in ["1000", "1 kHz", "1kHz", "1000 Hz", "1 kc/s", "1k"] {
            assert_eq!(frequency(text, C), Ok(Some(1000.0)), "{text}");
        }
        assert_eq!(loss("", Some(Kind::Resistor)), Ok(None));
    }

    #[test]
    fn what_is_no_limit_is_refused() {
        for text in ["0", "-0.1", "much", "NaN", "inf", "%"] {
            assert!(loss(text, C).is_err(), "{text}");
            assert!(frequency(text, C).is_err(), "{text}");
        }
        for text in ["0.5", "-0.5 mA", "0 mA", "5 V"] {
            assert!(leakage(text, C).is_err(), "{text}");
        }
        let of_resistor = loss("0.1", Some(Kind::Resistor));
        assert!(matches!(of_resistor, Err(Problem::LimitOfKind { .. })));
    }
}
