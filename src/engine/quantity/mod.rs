//! Physical quantities as the trade writes them: units, prefixes, markings, preferred values, time stamps.
//!
//! Pure: imports nothing that opens a file, a port or a clock.

mod colour;
mod format;
mod marking;
mod rating;
mod remark;
mod series;
mod together;
mod tolerance;
mod tolerance_text;
mod value;
mod value_reader;
mod written_number;

use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};
use strum::{Display, EnumString, IntoStaticStr, VariantArray};

pub use colour::{ColourCode, is_colour_text, parse_body_end_dot, parse_colour_bands};
pub use format::{
    counted, format_band, format_stated, format_steady, format_value, format_with_uncertainty,
};
pub use marking::{Marking, MarkingError, parse_marking};
pub use rating::{Rating, RatingError, SafetyClass, parse_rating};
pub use remark::{Drawing, Remark, ValueError};
pub use series::Series;
pub use together::{UNBROKEN, kept_together, with_minus};
pub use tolerance::{Band, Tolerance, ToleranceError};
pub use tolerance_text::parse_tolerance;
pub use value::{MarkedValue, parse_value};

/// A quantity that is measured. Values are kept in its SI base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[derive(Display, EnumString, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "snake_case", ascii_case_insensitive)]
pub enum Quantity {
    /// Electrical resistance, in ohm.
    Resistance,
    /// Capacitance, in farad.
    Capacitance,
    /// Inductance, in henry.
    Inductance,
    /// Direct voltage, in volt. It has a sign.
    Voltage,
    /// Direct current, in ampere, such as a leakage. It has a sign.
    Current,
    /// Alternating voltage, root mean square, in volt.
    AcVoltage,
    /// Ratio of turns of two windings, a plain number. It follows from two voltages; no meter shows it by itself.
    Ratio,
}

words!(Quantity: ALL, name);

impl Quantity {
    /// The quantity of that [name](Self::name), upper and lower case alike.
    pub fn named(word: &str) -> Option<Self> {
        word.trim().parse().ok()
    }

    /// Whether a value may be below zero: that of a direct voltage and of a current may, any other may not.
    pub const fn is_signed(self) -> bool {
        matches!(self, Self::Voltage | Self::Current)
    }

    /// The names of all, for messages: `` `resistance`, ... or `ratio` ``.
    pub fn names() -> String {
        let names = Self::ALL.map(|quantity| format!("`{quantity}`"));
        let (last, others) = names.split_last().expect("there are quantities");
        format!("{} or {last}", others.join(", "))
    }

    /// The SI symbol of its unit; of a ratio what is written behind it.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Resistance => "Ω",
            Self::Capacitance => "F",
            Self::Inductance => "H",
            Self::Voltage => "V",
            Self::Current => "A",
            Self::AcVoltage => "V AC",
            Self::Ratio => ":1",
        }
    }

    /// The unit's name in ASCII, as column names use it.
    pub const fn unit_name(self) -> &'static str {
        match self {
            Self::Resistance => "ohm",
            Self::Capacitance => "farad",
            Self::Inductance => "henry",
            Self::Voltage => "volt",
            Self::Current => "ampere",
            Self::AcVoltage => "volt_ac",
            Self::Ratio => "ratio",
        }
    }
}

/// A value with its quantity. The value is finite and in the SI base unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    quantity: Quantity,
    value: f64,
}

impl Amount {
    /// An amount of `value` SI base units; `None` if the value is not finite.
    pub fn new(quantity: Quantity, value: f64) -> Option<Self> {
        value.is_finite().then_some(Self { quantity, value })
    }

    /// Its quantity.
    pub const fn quantity(self) -> Quantity {
        self.quantity
    }

    /// The value in the SI base unit (ohm, farad, henry, volt, ampere); a ratio is a plain number.
    pub const fn value(self) -> f64 {
        self.value
    }
}

/// Microseconds since the start of the sitting. Monotonic, independent of the wall clock.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct Stamp(u64);

impl Stamp {
    /// The start of the sitting.
    pub const ZERO: Self = Self(0);

    /// A stamp `micros` microseconds after the start.
    pub const fn from_micros(micros: u64) -> Self {
        Self(micros)
    }

    /// Whole microseconds since the start.
    pub const fn micros(self) -> u64 {
        self.0
    }

    /// Seconds since the start.
    pub fn seconds(self) -> f64 {
        self.0 as f64 * 1e-6
    }

    /// The stamp `by` later; stays at the largest stamp instead of overflowing.
    #[must_use]
    pub fn after(self, by: Duration) -> Self {
        Self(
            self.0
                .saturating_add(u64::try_from(by.as_micros()).unwrap_or(u64::MAX)),
        )
    }

    /// The time by the clock that stood at `begun` when the sitting began.
    pub fn on_clock(self, begun: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
        let since = TimeDelta::microseconds(i64::try_from(self.0).unwrap_or(i64::MAX));
        begun.checked_add_signed(since).unwrap_or(begun)
    }

    /// The time from `earlier` to this stamp; zero if `earlier` is the later one.
    pub fn since(self, earlier: Self) -> Duration {
        Duration::from_micros(self.0.saturating_sub(earlier.0))
    }
}
