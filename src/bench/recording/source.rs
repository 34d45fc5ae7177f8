//! [`Source`]: where a reader's blocks come from: this thread, or one that reads and verifies ahead.
//!
//! Blocks are made anew: a pool in which they went round saved the reading thread 4 % of its time, and a replay of five million readings none.

use super::block::Block;
use super::verifier::Verifier;
use std::io::{self, Read};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// Any input of bytes; one call fetches many lines.
pub(super) type Input = Box<dyn Read + Send>;

/// How many blocks are on their way at most.
const AHEAD: usize = 4;

/// Where blocks come from.
pub(super) enum Source {
    /// Read and verified when asked for.
    Here(Verifier<Input>),
    /// Read and verified by another thread.
    Ahead(Receiver<io::Result<Block>>),
}

impl Source {
    /// A source that works when asked.
    pub(super) fn here(input: Input) -> Self {
        Self::Here(Verifier::new(input))
    }

    /// A source that works ahead on a thread, which ends with the file or with this source.
    pub(super) fn ahead(input: Input) -> io::Result<Self> {
        let (filled, full) = sync_channel(AHEAD);
        std::thread::Builder::new()
            .name("recording read ahead".into())
            .spawn(move || read_ahead(input, &filled))?;
        Ok(Self::Ahead(full))
    }

    /// Exchanges the used-up `block` for the next one.
    pub(super) fn next(&mut self, block: &mut Block) -> io::Result<()> {
        match self {
            Self::Here(verifier) => verifier.fill(block),
            Self::Ahead(full) => {
                *block = full.recv().map_err(io::Error::other)??;
                Ok(())
            }
        }
    }
}

fn read_ahead(input: Input, filled: &SyncSender<io::Result<Block>>) {
    let mut verifier = Verifier::new(input);
    loop {
        let mut block = Block::default();
        let outcome = verifier.fill(&mut block);
        let over = outcome.is_err() || block.is_last;
        if filled.send(outcome.map(|()| block)).is_err() || over {
            return;
        }
    }
}
