//! [`OnBoard`]: a watched sitting on the board.

use std::io;

use super::view::View;
use crate::cli::display::Board;
use crate::views::state::{Item, State};

/// Puts what is told down on the board of this terminal, which makes the same state of it.
pub(super) struct OnBoard {
    board: Board,
}

impl OnBoard {
    pub(super) fn new(board: Board) -> Self {
        Self { board }
    }
}

impl View for OnBoard {
    // What was missed shows nowhere: the board shows the state of now.
    fn anew(&mut self, state: &State, _: Option<u64>) -> io::Result<()> {
        self.board.show(state);
        Ok(())
    }

    fn heard(&mut self, item: &Item, _: &State) -> io::Result<()> {
        self.board.apply(item);
        Ok(())
    }
}
