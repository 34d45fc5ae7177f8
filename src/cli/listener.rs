//! [`Listener`]: what is done with the engine's events, live and in a replay alike.

use std::io::{self, Write};

use super::paint::Paint;
use crate::books::results::Results;
use crate::engine::sitting::{Event, Plan, Summary, What};
use crate::views::screen::line;

/// Prints lines and writes rows. The first failure is kept, and nothing is done after it.
pub(crate) struct Listener<'a> {
    plan: Plan,
    out: &'a mut dyn Write,
    paint: Paint,
    rows: Option<Results<Box<dyn Write>>>,
    failure: Option<Failure>,
    summary: Option<Summary>,
}

/// What went wrong outside the engine.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// The results cannot be written.
    #[error("cannot write the results")]
    Rows(#[from] csv::Error),
    /// Nobody reads what is printed.
    #[error("cannot print")]
    Out(#[from] io::Error),
}

impl Failure {
    /// Whether it is only that nobody reads what is printed any more.
    pub(crate) fn is_closed_pipe(&self) -> bool {
        matches!(self, Self::Out(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

impl<'a> Listener<'a> {
    /// Prints to `out`, and writes rows where `rows` is given.
    pub(crate) fn new(
        plan: Plan,
        out: &'a mut dyn Write,
        paint: Paint,
        rows: Option<Results<Box<dyn Write>>>,
    ) -> Self {
        Self {
            plan,
            out,
            paint,
            rows,
            failure: None,
            summary: None,
        }
    }

    /// Takes in an event.
    pub(crate) fn hear(&mut self, event: &Event) {
        if self.failure.is_none()
            && let Err(failure) = self.deal_with(event)
        {
            self.failure = Some(failure);
        }
    }

    /// The first failure, if any. A closed pipe is one.
    pub(crate) fn check(&mut self) -> Result<(), Failure> {
        self.failure.take().map_or(Ok(()), Err)
    }

    /// The summary, once the sitting has ended.
    pub(crate) fn summary(&self) -> Option<Summary> {
        self.summary
    }

    fn deal_with(&mut self, event: &Event) -> Result<(), Failure> {
        match &event.what {
            What::Judged(record) => {
                if let Some(rows) = &mut self.rows {
                    rows.add(&self.plan.parts()[record.part], record)?;
                }
            }
            What::Ended(summary) => self.summary = Some(*summary),
            _ => {}
        }
        if let Some(line) = line(event, &self.plan) {
            self.paint.write(self.out, &line)?;
        }
        Ok(())
    }
}
