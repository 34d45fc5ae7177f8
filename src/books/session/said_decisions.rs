//! [`Said`]: a decision that was said at the bench, as its recording tells; and [`Missing`], one that decisions.csv does not have.

use std::fmt;
use std::fs::File;
use std::io::{self, BufRead as _, BufReader};
use std::path::Path;

use anyhow::Result;
use chrono::{DateTime, FixedOffset, SubsecRound as _};
use memchr::memmem;

use crate::bench::recorded::Recorded;
use crate::books::job::Folder;
use crate::books::ledger::Decision;
use crate::engine::sitting::{Event, Resolve, What};

/// A decision that was said at the bench.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Said {
    /// Decision, at the time when it was said.
    pub(crate) decision: Decision,
    /// Name of the sitting.
    pub(crate) sitting: String,
    /// Outcome of its writing by the recording; older ones say nothing.
    pub(crate) written: Option<bool>,
}

/// Collects the decisions of a recording that is computed again.
#[derive(Debug)]
pub(crate) struct SaidDecisions {
    sitting: String,
    begun: DateTime<FixedOffset>,
    all: Vec<Said>,
    /// The last one still has no outcome.
    awaited: bool,
}

impl SaidDecisions {
    /// Decisions of the recording.
    pub(crate) fn of(recorded: &Recorded) -> Self {
        Self {
            sitting: recorded.name(),
            begun: recorded.begun().unwrap_or_default(),
            all: Vec::new(),
            awaited: false,
        }
    }

    /// Takes in an event.
    pub(crate) fn hear(&mut self, event: &Event) {
        match &event.what {
            What::Deciding(resolve) => {
                self.add(event, resolve);
                self.awaited = true;
            }
            What::NotDecided { .. } => self.end(false),
            What::Decided(_) if self.awaited => self.end(true),
            What::Decided(resolve) => self.add(event, resolve),
            _ => {}
        }
    }

    /// All of them, in their order.
    pub(crate) fn all(self) -> Vec<Said> {
        self.all
    }

    fn add(&mut self, event: &Event, resolve: &Resolve) {
        let decision = Decision {
            // As the file has it.
            time: event.at.on_clock(self.begun).trunc_subsecs(3),
            designator: resolve.designator.clone(),
            choice: resolve.choice,
            reason: resolve.reason.clone(),
            article: String::new(),
            bag: None,
        };
        self.all.push(Said {
            decision,
            sitting: self.sitting.clone(),
            written: None,
        });
    }

    fn end(&mut self, written: bool) {
        self.awaited = false;
        if let Some(last) = self.all.last_mut() {
            last.written = Some(written);
        }
    }
}

/// A decision that was said at the bench and is not in decisions.csv.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Missing {
    /// Decision that was said.
    pub(crate) said: Said,
    /// A later one about the same part is there, so that this one counts no more.
    pub(crate) superseded: bool,
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Said {
            decision, sitting, ..
        } = &self.said;
        let because = if decision.reason.is_empty() { "" } else { ": " };
        let Decision {
            designator,
            choice,
            reason,
            ..
        } = decision;
        write!(
            f,
            "{designator} {choice}{because}{reason} (sitting {sitting})"
        )
    }
}

/// Decisions of `said`, in their order, that the file with these decisions does not have. Each row stands for one.
pub(crate) fn missing(said: Vec<Said>, file: &[Decision]) -> Vec<Missing> {
    let mut free = vec![true; file.len()];
    let mut missing = Vec::new();
    for said in said {
        let wanted = &said.decision;
        let of_part = |row: &Decision| {
            row.time >= wanted.time && row.designator.eq_ignore_ascii_case(&wanted.designator)
        };
        let is_it = |row: &Decision| {
            of_part(row) && row.choice == wanted.choice && row.reason.trim() == wanted.reason.trim()
        };
        let place = (0..file.len()).find(|&place| free[place] && is_it(&file[place]));
        match place {
            Some(place) => free[place] = false,
            None => missing.push(Missing {
                superseded: file.iter().any(of_part),
                said,
            }),
        }
    }
    missing
}

/// Decisions that recordings of the job have and its file does not. Of a sitting that is `going_on` nothing is said, nor of
/// a recording that cannot be computed, of which an audit tells.
///
/// # Errors
/// If the job or its decisions cannot be read.
pub(crate) fn missing_of(folder: &Folder, going_on: bool) -> Result<Vec<Missing>> {
    let mut recordings = folder.recordings()?;
    if going_on {
        recordings.pop();
    }
    let with_some = recordings
        .iter()
        .filter(|file| has_unwritten(file).unwrap_or(true));
    let said: Vec<Said> = with_some
        .filter_map(|file| said_in(file).ok())
        .flatten()
        .collect();
    if said.is_empty() {
        return Ok(Vec::new());
    }
    Ok(missing(
        said,
        &Decision::read_all(&folder.read_decisions()?)?,
    ))
}

fn said_in(file: &Path) -> Result<Vec<Said>> {
    let recorded = Recorded::open(file)?;
    let mut said = SaidDecisions::of(&recorded);
    recorded.play(
        recorded.plan()?,
        |_| (),
        |event| {
            said.hear(event);
            Ok(())
        },
    )?;
    Ok(said.all())
}

/// Whether a recording has more decisions than it says were written; most have none, and need not be computed.
fn has_unwritten(file: &Path) -> io::Result<bool> {
    let asked = memmem::Finder::new(b"\tcommand\tdecide ");
    let written = memmem::Finder::new(b"\tdecision\twritten\t");
    let mut lines = BufReader::new(File::open(file)?);
    let (mut line, mut open) = (Vec::new(), 0_i64);
    while lines.read_until(b'\n', &mut line)? > 0 {
        open += i64::from(asked.find(&line).is_some()) - i64::from(written.find(&line).is_some());
        line.clear();
    }
    Ok(open != 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::Choice;

    fn decision(minute: u32, designator: &str, choice: Choice) -> Decision {
        let time = format!("2056-11-03T19:{minute:02}:30Z");
        Decision {
            time: DateTime::parse_from_rfc3339(&time).unwrap(),
            designator: designator.to_owned(),
            choice,
            reason: String::new(),
            article: String::new(),
            bag: None,
        }
    }

    #[test]
    fn a_row_stands_for_one_decision_and_a_later_one_about_the_part_supersedes() {
        let said = [
            (1, "R1", Choice::Keep),
            (2, "R1", Choice::Keep),
            (3, "R2", Choice::Replace),
            (4, "C1", Choice::Order),
        ];
        let said = said.map(|(minute, designator, choice)| Said {
            decision: decision(minute, designator, choice),
            sitting: "s".to_owned(),
            written: None,
        });
        let file = [
            decision(0, "R2", Choice::Replace),
            decision(2, "r1", Choice::Keep),
            decision(9, "C1", Choice::Keep),
        ];
        let missing = missing(said.to_vec(), &file);
        let found: Vec<_> = missing
            .iter()
            .map(|one| (one.to_string(), one.superseded))
            .collect();
        let expected = [
            ("R1 keep (sitting s)", true),
            ("R2 replace (sitting s)", false),
            ("C1 order (sitting s)", true),
        ];
        assert_eq!(found, expected.map(|(words, is)| (words.to_owned(), is)));
    }
}
