//! [`LeakageForm`]: one way to compute the limit of the leakage current.

use toml::Spanned;

use super::file;
use crate::engine::judge::capacitor::{LeakageLimit, ReadAfter};
use crate::engine::source::{TextError, TomlText};

/// One way to compute the limit of the leakage current from capacitance and rated voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct LeakageForm {
    name: String,
    rows: Vec<Row>,
}

/// The limit in µA is `per_cv` · C V + `per_uf` · C + `plus`, but not less than `at_least`.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    up_to_cv: f64,
    up_to_volts: f64,
    read_after: ReadAfter,
    per_cv: f64,
    per_uf: f64,
    plus: f64,
    at_least: f64,
    source: String,
}

impl LeakageForm {
    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The limit of a part of `capacitance_farad` and `rated_volts`.
    ///
    /// `None` if one of them is not finite and above zero, or the form ends below this voltage.
    pub fn limit(&self, capacitance_farad: f64, rated_volts: f64) -> Option<LeakageLimit> {
        let usable = |number: f64| number.is_finite() && number > 0.0;
        if !usable(capacitance_farad) || !usable(rated_volts) {
            return None;
        }
        let microfarad = capacitance_farad * 1e6;
        let cv = microfarad * rated_volts;
        let row = self
            .rows
            .iter()
            .find(|row| cv <= row.up_to_cv && rated_volts <= row.up_to_volts)?;
        let microampere = row.per_cv * cv + row.per_uf * microfarad + row.plus;
        Some(LeakageLimit {
            ampere: microampere.max(row.at_least) * 1e-6,
            read_after: row.read_after,
            form: self.name.clone(),
            source: row.source.clone(),
        })
    }

    pub(super) fn check(source: TomlText<'_>, form: &file::Form) -> Result<Self, TextError> {
        if form.rows.get_ref().is_empty() {
            let empty = Spanned::new(form.rows.span(), "[]");
            return Err(source.fault("rows", &empty, "at least one row"));
        }
        let rows = form.rows.get_ref().iter().map(|row| row.check(source));
        Ok(Self {
            name: source.words("name", &form.name)?,
            rows: rows.collect::<Result<_, _>>()?,
        })
    }
}

impl file::Row {
    fn check(&self, source: TomlText<'_>) -> Result<Row, TextError> {
        let bound = |key, number: &Option<Spanned<f64>>| match number {
            Some(number) => source.positive(key, number),
            None => Ok(f64::INFINITY),
        };
        let term = |key, number: &Option<Spanned<f64>>| match number {
            Some(number) => source.at_least(key, number, 0.0, "zero or more"),
            None => Ok(0.0),
        };
        let row = Row {
            up_to_cv: bound("up_to_cv", &self.up_to_cv)?,
            up_to_volts: bound("up_to_volts", &self.up_to_volts)?,
            read_after: self.read_after(source)?,
            per_cv: term("ua_per_cv", &self.ua_per_cv)?,
            per_uf: term("ua_per_uf", &self.ua_per_uf)?,
            plus: term("plus_ua", &self.plus_ua)?,
            at_least: term("at_least_ua", &self.at_least_ua)?,
            source: source.words("source", &self.source)?,
        };
        if row.per_cv + row.per_uf + row.plus + row.at_least > 0.0 {
            Ok(row)
        } else {
            Err(source.fault(
                "source",
                &self.source,
                "a current above zero in the same row",
            ))
        }
    }

    fn read_after(&self, source: TomlText<'_>) -> Result<ReadAfter, TextError> {
        match self.after_minutes.get_ref() {
            1 => Ok(ReadAfter::OneMinute),
            2 => Ok(ReadAfter::TwoMinutes),
            5 => Ok(ReadAfter::FiveMinutes),
            _ => Err(source.fault("after_minutes", &self.after_minutes, "1, 2 or 5")),
        }
    }
}
