//! [`Books`]: what a live sitting leaves behind beside its recording and its rows.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::job_word::{job_word, quoted};
use super::new_parts::NewParts;
use super::open_paragraph::open_paragraph;
use super::remark::remark;
use crate::books::job::{Folder, SittingLock};
use crate::books::ledger::{Book, Decision, Glance};
use crate::books::session::{Bookkeeping, Kept, Session};
use crate::engine::sitting::{Event, What};

/// Writes down what is decided during a sitting, and says at its end what it has brought. The job is locked as long.
pub(super) struct Books<'a> {
    folder: Folder,
    new_parts: &'a NewParts,
    /// None for new parts: nothing is decided about them.
    bookkeeping: Option<Bookkeeping>,
    results: PathBuf,
    recording: PathBuf,
    _lock: SittingLock,
}

impl<'a> Books<'a> {
    /// The books of that sitting.
    pub(super) fn open(
        folder: Folder,
        lock: SittingLock,
        new_parts: &'a NewParts,
        results: PathBuf,
        session: &Session,
    ) -> Self {
        let bookkeeping =
            (!new_parts.are_wanted()).then(|| Bookkeeping::open(&folder, session.begun(), remark));
        Self {
            folder,
            new_parts,
            bookkeeping,
            results,
            recording: session.recording.clone(),
            _lock: lock,
        }
    }

    /// Takes in an event, once its row is written.
    pub(super) fn hear(&mut self, event: &Event) {
        match &mut self.bookkeeping {
            Some(bookkeeping) => bookkeeping.hear(event),
            None if matches!(event.what, What::Decided { .. }) => remark(
                "not written down: decisions are about parts of the list; name the bag when its part is fitted",
            ),
            None => {}
        }
    }

    /// Says where everything is, what is still open, and, of a sitting that ended well, what became of the new parts.
    ///
    /// # Errors
    /// If new parts cannot be read or printed.
    pub(super) fn close(self, ended_well: bool, out: &mut dyn Write) -> Result<()> {
        remark(&format!(
            "results    {}\nrecording  {}",
            self.results.display(),
            self.recording.display()
        ));
        if let Some(bookkeeping) = self.bookkeeping {
            say(&bookkeeping.close(), &self.folder);
        }
        if ended_well {
            self.new_parts.sum_up(&self.folder, &self.recording, out)?;
        }
        Ok(())
    }
}

/// Says what the sitting closed, what is still open, and what was not written down.
fn say(kept: &Kept, folder: &Folder) {
    for decision in &kept.unwritten {
        remark(&format!(
            "not in decisions.csv, say it again: {}",
            said_again(decision, folder)
        ));
    }
    match Book::open(folder) {
        Ok(book) => remark(&open_paragraph(
            &Glance::at(&book),
            &kept.closed,
            folder.root(),
        )),
        Err(error) => remark(&format!("what is still open cannot be told: {error}")),
    }
}

/// The command that says the decision once more.
fn said_again(decision: &Decision, folder: &Folder) -> String {
    let reason = Some(&decision.reason).filter(|reason| !reason.is_empty());
    let reason = reason.map(|reason| format!(" --reason {}", quoted(reason)));
    format!(
        "probewright decide {} {} {}{}",
        job_word(folder.root()),
        quoted(&decision.designator),
        decision.choice,
        reason.unwrap_or_default()
    )
}
