//! [`Books`]: what a live sitting leaves behind beside its recording and its rows.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Result;

use super::job_word::{glance_command, job_word};
use super::new_parts::NewParts;
use super::remark::remark;
use super::runs::{listed, runs};
use super::status::Status;
use crate::bench::live::Outcome;
use crate::books::job::{Folder, SittingLock};
use crate::books::ledger::{Account, Book, Glance, Standing};
use crate::books::session::{Bookkeeping, Kept, missing_of};
use crate::engine::sitting::{Event, What};

/// Writes down what is decided during a sitting, and says at its end what it has brought. The job is locked as long.
pub(super) struct Books<'a> {
    pub(super) folder: Folder,
    pub(super) new_parts: &'a NewParts,
    /// None for new parts: nothing is decided about them.
    pub(super) bookkeeping: Option<Bookkeeping>,
    pub(super) results: PathBuf,
    pub(super) recording: PathBuf,
    pub(super) _lock: SittingLock,
}

impl Books<'_> {
    /// Takes in an event, once its row is written; of a decision it says whether that is written down.
    pub(super) fn hear(&mut self, event: &Event) -> Option<Outcome> {
        match &mut self.bookkeeping {
            Some(bookkeeping) => bookkeeping.hear(event),
            None => matches!(event.what, What::Deciding(_)).then(|| {
                Err(
                    "decisions are about parts of the list; name the bag when its part is fitted"
                        .to_owned(),
                )
            }),
        }
    }

    /// Says where everything is, what is still to do, and, of a sitting that ended well, what became of the new parts. A decision
    /// that is not written down is the only fault.
    ///
    /// # Errors
    /// If new parts cannot be read or printed.
    pub(super) fn close(self, ended_well: bool, out: &mut dyn Write) -> Result<Status> {
        remark(&format!(
            "results    {}\nrecording  {}",
            self.results.display(),
            self.recording.display()
        ));
        let mut status = Status::Done;
        if let Some(bookkeeping) = self.bookkeeping {
            let kept = bookkeeping.close();
            if !kept.unwritten.is_empty() {
                status = Status::CouldNot;
            }
            say(&kept, &self.folder);
        }
        if ended_well {
            self.new_parts.sum_up(&self.folder, &self.recording, out)?;
        }
        Ok(status)
    }
}

/// Says what the sitting closed, what is still to do, and what was not written down.
fn say(kept: &Kept, folder: &Folder) {
    for decision in &kept.unwritten {
        remark(&format!(
            "not in decisions.csv: {} {}",
            decision.designator, decision.choice
        ));
    }
    if !kept.unwritten.is_empty() {
        remark(&offer(folder.root()));
    }
    match Book::open(folder) {
        Ok(book) => remark(&to_do_paragraph(
            &Glance::at(&book),
            &kept.closed,
            folder.root(),
        )),
        Err(error) => remark(&format!("what is still to do cannot be told: {error}")),
    }
}

/// Words that tell how to write down what the recordings have and decisions.csv has not.
pub(super) fn offer(job: &Path) -> String {
    format!(
        "write it down with `probewright decide {} --recorded`",
        job_word(job)
    )
}

/// Remarks on decisions of earlier sittings at the bench that did not get into decisions.csv, and how they get there.
pub(super) fn remark_missing(folder: &Folder) {
    let missing = match missing_of(folder, false) {
        Ok(missing) => missing,
        Err(error) => {
            return remark(&format!(
                "the decisions cannot be compared with the recordings: {error:#}"
            ));
        }
    };
    let counting = missing.iter().filter(|one| !one.superseded);
    let words: Vec<String> = counting
        .map(|one| format!("decided at the bench, and not in decisions.csv: {one}"))
        .collect();
    if !words.is_empty() {
        remark(&format!("{}\n{}", words.join("\n"), offer(folder.root())));
    }
}

/// The most designators that are named of one standing.
const NAMED: usize = 8;

/// Words on what is still to do, and on which of the fitted parts `closed` turned out good.
fn to_do_paragraph(glance: &Glance<'_>, closed: &[String], job: &Path) -> String {
    let good = glance.of(Standing::FittedGood).map(name);
    let good: Vec<&str> = good
        .filter(|one| closed.iter().any(|closed| closed == one))
        .collect();
    let mut sentences = Vec::new();
    if !good.is_empty() {
        sentences.push(format!("this sitting closed: {}", listed(&runs(&good))));
    }
    if glance.to_do() == 0 {
        sentences.push("nothing is left to do".to_owned());
    } else {
        let groups = Standing::ALL.into_iter().filter(|one| one.is_to_do());
        let groups = groups.filter_map(|standing| group(glance, standing));
        sentences.push(format!(
            "still to do: {}",
            groups.collect::<Vec<_>>().join("; ")
        ));
    }
    sentences.push(format!("more: {}", glance_command(job)));
    sentences.join("\n")
}

/// `2 to be replaced (C4, R7)`; `None` for none.
fn group(glance: &Glance<'_>, standing: Standing) -> Option<String> {
    let names: Vec<&str> = glance.of(standing).map(name).collect();
    let runs = runs(&names);
    let in_brackets = if runs.len() > NAMED {
        String::new()
    } else {
        format!(" ({})", listed(&runs))
    };
    (!names.is_empty()).then(|| format!("{} {standing}{in_brackets}", names.len()))
}

fn name<'a>(account: &Account<'a>) -> &'a str {
    &account.part.designator
}
