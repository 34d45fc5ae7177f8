//! [`Observation`]: something worth knowing that is no finding.
//!
//! [`soundness`]: what a survey of a recording has shown, as findings.
//!
//! [`strays`]: rows of sittings whose recordings are not there.

use std::collections::{BTreeSet, HashMap, HashSet};

use serde::Serialize;

use super::finding::Finding;
use super::results_file::ResultsFile;
use crate::bench::recording::{Ending, Seal, Survey};
use crate::books::batch::{Bags, bag_label};
use crate::books::ledger::{Choice, Decision};
use crate::engine::quantity::counted;

/// Something worth knowing that is no finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(tag = "remark", rename_all = "kebab-case")]
pub enum Observation {
    /// Another version of the program recorded.
    #[error("{recorded} made the recording and this is {running}, whose rules may be others")]
    OtherVersion {
        /// Name and version of that one.
        recorded: String,
        /// Name and version of this one.
        running: String,
    },
    /// A file of the job is not the one that the recording keeps.
    #[error("`{file}` of the job {how}; the recording is judged by its own copy")]
    OtherToday {
        file: String,
        /// Fate: changed, gone, or new.
        how: &'static str,
    },
    /// A profile is not the one that the recording keeps.
    #[error("the profile `{profile}` {how}; the recording is read by its own copy")]
    OtherProfile {
        /// By which name it was asked for.
        profile: String,
        /// Fate of it.
        how: &'static str,
    },
    /// Rows from behind a flaw cannot be compared.
    #[error(
        "{} of the results cannot be compared, coming from behind the flaw",
        counted(*rows, "row")
    )]
    NotCompared {
        /// Rows that were not compared.
        rows: usize,
    },
    /// There is no file of results to compare with.
    #[error("there is no such file to compare with")]
    NoResults {
        /// Where it was looked for.
        file: String,
    },
    /// The file of results lacks columns without which rows cannot be told apart.
    #[error(
        "the rows cannot be compared without the columns `sitting`, `ref`, `step` and `attempt`"
    )]
    NoKey,
    /// A sitting is being held right now, so this recording goes on.
    #[error("this sitting is being held right now: it has no seal yet")]
    StillRunning,
    /// Lines of a newer edition of the format were passed over.
    #[error(
        "{} of a newer edition of the format passed over",
        counted(*lines, "line")
    )]
    NewerEdition {
        /// Lines that were passed over.
        lines: u64,
    },
    /// A row of `decisions.csv` is earlier than the one before it.
    #[error(
        "decision {row}, on `{designator}`, is earlier than the one before it: the file was edited, the clock was set, or it was written later from its recording"
    )]
    DecisionsOutOfOrder {
        #[serde(rename = "ref")]
        designator: String,
        /// Number of the row, the first behind the header being 1.
        row: usize,
    },
    /// A row of `decisions.csv` is about a part that the list does not have.
    #[error("decision {row} is on `{designator}`, which the parts list does not have")]
    DecisionOnUnknown {
        #[serde(rename = "ref")]
        designator: String,
        /// Number of the row, the first behind the header being 1.
        row: usize,
    },
    /// A row of `decisions.csv` names a bag that `incoming.csv` does not have.
    #[error(
        "decision {row}, on `{designator}`: {} is not in incoming.csv",
        bag_label(*bag)
    )]
    BagNotMeasured {
        #[serde(rename = "ref")]
        designator: String,
        /// Number of the row, the first behind the header being 1.
        row: usize,
        /// The number of the bag.
        bag: u32,
    },
    /// A row of `decisions.csv` names a bag that was fitted as another part, and each bag holds one.
    #[error(
        "decision {row}, on `{designator}`: {} was fitted as `{other}` before, and each bag holds one part",
        bag_label(*bag)
    )]
    BagFittedTwice {
        #[serde(rename = "ref")]
        designator: String,
        /// Number of the row, the first behind the header being 1.
        row: usize,
        /// The number of the bag.
        bag: u32,
        /// The other part.
        other: String,
    },
    /// A decision of a recording that could not be written then, and a later one about the part is there.
    #[error(
        "a decision on `{designator}` of the sitting `{sitting}` could not be written then; a later one is there"
    )]
    DecisionSuperseded {
        #[serde(rename = "ref")]
        designator: String,
        /// Name of the sitting.
        sitting: String,
    },
    /// A file cannot be read, so nothing is said about it.
    #[error("{obstacle}")]
    Unread { obstacle: String },
}

/// Remarks about the decisions of a job whose list has these designators.
pub fn observe_decisions(decisions: &[Decision], designators: &[&str]) -> Vec<Observation> {
    let known: HashSet<String> = designators
        .iter()
        .map(|designator| designator.to_lowercase())
        .collect();
    let mut observations = Vec::new();
    let mut before = None;
    for (row, decision) in (1..).zip(decisions) {
        let designator = decision.designator.clone();
        if before.is_some_and(|before| decision.time < before) {
            let designator = designator.clone();
            observations.push(Observation::DecisionsOutOfOrder { designator, row });
        }
        before = Some(decision.time);
        if !known.contains(&designator.to_lowercase()) {
            observations.push(Observation::DecisionOnUnknown { designator, row });
        }
    }
    observations
}

/// Remarks about the bags that decisions name. Of each part the last one that says it was fitted counts, so that a
/// number that was put right is not held against it.
pub fn observe_bags(decisions: &[Decision], bags: &Bags) -> Vec<Observation> {
    let key = |decision: &Decision| decision.designator.to_lowercase();
    let fitted = || {
        (1..)
            .zip(decisions)
            .filter(|(_, one)| one.choice == Choice::Fitted)
    };
    let last: HashMap<String, usize> = fitted().map(|(row, one)| (key(one), row)).collect();
    let mut taken: HashMap<u32, &str> = HashMap::new();
    let mut observations = Vec::new();
    for (row, decision) in fitted().filter(|(row, one)| last.get(&key(one)) == Some(row)) {
        let Some(bag) = decision.bag else { continue };
        let designator = decision.designator.clone();
        if bags.bag(bag).is_none() {
            observations.push(Observation::BagNotMeasured {
                designator: designator.clone(),
                row,
                bag,
            });
        }
        if let Some(other) = taken.insert(bag, &decision.designator) {
            observations.push(Observation::BagFittedTwice {
                designator,
                row,
                bag,
                other: other.to_owned(),
            });
        }
    }
    observations
}

/// Whether a recording is as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Soundness {
    /// Faults of the recording, in the order of the file.
    pub findings: Vec<Finding>,
    pub observations: Vec<Observation>,
    /// Its seal, if it has one that fits.
    pub seal: Option<Seal>,
}

/// Findings of `survey` on a recording of so many `bytes`. One that is still `running` need not have its seal yet.
pub fn soundness(survey: &Survey, bytes: u64, running: bool) -> Soundness {
    let mut findings: Vec<Finding> = survey
        .problems
        .iter()
        .map(|problem| Finding::Damaged {
            line: problem.line,
            byte: problem.offset,
            what: problem.flaw.to_string(),
        })
        .collect();
    if survey.unlisted > 0 {
        findings.push(Finding::MoreDamage {
            count: survey.unlisted,
        });
    }
    let mut observations = Vec::new();
    if survey.skipped > 0 {
        observations.push(Observation::NewerEdition {
            lines: survey.skipped,
        });
    }
    match end(&survey.ending, bytes) {
        Some(_) if running => observations.push(Observation::StillRunning),
        end => findings.extend(end),
    }
    let seal = match &survey.ending {
        Ending::Sealed(seal) if survey.is_whole() => Some(seal.clone()),
        _ => None,
    };
    Soundness {
        findings,
        observations,
        seal,
    }
}

fn end(ending: &Ending, bytes: u64) -> Option<Finding> {
    match *ending {
        Ending::Sealed(_) => None,
        Ending::Unsealed { lines } => Some(Finding::NoSeal {
            line: lines,
            byte: bytes,
        }),
        Ending::Torn { lines, bytes: left } => Some(Finding::Torn {
            line: lines + 1,
            byte: bytes.saturating_sub(left),
            left,
        }),
    }
}

/// A finding for each sitting of the sheet that is not `known`, leaving out rows that were `claimed` for one that is.
pub fn strays(
    sheet: &ResultsFile,
    known: &BTreeSet<String>,
    claimed: &BTreeSet<usize>,
) -> Vec<Finding> {
    let mut found: Vec<(&str, usize, u64)> = Vec::new();
    for (index, row) in sheet.rows().iter().enumerate() {
        let sitting = row.named("sitting");
        if known.contains(sitting) || claimed.contains(&index) {
            continue;
        }
        match found.iter_mut().find(|(name, ..)| *name == sitting) {
            Some((_, rows, _)) => *rows += 1,
            None => found.push((sitting, 1, row.line)),
        }
    }
    let finding = |(sitting, rows, line): (&str, usize, u64)| Finding::NoRecording {
        sitting: sitting.to_owned(),
        rows,
        line,
    };
    found.into_iter().map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bags_that_were_never_measured_or_fitted_twice_are_remarked() {
        let text = b"time,ref,decision,bag\n2056-11-03T19:25:30Z,R1,fitted,3\n2056-11-03T19:25:31Z,r1,fitted,3\n2056-11-03T19:25:32Z,R2,fitted,3\n";
        let decisions = Decision::read_all(text).unwrap();
        let observed = observe_bags(&decisions, &Bags::default());
        let words: Vec<String> = observed.iter().map(ToString::to_string).collect();
        assert_eq!(
            words,
            [
                "decision 2, on `r1`: bag 3 is not in incoming.csv",
                "decision 3, on `R2`: bag 3 is not in incoming.csv",
                "decision 3, on `R2`: bag 3 was fitted as `r1` before, and each bag holds one part",
            ]
        );
    }

    #[test]
    fn decisions_out_of_order_and_on_unknown_parts_are_remarked() {
        let text = b"time,ref,decision\n2056-11-03T19:25:30Z,R1,keep\n2056-11-03T19:25:29Z,r2,keep\n2056-11-03T19:25:31Z,R9,keep\n";
        let decisions = Decision::read_all(text).unwrap();
        let observed = observe_decisions(&decisions, &["R1", "R2"]);
        assert_eq!(
            observed,
            [
                Observation::DecisionsOutOfOrder {
                    designator: "r2".to_owned(),
                    row: 2
                },
                Observation::DecisionOnUnknown {
                    designator: "R9".to_owned(),
                    row: 3
                }
            ]
        );
    }
}
