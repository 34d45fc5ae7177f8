//! [`SideBySide`]: a row of a comparison for files and programs.

use chrono::SecondsFormat;
use serde::Serialize;

use super::words::nine_figures;
use crate::books::comparison::{Obstacle, Outcome, Pair, Pairs};
use crate::books::ledger::Row;
use crate::engine::source::cell;
use crate::engine::statistics::benjamini_hochberg;

/// A row of a comparison. Values are in the SI unit that `unit` names.
#[derive(Debug, Serialize)]
pub(super) struct SideBySide {
    r#ref: String,
    step: String,
    kind: &'static str,
    unit: &'static str,
    sitting_before: String,
    time_before: String,
    value_before: Option<f64>,
    uncertainty_before: Option<f64>,
    verdict_before: &'static str,
    sitting_after: String,
    time_after: String,
    value_after: Option<f64>,
    uncertainty_after: Option<f64>,
    verdict_after: &'static str,
    change: Option<f64>,
    uncertainty_change: Option<f64>,
    change_percent: Option<f64>,
    d_over_u: Option<f64>,
    p: Option<f64>,
    p_holm: Option<f64>,
    false_discovery_rate: Option<f64>,
    outcome: &'static str,
    obstacle: &'static str,
    fitted: String,
}

impl SideBySide {
    /// Keeps a spreadsheet from taking a text for a formula.
    pub(super) fn guard(&mut self) {
        self.r#ref = cell(&self.r#ref);
    }
}

/// The rows of what was set side by side.
pub(super) fn rows(found: &Pairs<'_>) -> Vec<SideBySide> {
    let compared = |pair: &&Pair<'_>| pair.p_holm.is_some();
    let p: Vec<f64> = found
        .pairs
        .iter()
        .filter(compared)
        .filter_map(|pair| pair.change.map(|change| change.p()))
        .collect();
    let mut rates = benjamini_hochberg(&p).into_iter();
    let row = |pair: &Pair<'_>| row(pair, pair.p_holm.and_then(|_| rates.next()));
    found.pairs.iter().map(row).collect()
}

fn row(pair: &Pair<'_>, rate: Option<f64>) -> SideBySide {
    let change = pair.change;
    let figure = |of: fn(&crate::books::comparison::Change) -> f64| {
        let value = change.as_ref().map(of);
        value.filter(|value| value.is_finite()).map(nine_figures)
    };
    SideBySide {
        r#ref: pair.part.designator.clone(),
        step: pair.before.step.to_string(),
        kind: pair.part.kind.name(),
        unit: pair.before.quantity.unit_name(),
        sitting_before: pair.before.sitting.clone(),
        time_before: time(pair.before),
        value_before: figure(|change| change.before.value),
        uncertainty_before: figure(|change| change.before.u),
        verdict_before: pair.before.verdict.name(),
        sitting_after: pair.after.sitting.clone(),
        time_after: time(pair.after),
        value_after: figure(|change| change.after.value),
        uncertainty_after: figure(|change| change.after.u),
        verdict_after: pair.after.verdict.name(),
        change: figure(crate::books::comparison::Change::difference),
        uncertainty_change: figure(crate::books::comparison::Change::uncertainty),
        change_percent: change
            .and_then(|change| change.share())
            .map(|share| nine_figures(100.0 * share)),
        d_over_u: figure(crate::books::comparison::Change::ratio),
        p: pair.p_holm.and(figure(crate::books::comparison::Change::p)),
        p_holm: pair.p_holm.map(nine_figures),
        false_discovery_rate: rate.map(nine_figures),
        outcome: outcome(pair.outcome),
        obstacle: obstacle(pair.outcome),
        fitted: pair.fitted.map_or_else(String::new, |decision| {
            decision.time.to_rfc3339_opts(SecondsFormat::Secs, false)
        }),
    }
}

fn time(measurement: &Row) -> String {
    let time = measurement.time;
    time.to_rfc3339_opts(SecondsFormat::Millis, false)
}

const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Changed { holds: true } => "changed, beyond chance",
        Outcome::Changed { holds: false } => "changed, perhaps chance",
        Outcome::NoChange => "no change",
        Outcome::Fitted => "another part",
        Outcome::NotComparable(_) => "not comparable",
    }
}

const fn obstacle(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::NotComparable(Obstacle::NoValue { .. }) => "no value",
        Outcome::NotComparable(Obstacle::OtherQuantity) => "other quantity",
        Outcome::NotComparable(Obstacle::Circuit) => "circuit",
        Outcome::NotComparable(Obstacle::Temperature) => "temperature",
        _ => "",
    }
}
