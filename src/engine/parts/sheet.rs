//! [`Sheet`]: the meter that the voltage of a point was measured with when the service sheet was made.

use std::fmt;

use super::Kind;
use super::optional_cell::{Belongs, optional_cell};
use crate::engine::quantity::{Drawing, Quantity, format_value, parse_value};
use crate::engine::source::Problem;

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
