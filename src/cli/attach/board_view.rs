//! [`BoardView`]: a watched sitting on the screen that a sitting of one's own has.

use std::io;

use super::view::View;
use crate::cli::display::Board;
use crate::cli::remark::remark;
use crate::feed::{Item, State};

/// Puts what is watched down on the board.
pub(super) struct BoardView(pub(super) Board);

impl View for BoardView {
    fn anew(&mut self, state: &State, missed: Option<u64>) -> io::Result<()> {
        self.0.begin_with(state);
        if let Some(missed) = missed {
            remark(&format!("too slow: {missed} items were missed"));
        }
        Ok(())
    }

    fn heard(&mut self, item: &Item, _: &State) -> io::Result<()> {
        self.0.apply(item);
        Ok(())
    }
}
