//! [`Sheet`]: the meter that the voltage of a point was measured with when the service sheet was made.

use std::fmt;

use super::optional_cell::{Belongs, optional_cell};
use super::{Kind, Problem};
use crate::engine::quantity::{Drawing, Quantity, format_value, parse_value};

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
    otherwise: |found, kind| Problem::SheetOfKind { found, kind },
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
    optional_cell(text, kind, &OF_POINTS, read, |found| Problem::OhmPerVolt {
        found,
    })
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
    let range = optional_cell(text, kind, &OF_POINTS, read, |found| Problem::SheetRange {
        found,
    })?;
    match (range, listed) {
        (Some(range), Some(listed)) if listed.abs() > range => Err(Problem::AboveSheetRange {
            found: text.to_owned(),
        }),
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
    optional_cell(text, kind, &OF_POINTS, read, |found| Problem::SourceOhm {
        found,
    })
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
        assert!(matches!(
            range("100 V", POINT, Some(-150.0)),
            Err(Problem::AboveSheetRange { .. })
        ));
        assert!(source_ohm("5 V", POINT, Drawing::default()).is_err());
        assert!(matches!(
            ohm_per_volt("1000", Some(Kind::Resistor)),
            Err(Problem::SheetOfKind { .. })
        ));
    }
}
