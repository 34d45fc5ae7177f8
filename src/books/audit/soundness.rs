//! [`soundness`]: what a survey of a recording has shown, as findings.

use super::finding::Finding;
use super::observation::Observation;
use crate::bench::recording::{Ending, Seal, Survey};

/// Whether a recording is as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Soundness {
    /// What is wrong with it, in the order of the file.
    pub findings: Vec<Finding>,
    /// What else is to be known.
    pub observations: Vec<Observation>,
    /// Its seal, if it has one that fits.
    pub seal: Option<Seal>,
}

/// What `survey` has shown of a recording of so many `bytes`. One that is still `running` need not have its seal yet.
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
