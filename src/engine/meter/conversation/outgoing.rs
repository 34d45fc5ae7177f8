//! [`Outgoing`]: what is to be sent.

use crate::engine::meter::Ending;

/// Commands that wait to be sent, each with its line ending. The buffer is kept.
#[derive(Debug, Clone)]
pub(super) struct Outgoing {
    ending: Ending,
    bytes: Vec<u8>,
    handed_out: bool,
}

impl Outgoing {
    pub(super) const fn new(ending: Ending) -> Self {
        Self {
            ending,
            bytes: Vec::new(),
            handed_out: false,
        }
    }

    pub(super) fn push(&mut self, command: &str) {
        if self.handed_out {
            self.clear();
        }
        self.bytes.extend_from_slice(command.as_bytes());
        self.bytes.extend_from_slice(self.ending.bytes());
    }

    pub(super) fn clear(&mut self) {
        self.bytes.clear();
        self.handed_out = false;
    }

    /// Everything pushed since the last call.
    pub(super) fn take(&mut self) -> Option<&[u8]> {
        if self.handed_out {
            self.clear();
        }
        self.handed_out = !self.bytes.is_empty();
        self.handed_out.then_some(self.bytes.as_slice())
    }
}
