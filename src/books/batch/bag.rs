//! [`Bag`]: one new part, in a bag with a number.

use chrono::{DateTime, FixedOffset};

use crate::books::ledger::{Found, Measurement};
use crate::engine::judge::Verdict;
use crate::engine::quantity::{Quantity, format_with_uncertainty};

/// What stands before the number on a bag.
const WORD: &str = "bag";

/// The label of the bag of that number, which is the designator of what is in it: `bag 3`.
pub fn bag_label(number: u32) -> String {
    format!("{WORD} {number}")
}

/// The number of a bag by its label: `bag 3`, `Bag 3`, `bag3`; `None` for anything else, a bare number too.
pub fn bag_number(label: &str) -> Option<u32> {
    let label = label.trim();
    let (word, number) = label.split_at_checked(WORD.len())?;
    let digits = number.trim_start();
    let is_label = word.eq_ignore_ascii_case(WORD) && digits.bytes().all(|b| b.is_ascii_digit());
    is_label.then(|| digits.parse().ok())?
}

/// One new part as it was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Bag {
    /// Its number, unique in the job.
    pub number: u32,
    /// Of what the value is.
    pub quantity: Quantity,
    /// Settled value in the SI unit; `None` if there was none.
    pub value: Option<f64>,
    /// Its standard uncertainty, k = 1, in the same unit.
    pub uncertainty: Option<f64>,
    /// Lower and upper limit, in the same unit, as far as there are any.
    pub limits: (Option<f64>, Option<f64>),
    /// Nominal value, in the same unit.
    pub nominal: Option<f64>,
    /// The verdict on it.
    pub verdict: Verdict,
    /// Why, in words.
    pub reason: String,
    /// What else was looked at, in words.
    pub checks: String,
    /// When the value settled.
    pub time: DateTime<FixedOffset>,
}

impl Bag {
    /// The bag that a row is about; `None` if it is not about the value of what is in a bag.
    pub fn of(row: &Measurement) -> Option<Self> {
        let number = bag_number(&row.designator)?;
        let figures = row.figures.filter(|_| row.step == "value")?;
        let value = figures.value.filter(|_| row.found == Found::Value);
        Some(Self {
            number,
            quantity: figures.quantity,
            value,
            uncertainty: figures.uncertainty.filter(|_| value.is_some()),
            limits: (figures.lower, figures.upper),
            nominal: figures.nominal,
            verdict: row.verdict,
            reason: row.reason.clone(),
            checks: row.checks.clone(),
            time: row.time,
        })
    }

    /// Its label.
    pub fn label(&self) -> String {
        bag_label(self.number)
    }

    /// Whether it passed, or passed conditionally.
    pub fn is_good(&self) -> bool {
        matches!(self.verdict, Verdict::Pass | Verdict::ConditionalPass)
    }

    /// The value with its expanded uncertainty, k = 2; else the reason why there is none.
    pub fn found(&self) -> String {
        match (self.value, self.uncertainty) {
            (Some(value), Some(u)) => format_with_uncertainty(self.quantity, value, 2.0 * u),
            _ => self.reason.clone(),
        }
    }

    /// What the meter told of loss or equivalent series resistance: `tan δ 0.0812 at 120 Hz`; empty if nothing.
    pub fn loss(&self) -> &str {
        let figure = |check: &'_ str| -> Option<(usize, usize)> {
            let from = ["tan δ ", "ESR "]
                .iter()
                .find_map(|word| check.find(word))?;
            // The figure ends where the limit or the reason why it is not judged begins.
            let ends = [",", ":", ";", " not judged"];
            let rest = &check[from..];
            let length = ends.iter().filter_map(|end| rest.find(end)).min();
            Some((from, from + length.unwrap_or(rest.len())))
        };
        let mut checks = self.checks.split("; ");
        let loss = checks.find(|check| check.starts_with("loss"));
        loss.and_then(|check| figure(check).map(|(from, to)| &check[from..to]))
            .unwrap_or_default()
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub(in crate::books::batch) fn bag(number: u32, value: f64) -> Bag {
        Bag {
            number,
            quantity: Quantity::Capacitance,
            value: Some(value),
            uncertainty: Some(0.1e-6),
            limits: (Some(37.6e-6), Some(56.4e-6)),
            nominal: Some(47e-6),
            verdict: Verdict::Pass,
            reason: "inside the band".to_owned(),
            checks: String::new(),
            time: DateTime::parse_from_rfc3339("2056-11-03T19:25:40.250+01:00").unwrap(),
        }
    }

    #[test]
    fn a_label_gives_its_number_back_and_nothing_else_is_one() {
        for number in [1, 3, 10, 4_000_000] {
            assert_eq!(bag_number(&bag_label(number)), Some(number));
        }
        assert_eq!(bag_number(" Bag  7 "), Some(7));
        assert_eq!(bag_number("bag7"), Some(7));
        for other in [
            "",
            "bag",
            "bag ",
            "3",
            "bag x",
            "bag -3",
            "bag +3",
            "baggage 3",
            "bä 3",
        ] {
            assert_eq!(bag_number(other), None, "{other}");
        }
    }

    #[test]
    fn a_loss_is_read_out_of_the_checks_with_its_frequency() {
        let loss = |checks: &str| {
            let mut bag = bag(1, 47e-6);
            checks.clone_into(&mut bag.checks);
            bag.loss().to_owned()
        };
        let judged = "fixture: x; loss pass: tan δ 0.0812 at 120 Hz, at most 0.1500 at 120 Hz (measured; limit: y)";
        assert_eq!(loss(judged), "tan δ 0.0812 at 120 Hz");
        assert_eq!(
            loss("loss: ESR 0.410 Ω at 1000 Hz not judged: z"),
            "ESR 0.410 Ω at 1000 Hz"
        );
        assert_eq!(
            loss("loss: tan δ 0.0812 at 120 Hz: the list says no material"),
            "tan δ 0.0812 at 120 Hz"
        );
        assert_eq!(loss("temperature: about tan δ"), "");
        assert_eq!(loss(""), "");
    }
}
