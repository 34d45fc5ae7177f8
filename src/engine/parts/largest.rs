//! The cell that states how large a capacitor may be that stands in for the part.

use super::optional_cell::{Belongs, optional_cell};
use super::{Kind, Problem};
use crate::engine::quantity::{Amount, Drawing, Quantity, parse_value};

/// Capacitors, which a rectifier charges.
const OF_CAPACITORS: Belongs = Belongs {
    to: |kind| matches!(kind, Kind::Capacitor),
    otherwise: |found, kind| Problem::LargestOfKind { found, kind },
};

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
    let largest = optional_cell(text, kind, &OF_CAPACITORS, read, |found| Problem::Largest {
        found,
    })?;
    match (largest, nominal) {
        (Some(largest), Some(nominal)) if largest.value() < nominal.value() => {
            Err(Problem::LargestBelowValue {
                found: text.to_owned(),
                nominal,
            })
        }
        _ => Ok(largest),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
            assert!(
                matches!(read(text, Kind::Capacitor), Err(Problem::Largest { .. })),
                "{text}"
            );
        }
    }

    #[test]
    fn less_than_the_value_and_other_kinds_are_refused() {
        let error = read("16uF", Kind::Capacitor).unwrap_err();
        assert!(matches!(error, Problem::LargestBelowValue { .. }));
        assert!(error.to_string().contains("32 µF"), "{error}");
        let error = read("50uF", Kind::Resistor).unwrap_err();
        assert!(matches!(error, Problem::LargestOfKind { .. }));
    }
}
