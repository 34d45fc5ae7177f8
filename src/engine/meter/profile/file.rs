//! The profile as it is written: what serde reads, with the place of everything that may be wrong.
//!
//! The only place that knows the keys of the file format.
//!
//! The profiles that come with the program stand behind it.

use serde::Deserialize;
use toml::Spanned;

use super::{EquivalentCircuit, Field, Mode};
use crate::engine::meter::{Ending, Flow, Parity};
use crate::engine::quantity::Quantity;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) format: Spanned<i64>,
    pub(super) title: String,
    pub(super) mode: Spanned<Mode>,
    pub(super) residual_v: Option<Spanned<f64>>,
    pub(super) line: Line,
    pub(super) timing: Spanned<Timing>,
    pub(super) identify: Option<Spanned<Identify>>,
    pub(super) errors: Option<Spanned<Errors>>,
    #[serde(default)]
    pub(super) number: Numbers,
    #[serde(default)]
    pub(super) function: Functions,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Line {
    pub(super) baud: Spanned<u32>,
    pub(super) data_bits: Option<Spanned<u8>>,
    #[serde(default)]
    pub(super) parity: Parity,
    pub(super) stop_bits: Option<Spanned<u8>>,
    #[serde(default)]
    pub(super) flow: Flow,
    #[serde(default)]
    pub(super) ending: Ending,
    pub(super) longest_reply: Option<Spanned<usize>>,
    pub(super) dtr: Option<bool>,
    pub(super) rts: Option<Spanned<bool>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Timing {
    pub(super) answer_within_s: Option<Spanned<f64>>,
    pub(super) silent_after_s: Option<Spanned<f64>>,
    pub(super) pause_s: Option<Spanned<f64>>,
    pub(super) readings_per_second: Option<Spanned<f64>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Identify {
    pub(super) query: Spanned<String>,
    pub(super) expect: Option<Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Errors {
    pub(super) query: Spanned<String>,
    #[serde(default = "yes")]
    pub(super) after_setup: bool,
    #[serde(default = "yes")]
    pub(super) after_timeout: bool,
}

const fn yes() -> bool {
    true
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Numbers {
    pub(super) overload: Option<Vec<Spanned<f64>>>,
    pub(super) not_a_number: Option<Vec<Spanned<f64>>>,
    #[serde(default)]
    pub(super) overload_words: Vec<Spanned<String>>,
    #[serde(default)]
    pub(super) not_a_number_words: Vec<Spanned<String>>,
    pub(super) status_good: Option<Vec<i32>>,
    pub(super) status_overload: Option<Vec<i32>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Functions {
    pub(super) resistance: Option<Spanned<Function>>,
    pub(super) capacitance: Option<Spanned<Function>>,
    pub(super) inductance: Option<Spanned<Function>>,
    pub(super) voltage: Option<Spanned<Function>>,
    pub(super) current: Option<Spanned<Function>>,
    pub(super) ac_voltage: Option<Spanned<Function>>,
}

impl Functions {
    /// The function that measures `quantity`, if it is described.
    pub(super) const fn of(&self, quantity: Quantity) -> Option<&Spanned<Function>> {
        match quantity {
            Quantity::Resistance => self.resistance.as_ref(),
            Quantity::Capacitance => self.capacitance.as_ref(),
            Quantity::Inductance => self.inductance.as_ref(),
            Quantity::Voltage => self.voltage.as_ref(),
            Quantity::Current => self.current.as_ref(),
            Quantity::AcVoltage => self.ac_voltage.as_ref(),
            Quantity::Ratio => None,
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Function {
    #[serde(default)]
    pub(super) setup: Vec<Spanned<String>>,
    pub(super) query: Option<Spanned<String>>,
    pub(super) fields: Option<Spanned<Vec<Field>>>,
    pub(super) circuit: Option<Spanned<EquivalentCircuit>>,
    pub(super) idle: Idle,
    pub(super) range: Spanned<Vec<Row>>,
    pub(super) frequency_hz: Option<Spanned<f64>>,
    pub(super) second_limit: Option<Spanned<SecondLimit>>,
    pub(super) input_megohm: Option<Spanned<f64>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SecondLimit {
    pub(super) percent_of_reading: Option<Spanned<f64>>,
    pub(super) absolute: Option<Spanned<f64>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Idle {
    Overload,
    Below(Spanned<f64>),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) up_to: Spanned<f64>,
    pub(super) resolution: Spanned<f64>,
    pub(super) percent_of_reading: Option<Spanned<f64>>,
    pub(super) percent_of_range: Option<Spanned<f64>>,
    pub(super) counts: Option<Spanned<f64>>,
}

/// A profile that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shipped {
    /// The name by which it is asked for.
    pub name: &'static str,
    /// Its text, richly commented: a starting point for an own one.
    pub text: &'static str,
}

const SHIPPED: [Shipped; 3] = [
    Shipped {
        name: "scpi-multimeter",
        text: include_str!("../../../../device-profiles/scpi-multimeter.toml"),
    },
    Shipped {
        name: "scpi-lcr-meter",
        text: include_str!("../../../../device-profiles/scpi-lcr-meter.toml"),
    },
    Shipped {
        name: "talk-only-line-meter",
        text: include_str!("../../../../device-profiles/talk-only-line-meter.toml"),
    },
];

/// Every profile that comes with the program.
pub fn shipped_profiles() -> &'static [Shipped] {
    &SHIPPED
}

/// The one of that name.
pub fn shipped_profile(name: &str) -> Option<&'static Shipped> {
    SHIPPED.iter().find(|shipped| shipped.name == name)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::engine::meter::{Field, Idle, Mode, Profile};
    use crate::engine::quantity::Quantity::{
        AcVoltage, Capacitance, Current, Inductance, Resistance, Voltage,
    };

    fn profile(name: &str) -> Profile {
        Profile::parse(shipped_profile(name).unwrap().text, name)
            .unwrap_or_else(|error| panic!("{error}"))
    }

    #[test]
    fn every_shipped_profile_is_understood() {
        for shipped in shipped_profiles() {
            assert_eq!(profile(shipped.name).name, shipped.name);
        }
        assert!(shipped_profile("no such meter").is_none());
    }

    /// Every key of a profile, as a key that is not there is refused with them.
    fn keys() -> BTreeSet<String> {
        let function = "[function.resistance]\n";
        let tables = [
            "",
            "[line]\n",
            "[timing]\n",
            "[identify]\n",
            "[errors]\n",
            "[number]\n",
            "[function]\n",
            function,
        ];
        let inner = [
            "second_limit = { nonsense = 1 }",
            "range = [{ nonsense = 1 }]",
        ];
        let texts = tables.iter().map(|table| format!("{table}nonsense = 1"));
        let texts = texts.chain(inner.map(|inner| format!("{function}{inner}")));
        let mut keys = BTreeSet::new();
        for text in texts {
            let error = toml::from_str::<File>(&text)
                .unwrap_err()
                .message()
                .to_owned();
            let (_, expected) = error.split_once("expected ").unwrap();
            keys.extend(expected.split('`').skip(1).step_by(2).map(str::to_owned));
        }
        keys
    }

    #[test]
    fn the_shipped_profiles_show_every_key_and_no_other() {
        // Also those that stand there as remarks.
        let lines = SHIPPED.iter().flat_map(|shipped| shipped.text.lines());
        let words = lines.map(|line| line.trim_start_matches(['#', ' ', '{']).split(' '));
        let shown =
            words.filter_map(|mut words| words.next().filter(|_| words.next() == Some("=")));
        let shown: BTreeSet<String> = shown.map(str::to_owned).collect();
        let keys = keys();
        let all: String = SHIPPED.iter().map(|shipped| shipped.text).collect();
        let is_shown = |key: &&String| {
            let ways = [
                format!("{key} ="),
                format!("[{key}]"),
                format!("[{key}."),
                format!(".{key}]"),
            ];
            ways.iter().any(|way| all.contains(way))
        };
        let hidden: Vec<&String> = keys.iter().filter(|key| !is_shown(key)).collect();
        assert!(hidden.is_empty(), "{hidden:?}");
        let unknown: Vec<&String> = shown.difference(&keys).collect();
        assert!(unknown.is_empty(), "{unknown:?}");
    }

    #[test]
    fn the_shipped_profiles_are_what_their_names_say() {
        let multimeter = profile("scpi-multimeter");
        assert!(multimeter.functions().map(|(quantity, _)| quantity).eq([
            Resistance,
            Capacitance,
            Voltage,
            Current,
            AcVoltage
        ]));
        assert_eq!(multimeter.idle(Resistance), Idle::Overload);
        let lcr = profile("scpi-lcr-meter");
        assert!(
            lcr.function(Capacitance)
                .unwrap()
                .fields
                .second_is()
                .is_some()
        );
        let coil = lcr.function(Inductance).unwrap();
        assert_eq!(
            (coil.fields.second_is(), coil.frequency),
            (Some(Field::Quality), Some(1000.0))
        );
        for quantity in [Capacitance, Inductance] {
            let second = lcr.second_uncertainty(quantity, 1e-6, 0.01);
            assert!(second.is_some_and(|u| u > 0.0), "{quantity}");
        }
        assert!(matches!(multimeter.idle(Voltage), Idle::Below(limit) if limit > 0.0));
        assert!(matches!(lcr.idle(Capacitance), Idle::Below(limit) if limit > 0.0));
        let talk = profile("talk-only-line-meter");
        assert_eq!((talk.mode, talk.identify.as_ref()), (Mode::Talk, None));
    }
}
