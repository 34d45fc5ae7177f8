//! [`Books`]: what a live sitting leaves behind beside its recording and its rows.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;
use chrono::{DateTime, FixedOffset};

use super::bookkeeping::Bookkeeping;
use super::new_parts::NewParts;
use super::remark::remark;
use super::session::Session;
use crate::books::job::{Folder, SittingLock};
use crate::engine::sitting::Event;

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
    /// The books of a sitting that began then.
    pub(super) fn open(
        folder: Folder,
        lock: SittingLock,
        new_parts: &'a NewParts,
        results: PathBuf,
        begun: DateTime<FixedOffset>,
        session: &Session,
    ) -> Self {
        let bookkeeping =
            (!new_parts.are_wanted()).then(|| Bookkeeping::open(&folder, begun, session.plan()));
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
            None => Bookkeeping::pass_over(event),
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
            bookkeeping.close();
        }
        if ended_well {
            self.new_parts.sum_up(&self.folder, &self.recording, out)?;
        }
        Ok(())
    }
}
