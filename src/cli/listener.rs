//! [`Listener`]: prints the lines of the engine's events, live and in a replay alike.

use std::io::Write;

use anyhow::{Context as _, Result};

use super::paint::Paint;
use crate::engine::sitting::{Event, Summary, What};
use crate::views::told::told;

/// Prints lines, none after the first failure.
pub(crate) struct Listener<'a> {
    out: &'a mut dyn Write,
    paint: Paint,
    failed: bool,
    summary: Option<Summary>,
}

impl<'a> Listener<'a> {
    /// Prints to `out`.
    pub(crate) fn new(out: &'a mut dyn Write, paint: Paint) -> Self {
        Self {
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
            self.summary = Some(**summary);
        }
        if self.failed {
            return Ok(());
        }
        if let Some(line) = told(&event.what).line {
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
