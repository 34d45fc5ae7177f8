//! [`Bag`]: one new part, in a bag with a number.

use crate::books::ledger::Row;
use crate::engine::judge::{Aspect, Verdict};
use crate::engine::parts::Step;

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
    /// What was measured of what is in it.
    pub row: Row,
}

impl Bag {
    /// The bag that a row is about; `None` if it is not about the value of what is in a bag.
    pub fn of(row: &Row) -> Option<Self> {
        let number = bag_number(&row.designator)?;
        (row.step == Step::Value).then(|| Self {
            number,
            row: row.clone(),
        })
    }

    /// The value that was judged, in the SI unit; `None` if there was none.
    pub fn value(&self) -> Option<f64> {
        self.row.value.map(|value| value.value)
    }

    /// Its label.
    pub fn label(&self) -> String {
        bag_label(self.number)
    }

    /// Whether it passed, or passed conditionally.
    pub fn is_good(&self) -> bool {
        matches!(self.row.verdict, Verdict::Pass | Verdict::ConditionalPass)
    }

    /// The value with its expanded uncertainty, k = 2; else the reason why there is none.
    pub fn found(&self) -> String {
        match self.row.value {
            Some(_) => self.row.words(),
            None => self.row.reason.clone(),
        }
    }

    /// What the meter told of loss or equivalent series resistance: `tan δ 0.0812 at 120 Hz`; empty if nothing.
    pub fn loss(&self) -> &str {
        let Some(check) = self.row.check(Aspect::Loss) else {
            return "";
        };
        // The figure ends where the limit or the reason why it is not judged begins.
        let ends = [",", ":", ";", " not judged"];
        let words = check.words.as_str();
        let length = ends.iter().filter_map(|end| words.find(end)).min();
        &words[..length.unwrap_or(words.len())]
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::engine::judge::Check;
    use crate::engine::parts::Kind;
    use crate::engine::quantity::{Band, Quantity};

    pub(in crate::books::batch) fn bag(number: u32, value: f64) -> Bag {
        let row = Row {
            kind: Kind::Capacitor,
            quantity: Quantity::Capacitance,
            nominal: 47e-6,
            band: Band::new(37.6e-6, 56.4e-6).unwrap(),
            ..Row::sample(&bag_label(number))
        };
        let row = row.with_value(value, 0.1e-6);
        Bag { number, row }
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
        let loss = |aspect, words: &str| {
            let mut bag = bag(1, 47e-6);
            bag.row.checks = vec![Check {
                aspect,
                verdict: None,
                words: words.to_owned(),
            }];
            bag.loss().to_owned()
        };
        let judged = "tan δ 0.0812 at 120 Hz, at most 0.1500 at 120 Hz (measured; limit: y)";
        assert_eq!(loss(Aspect::Loss, judged), "tan δ 0.0812 at 120 Hz");
        assert_eq!(
            loss(Aspect::Loss, "ESR 0.410 Ω at 1000 Hz not judged: z"),
            "ESR 0.410 Ω at 1000 Hz"
        );
        assert_eq!(
            loss(
                Aspect::Loss,
                "tan δ 0.0812 at 120 Hz: the list says no material"
            ),
            "tan δ 0.0812 at 120 Hz"
        );
        assert_eq!(loss(Aspect::Temperature, "about tan δ"), "");
    }
}
