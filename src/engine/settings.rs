//! [`Settings`]: what `job.toml` says.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::engine::judge::safety::Mains;
use crate::engine::judge::winding::{Temperature, TemperatureError};
use crate::engine::judge::{BadFigure, Rule, UnknownRule};
use crate::engine::parts::{DecimalMark, ListSettings, Separator};

/// What `job.toml` says. Everything may be left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Name of the equipment.
    pub title: String,
    /// The year in which it was made, if stated: 1880 or later.
    pub made: Option<i32>,
    /// How values on the drawing are to be read where old practice is ambiguous.
    pub list: ListSettings,
    /// Decision rule.
    pub rule: Rule,
    /// The meter that is used unless the command line names another.
    pub meter: MeterChoice,
    /// The meters beside it.
    pub meters: Vec<BenchMeter>,
    /// The mains that the equipment is run on.
    pub mains: Option<Mains>,
    /// Temperature at the bench.
    pub temperature: Option<Temperature>,
    /// Whether the probes may give signals by being held on each other.
    pub probe_signals: bool,
    /// Keys of the person's own choice, and the text of the command that each says.
    pub keys: BTreeMap<String, String>,
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
    /// What it is called at the bench.
    pub name: String,
    /// A shipped profile's name, or the path of a profile file.
    pub profile: String,
    /// The port: a device path or `tcp:HOST:PORT`.
    pub port: String,
}

/// `job.toml` cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum SettingsError {
    /// Not TOML, or a key that is not known.
    #[error("job.toml: {0}")]
    Toml(#[from] toml::de::Error),
    /// An unknown decision rule.
    #[error("job.toml: rule: {0}")]
    Rule(#[from] UnknownRule),
    /// A mains that cannot be.
    #[error("job.toml: [mains]: {0}")]
    Mains(#[from] BadFigure),
    /// No separator of columns.
    #[error("job.toml: [sheet]: separator: found `{found}`, expected `,`, `;` or `tab`")]
    Separator {
        /// What was given.
        found: String,
    },
    /// No decimal sign.
    #[error("job.toml: [sheet]: decimal: found `{found}`, expected `.` or `,`")]
    Decimal {
        /// What was given.
        found: String,
    },
    /// A year in which nothing of the kind was made.
    #[error(
        "job.toml: made: found {found}, expected the year in which the equipment was made, from 1880 to next year, such as `made = 1956`"
    )]
    Made {
        /// The year.
        found: i32,
    },
    /// A temperature that cannot be.
    #[error("job.toml: [bench]: {0}")]
    Temperature(#[from] TemperatureError),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    #[serde(default)]
    title: String,
    made: Option<i32>,
    #[serde(default)]
    m_is_thousand: bool,
    rule: Option<String>,
    #[serde(default)]
    sheet: RawSheet,
    #[serde(default)]
    meter: MeterChoice,
    #[serde(default)]
    meters: Vec<BenchMeter>,
    mains: Option<RawMains>,
    #[serde(default)]
    bench: RawBench,
    #[serde(default)]
    keys: BTreeMap<String, String>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawSheet {
    separator: Option<String>,
    decimal: Option<String>,
}

impl RawSheet {
    /// How the list is to be read.
    fn list(self, m_is_thousand: bool) -> Result<ListSettings, SettingsError> {
        let separator = self
            .separator
            .map(|found| Separator::named(&found).ok_or(SettingsError::Separator { found }));
        let decimal = self
            .decimal
            .map(|found| DecimalMark::named(&found).ok_or(SettingsError::Decimal { found }));
        Ok(ListSettings {
            m_is_thousand,
            separator: separator.transpose()?,
            decimal: decimal.transpose()?,
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMains {
    volts: f64,
    hertz: f64,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct RawBench {
    temperature_c: Option<f64>,
    probe_signals: Option<bool>,
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
    /// The TOML error shows line and column; unknown keys are errors.
    pub fn parse(text: &str) -> Result<Self, SettingsError> {
        let raw: Raw = toml::from_str(text)?;
        if let Some(found) = raw.made.filter(|made| *made < EARLIEST) {
            return Err(SettingsError::Made { found });
        }
        Ok(Self {
            title: raw.title,
            made: raw.made,
            list: raw.sheet.list(raw.m_is_thousand)?,
            rule: raw
                .rule
                .map(|rule| rule.parse())
                .transpose()?
                .unwrap_or_default(),
            meter: raw.meter,
            meters: raw.meters,
            mains: raw
                .mains
                .map(|mains| Mains::new(mains.volts, mains.hertz))
                .transpose()?,
            temperature: raw.bench.temperature_c.map(room_temperature).transpose()?,
            keys: raw.keys,
            probe_signals: raw.bench.probe_signals.unwrap_or(true),
        })
    }

    /// Checks that the equipment was not made after the year that follows `this_year`.
    ///
    /// # Errors
    /// If it was. A replay does not ask: what a recording holds was checked at its time.
    pub fn check_made(&self, this_year: i32) -> Result<(), SettingsError> {
        match self.made {
            Some(found) if found > this_year.saturating_add(1) => {
                Err(SettingsError::Made { found })
            }
            _ => Ok(()),
        }
    }
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
                error.contains(&format!("found {year}")) && error.contains("1880"),
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
            error.contains("found 2058") && error.contains("next year"),
            "{error}"
        );
    }

    #[test]
    fn unknown_keys_and_rules_are_named_with_their_line() {
        let error = Settings::parse("title = \"x\"\ncolour = \"red\"\n")
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("line 2") && error.contains("colour"),
            "{error}"
        );
        let error = Settings::parse("rule = \"strict\"\n")
            .unwrap_err()
            .to_string();
        assert!(error.contains("`strict`"), "{error}");
    }
}
