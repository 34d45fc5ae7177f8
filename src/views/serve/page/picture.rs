//! [`Picture`]: a state, and its numbers as people read them.
//!
//! The page writes no measured number itself: the same functions make them for every view.

use serde::Serialize;

use crate::engine::judge::Verdict;
use crate::engine::parts::Title;
use crate::engine::quantity::{Quantity, format_steady, format_value, with_minus};
use crate::engine::sitting::{Limits, Row, Soaking};
use crate::views::state::{Soak, State, Trace};

/// State and words, as the page draws them, without the loops: the program draws these, and the page fetches the drawing when
/// [`State::loops_id`] changes.
#[derive(Debug, Serialize)]
pub(super) struct Picture {
    #[serde(flatten)]
    state: State,
    words: Words,
}

/// The numbers of a state for people; `None` where there are none.
#[derive(Debug, Serialize)]
struct Words {
    /// The settled value or the latest reading: `4.712 kΩ`.
    value: Option<String>,
    /// From the least to the greatest reading of the touch.
    touch: Option<String>,
    /// Voltage across the capacitor in hand.
    across: Option<String>,
    /// The voltage of the leakage in hand, its latest current, and what that will be.
    volts: Option<String>,
    ampere: Option<String>,
    expected: Option<String>,
    /// The verdict on what is in hand, and the last ones.
    verdict: Option<Outcome>,
    last: Vec<Outcome>,
}

/// A verdict.
#[derive(Debug, Serialize)]
struct Outcome {
    #[serde(flatten)]
    title: Title,
    verdict: Verdict,
    /// It, or that it was read.
    word: &'static str,
    /// The value with its uncertainty, and how far it is off.
    value: String,
    why: String,
    band: Limits,
    /// Value that was compared with the limits, and its expanded uncertainty.
    compared: Option<f64>,
    uncertainty: Option<f64>,
}

impl Picture {
    /// Of that state.
    pub(super) fn of(mut state: State) -> Self {
        state.loops = None;
        let soak = state.soak.as_ref();
        let report = soak.and_then(|soak| soak.report.as_ref());
        let volts = |volts| with_minus(&format_value(Quantity::Voltage, volts, 3));
        let words = Words {
            value: state
                .shown()
                .map(|(quantity, value)| with_minus(&format_steady(quantity, value, 4))),
            touch: state
                .reading
                .as_ref()
                .and_then(|reading| span(&state.trace, reading.quantity)),
            across: state.across.map(|across| volts(across.volts)),
            volts: soak.map(|soak: &Soak| format_value(Quantity::Voltage, soak.volts, 4)),
            ampere: report.and_then(|report| report.ampere).map(ampere),
            expected: report.and_then(expected),
            verdict: state
                .verdict
                .as_ref()
                .map(|record| Outcome::of(&record.row)),
            last: state
                .last
                .iter()
                .map(|record| Outcome::of(&record.row))
                .collect(),
        };
        Self { state, words }
    }

    /// As JSON.
    pub(super) fn json(&self) -> String {
        // All of it is plain data, which always has a JSON form.
        serde_json::to_string(self).unwrap_or_default()
    }
}

impl Outcome {
    fn of(row: &Row) -> Self {
        let checks = row.further_doubts();
        let checks = checks.map(|(check, _)| format!("{}: {}", check.aspect.name(), check.words));
        let why: Vec<String> = std::iter::once(row.reason.clone()).chain(checks).collect();
        let value = [Some(row.words()), row.value.map(|_| row.deviation())];
        Self {
            title: row.title(),
            verdict: row.verdict,
            word: row.word(),
            value: with_minus(&value.into_iter().flatten().collect::<Vec<_>>().join(" · ")),
            why: with_minus(&why.join(" · ")),
            band: Limits::of_row(row),
            compared: row.value.map(|judged| judged.value),
            uncertainty: row.value.map(|judged| 2.0 * judged.u),
        }
    }
}

fn ampere(ampere: f64) -> String {
    with_minus(&format_value(Quantity::Current, ampere, 3))
}

fn expected(report: &Soaking) -> Option<String> {
    let expected = report.expected?;
    Some(format!(
        "{} to {}",
        ampere(expected.low),
        ampere(expected.high)
    ))
}

/// From the least to the greatest of the readings.
fn span(trace: &Trace, quantity: Quantity) -> Option<String> {
    let values = || trace.points.iter().map(|point| point.value);
    let shown = |value| with_minus(&format_value(quantity, value, 3));
    let least = values().min_by(f64::total_cmp)?;
    let most = values().max_by(f64::total_cmp)?;
    Some(format!("{} to {}", shown(least), shown(most)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::{Live, What, examples};

    #[test]
    fn a_picture_reads_back_as_its_state_and_writes_numbers_as_every_view_does() {
        let What::Judged(record) = examples::judged(Verdict::Fail) else {
            panic!("no verdict")
        };
        let state = State {
            reading: Some(Live {
                quantity: Quantity::Resistance,
                value: Some(4712.0),
                overload: false,
                touching: true,
            }),
            last: vec![*record.clone()],
            ..State::default()
        };
        let json = Picture::of(state.clone()).json();
        assert_eq!(serde_json::from_str::<State>(&json).unwrap(), state);
        let picture: serde_json::Value = serde_json::from_str(&json).unwrap();
        let words = &picture["words"];
        assert_eq!(
            words["value"],
            format_steady(Quantity::Resistance, 4712.0, 4)
        );
        let value = words["last"][0]["value"].as_str().unwrap();
        let row = &record.row;
        let read = format!("{} · {}", row.words(), row.deviation());
        assert_eq!(value, with_minus(&read));
    }
}
