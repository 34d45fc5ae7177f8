//! [`Decision`]: what the person said about a part, when and why.

use chrono::{DateTime, FixedOffset, SecondsFormat};

use super::Choice;
use crate::books::job::{Advice, Folder, GrowingTable, JobError};
use crate::engine::source::{Fault, Layout, Row, TableRemark, TextError, cell, read_rows};

/// The columns of `decisions.csv`, in order, and what they hold.
pub const DECISION_COLUMNS: [(&str, &str); 6] = [
    (
        "time",
        "when it was decided, RFC 3339; never before the newest measurement of the part",
    ),
    ("ref", "reference designator"),
    ("decision", "keep, replace, order, fitted or accept"),
    ("reason", "why, in the person's words"),
    (
        "article",
        "what is to be ordered or was fitted, such as 47uF 450V electrolytic; may be empty",
    ),
    (
        "bag",
        "number of the bag that the fitted part came from; may be empty",
    ),
];

/// Decision of the person about a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision {
    /// Time of the decision by the wall clock.
    pub time: DateTime<FixedOffset>,
    /// Reference designator, as the list writes it.
    pub designator: String,
    /// What becomes of the part.
    pub choice: Choice,
    /// The reason; may be empty.
    pub reason: String,
    /// Article to be ordered or that was fitted; may be empty.
    pub article: String,
    /// The bag that the fitted part came from, as its incoming check labelled it.
    pub bag: Option<u32>,
}

impl Decision {
    /// The cells of its row, in the order of [`DECISION_COLUMNS`].
    pub fn row(&self) -> [String; DECISION_COLUMNS.len()] {
        [
            self.time.to_rfc3339_opts(SecondsFormat::Millis, false),
            cell(&self.designator),
            self.choice.name().to_owned(),
            cell(&self.reason),
            cell(&self.article),
            self.bag.map(|bag| bag.to_string()).unwrap_or_default(),
        ]
    }

    /// The parts of which these decisions say that another one was put in, each once, upper and lower case alike.
    pub fn fitted(decisions: &[Self]) -> Vec<&str> {
        let mut fitted: Vec<&str> = Vec::new();
        for one in decisions.iter().filter(|one| one.choice == Choice::Fitted) {
            let named = |known: &&str| known.eq_ignore_ascii_case(&one.designator);
            if !fitted.iter().any(named) {
                fitted.push(&one.designator);
            }
        }
        fitted
    }

    /// The rows of a `decisions.csv`, in their order; the last one of a part counts. A torn last row is left out.
    ///
    /// # Errors
    /// If a column is missing or a cell holds something else than it should.
    pub fn read_all(text: &[u8]) -> Result<Vec<Self>, TextError> {
        Self::all_of(text).map(|(decisions, _)| decisions)
    }

    /// Reads them likewise, with what was found out about the file.
    pub(super) fn all_of(text: &[u8]) -> Result<(Vec<Self>, Vec<TableRemark>), TextError> {
        let names = DECISION_COLUMNS.map(|(name, _)| name);
        let layout = Layout {
            needed: &["time", "ref", "decision"],
            expected: "at least `time`, `ref` and `decision`",
            grows: true,
            ..Layout::of("decisions.csv", &names)
        };
        read_rows(&layout, text, |_| false, Self::of_row)
    }

    fn of_row(row: &Row<'_>) -> Result<Self, Fault> {
        Ok(Self {
            time: row.needed("time", "a time such as 2056-11-03T19:25:30+01:00", |text| {
                DateTime::parse_from_rfc3339(text).ok()
            })?,
            designator: row.text("ref").to_owned(),
            choice: row.needed(
                "decision",
                "keep, replace, order, fitted or accept",
                |text| text.parse().ok(),
            )?,
            reason: row.text("reason").to_owned(),
            article: row.text("article").to_owned(),
            bag: row.optional("bag", "the number of a bag", |text| text.parse().ok())?,
        })
    }
}

/// `decisions.csv` of a job, to be added to and never changed: the one way in which a decision is written down.
#[derive(Debug)]
pub struct DecisionsFile(GrowingTable);

impl DecisionsFile {
    /// Opens the file at its end, or makes it. Waits while another program adds to it; `remark` says what a torn last row has
    /// lost.
    ///
    /// # Errors
    /// If it cannot be opened, or its columns are not ours (then nothing is touched).
    pub fn open(folder: &Folder, remark: impl Fn(&str)) -> Result<Self, JobError> {
        let columns = DECISION_COLUMNS.map(|(name, _)| name);
        let lost = ": say that decision again";
        let advice = Advice { lost, anew: "" };
        GrowingTable::open(&folder.decisions(), &columns, advice, remark).map(Self)
    }

    /// Adds a decision, and brings it to the disk.
    ///
    /// # Errors
    /// If it cannot be written; the file is then as it was.
    pub fn add(&mut self, decision: &Decision) -> Result<(), JobError> {
        self.0.add(&decision.row())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decision_comes_back_from_its_row() {
        let decision = Decision {
            time: DateTime::parse_from_rfc3339("2056-11-03T19:25:30.000+01:00").unwrap(),
            designator: "C4".to_owned(),
            choice: Choice::Fitted,
            reason: "=leaky, \"wax\"\nran out".to_owned(),
            article: "47 nF 630 V film".to_owned(),
            bag: Some(3),
        };
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer
            .write_record(DECISION_COLUMNS.map(|(name, _)| name))
            .unwrap();
        writer.write_record(decision.row()).unwrap();
        let text = writer.into_inner().unwrap();
        assert_eq!(Decision::read_all(&text), Ok(vec![decision]));
    }

    #[test]
    fn a_word_that_is_no_decision_is_named() {
        let text = b"time,ref,decision\n2056-11-03T19:25:30Z,R1,maybe\n";
        let error = Decision::read_all(text).unwrap_err().to_string();
        assert!(
            error.starts_with("decisions.csv:2:decision: found `maybe`"),
            "{error}"
        );
    }
}
