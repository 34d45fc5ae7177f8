//! [`View`]: what shows a watched sitting: the board of this terminal, or lines.

use std::io::{self, Write};

use super::summary::summary;
use crate::cli::display::Board;
use crate::cli::paint::Paint;
use crate::cli::remark::remark;
use crate::views::serve::FromServer;
use crate::views::state::{Item, State};
use crate::views::told::{Line, Mood};

/// What shows a watched sitting.
pub(super) enum View<'a> {
    /// The board, which makes the same state of what it is told.
    Board(Board),
    /// The same lines as the sitting prints, after a summary of what was before.
    Lines(Lines<'a>),
}

/// Lines, and how many items were missed before the next of them.
pub(super) struct Lines<'a> {
    out: &'a mut dyn Write,
    paint: Paint,
    missed: Option<u64>,
}

impl View<'_> {
    /// Takes in what the server says.
    pub(super) fn hear(&mut self, said: &FromServer) -> io::Result<()> {
        match (self, said) {
            (_, FromServer::Refused(why)) => remark(why),
            (Self::Board(board), FromServer::State(state)) => board.show(state),
            (Self::Board(board), FromServer::Item(item)) => board.apply(item),
            // The board shows the state of now, whatever was missed. An error is told at the end, a hello matters to programs.
            (Self::Board(_), FromServer::Missed(_))
            | (_, FromServer::Error(_) | FromServer::Hello(_)) => {}
            (Self::Lines(lines), FromServer::State(state)) => return lines.anew(state),
            (Self::Lines(lines), FromServer::Item(item)) => return lines.heard(item),
            (Self::Lines(lines), FromServer::Missed(missed)) => lines.missed = Some(*missed),
        }
        Ok(())
    }
}

impl<'a> Lines<'a> {
    /// Prints to `out`.
    pub(super) fn new(out: &'a mut dyn Write, paint: Paint) -> Self {
        Self {
            out,
            paint,
            missed: None,
        }
    }

    fn anew(&mut self, state: &State) -> io::Result<()> {
        let missed = self.missed.take().map(|missed| Line {
            text: format!("too slow: {missed} items were missed"),
            mood: Mood::Doubtful,
        });
        for line in missed.into_iter().chain(summary(state)) {
            self.paint.write(self.out, &line)?;
        }
        self.out.flush()
    }

    fn heard(&mut self, item: &Item) -> io::Result<()> {
        let Some(line) = &item.line else {
            return Ok(());
        };
        self.paint.write(self.out, line)?;
        self.out.flush()
    }
}
