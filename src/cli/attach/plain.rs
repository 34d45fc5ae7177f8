//! [`Plain`]: a watched sitting as lines.

use std::io::{self, Write};

use super::summary::summary;
use super::view::View;
use crate::cli::paint::Paint;
use crate::views::state::{Item, State};
use crate::views::told::{Line, Mood};

/// Prints the same lines as the sitting does, after a summary of what was before.
pub(super) struct Plain<'a> {
    out: &'a mut dyn Write,
    paint: Paint,
}

impl<'a> Plain<'a> {
    pub(super) fn new(out: &'a mut dyn Write, paint: Paint) -> Self {
        Self { out, paint }
    }
}

impl View for Plain<'_> {
    fn anew(&mut self, state: &State, missed: Option<u64>) -> io::Result<()> {
        if let Some(missed) = missed {
            let line = Line {
                text: format!("too slow: {missed} items were missed"),
                mood: Mood::Doubtful,
            };
            self.paint.write(self.out, &line)?;
        }
        for line in summary(state) {
            self.paint.write(self.out, &line)?;
        }
        self.out.flush()
    }

    fn heard(&mut self, item: &Item, _: &State) -> io::Result<()> {
        let Some(line) = &item.line else {
            return Ok(());
        };
        self.paint.write(self.out, line)?;
        self.out.flush()
    }
}
