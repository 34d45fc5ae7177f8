//! [`Fields`]: what the comma-separated fields of a reply hold.

use serde::Deserialize;
use strum::{IntoStaticStr, VariantArray};

use super::{Derivation, EquivalentCircuit};
use crate::engine::meter::Unit;
use crate::engine::quantity::Quantity;

/// Content of one field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
#[derive(IntoStaticStr, VariantArray)]
#[strum(serialize_all = "snake_case")]
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
    /// Alternating voltage, root mean square, in volt.
    AcVoltage,
    /// Loss factor tan δ, a plain number.
    Loss,
    /// Quality factor 1/tan δ, a plain number.
    Quality,
    /// Equivalent series resistance, in ohm.
    Esr,
    /// Resistance of the parallel circuit, in ohm.
    ParallelResistance,
    /// Reactance X, in ohm; negative for a capacitance.
    Reactance,
    /// Magnitude |Z| of the impedance, in ohm.
    Impedance,
    /// Angle θ of the impedance, in degrees; negative for a capacitance.
    AngleDeg,
    /// Angle θ of the impedance, in radian; negative for a capacitance.
    AngleRad,
    /// A status number; see `status_good` and `status_overload`.
    Status,
    /// Something not used.
    Ignore,
}

words!(Field: ALL, name);

impl Field {
    /// Content and unit.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Resistance => "resistance, or the real part R of an impedance, in ohm",
            Self::Capacitance => "capacitance, in farad",
            Self::Inductance => "inductance, in henry",
            Self::Voltage => "direct voltage, in volt",
            Self::Current => "direct current, in ampere",
            Self::AcVoltage => "alternating voltage, root mean square, in volt",
            Self::Loss => "loss factor tan δ (D), a plain number",
            Self::Quality => "quality factor Q, a plain number",
            Self::Esr => "equivalent series resistance, in ohm",
            Self::ParallelResistance => "resistance of the parallel circuit, in ohm",
            Self::Reactance => "imaginary part X of an impedance, in ohm",
            Self::Impedance => "magnitude of an impedance, in ohm",
            Self::AngleDeg => "its angle θ, in degrees, negative for a capacitor",
            Self::AngleRad => "its angle θ, in radian",
            Self::Status => "whether the reading is good, as `[number]` says",
            Self::Ignore => "something not used",
        }
    }

    /// The words for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Resistance => "resistance",
            Self::Capacitance => "capacitance",
            Self::Inductance => "inductance",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::AcVoltage => "alternating voltage",
            Self::Loss => "loss factor tan δ",
            Self::Quality => "quality factor",
            Self::Esr => "equivalent series resistance",
            Self::ParallelResistance => "parallel resistance",
            Self::Reactance => "reactance",
            Self::Impedance => "magnitude of the impedance",
            Self::AngleDeg => "angle in degrees",
            Self::AngleRad => "angle in radian",
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
            Self::AcVoltage => Some(Quantity::AcVoltage),
            _ => None,
        }
    }

    /// Whether a unit may stand behind the number of a field that holds a value.
    pub(in crate::engine::meter) fn admits(self, unit: Unit) -> bool {
        match unit {
            Unit::Unsaid => true,
            Unit::Degree => self == Self::AngleDeg,
            Unit::Radian => self == Self::AngleRad,
            Unit::Foreign => false,
            Unit::Of { quantity, .. } => self.unit_of() == Some(quantity),
        }
    }

    /// The quantity whose unit the field's number has; `None` for a plain number and an angle.
    pub const fn unit_of(self) -> Option<Quantity> {
        match self {
            Self::Esr | Self::ParallelResistance | Self::Reactance | Self::Impedance => {
                Some(Quantity::Resistance)
            }
            other => other.quantity(),
        }
    }
}

/// The places of the fields in a reply, counted from zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fields {
    /// Number of fields in a reply.
    pub count: usize,
    /// The place of the value.
    pub value: usize,
    second: Option<(usize, Field)>,
    /// The place of the status.
    pub status: Option<usize>,
    /// Derivation of value and second value from the reply, where it does not hold them.
    pub derivation: Option<Derivation>,
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
            derivation: None,
        })
    }

    /// The value follows from two fields that hold an impedance at `hertz`: `impedance` and an angle, or `resistance` (or
    /// `esr`) and `reactance`. `None` if there are none such, or the frequency is lacking.
    pub fn derived(
        fields: &[Field],
        quantity: Quantity,
        circuit: EquivalentCircuit,
        hertz: Option<f64>,
    ) -> Option<Self> {
        let (value, second) = places_of_impedance(fields)?;
        let pair = [fields[value], fields[second]];
        Some(Self {
            count: fields.len(),
            value,
            second: Some((second, fields[second])),
            status: fields.iter().position(|field| *field == Field::Status),
            derivation: Some(Derivation::new(quantity, circuit, pair, hertz)?),
        })
    }

    /// A reply that is one value and nothing else.
    pub const fn one() -> Self {
        Self {
            count: 1,
            value: 0,
            second: None,
            status: None,
            derivation: None,
        }
    }

    /// The place of the second value.
    pub fn second(&self) -> Option<usize> {
        self.second.map(|(index, _)| index)
    }

    /// Field of the second value: in the reply, or derived from it.
    pub fn second_is(&self) -> Option<Field> {
        match &self.derivation {
            Some(derivation) => Some(derivation.second_is()),
            None => self.second_written(),
        }
    }

    /// Content of the reply at the place of the second value.
    pub(in crate::engine::meter) fn second_written(&self) -> Option<Field> {
        self.second.map(|(_, field)| field)
    }
}

/// Where the two numbers of an impedance stand, if it is among the fields.
pub(super) fn places_of_impedance(fields: &[Field]) -> Option<(usize, usize)> {
    let place = |wanted: &[Field]| fields.iter().position(|field| wanted.contains(field));
    let polar = place(&[Field::Impedance]).zip(place(&[Field::AngleDeg, Field::AngleRad]));
    let parts = || place(&[Field::Resistance, Field::Esr]).zip(place(&[Field::Reactance]));
    polar.or_else(parts)
}

#[cfg(test)]
mod tests {
    use super::{EquivalentCircuit, Field, Fields};
    use crate::engine::meter::Unit;
    use crate::engine::quantity::Quantity::{self, Capacitance, Resistance};

    #[test]
    fn a_field_is_written_by_its_name() {
        #[derive(serde::Deserialize)]
        struct Written {
            fields: Vec<Field>,
        }
        let names = Field::ALL.map(|field| format!("\"{}\"", field.name()));
        let text = format!("fields = [{}]", names.join(", "));
        let written: Written = toml::from_str(&text).unwrap();
        assert_eq!(written.fields, Field::ALL);
    }

    #[test]
    fn an_impedance_is_found_in_any_order() {
        let list = [Field::Reactance, Field::Status, Field::Resistance];
        let fields =
            Fields::derived(&list, Capacitance, EquivalentCircuit::Parallel, Some(1e3)).unwrap();
        assert_eq!(
            (fields.value, fields.second(), fields.status),
            (2, Some(0), Some(1))
        );
        assert_eq!(fields.second_is(), Some(Field::Loss));
        assert_eq!(fields.second_written(), Some(Field::Reactance));
        for lacking in [&list[..2], &[Field::Impedance, Field::Reactance]] {
            let none = Fields::derived(lacking, Capacitance, EquivalentCircuit::Series, Some(1e3));
            assert_eq!(none, None);
        }
    }

    #[test]
    fn only_a_unit_of_its_own_stands_behind_a_field() {
        let of = |quantity| Unit::Of {
            quantity,
            exponent: 0,
        };
        let (ohm, volt) = (of(Resistance), of(Quantity::Voltage));
        for (field, fits, not) in [
            (Field::Esr, ohm, volt),
            (Field::ParallelResistance, ohm, Unit::Degree),
            (Field::Impedance, ohm, of(Capacitance)),
            (Field::AngleDeg, Unit::Degree, Unit::Radian),
            (Field::AngleRad, Unit::Radian, Unit::Degree),
            (Field::Loss, Unit::Unsaid, Unit::Foreign),
            (Field::Capacitance, of(Capacitance), ohm),
        ] {
            assert!(
                field.admits(fits) && field.admits(Unit::Unsaid),
                "{field:?}"
            );
            assert!(!field.admits(not), "{field:?}");
        }
    }

    #[test]
    fn places_are_found() {
        let list = [Field::Ignore, Field::Esr, Field::Capacitance, Field::Status];
        let fields = Fields::new(&list, Capacitance).unwrap();
        assert_eq!(
            (fields.count, fields.value, fields.second(), fields.status),
            (4, 2, Some(1), Some(3))
        );
        assert_eq!(fields.second_is(), Some(Field::Esr));
        assert_eq!(Fields::new(&list, Resistance), None);
    }
}
