//! [`Listener`]: prints the lines of the engine's events, live and in a replay alike.
//!
//! [`Paint`]: colour on a terminal, none elsewhere.

use std::io::{self, IsTerminal, Write};

use anyhow::{Context as _, Result};

use super::printer::colour;
use crate::engine::sitting::{Event, Summary, What};
use crate::views::told::{Line, Mood, told};

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

/// Look of lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paint {
    /// With colour.
    Colour,
    /// Without.
    Plain,
}

impl Paint {
    /// Colour if standard output is a terminal and the environment does not ask for none (`NO_COLOR`).
    pub(crate) fn for_stdout() -> Self {
        let wanted = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
        if wanted && io::stdout().is_terminal() {
            Self::Colour
        } else {
            Self::Plain
        }
    }

    /// Writes a line with its end.
    pub(crate) fn write(self, out: &mut dyn Write, line: &Line) -> io::Result<()> {
        match (self, code(line.mood)) {
            (Self::Colour, Some(code)) => {
                out.write_all(&colour(code))?;
                out.write_all(line.text.as_bytes())?;
                out.write_all(&colour("0"))?;
                out.write_all(b"\n")
            }
            _ => writeln!(out, "{}", line.text),
        }
    }
}

/// ISO 6429 parameters; `None` for the terminal's own colour.
const fn code(mood: Mood) -> Option<&'static str> {
    match mood {
        Mood::Plain => None,
        Mood::Quiet => Some("2"),
        Mood::Good => Some("32"),
        Mood::Doubtful => Some("33"),
        Mood::Unsure => Some("35"),
        Mood::Bad => Some("1;31"),
    }
}
