//! Cells that may be empty and that only some kinds of part may have: loss, leakage, frequency, load, and the largest value.

use super::Kind;
use crate::engine::quantity::{Amount, Drawing, Quantity, parse_value};
use crate::engine::source::Problem;

/// Which parts may have the cell, and what is expected where another one has it.
pub(super) struct Belongs {
    /// Whether a part of that kind may have it.
    pub(super) to: fn(Kind) -> bool,
    /// What is expected of a part of another kind.
    pub(super) otherwise: &'static str,
}

/// Reads the cell: `None` if it is empty. `kind` is that of the part, if it is known.
pub(super) fn optional_cell<T>(
    text: &str,
    kind: Option<Kind>,
    belongs: &Belongs,
    read: impl FnOnce(&str) -> Option<T>,
    expected: &str,
) -> Result<Option<T>, Problem> {
    if text.is_empty() {
        return Ok(None);
    }
    if let Some(kind) = kind.filter(|kind| !(belongs.to)(*kind)) {
        return Err(Problem::of_kind(text, kind, belongs.otherwise));
    }
    let read = read(text).map(Some);
    read.ok_or_else(|| Problem::cell(text, expected))
}

/// Parts that have a loss or a leakage to limit.
const OF_LIMITED: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Capacitor | Kind::Winding | Kind::Coil),
    otherwise: "nothing; capacitors, windings and coils have such limits",
};

/// Ratios, which a load is seen through.
const OF_RATIOS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Ratio),
    otherwise: "a load at a ratio of turns only",
};

/// Capacitors, which a rectifier charges.
const OF_CAPACITORS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Capacitor),
    otherwise: "nothing; only a capacitor has a largest value",
};

/// A loss factor tan δ: `0.15` or `15%`.
pub(super) fn loss(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| match text.strip_suffix('%') {
        Some(percent) => positive(percent).map(|percent| percent / 100.0),
        None => positive(text),
    };
    let expected = "the largest loss factor tan δ, such as `0.15`, or nothing";
    optional_cell(text, kind, &OF_LIMITED, read, expected)
}

/// A leakage, in ampere: `0.5 mA`.
pub(super) fn leakage(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let value = parse_value(text, Some(Quantity::Current), Drawing::default()).ok()?;
        Some(value.amount.value()).filter(|ampere| *ampere > 0.0)
    };
    let expected = "the largest leakage with its unit, such as `0.5 mA`, or nothing";
    optional_cell(text, kind, &OF_LIMITED, read, expected)
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
    let expected = "the frequency of the loss limit, such as `120 Hz` or `1 kHz`, or nothing";
    optional_cell(text, kind, &OF_LIMITED, read, expected)
}

/// A plain number over zero.
fn positive(text: &str) -> Option<f64> {
    let value: f64 = text.trim().parse().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}

/// The load, in ohm, as the drawing writes resistances: `8`, `15 Ω`.
pub(super) fn load_ohm(
    text: &str,
    kind: Option<Kind>,
    drawing: Drawing,
) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let value = parse_value(text, Some(Quantity::Resistance), drawing).ok()?;
        value.tolerance.is_none().then(|| value.amount.value())
    };
    let expected = "the resistance that loads the secondary, such as `8 Ω`, or nothing";
    optional_cell(text, kind, &OF_RATIOS, read, expected)
}

/// The largest value, a capacitance not below `nominal`, the value of the row, where that is known.
pub(super) fn largest(
    text: &str,
    kind: Option<Kind>,
    nominal: Option<Amount>,
) -> Result<Option<Amount>, Problem> {
    let read = |text: &str| {
        let value = parse_value(text, Some(Quantity::Capacitance), Drawing::default()).ok()?;
        value.tolerance.is_none().then_some(value.amount)
    };
    let expected = "the largest capacitance that may stand in for it, such as `50uF`, or nothing";
    let largest = optional_cell(text, kind, &OF_CAPACITORS, read, expected)?;
    match (largest, nominal) {
        (Some(largest), Some(nominal)) if largest.value() < nominal.value() => Err(Problem::cell(
            text,
            format!(
                "no less than the value of the row, {nominal}; the column is for the most that the rectifier allows"
            ),
        )),
        _ => Ok(largest),
    }
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
        let of_resistor = of_resistor.unwrap_err().to_string();
        assert!(of_resistor.contains("for a resistor, expected nothing"));
    }

    #[test]
    fn a_load_is_a_resistance_above_zero_at_a_ratio() {
        let load = |text, kind| load_ohm(text, Some(kind), Drawing::default());
        assert_eq!(load("8", Kind::Ratio), Ok(Some(8.0)));
        assert_eq!(load("15 ohms", Kind::Ratio), Ok(Some(15.0)));
        assert_eq!(load("", Kind::Resistor), Ok(None));
        for text in ["0", "-8", "8 V", "loud"] {
            let said = load(text, Kind::Ratio).unwrap_err().to_string();
            assert!(said.contains("loads the secondary"), "{text}: {said}");
        }
        let of_coil = load("8", Kind::Coil);
        assert!(of_coil.unwrap_err().to_string().contains("for a coil"));
    }

    fn read(text: &str, kind: Kind) -> Result<Option<Amount>, Problem> {
        largest(text, Some(kind), Amount::new(Quantity::Capacitance, 32e-6))
    }

    #[test]
    fn it_is_a_capacitance_from_the_value_on() {
        let found = read("50uF", Kind::Capacitor).unwrap().unwrap();
        assert!((found.value() - 50e-6).abs() < 1e-12);
        assert!(read("32 MFD", Kind::Capacitor).is_ok());
        assert_eq!(read("", Kind::Resistor), Ok(None));
        for text in ["50V", "50 ohms", "much", "-50uF"] {
            let said = read(text, Kind::Capacitor).unwrap_err().to_string();
            assert!(said.contains("may stand in for it"), "{text}: {said}");
        }
    }

    #[test]
    fn less_than_the_value_and_other_kinds_are_refused() {
        let error = read("16uF", Kind::Capacitor).unwrap_err();
        assert!(error.to_string().contains("32 µF"), "{error}");
        let error = read("50uF", Kind::Resistor).unwrap_err();
        assert!(error.to_string().contains("for a resistor"), "{error}");
    }
}
