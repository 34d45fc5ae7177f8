//! Words of a [`Row`] for people: its value, its limits, and how far it is off. Every view takes these words and makes none itself.

use super::row::Row;
use crate::engine::judge::{Aspect, Check, Found, Verdict};
use crate::engine::parts::Step;
use crate::engine::quantity::{format_band, format_stated, format_value, format_with_uncertainty};

impl Row {
    /// The value that was judged with its expanded uncertainty U = 2 u: `5.312 kΩ ± 0.012 kΩ`; or `open`, `beyond range`. A
    /// value that could not be judged as it was read.
    pub fn words(&self) -> String {
        match (self.found, self.value, self.read) {
            (_, None, _) if self.step == Step::Own => "not known".to_owned(),
            (Found::Value, Some(judged), _) => {
                format_with_uncertainty(self.quantity, judged.value, 2.0 * judged.u)
            }
            (Found::Value, None, Some(read)) => format_value(self.quantity_read(), read, 6),
            (Found::Value, None, None) => "no value".to_owned(),
            (Found::Open | Found::BeyondRange, ..) => self.found.name().to_owned(),
        }
    }

    /// Whether it is a reading between two places, from which no verdict on a part follows by itself; one below zero is an alarm and
    /// none.
    pub fn is_reading(&self) -> bool {
        self.step == Step::Between && !self.grounds().verdict().1.is_below_zero()
    }

    /// The word for what came of it: the verdict, or that it was read.
    pub fn word(&self) -> &'static str {
        if self.is_reading() {
            "read"
        } else {
            self.verdict.name()
        }
    }

    /// The nominal value: `4.7 kΩ`.
    pub fn nominal_words(&self) -> String {
        format_stated(self.quantity, self.nominal)
    }

    /// The limits: `4.23 kΩ to 5.17 kΩ`.
    pub fn band_words(&self) -> String {
        format_band(self.quantity, self.band)
    }

    /// Distance of the value from the nominal one, in per cent of that; `None` without a value, and where there is only an
    /// upper limit.
    pub fn percent_off(&self) -> Option<f64> {
        let share = self.percent_of_nominal()?;
        self.band.limits()[0].map(|_| share - 100.0)
    }

    /// The value in per cent of the upper limit, where that is the only one.
    pub fn percent_of_limit(&self) -> Option<f64> {
        let share = self.percent_of_nominal()?;
        self.band.limits()[0].is_none().then_some(share)
    }

    fn percent_of_nominal(&self) -> Option<f64> {
        let share = 100.0 * self.value?.value / self.nominal;
        share.is_finite().then_some(share)
    }

    /// Distance in words: `+13.0 %`, or `130 %` of what is allowed where there is only an upper limit.
    pub fn percent_words(&self) -> Option<String> {
        let off = self.percent_off().map(signed_percent);
        off.or_else(|| Some(format!("{:.0} %", self.percent_of_limit()?)))
    }

    /// Its comparison: `+13.0 % of 4.7 kΩ`; `130 % of what is allowed` where there is only an upper limit; `listed 4.7 kΩ` for
    /// what has no value.
    pub fn deviation(&self) -> String {
        if self.step == Step::Between {
            let expected = format_value(self.quantity, self.nominal, 4);
            return match self.band.limits()[1] {
                Some(_) => format!("{expected} if all is as listed"),
                None => "nothing on the list conducts there".to_owned(),
            };
        }
        match (self.percent_words(), self.percent_off()) {
            (Some(off), Some(_)) => format!("{off} of {}", self.nominal_words()),
            (Some(share), None) => format!("{share} of what is allowed"),
            (None, _) => format!("listed {}", self.nominal_words()),
        }
    }

    /// Comparison with the limits, and the reason of the verdict where that does not follow from the value; the safety class first.
    pub fn comparison(&self) -> String {
        let (words, reason) = (self.deviation(), &self.reason);
        match self.deciding() {
            Some(check) if check.aspect == Aspect::SafetyClass => format!("{reason}; {words}"),
            None if self.verdict != Verdict::Inconclusive => words,
            _ => format!("{words}; {reason}"),
        }
    }
}

/// A check with its verdict where it has one: `loss fail: tan δ ...`.
pub fn check_words(check: &Check) -> String {
    match check.verdict {
        Some(verdict) => format!("{} {verdict}: {}", check.aspect.name(), check.words),
        None => format!("{}: {}", check.aspect.name(), check.words),
    }
}

/// A deviation in per cent, to a tenth: `+13.0 %`.
pub fn signed_percent(percent: f64) -> String {
    let rounded = format!("{percent:+.1} %");
    match rounded.as_str() {
        "-0.0 %" => "+0.0 %".to_owned(),
        _ => rounded,
    }
}
