//! Cells that may be empty and that only some kinds of part may have: loss, leakage, frequency, load, and the largest value; and [`Sheet`], the meter that the voltage of a point was measured with when the service sheet was made.

use std::fmt;

use super::Kind;
use crate::engine::quantity::{Amount, Drawing, Quantity, format_value, parse_value};
use crate::engine::source::Problem;

/// Parts that may have the cell, and the text expected where another one has it.
pub(super) struct Belongs {
    /// Whether a part of that kind may have it.
    pub(super) to: fn(Kind) -> bool,
    /// Text expected of a part of another kind.
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

/// The meter that the voltage of a point was measured with, and what it loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Its sensitivity, in ohm per volt: over zero.
    pub ohm_per_volt: f64,
    /// The end of its range, in volt: over zero, and not below the size of the listed voltage.
    pub range_volt: f64,
    /// The resistance behind the point, in ohm, zero or above; `None` if it is not known.
    pub source_ohm: Option<f64>,
}

impl fmt::Display for Sheet {
    /// `1 kΩ/V on 300 V behind 100 kΩ`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ohm = |ohm| format_value(Quantity::Resistance, ohm, 6);
        let range = format_value(Quantity::Voltage, self.range_volt, 6);
        write!(f, "{}/V on {range}", ohm(self.ohm_per_volt))?;
        match self.source_ohm {
            Some(source) => write!(f, " behind {}", ohm(source)),
            None => Ok(()),
        }
    }
}

/// Points, which a service sheet states a meter for.
const OF_POINTS: Belongs = Belongs {
    to: |kind| kind == Kind::Point,
    otherwise: "nothing; only a point is on a sheet of voltages",
};

/// A sensitivity, in ohm per volt: `1000`, `20k`, `20 kΩ/V`.
pub(super) fn ohm_per_volt(text: &str, kind: Option<Kind>) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        let per_volt = text.strip_suffix(['V', 'v']).map(str::trim_end);
        let bare = per_volt.and_then(|rest| rest.strip_suffix('/'));
        plain(
            bare.unwrap_or(text).trim_end(),
            Quantity::Resistance,
            Drawing::default(),
        )
        .filter(|ohm| *ohm > 0.0)
    };
    let expected =
        "the sensitivity of the sheet's meter in ohm per volt, such as `1000` or `20k`, or nothing";
    optional_cell(text, kind, &OF_POINTS, read, expected)
}

/// The end of a range, in volt: `300`, `300 V`. It must show `listed`, in volt.
pub(super) fn range(
    text: &str,
    kind: Option<Kind>,
    listed: Option<f64>,
) -> Result<Option<f64>, Problem> {
    let read = |text: &str| {
        plain(text, Quantity::Voltage, Drawing::default()).filter(|volts| *volts > 0.0)
    };
    let expected =
        "the end of the range that the sheet's meter was on, such as `300 V`, or nothing";
    let range = optional_cell(text, kind, &OF_POINTS, read, expected)?;
    match (range, listed) {
        (Some(range), Some(listed)) if listed.abs() > range => Err(Problem::cell(
            text,
            "a range that shows the value of the row; check both on the sheet",
        )),
        _ => Ok(range),
    }
}

/// The resistance behind the point, in ohm, as the drawing writes resistances: `100k`, `0`.
pub(super) fn source_ohm(
    text: &str,
    kind: Option<Kind>,
    drawing: Drawing,
) -> Result<Option<f64>, Problem> {
    let read = |text: &str| match text {
        "0" => Some(0.0),
        _ => plain(text, Quantity::Resistance, drawing).filter(|ohm| *ohm >= 0.0),
    };
    let expected = "the resistance behind the point, such as `100k`, or nothing if it is not known";
    optional_cell(text, kind, &OF_POINTS, read, expected)
}

/// A value without a tolerance.
fn plain(text: &str, quantity: Quantity, drawing: Drawing) -> Option<f64> {
    let value = parse_value(text, Some(quantity), drawing).ok()?;
    value.tolerance.is_none().then(|| value.amount.value())
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

    const POINT: Option<Kind> = Some(Kind::Point);

    #[test]
    fn the_meter_of_a_sheet_is_read_in_its_units() {
        for text in ["20k", "20000", "20 kΩ/V", "20k/V", "20 kohm/V"] {
            assert_eq!(ohm_per_volt(text, POINT), Ok(Some(20e3)), "{text}");
        }
        assert_eq!(range("300", POINT, Some(-150.0)), Ok(Some(300.0)));
        assert_eq!(range("300 V", POINT, None), Ok(Some(300.0)));
        let source = |text| source_ohm(text, POINT, Drawing::default());
        assert_eq!(source("1 Meg"), Ok(Some(1e6)));
        assert_eq!(source("0"), Ok(Some(0.0)));
        assert_eq!(source(""), Ok(None));
        let sheet = Sheet {
            ohm_per_volt: 1000.0,
            range_volt: 300.0,
            source_ohm: Some(100e3),
        };
        assert_eq!(sheet.to_string(), "1 kΩ/V on 300 V behind 100 kΩ");
    }

    #[test]
    fn what_is_none_is_refused() {
        for text in ["0", "-1000", "many", "1000 V", "/V"] {
            assert!(ohm_per_volt(text, POINT).is_err(), "{text}");
        }
        for text in ["0", "-300", "300 ohm"] {
            assert!(range(text, POINT, None).is_err(), "{text}");
        }
        let said = range("100 V", POINT, Some(-150.0)).unwrap_err().to_string();
        assert!(said.contains("a range that shows the value"), "{said}");
        assert!(source_ohm("5 V", POINT, Drawing::default()).is_err());
        let said = ohm_per_volt("1000", Some(Kind::Resistor)).unwrap_err();
        assert!(said.to_string().contains("for a resistor"), "{said}");
    }
}
