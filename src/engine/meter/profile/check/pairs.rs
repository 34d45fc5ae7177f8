//! Checks of what belongs to a pair of values: `fields`, `circuit`, `frequency_hz`, and `idle` where a value is derived.

use toml::Spanned;

use super::{Check, file};
use crate::engine::meter::Fields;
use crate::engine::meter::profile::fields::places_of_impedance;
use crate::engine::meter::profile::{EquivalentCircuit, Field};
use crate::engine::quantity::Quantity;

impl Check {
    /// The fields that hold the value, or those that it is derived from.
    pub(super) fn fields(&mut self, written: &file::Function, quantity: Quantity) -> Fields {
        let Some(fields) = &written.fields else {
            return Fields::one();
        };
        let list = fields.get_ref();
        let circuit = written.circuit.as_ref();
        let circuit = circuit.map_or(EquivalentCircuit::default(), |circuit| *circuit.get_ref());
        let hertz = written.frequency_hz.as_ref().map(|hertz| *hertz.get_ref());
        let found =
            Fields::new(list, quantity).or_else(|| Fields::derived(list, quantity, circuit, hertz));
        found.unwrap_or_else(|| {
            let impedance = places_of_impedance(list).is_some();
            if impedance && has_circuit(quantity) {
                self.find(
                    fields.span(),
                    format!("the {quantity} cannot be derived without the test frequency"),
                    "add `frequency_hz = ...`, in hertz",
                );
            } else {
                self.find(
                    fields.span(),
                    format!("no field holds the {quantity}"),
                    format!(
                        "expected `\"{quantity}\"` among the fields{}",
                        or_impedance(quantity)
                    ),
                );
            }
            Fields::one()
        })
    }

    /// The circuit, which some second values decide by themselves.
    pub(super) fn circuit(
        &mut self,
        written: &file::Function,
        quantity: Quantity,
        fields: &Fields,
    ) -> EquivalentCircuit {
        let second = match fields.derivation.as_ref() {
            Some(_) => None,
            None => fields.second_is(),
        };
        let implied = match second.filter(|_| has_circuit(quantity)) {
            Some(Field::ParallelResistance) => Some(EquivalentCircuit::Parallel),
            Some(Field::Esr) => Some(EquivalentCircuit::Series),
            _ => None,
        };
        if let (Some(EquivalentCircuit::Parallel), None, Some(place)) =
            (implied, &written.frequency_hz, &written.fields)
        {
            let title = "no loss follows from a parallel resistance without the test frequency";
            self.find(place.span(), title, "add `frequency_hz = ...`, in hertz");
        }
        let Some(circuit) = &written.circuit else {
            return implied.unwrap_or_default();
        };
        let said = *circuit.get_ref();
        if !has_circuit(quantity) {
            self.find(
                circuit.span(),
                format!("{quantity} belongs to no equivalent circuit"),
                "remove `circuit`; capacitance and inductance have one",
            );
        } else if let (Some(implied), Some(second)) = (implied, second)
            && implied != said
        {
            let (said, implied) = (said.name(), implied.name());
            self.find(
                circuit.span(),
                format!("the {} is not of the {said} circuit", second.words()),
                format!("expected `\"{implied}\"`, or another second value in `fields`"),
            );
        }
        said
    }

    pub(super) fn frequency(
        &mut self,
        written: Option<&Spanned<f64>>,
        quantity: Quantity,
        fields: &Fields,
    ) -> Option<f64> {
        let alternating = has_circuit(quantity) || fields.second_is() == Some(Field::Reactance);
        let written = written?;
        if !alternating {
            self.find(
                written.span(),
                format!("{quantity} has no test frequency"),
                "remove `frequency_hz`; capacitance and inductance have one",
            );
        }
        Some(self.positive(written, "frequency_hz"))
    }

    /// With free leads an impedance is beyond the range, which is no capacitance and more than any inductance or resistance.
    pub(super) fn idle_of_derived(&mut self, written: &file::Function, fields: &Fields) {
        let (Some(derivation), Some(place)) = (fields.derivation.as_ref(), &written.fields) else {
            return;
        };
        let quantity = derivation.quantity();
        let next_to_nothing = matches!(written.idle, file::Idle::Below(_));
        if next_to_nothing == (quantity == Quantity::Capacitance) {
            return;
        }
        let label = if next_to_nothing {
            "add `idle = \"overload\"`: free leads are beyond the range of an impedance"
        } else {
            "add `idle = { below = ... }`, in farad: free leads are next to no capacitance"
        };
        let title = format!("the derived {quantity} of free leads is said to be something else");
        self.find(place.span(), title, label);
    }
}

/// Whether it is a capacitance or an inductance, which belong to a circuit and a frequency.
const fn has_circuit(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::Capacitance | Quantity::Inductance)
}

/// Other fields in place of `quantity` itself, in words.
const fn or_impedance(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Capacitance | Quantity::Inductance => {
            ", or `\"impedance\"` with `\"angle_deg\"` or `\"angle_rad\"`, or `\"resistance\"` with `\"reactance\"`"
        }
        Quantity::Resistance => ", or `\"impedance\"` with `\"angle_deg\"` or `\"angle_rad\"`",
        Quantity::Voltage | Quantity::Current | Quantity::AcVoltage | Quantity::Ratio => "",
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::impedance::PairKind;
    use crate::engine::meter::{Field, Profile};
    use crate::engine::quantity::Quantity;
    use crate::engine::source::TextError;

    const HEAD: &str = "format = 1\ntitle = \"x\"\nmode = \"talk\"\n[line]\nbaud = 9600\n[timing]\nsilent_after_s = 2\n";

    /// A profile of one function that says `keys`.
    fn profile(quantity: Quantity, keys: &str) -> Result<Profile, TextError> {
        let idle = match quantity {
            Quantity::Capacitance => "{ below = 1e-12 }",
            _ => "\"overload\"",
        };
        let idle = if keys.contains("idle") {
            String::new()
        } else {
            format!("idle = {idle}\n")
        };
        let text = format!(
            "{HEAD}[function.{quantity}]\n{keys}\n{idle}range = [{{ up_to = 1, resolution = 1e-15, counts = 5 }}]\n"
        );
        Profile::parse(&text, "x.toml")
    }

    #[test]
    fn every_pair_of_values_can_be_described() {
        use Quantity::{Capacitance, Inductance, Resistance};
        let parallel = "circuit = \"parallel\"\n";
        for (quantity, fields, circuit, pair) in [
            (Capacitance, "capacitance loss", "", PairKind::CsD),
            (Capacitance, "capacitance loss", parallel, PairKind::CpD),
            (Capacitance, "capacitance esr", "", PairKind::CsEsr),
            (
                Capacitance,
                "capacitance parallel_resistance",
                "",
                PairKind::CpRp,
            ),
            (Inductance, "inductance quality", "", PairKind::LsQ),
            (Inductance, "inductance quality", parallel, PairKind::LpQ),
            (Capacitance, "impedance angle_deg", "", PairKind::CsD),
            (Capacitance, "impedance angle_rad", parallel, PairKind::CpD),
            (Capacitance, "resistance reactance", "", PairKind::CsD),
            (Capacitance, "esr reactance", parallel, PairKind::CpD),
            (Inductance, "angle_deg impedance", "", PairKind::LsQ),
            (Inductance, "reactance resistance", parallel, PairKind::LpQ),
            (Resistance, "resistance reactance", "", PairKind::RX),
            (Resistance, "impedance angle_deg", "", PairKind::RX),
        ] {
            let list: Vec<_> = fields
                .split(' ')
                .map(|field| format!("\"{field}\""))
                .collect();
            let keys = format!(
                "fields = [{}]\nfrequency_hz = 1e3\n{circuit}",
                list.join(", ")
            );
            let profile = profile(quantity, &keys).unwrap_or_else(|error| panic!("{error}"));
            let function = profile.function(quantity).unwrap();
            assert_eq!(function.pair, Some(pair), "{fields} {circuit}");
        }
    }

    #[test]
    fn a_second_value_that_tells_no_impedance_is_no_pair() {
        let keys = "fields = [\"capacitance\", \"quality\"]";
        let profile = profile(Quantity::Capacitance, keys).unwrap();
        let function = profile.function(Quantity::Capacitance).unwrap();
        assert_eq!(function.pair, None);
        assert_eq!(function.fields.second_is(), Some(Field::Quality));
    }

    #[test]
    fn what_contradicts_itself_is_found() {
        use Quantity::{Capacitance, Inductance, Resistance};
        let polar = "fields = [\"impedance\", \"angle_deg\"]\nfrequency_hz = 50\n";
        for (quantity, keys, found) in [
            (
                Capacitance,
                "fields = [\"impedance\", \"angle_deg\"]",
                "cannot be derived without the test frequency",
            ),
            (
                Capacitance,
                "fields = [\"impedance\", \"loss\"]",
                "no field holds the capacitance",
            ),
            (
                Capacitance,
                "fields = [\"capacitance\", \"parallel_resistance\"]",
                "without the test frequency",
            ),
            (
                Capacitance,
                "fields = [\"capacitance\", \"esr\"]\ncircuit = \"parallel\"",
                "the equivalent series resistance is not of the parallel circuit",
            ),
            (
                Inductance,
                "fields = [\"inductance\", \"parallel_resistance\"]\nfrequency_hz = 50\ncircuit = \"series\"",
                "the parallel resistance is not of the series circuit",
            ),
            (
                Resistance,
                "circuit = \"series\"",
                "resistance belongs to no equivalent circuit",
            ),
            (Capacitance, "circuit = \"bridge\"", "unknown variant"),
            (
                Capacitance,
                &format!("{polar}idle = \"overload\""),
                "next to no capacitance",
            ),
            (
                Inductance,
                &format!("{polar}idle = {{ below = 1e-6 }}"),
                "free leads are beyond the range",
            ),
            (
                Capacitance,
                "fields = [\"impedance\", \"angle_deg\"]\nfrequency_hz = 0",
                "`frequency_hz` is 0",
            ),
            (Resistance, "frequency_hz = 50", "has no test frequency"),
        ] {
            let error = profile(quantity, keys).unwrap_err().to_string();
            assert!(error.contains(found), "{keys}\n{error}");
        }
    }
}
