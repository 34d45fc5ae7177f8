//! [`Bookkeeping`]: what a live sitting does for the weeks of the job: it writes down what is decided at the bench, and says
//! which fitted parts it has measured and what is still open.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::job_word::{job_word, quoted};
use super::open_paragraph::open_paragraph;
use super::remark::remark;
use super::when::day;
use crate::books::job::Folder;
use crate::books::ledger::{
    Book, BookError, Choice, Decision, DecisionsFile, DecisionsFileError, Glance, Standing,
};
use crate::engine::judge::Verdict;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::{Event, Plan, What};

/// Listens to the events of a live sitting. A replay has none: what was decided then was written down then.
pub(crate) struct Bookkeeping {
    folder: Folder,
    begun: DateTime<FixedOffset>,
    designators: Vec<String>,
    /// Parts that were fitted and not measured since.
    awaited: Vec<String>,
    /// Those of them that this sitting has measured.
    closed: Vec<String>,
    /// What could not be written, as it is to be said again.
    unwritten: Vec<String>,
}

impl Bookkeeping {
    /// For a sitting by that plan that began then. A ledger that cannot be read is told, and the sitting goes on.
    pub(crate) fn open(folder: &Folder, begun: DateTime<FixedOffset>, plan: &Plan) -> Self {
        let awaited = Book::open(folder).map(|book| {
            let glance = Glance::at(&book);
            let awaited = glance.of(Standing::FittedNotMeasured);
            awaited
                .map(|account| account.part.designator.clone())
                .collect()
        });
        let parts = plan.parts().iter();
        Self {
            folder: folder.clone(),
            begun,
            designators: parts.map(|part| part.designator.clone()).collect(),
            awaited: awaited.unwrap_or_else(|error: BookError| {
                remark(&format!(
                    "what was decided so far cannot be read, the sitting goes on without it: {error}"
                ));
                Vec::new()
            }),
            closed: Vec::new(),
            unwritten: Vec::new(),
        }
    }

    /// Takes in an event, once its row is written.
    pub(crate) fn hear(&mut self, event: &Event) {
        match &event.what {
            What::Decided {
                part,
                choice,
                reason,
            } => {
                let designator = &self.designators[*part];
                let decision = Decision {
                    time: self.time(event.at, designator),
                    designator: designator.clone(),
                    choice: *choice,
                    reason: reason.clone(),
                    article: String::new(),
                    bag: None,
                };
                self.decided(&decision);
            }
            What::Judged(record) => self.measured(record.part),
            _ => {}
        }
    }

    /// Takes in an event of a sitting over new parts, of which nothing is kept.
    pub(crate) fn pass_over(event: &Event) {
        if let What::Decided { .. } = event.what {
            remark(
                "not written down: decisions are about parts of the list; name the bag when its part is fitted",
            );
        }
    }

    /// The time of a decision that is made at that stamp.
    fn time(&self, at: Stamp, designator: &str) -> DateTime<FixedOffset> {
        let since = TimeDelta::microseconds(i64::try_from(at.micros()).unwrap_or(i64::MAX));
        let now = self.begun.checked_add_signed(since).unwrap_or(self.begun);
        // That the ledger cannot be read was told when the sitting began.
        Book::open(&self.folder).map_or(now, |book| book.time_of_decision(designator, now))
    }

    fn decided(&mut self, decision: &Decision) {
        if let Err(error) = self.write(decision) {
            remark(&format!("NOT WRITTEN DOWN: {error}"));
            self.unwritten.push(self.said_again(decision));
            return;
        }
        let designator = &decision.designator;
        self.awaited.retain(|one| one != designator);
        self.closed.retain(|one| one != designator);
        if decision.choice == Choice::Fitted {
            self.awaited.push(designator.clone());
        }
    }

    fn write(&self, decision: &Decision) -> Result<(), DecisionsFileError> {
        let mut file = DecisionsFile::open(&self.folder.decisions())?;
        if file.cut() > 0 {
            remark(
                "the last row of decisions.csv was torn and is cut off: say that decision again",
            );
        }
        file.add(decision)
    }

    /// The command that says the decision once more.
    fn said_again(&self, decision: &Decision) -> String {
        let reason = Some(&decision.reason).filter(|reason| !reason.is_empty());
        let reason = reason.map(|reason| format!(" --reason {}", quoted(reason)));
        format!(
            "probewright decide {} {} {}{}",
            job_word(self.folder.root()),
            quoted(&decision.designator),
            decision.choice,
            reason.unwrap_or_default()
        )
    }

    /// Says so if a part that was fitted is now measured.
    fn measured(&mut self, part: usize) {
        let designator = self.designators[part].clone();
        if !self.awaited.contains(&designator) {
            return;
        }
        // What cannot be read now was told when the sitting began, or will be at its end.
        let Ok(book) = Book::open(&self.folder) else {
            return;
        };
        let Some(account) = book.account(&designator) else {
            return;
        };
        if account.standing() == Standing::FittedNotMeasured {
            return;
        }
        self.awaited.retain(|one| *one != designator);
        let since = account.fitted().map(|one| day(one.time));
        let verdict = account.verdict().map_or("", Verdict::name);
        remark(&format!(
            "{designator} fitted {}, now measured: {verdict}",
            since.unwrap_or_default()
        ));
        self.closed.push(designator);
    }

    /// Says at the end what the sitting closed, and what is still open.
    pub(crate) fn close(self) {
        for command in &self.unwritten {
            remark(&format!("not in decisions.csv, say it again: {command}"));
        }
        match Book::open(&self.folder) {
            Ok(book) => {
                let glance = Glance::at(&book);
                remark(&open_paragraph(&glance, &self.closed, self.folder.root()));
            }
            Err(error) => remark(&format!("what is still open cannot be told: {error}")),
        }
    }
}
