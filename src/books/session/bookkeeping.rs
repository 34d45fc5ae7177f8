//! [`Bookkeeping`]: what a live sitting does for the weeks of the job: it writes down what is decided at the bench, and says
//! which fitted parts it has measured.

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Book, Choice, Decision, DecisionsFile, Glance, Standing};
use crate::books::when::day;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{Event, What};

/// Listens to the events of a live sitting. A replay has none: what was decided then was written down then.
pub(crate) struct Bookkeeping {
    folder: Folder,
    begun: DateTime<FixedOffset>,
    /// Parts that were fitted and not measured since.
    awaited: Vec<String>,
    /// Those of them that this sitting has measured.
    closed: Vec<String>,
    /// What could not be written.
    unwritten: Vec<Decision>,
    remark: fn(&str),
}

/// What a sitting has brought for the job.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    /// Parts that were fitted, and that it has measured.
    pub(crate) closed: Vec<String>,
    /// Decisions that could not be written.
    pub(crate) unwritten: Vec<Decision>,
}

impl Bookkeeping {
    /// For a sitting that began then, on the job with that ledger. One that could not be read is told, and the
    /// sitting goes on.
    pub(crate) fn open(
        folder: &Folder,
        book: Result<&Book, &JobError>,
        begun: DateTime<FixedOffset>,
        remark: fn(&str),
    ) -> Self {
        let awaited = book.map(|book| {
            let glance = Glance::at(book);
            let awaited = glance.of(Standing::FittedNotMeasured);
            awaited
                .map(|account| account.part.designator.clone())
                .collect()
        });
        Self {
            folder: folder.clone(),
            begun,
            awaited: awaited.unwrap_or_else(|error| {
                remark(&format!(
                    "what was decided so far cannot be read, the sitting goes on without it: {error}"
                ));
                Vec::new()
            }),
            closed: Vec::new(),
            unwritten: Vec::new(),
            remark,
        }
    }

    /// Takes in an event, once its row is written.
    pub(crate) fn hear(&mut self, event: &Event) {
        match &event.what {
            What::Decided {
                designator,
                choice,
                reason,
                ..
            } => {
                let decision = Decision {
                    time: self.time(event.at, designator),
                    designator: designator.clone(),
                    choice: *choice,
                    reason: reason.clone(),
                    article: String::new(),
                    bag: None,
                };
                self.decided(decision);
            }
            What::Judged(record) => self.measured(&record.row.designator),
            _ => {}
        }
    }

    /// The time of a decision that is made at that stamp.
    fn time(&self, at: Stamp, designator: &str) -> DateTime<FixedOffset> {
        let since = TimeDelta::microseconds(i64::try_from(at.micros()).unwrap_or(i64::MAX));
        let now = self.begun.checked_add_signed(since).unwrap_or(self.begun);
        // That the ledger cannot be read was told when the sitting began.
        Book::open(&self.folder).map_or(now, |book| book.time_of_decision(designator, now))
    }

    fn decided(&mut self, decision: Decision) {
        let file = DecisionsFile::open(&self.folder, self.remark);
        if let Err(error) = file.and_then(|mut file| file.add(&decision)) {
            (self.remark)(&format!("NOT WRITTEN DOWN: {error}"));
            self.unwritten.push(decision);
            return;
        }
        let designator = &decision.designator;
        self.awaited.retain(|one| one != designator);
        self.closed.retain(|one| one != designator);
        if decision.choice == Choice::Fitted {
            self.awaited.push(designator.clone());
        }
    }

    /// Says so if a part that was fitted is now measured.
    fn measured(&mut self, designator: &str) {
        if !self.awaited.iter().any(|awaited| awaited == designator) {
            return;
        }
        // What cannot be read now was told when the sitting began, or will be at its end.
        let Ok(book) = Book::open(&self.folder) else {
            return;
        };
        let Some(account) = book.account(designator) else {
            return;
        };
        if account.standing() == Standing::FittedNotMeasured {
            return;
        }
        self.awaited.retain(|one| one != designator);
        let since = account.fitted().map(|one| day(one.time));
        let verdict = account.verdict().map_or("", Verdict::name);
        (self.remark)(&format!(
            "{designator} fitted {}, now measured: {verdict}",
            since.unwrap_or_default()
        ));
        self.closed.push(designator.to_owned());
    }

    /// What it has brought.
    pub(crate) fn close(self) -> Kept {
        Kept {
            closed: self.closed,
            unwritten: self.unwritten,
        }
    }
}
