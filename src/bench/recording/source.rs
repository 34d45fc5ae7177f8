//! [`Source`]: where a reader's blocks come from: this thread, or one that reads and verifies ahead.

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
    /// Read and verified by another thread, in blocks that go round.
    Ahead {
        /// Blocks to be filled.
        empty: SyncSender<Block>,
        /// Blocks that have been filled.
        full: Receiver<io::Result<Block>>,
    },
}

impl Source {
    /// A source that works when asked.
    pub(super) fn here(input: Input) -> Self {
        Self::Here(Verifier::new(input))
    }

    /// A source that works ahead on a thread, which ends with the file or with this source.
    pub(super) fn ahead(input: Input) -> io::Result<Self> {
        let (empty, to_fill) = sync_channel(AHEAD);
        let (filled, full) = sync_channel(AHEAD);
        for _ in 1..AHEAD {
            // There is room for all of them.
            let _ = empty.try_send(Block::default());
        }
        std::thread::Builder::new()
            .name("recording read ahead".into())
            .spawn(move || read_ahead(input, &to_fill, &filled))?;
        Ok(Self::Ahead { empty, full })
    }

    /// Exchanges the used-up `block` for the next one.
    pub(super) fn next(&mut self, block: &mut Block) -> io::Result<()> {
        match self {
            Self::Here(verifier) => verifier.fill(block),
            Self::Ahead { empty, full } => {
                // The thread may have come to the end of the file already.
                let _ = empty.try_send(std::mem::take(block));
                *block = full.recv().map_err(io::Error::other)??;
                Ok(())
            }
        }
    }
}

fn read_ahead(input: Input, to_fill: &Receiver<Block>, filled: &SyncSender<io::Result<Block>>) {
    let mut verifier = Verifier::new(input);
    for mut block in to_fill {
        let outcome = verifier.fill(&mut block);
        let over = outcome.is_err() || block.is_last;
        if filled.send(outcome.map(|()| block)).is_err() || over {
            return;
        }
    }
}
