//! [`Listener`]: prints the lines of the engine's events, live and in a replay alike.

use std::io::Write;

use anyhow::{Context as _, Result};

use super::paint::Paint;
use crate::engine::sitting::{Event, Plan, Summary, What};
use crate::views::screen::line;

/// Prints lines, none after the first failure.
pub(crate) struct Listener<'a> {
    plan: Plan,
    out: &'a mut dyn Write,
    paint: Paint,
    failed: bool,
    summary: Option<Summary>,
}

impl<'a> Listener<'a> {
    /// Prints to `out`.
    pub(crate) fn new(plan: Plan, out: &'a mut dyn Write, paint: Paint) -> Self {
        Self {
            plan,
            out,
            paint,
            failed: false,
            summary: None,
        }
    }

    /// Takes in an event.
    ///
    /// # Errors
    /// If it cannot be printed; a closed pipe is such an error. Later ones are not told.
    pub(crate) fn hear(&mut self, event: &Event) -> Result<()> {
        if let What::Ended(summary) = &event.what {
            self.summary = Some(*summary);
        }
        if self.failed {
            return Ok(());
        }
        if let Some(line) = line(event, &self.plan) {
            let printed = self.paint.write(self.out, &line);
            self.failed = printed.is_err();
            printed.context("cannot print")?;
        }
        Ok(())
    }

    /// The summary, once the sitting has ended.
    pub(crate) fn summary(&self) -> Option<Summary> {
        self.summary
    }
}
