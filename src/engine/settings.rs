//! [`Settings`]: what `job.toml` says.

use std::collections::BTreeMap;
use std::str::FromStr;

use serde::Deserialize;
use toml::Spanned;

use crate::engine::judge::Rule;
use crate::engine::judge::safety::{Chassis, Mains};
use crate::engine::judge::winding::{Temperature, TemperatureError};
use crate::engine::parts::{ListSettings, Part};
use crate::engine::source::{DecimalMark, Dialect, Fault, Problem, Separator, TextError, TomlText};

/// Settings of `job.toml`. Everything may be left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Name of the equipment.
    pub title: String,
    /// The year in which it was made, if stated: 1880 or later.
    pub made: Option<i32>,
    /// The line that says so.
    made_line: usize,
    /// How values on the drawing are to be read where old practice is ambiguous.
    pub list: ListSettings,
    /// Decision rule of the job.
    pub rule: Rule,
    /// The meter that is used unless the command line names another.
    pub meter: MeterChoice,
    /// The meters beside it.
    pub meters: Vec<BenchMeter>,
    /// The mains that the equipment is run on.
    pub mains: Option<Mains>,
    /// How the chassis is connected, if stated.
    pub chassis: Option<Chassis>,
    /// Temperature at the bench.
    pub temperature: Option<Temperature>,
    /// Whether the probes may give signals by being held on each other.
    pub probe_signals: bool,
    /// Where everything that is joined in the equipment is on the list.
    pub complete: Complete,
    /// Whether a value that may be of several parts alike is written down for all of them without asking.
    pub sets: bool,
    /// Keys of the person's own choice, and the text of the command that each says.
    pub keys: BTreeMap<String, String>,
}

/// Where everything that is joined in the equipment is on the list.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(untagged)]
pub enum Complete {
    /// Everywhere, or nobody knows where.
    Everywhere(bool),
    /// Around the parts of these groups of the list.
    Groups(Vec<String>),
}

impl Complete {
    /// Whether the list is declared to have all that is joined around these parts.
    pub fn holds<'a>(&self, mut parts: impl Iterator<Item = &'a Part>) -> bool {
        match self {
            Self::Everywhere(everywhere) => *everywhere,
            Self::Groups(groups) => parts.all(|part| {
                let own = part.group.trim();
                groups
                    .iter()
                    .any(|group| group.trim().eq_ignore_ascii_case(own))
            }),
        }
    }
}

impl Default for Complete {
    fn default() -> Self {
        Self::Everywhere(false)
    }
}

/// A meter by profile and port.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeterChoice {
    /// A shipped profile's name, or the path of a profile file.
    pub profile: Option<String>,
    /// The port: a device path or `tcp:HOST:PORT`.
    pub port: Option<String>,
}

/// A meter at the bench.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BenchMeter {
    /// Name at the bench.
    pub name: String,
    /// A shipped profile's name, or the path of a profile file.
    pub profile: String,
    /// The port: a device path or `tcp:HOST:PORT`.
    pub port: String,
}

/// A meter as a command line has it: `PROFILE@PORT`, the port alone where job.toml has the profile, and a name in front of either
/// for each meter beside the first: `bridge=PROFILE@PORT`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeterWords {
    /// Its name; `None` for the first.
    pub name: Option<String>,
    /// Its profile; `None` for the one in job.toml.
    pub profile: Option<String>,
    pub port: String,
}

impl FromStr for MeterWords {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let split = |(before, rest)| (Some(before), rest);
        let named = text.split_once('=');
        let named = named.filter(|(name, _)| !name.contains(['/', '\\', '@', ':']));
        let (name, rest) = named.map_or((None, text), split);
        let (profile, port) = rest.rsplit_once('@').map_or((None, rest), split);
        if [name, profile, Some(port)].contains(&Some("")) {
            let expected =
                "expected PROFILE@PORT or NAME=PROFILE@PORT, as in scpi-multimeter@/dev/ttyUSB0";
            return Err(expected.to_owned());
        }
        Ok(Self {
            name: name.map(str::to_owned),
            profile: profile.map(str::to_owned),
            port: port.to_owned(),
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    #[serde(default)]
    title: String,
    made: Option<Spanned<i32>>,
    #[serde(default)]
    m_is_thousand: bool,
    rule: Option<Spanned<String>>,
    #[serde(default)]
    sheet: RawSheet,
    #[serde(default)]
    meter: MeterChoice,
    #[serde(default)]
    meters: Vec<BenchMeter>,
    mains: Option<Spanned<RawMains>>,
    #[serde(default)]
    bench: RawBench,
    #[serde(default)]
    network: RawNetwork,
    #[serde(default)]
    keys: BTreeMap<String, String>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawSheet {
    separator: Option<Spanned<String>>,
    decimal: Option<Spanned<String>>,
}

impl RawSheet {
    /// How the list is saved.
    fn dialect(&self, source: TomlText<'_>) -> Result<Dialect, TextError> {
        let separator = self.separator.as_ref().map(|found| {
            Separator::named(found.get_ref())
                .ok_or_else(|| source.fault("separator", found, "`,`, `;` or `tab`"))
        });
        let decimal = self.decimal.as_ref().map(|found| {
            DecimalMark::named(found.get_ref())
                .ok_or_else(|| source.fault("decimal", found, "`.` or `,`"))
        });
        Ok(Dialect {
            separator: separator.transpose()?,
            decimal: decimal.transpose()?,
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMains {
    volts: Option<f64>,
    hertz: Option<f64>,
    chassis: Option<String>,
}

impl RawMains {
    /// The mains, and how the chassis is connected.
    fn read(&self) -> Result<(Option<Mains>, Option<Chassis>), String> {
        let chassis = self.chassis.as_deref().map(|found| {
            Chassis::named(found).ok_or_else(|| {
                format!("[mains] chassis: found `{found}`, expected `isolated` or `live`")
            })
        });
        let chassis = chassis.transpose()?;
        let mains = match (self.volts, self.hertz) {
            (Some(volts), Some(hertz)) => {
                Some(Mains::new(volts, hertz).map_err(|error| error.to_string())?)
            }
            (None, None) if chassis.is_some() => None,
            _ => {
                let both = "expected both of [mains], such as `volts = 230` and `hertz = 50`";
                return Err(both.to_owned());
            }
        };
        Ok((mains, chassis))
    }
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawNetwork {
    #[serde(default)]
    complete: Complete,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawBench {
    temperature_c: Option<Spanned<f64>>,
    probe_signals: Option<bool>,
    sets: Option<bool>,
}

/// Nothing that the program is for was made before that year.
const EARLIEST: i32 = 1880;

/// Half-width of what a room thermometer, and a winding that has stood beside it, may be off, K (common practice, no source).
const THERMOMETER: f64 = 2.0;

/// The temperature of a winding that stood in a room of `celsius`, known to ±2 K (rectangular).
///
/// # Errors
/// If no room has that temperature.
pub fn room_temperature(celsius: f64) -> Result<Temperature, TemperatureError> {
    Temperature::new(celsius, THERMOMETER / 3f64.sqrt())
}

impl Settings {
    /// Reads the text of a `job.toml`.
    ///
    /// # Errors
    /// Fault of a TOML text at its place: no TOML, an unknown key, or a value that cannot be.
    pub fn parse(text: &str) -> Result<Self, TextError> {
        let source = TomlText { file: FILE, text };
        let raw: Raw = source.read()?;
        if let Some(made) = raw.made.as_ref().filter(|made| *made.get_ref() < EARLIEST) {
            return Err(source.fault("made", made, MADE));
        }
        let list = ListSettings {
            m_is_thousand: raw.m_is_thousand,
            dialect: raw.sheet.dialect(source)?,
            exact_headings: false,
        };
        let rule = said(source, raw.rule, |rule: &String| rule.parse())?;
        let mains = said(source, raw.mains, RawMains::read)?;
        let (mains, chassis) = mains.unwrap_or_default();
        let temperature = said(source, raw.bench.temperature_c, |found| {
            room_temperature(*found)
        })?;
        Ok(Self {
            title: raw.title,
            made_line: raw
                .made
                .as_ref()
                .map_or(0, |made| source.line(made.span().start)),
            made: raw.made.map(Spanned::into_inner),
            list,
            rule: rule.unwrap_or_default(),
            meter: raw.meter,
            meters: raw.meters,
            mains,
            chassis,
            temperature,
            complete: raw.network.complete,
            keys: raw.keys,
            probe_signals: raw.bench.probe_signals.unwrap_or(true),
            sets: raw.bench.sets.unwrap_or(false),
        })
    }

    /// Checks that the equipment was not made after the year that follows `this_year`.
    ///
    /// # Errors
    /// If it was. A replay does not ask: what a recording holds was checked at its time.
    pub fn check_made(&self, this_year: i32) -> Result<(), TextError> {
        match self.made {
            Some(found) if found > this_year.saturating_add(1) => {
                let words = format!("found made = `{found}`, expected {MADE}");
                let fault = Fault::in_line(self.made_line, Problem(words));
                Err(TextError::new(FILE, vec![fault]))
            }
            _ => Ok(()),
        }
    }
}

/// Name of the file in messages.
const FILE: &str = "job.toml";

/// Text expected of the year.
const MADE: &str =
    "the year in which the equipment was made, from 1880 to next year, such as `made = 1956`";

/// Result of `read` on a value, if there is one.
fn said<T, R, E: ToString>(
    source: TomlText<'_>,
    value: Option<Spanned<T>>,
    read: impl FnOnce(&T) -> Result<R, E>,
) -> Result<Option<R>, TextError> {
    let Some(value) = value else { return Ok(None) };
    let read = read(value.get_ref());
    read.map(Some)
        .map_err(|error| source.wrong(value.span(), &error.to_string(), ""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_file_is_all_defaults() {
        let settings = Settings::parse("").unwrap();
        assert_eq!(settings.rule, Rule::default());
        assert!(settings.title.is_empty() && settings.probe_signals);
    }

    #[test]
    fn everything_can_be_said() {
        let settings = Settings::parse(
            "title = \"amplifier\"\nm_is_thousand = true\nrule = \"simple\"\n[meter]\nprofile = \"scpi-multimeter\"\nport = \"tcp:localhost:5025\"\n[[meters]]\nname = \"bridge\"\nprofile = \"scpi-lcr-meter\"\nport = \"/dev/ttyS1\"\n",
        )
        .unwrap();
        assert!(settings.list.m_is_thousand);
        assert_eq!(settings.rule, Rule::Simple);
        assert_eq!(settings.meter.port.as_deref(), Some("tcp:localhost:5025"));
        assert_eq!(settings.meters[0].name, "bridge");
    }

    #[test]
    fn the_year_of_making_is_a_year_in_which_such_things_were_made() {
        let made = |year: i32| Settings::parse(&format!("made = {year}\n"));
        assert_eq!(made(1956).unwrap().made, Some(1956));
        assert_eq!(Settings::parse("").unwrap().made, None);
        for year in [56, 1879, -1956] {
            let error = made(year).unwrap_err().to_string();
            assert!(
                error.contains(&format!("found made = `{year}`")) && error.contains("1880"),
                "{error}"
            );
        }
        assert!(made(2057).unwrap().check_made(2056).is_ok());
        let error = made(2058)
            .unwrap()
            .check_made(2056)
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("job.toml:1: found made = `2058`") && error.contains("next year"),
            "{error}"
        );
    }

    #[test]
    fn unknown_keys_and_rules_are_named_with_their_line() {
        let error = Settings::parse("title = \"x\"\ncolour = \"red\"\n")
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("job.toml:2:") && error.contains("colour"),
            "{error}"
        );
        let error = Settings::parse("rule = \"strict\"\n")
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("`strict`") && error.contains("job.toml:1:8"),
            "{error}"
        );
    }

    #[test]
    fn a_meter_is_a_port_with_a_profile_and_a_name_in_front_where_they_are_said() {
        for (text, name, profile, port) in [
            (
                "bridge=own/lcr.toml@tcp:localhost:5025",
                Some("bridge"),
                Some("own/lcr.toml"),
                "tcp:localhost:5025",
            ),
            ("bridge=/dev/ttyUSB1", Some("bridge"), None, "/dev/ttyUSB1"),
            ("a=b/lcr.toml@COM3", Some("a"), Some("b/lcr.toml"), "COM3"),
            (
                "/home/a=b/lcr.toml@COM3",
                None,
                Some("/home/a=b/lcr.toml"),
                "COM3",
            ),
            ("/dev/ttyUSB0", None, None, "/dev/ttyUSB0"),
        ] {
            let expected = MeterWords {
                name: name.map(str::to_owned),
                profile: profile.map(str::to_owned),
                port: port.to_owned(),
            };
            assert_eq!(text.parse(), Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_lacks_something_is_told_what_is_expected() {
        for text in ["", "bridge=", "=x@y", "bridge=@y", "bridge=x@", "x@", "@y"] {
            let error = text.parse::<MeterWords>().unwrap_err();
            assert!(error.contains("NAME=PROFILE@PORT"), "{text}: {error}");
        }
    }
}
