//! [`Fields`]: what the comma-separated fields of a reply hold.

use serde::Deserialize;

use crate::quantity::Quantity;

/// What one field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Field {
    /// Resistance, in ohm.
    Resistance,
    /// Capacitance, in farad.
    Capacitance,
    /// Inductance, in henry.
    Inductance,
    /// Direct voltage, in volt.
    Voltage,
    /// Direct current, in ampere.
    Current,
    /// Loss factor tan δ, a plain number.
    Loss,
    /// Quality factor 1/tan δ, a plain number.
    Quality,
    /// Equivalent series resistance, in ohm.
    Esr,
    /// A status number; see `status_good` and `status_overload`.
    Status,
    /// Something not used.
    Ignore,
}

impl Field {
    /// The words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Resistance => "resistance",
            Self::Capacitance => "capacitance",
            Self::Inductance => "inductance",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::Loss => "loss factor tan δ",
            Self::Quality => "quality factor",
            Self::Esr => "equivalent series resistance",
            Self::Status => "status",
            Self::Ignore => "nothing used",
        }
    }

    /// The quantity that the field holds, if it is one that the program measures by itself.
    pub const fn quantity(self) -> Option<Quantity> {
        match self {
            Self::Resistance => Some(Quantity::Resistance),
            Self::Capacitance => Some(Quantity::Capacitance),
            Self::Inductance => Some(Quantity::Inductance),
            Self::Voltage => Some(Quantity::Voltage),
            Self::Current => Some(Quantity::Current),
            _ => None,
        }
    }
}

/// The places of the fields in a reply, counted from zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fields {
    count: usize,
    value: usize,
    second: Option<(usize, Field)>,
    status: Option<usize>,
}

impl Fields {
    /// The value is the first field that holds `quantity`, the second value the first other field that holds a value; `None` if no field holds `quantity`.
    pub fn new(fields: &[Field], quantity: Quantity) -> Option<Self> {
        let value = fields
            .iter()
            .position(|field| field.quantity() == Some(quantity))?;
        let another = |(index, field): &(usize, Field)| {
            *index != value && !matches!(field, Field::Status | Field::Ignore)
        };
        Some(Self {
            count: fields.len(),
            value,
            second: fields.iter().copied().enumerate().find(another),
            status: fields.iter().position(|field| *field == Field::Status),
        })
    }

    /// A reply that is one value and nothing else.
    pub const fn one() -> Self {
        Self {
            count: 1,
            value: 0,
            second: None,
            status: None,
        }
    }

    /// How many fields a reply has.
    pub const fn count(&self) -> usize {
        self.count
    }

    /// The place of the value.
    pub const fn value(&self) -> usize {
        self.value
    }

    /// The place of the second value.
    pub fn second(&self) -> Option<usize> {
        self.second.map(|(index, _)| index)
    }

    /// What the second value is.
    pub fn second_is(&self) -> Option<Field> {
        self.second.map(|(_, field)| field)
    }

    /// The place of the status.
    pub const fn status(&self) -> Option<usize> {
        self.status
    }
}

#[cfg(test)]
mod tests {
    use super::{Field, Fields};
    use crate::quantity::Quantity::{Capacitance, Resistance};

    #[test]
    fn places_are_found() {
        let list = [Field::Ignore, Field::Esr, Field::Capacitance, Field::Status];
        let fields = Fields::new(&list, Capacitance).unwrap();
        assert_eq!(
            (
                fields.count(),
                fields.value(),
                fields.second(),
                fields.status()
            ),
            (4, 2, Some(1), Some(3))
        );
        assert_eq!(fields.second_is(), Some(Field::Esr));
        assert_eq!(Fields::new(&list, Resistance), None);
    }
}
