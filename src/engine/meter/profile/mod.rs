//! [`Profile`]: the description of one kind of meter, read from a TOML text.
//!
//! The text becomes the structures of `file` (as written), which `check` turns into a [`Profile`] (as meant).

mod check;
mod derivation;
mod fields;
mod file;
mod function;

use std::time::Duration;

use super::{Accuracy, LineSettings, Sentinels};
use crate::engine::quantity::Quantity;
use crate::engine::source::{TextError, TomlText};

pub(super) use derivation::NoImpedance;
pub use derivation::{Derivation, EquivalentCircuit};
pub use fields::{Field, Fields};
pub use file::{shipped_profile, shipped_profiles};
pub use function::{Function, Idle, SecondLimit};

/// The side that starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mode {
    /// The meter is asked for every reading.
    Query,
    /// The meter sends readings by itself and takes no commands.
    Talk,
}

/// Waits and time limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timing {
    /// A question not answered after this is a time-out. 10 ms to 60 s.
    pub answer_within: Duration,
    /// A talk-only meter that sends nothing for so long is silent. 10 ms to 600 s.
    pub silent_after: Duration,
    /// Pause between an answer and the next question; zero for none, at most 60 s.
    pub pause: Duration,
    /// Readings that come in a second, as a hint for the reader of the profile.
    pub readings_per_second: Option<f64>,
}

/// Question by which the meter tells what it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identify {
    /// The question, without line ending.
    pub query: String,
    /// A text that the answer contains. Never something that a reading could contain: it has two letters or more and is no reply, unit or word of `[number]`.
    pub expect: Option<String>,
}

impl Identify {
    /// Whether `line` is the expected answer. Where no text is expected, it is one of at least four comma-separated fields
    /// (maker, model, serial number, firmware: IEEE 488.2, `*IDN?`, from memory) that starts with a letter.
    pub fn answers(&self, line: &str) -> bool {
        match &self.expect {
            Some(text) => line.contains(text.as_str()),
            None => {
                line.bytes().filter(|&b| b == b',').count() >= 3
                    && line.starts_with(|c: char| c.is_ascii_alphabetic())
            }
        }
    }
}

/// Question by which the meter's error queue is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ErrorQuery {
    /// The question, without line ending.
    pub query: String,
    /// Asked after set-up commands.
    pub after_setup: bool,
    /// Asked after a time-out.
    pub after_timeout: bool,
}

/// The description of one kind of meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The name given to [`parse`](Self::parse).
    pub name: String,
    /// Description of the meter, for people.
    pub title: String,
    /// The side that starts.
    pub mode: Mode,
    /// Voltage below which a part must be before this meter measures ohms, farads or henrys of it, V: what is left spoils the
    /// reading, and more of it the meter. `residual_v`, 2 V where the profile does not state it (common practice, no source).
    pub residual_volts: f64,
    /// Settings of the serial line.
    pub line: LineSettings,
    /// Time-outs and pauses.
    pub timing: Timing,
    /// Question by which the meter tells what it is, if it does.
    pub identify: Option<Identify>,
    /// Question by which its error queue is read, if it has one.
    pub errors: Option<ErrorQuery>,
    /// Numbers by which it says "overload" and "not a number".
    pub sentinels: Sentinels,
    functions: [Option<Function>; Quantity::ALL.len()],
}

impl Profile {
    /// Reads a profile. `name` is used in messages: the path of the file, or the name of a shipped profile.
    ///
    /// # Errors
    /// If the text is not TOML, has unknown or missing keys, or says something impossible. The error shows every finding at its place in the text.
    pub fn parse(text: &str, name: &str) -> Result<Self, TextError> {
        let file = TomlText { file: name, text }.read()?;
        check::profile(&file, name).map_err(|marks| TextError::marked(name, text, marks))
    }

    /// Function that measures `quantity`, if there is one.
    pub const fn function(&self, quantity: Quantity) -> Option<&Function> {
        self.functions[quantity as usize].as_ref()
    }

    /// Every quantity that it measures, with how.
    pub fn functions(&self) -> impl Iterator<Item = (Quantity, &Function)> {
        Quantity::ALL
            .into_iter()
            .filter_map(|quantity| Some((quantity, self.function(quantity)?)))
    }

    /// The quantity of the only function; `None` if there are several.
    pub fn only_quantity(&self) -> Option<Quantity> {
        let mut all = self.functions();
        let (quantity, _) = all.next()?;
        all.next().is_none().then_some(quantity)
    }

    /// Accuracy by the data sheet of a reading of `value` (SI base unit): from the smallest range that shows it, else the largest.
    /// `None` if the meter does not measure `quantity` or `value` is not finite.
    pub fn accuracy(&self, quantity: Quantity, value: f64) -> Option<Accuracy> {
        self.function(quantity)?.accuracy(value)
    }

    /// Standard uncertainty of the second value `second` beside a first value `value`, in the unit of the second value; `None`
    /// where the meter does not measure `quantity`, the profile states no accuracy of a second value, or a value is not finite.
    pub fn second_uncertainty(&self, quantity: Quantity, value: f64, second: f64) -> Option<f64> {
        let limit = self.function(quantity)?.second_limit?;
        let finite = value.is_finite() && second.is_finite();
        finite.then(|| limit.standard_uncertainty(second))
    }

    /// Display of the meter with the probes in the air; [`Idle::Overload`] for a quantity it does not measure.
    pub fn idle(&self, quantity: Quantity) -> Idle {
        self.function(quantity)
            .map_or(Idle::Overload, |function| function.idle)
    }
}

#[cfg(test)]
mod tests {
    use super::{Idle, Mode, Profile};
    use crate::engine::quantity::Quantity::{
        Capacitance, Current, Inductance, Resistance, Voltage,
    };

    const SMALL: &str = r#"
format = 1
title = "small"
mode = "talk"
[line]
baud = 2400
[timing]
silent_after_s = 2
[function.resistance]
idle = "overload"
range = [
    { up_to = 1e3, resolution = 0.1, percent_of_reading = 0.5, counts = 2 },
    { up_to = 1e6, resolution = 100, percent_of_reading = 1, counts = 5 },
]
"#;

    /// The error's text for the small profile with `from` replaced by `to`.
    fn error(from: &str, to: &str) -> String {
        assert!(SMALL.contains(from), "`{from}` is not in the profile");
        Profile::parse(&SMALL.replace(from, to), "small.toml")
            .unwrap_err()
            .to_string()
    }

    #[test]
    fn a_small_profile_is_understood() {
        let profile = Profile::parse(SMALL, "small.toml").unwrap();
        assert_eq!(
            (profile.mode, profile.line.baud, profile.only_quantity()),
            (Mode::Talk, 2400, Some(Resistance))
        );
        assert_eq!(profile.idle(Resistance), Idle::Overload);
        assert!(profile.function(Capacitance).is_none());
    }

    #[test]
    fn the_smallest_range_that_shows_the_value_is_taken() {
        let profile = Profile::parse(SMALL, "small.toml").unwrap();
        let full_scale = |value| profile.accuracy(Resistance, value).map(|a| a.full_scale);
        assert_eq!(full_scale(1000.0), Some(1e3));
        assert_eq!(full_scale(-1000.1), Some(1e6));
        assert_eq!(full_scale(5e6), Some(1e6));
        assert_eq!(full_scale(f64::NAN), None);
        assert_eq!(profile.accuracy(Capacitance, 1.0), None);
    }

    #[test]
    fn the_lines_that_feed_an_isolating_cable_can_be_set() {
        let of = |more: &str| {
            let text = SMALL.replace("baud = 2400", &format!("baud = 2400\n{more}"));
            Profile::parse(&text, "small.toml").unwrap().line
        };
        assert_eq!((of("").dtr, of("").rts), (None, None));
        assert_eq!(of("").to_string(), "2400 baud, 8N1, flow control none");
        let line = of("dtr = true\nrts = false");
        assert_eq!((line.dtr, line.rts), (Some(true), Some(false)));
        assert!(line.to_string().ends_with(", DTR high, RTS low"), "{line}");
        let text = error(
            "baud = 2400",
            "baud = 2400\nflow = \"hardware\"\nrts = true",
        );
        assert!(text.contains("small.toml:8:7"), "{text}");
        assert!(text.contains("flow control moves RTS by itself"), "{text}");
    }

    #[test]
    fn what_may_be_left_on_a_part_is_two_volts_and_never_more_than_ten() {
        assert_eq!(Profile::parse(SMALL, "x").unwrap().residual_volts, 2.0);
        let stated = |volts: &str| {
            let text = SMALL.replace("[line]", &format!("residual_v = {volts}\n[line]"));
            Profile::parse(&text, "small.toml").map_err(|error| error.to_string())
        };
        assert_eq!(stated("10").unwrap().residual_volts, 10.0);
        assert_eq!(stated("0.5").unwrap().residual_volts, 0.5);
        for wrong in ["10.1", "60", "0", "-1", "nan", "inf"] {
            assert!(stated(wrong).is_err(), "{wrong}");
        }
        let text = stated("50").unwrap_err();
        assert!(text.contains("small.toml:5:14"), "{text}");
        assert!(text.contains("not the input protection"), "{text}");
    }

    #[test]
    fn a_toml_error_shows_its_place() {
        let text = error("baud = 2400", "baud = fast");
        assert!(
            text.contains("small.toml:6:8") && text.contains('^'),
            "{text}"
        );
    }

    #[test]
    fn an_unknown_key_shows_its_place() {
        let text = error("baud = 2400", "baud = 2400\nspeed = 3");
        assert!(
            text.contains("small.toml:7:1") && text.contains("speed"),
            "{text}"
        );
    }

    #[test]
    fn every_impossible_value_is_found_in_one_go() {
        let text = Profile::parse(
            &SMALL
                .replace("2400", "3")
                .replace("1e6", "1e2")
                .replace("0.1", "-0.1"),
            "small.toml",
        )
        .unwrap_err();
        let lines: Vec<usize> = text.faults().iter().map(|fault| fault.line).collect();
        assert_eq!(lines, [6, 12, 13, 13], "{text}");
        assert!(text.to_string().contains("small.toml:13:15"), "{text}");
    }

    #[test]
    fn a_talk_only_meter_is_given_no_commands() {
        let text = error("idle =", "query = \"READ?\"\nidle =");
        assert!(text.contains("takes no commands"), "{text}");
    }

    #[test]
    fn a_profile_needs_a_function_with_a_range() {
        let (head, _) = SMALL.split_once("[function").unwrap();
        assert!(
            Profile::parse(head, "x")
                .unwrap_err()
                .to_string()
                .contains("function")
        );
        let text = error("range = [", "range = []\nnothing = [");
        assert!(text.contains("nothing"), "{text}");
        let (head, _) = SMALL.split_once("range").unwrap();
        let text = Profile::parse(&format!("{head}range = []"), "x")
            .unwrap_err()
            .to_string();
        assert!(text.contains("at least one range"), "{text}");
    }

    #[test]
    fn a_reading_must_not_look_like_a_sentinel() {
        let text = error("[function", "[number]\noverload = [5e5]\n[function");
        assert!(text.contains("inside a range"), "{text}");
        let text = error(
            "[function",
            "[number]\noverload = [9.9e37]\nnot_a_number = [9.9e37]\n[function",
        );
        assert!(text.contains("told apart"), "{text}");
    }

    #[test]
    fn an_identification_must_not_look_like_a_reading() {
        let text = |expect: &str, number: &str| {
            let query = SMALL
                .replace("\"talk\"", "\"query\"")
                .replace("silent_after_s", "answer_within_s")
                .replace("idle =", "fields = [\"resistance\", \"ignore\", \"ignore\", \"status\"]\nquery = \"READ?\"\nidle =");
            format!("{query}\n[identify]\nquery = \"*IDN?\"\n{expect}\n[number]\n{number}")
        };
        let good = |expect: &str, number: &str| Profile::parse(&text(expect, number), "x").is_ok();
        assert!(good("expect = \"MODEL 7\"", "overload_words = [\"OL\"]"));
        assert!(good("", ""));
        assert!(!good("", "overload_words = [\"OL\"]"));
        for expect in ["4.7", "E3", "kOhm", "OHM", "OVER", "-", ""] {
            assert!(
                !good(
                    &format!("expect = \"{expect}\""),
                    "overload_words = [\"OVERFLOW\"]"
                ),
                "{expect}"
            );
        }
    }

    const COIL: &str = r#"
[function.inductance]
fields = ["inductance", "quality"]
frequency_hz = 120
second_limit = { percent_of_reading = 2, absolute = 0.03 }
idle = "overload"
range = [{ up_to = 10, resolution = 1e-6, counts = 5 }]
"#;

    /// The small profile with a function for inductance, `from` replaced by `to` in it.
    fn with_coil(from: &str, to: &str) -> Result<Profile, super::TextError> {
        assert!(COIL.contains(from), "`{from}` is not in the profile");
        Profile::parse(&format!("{SMALL}{}", COIL.replace(from, to)), "coil.toml")
    }

    #[test]
    fn frequency_and_the_accuracy_of_the_second_value_are_understood() {
        let profile = with_coil("120", "120").unwrap();
        let coil = profile.function(Inductance).unwrap();
        assert_eq!(coil.frequency, Some(120.0));
        // JCGM 100:2008, 4.3.7 (from memory): a/√3 with a = 2 % of 10 and 0.03, so 0.23 / 1.732050808.
        let u = profile.second_uncertainty(Inductance, 1.0, -10.0).unwrap();
        assert!((u - 0.132_790_562).abs() < 1e-9, "{u}");
        assert_eq!(profile.second_uncertainty(Inductance, 1.0, f64::NAN), None);
        assert_eq!(
            profile.second_uncertainty(Inductance, f64::INFINITY, 1.0),
            None
        );
        assert_eq!(profile.second_uncertainty(Resistance, 1.0, 1.0), None);
        assert_eq!(profile.function(Resistance).unwrap().frequency, None);
    }

    #[test]
    fn what_cannot_be_said_of_frequency_and_second_value_is_found() {
        let text = |from: &str, to: &str| with_coil(from, to).unwrap_err().to_string();
        assert!(text("120", "0").contains("`frequency_hz` is 0"));
        assert!(text("= 2,", "= -2,").contains("`percent_of_reading` is -2"));
        assert!(text("0.03", "inf").contains("`absolute` is inf"));
        assert!(text("\"inductance\", \"quality\"", "\"inductance\"").contains("no second value"));
        assert!(text("{ percent_of_reading = 2, absolute = 0.03 }", "{}").contains("no accuracy"));
        assert!(text("absolute", "counts").contains("counts"));
        let text = error("idle =", "frequency_hz = 50\nidle =");
        assert!(text.contains("has no test frequency"), "{text}");
    }

    #[test]
    fn voltage_and_current_are_functions_like_the_others() {
        let more = "[function.voltage]\nidle = { below = 0.2 }\nrange = [{ up_to = 1e3, resolution = 0.01, counts = 2 }]\n\
                    [function.current]\nfields = [\"ignore\", \"current\"]\nidle = { below = 1e-7 }\nrange = [{ up_to = 1, resolution = 1e-6, counts = 2 }]\n";
        let profile = Profile::parse(&format!("{SMALL}{more}"), "x").unwrap();
        assert!(
            profile
                .functions()
                .map(|(quantity, _)| quantity)
                .eq([Resistance, Voltage, Current])
        );
        assert_eq!(profile.idle(Voltage), Idle::Below(0.2));
        assert_eq!(profile.function(Current).unwrap().fields.value, 1);
    }

    #[test]
    fn an_unknown_format_is_refused() {
        assert!(error("format = 1", "format = 2").contains("format"));
    }
}
