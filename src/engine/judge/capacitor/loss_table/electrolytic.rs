//! The rows of electrolytics: a limit by rated voltage, enlarged with the capacitance.

use toml::Spanned;

use super::file;
use crate::engine::judge::capacitor::{Condition, LossLimit, LossRow};
use crate::engine::source::{TextError, TomlText};

/// The limits of electrolytics.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Electrolytic {
    frequencies_hz: Vec<f64>,
    extra_from_uf: f64,
    extra_per_1000_uf: f64,
    in_service_factor: f64,
    condemned_from: f64,
    /// Rated voltages rise.
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq)]
struct Row {
    rated_volts: f64,
    tan_delta: f64,
    source: String,
}

impl Electrolytic {
    pub(super) fn check(
        source: TomlText<'_>,
        file: &file::Electrolytic,
    ) -> Result<Self, TextError> {
        Ok(Self {
            frequencies_hz: frequencies(source, &file.frequencies_hz)?,
            extra_from_uf: source.positive("extra_from_uf", &file.extra_from_uf)?,
            extra_per_1000_uf: source.at_least(
                "extra_per_1000_uf",
                &file.extra_per_1000_uf,
                0.0,
                "zero or more",
            )?,
            in_service_factor: source.at_least(
                "in_service_factor",
                &file.in_service_factor,
                1.0,
                "1 or more",
            )?,
            condemned_from: source.positive("condemned_from", &file.condemned_from)?,
            rows: rows(source, &file.rows)?,
        })
    }

    /// The limit of a part of this capacitance and rated voltage, both above zero.
    pub(super) fn limit(
        &self,
        capacitance_farad: f64,
        rated_volts: f64,
        condition: Condition,
    ) -> LossLimit {
        let (row, choice) = self.row(rated_volts);
        let beyond_uf = (capacitance_farad * 1e6 - self.extra_from_uf).max(0.0);
        let new = row.tan_delta + self.extra_per_1000_uf * beyond_uf / 1000.0;
        LossLimit {
            tan_delta: match condition {
                Condition::New => new,
                Condition::InService => (new * self.in_service_factor).min(self.condemned_from),
            },
            frequencies_hz: self.frequencies_hz.clone(),
            row: choice,
            source: row.source.clone(),
        }
    }

    /// The row for a rated voltage: its own, else the stricter of both neighbours, else the one at that end of the table.
    fn row(&self, rated_volts: f64) -> (&Row, LossRow) {
        let after = self
            .rows
            .partition_point(|row| row.rated_volts < rated_volts);
        let below = after.checked_sub(1).and_then(|index| self.rows.get(index));
        match (below, self.rows.get(after)) {
            (_, Some(row)) if row.rated_volts == rated_volts => (row, LossRow::Listed(rated_volts)),
            (Some(below), Some(above)) => {
                let row = if below.tan_delta <= above.tan_delta {
                    below
                } else {
                    above
                };
                (row, LossRow::Between(row.rated_volts))
            }
            (Some(below), None) => (below, LossRow::AboveTable(below.rated_volts)),
            (None, _) => (&self.rows[0], LossRow::BelowTable(self.rows[0].rated_volts)),
        }
    }
}

/// At least one frequency, all above zero, rising.
fn frequencies(
    source: TomlText<'_>,
    list: &Spanned<Vec<Spanned<f64>>>,
) -> Result<Vec<f64>, TextError> {
    let mut checked: Vec<f64> = Vec::new();
    for frequency in list.get_ref() {
        let hertz = source.positive("frequencies_hz", frequency)?;
        if checked.last().is_some_and(|before| *before >= hertz) {
            return Err(source.fault("frequencies_hz", frequency, "rising frequencies"));
        }
        checked.push(hertz);
    }
    if checked.is_empty() {
        let empty = Spanned::new(list.span(), "[]");
        return Err(source.fault("frequencies_hz", &empty, "at least one frequency"));
    }
    Ok(checked)
}

/// At least one row, rated voltages rising.
fn rows(
    source: TomlText<'_>,
    list: &Spanned<Vec<file::VoltageRow>>,
) -> Result<Vec<Row>, TextError> {
    let mut checked: Vec<Row> = Vec::new();
    for row in list.get_ref() {
        let rated_volts = source.positive("rated_volts", &row.rated_volts)?;
        if checked
            .last()
            .is_some_and(|before| before.rated_volts >= rated_volts)
        {
            return Err(source.fault("rated_volts", &row.rated_volts, "rising voltages"));
        }
        checked.push(Row {
            rated_volts,
            tan_delta: source.positive("tan_delta", &row.tan_delta)?,
            source: source.words("source", &row.source)?,
        });
    }
    if checked.is_empty() {
        let empty = Spanned::new(list.span(), "[]");
        return Err(source.fault("rows", &empty, "at least one row"));
    }
    Ok(checked)
}
