//! [`Block`]: some whole lines of a recording, with what checking their tags has shown; and [`Source`]: where blocks come from,
//! this thread or one that reads and verifies ahead.
//!
//! Blocks are made anew: a pool in which they went round saved the reading thread 4 % of its time, and a replay of five million readings none.

use super::digest::{Digest, Tag};
use super::verifier::Verifier;
use std::io::{self, Read};
use std::ops::Range;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// Where a line stands in the bytes of its block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span {
    /// Its first byte.
    pub(super) start: usize,
    /// Where the tab before its tag stands, or should: nine bytes before the newline, or at the start of a shorter line.
    pub(super) body: usize,
    /// Its newline.
    pub(super) end: usize,
}

impl Span {
    /// Where the line stands without its tag.
    pub(super) const fn body(self) -> Range<usize> {
        self.start..self.body
    }

    /// Where the line stands with its tag.
    pub(super) const fn whole(self) -> Range<usize> {
        self.start..self.end
    }
}

/// What is remarkable about the tag of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Finding {
    /// It is not the tag that the line makes.
    Differs {
        /// The tag that the line makes.
        expected: Tag,
    },
    /// It follows from the tag that the line before should have had: there, only the tag was changed.
    FollowsBody,
    /// It follows from the last line with a right tag: what stands between does not belong there.
    FollowsLastGood,
}

/// Some whole lines, and what is known of them. The fields are filled by the verifier and read by the reader.
#[derive(Debug, Default)]
pub(super) struct Block {
    /// The tag of the line before the block, then the lines.
    pub(super) bytes: Vec<u8>,
    /// The lines.
    pub(super) spans: Vec<Span>,
    /// By position in `spans`, ascending.
    pub(super) findings: Vec<(usize, Finding)>,
    /// By position in `spans`: lines that say they are a seal, with the digest of all lines before.
    pub(super) seals: Vec<(usize, Digest)>,
    /// The place of `bytes` in the file.
    pub(super) offset: u64,
    /// How many lines of the file come before.
    pub(super) lines_before: u64,
    /// The file ends with this block.
    pub(super) is_last: bool,
    /// How many bytes stand behind the last whole line, at the end of the file.
    pub(super) torn: usize,
}

impl Block {
    /// What was found about the line at `index`.
    pub(super) fn finding(&self, index: usize) -> Option<Finding> {
        let found = self
            .findings
            .binary_search_by_key(&index, |&(at, _)| at)
            .ok()?;
        Some(self.findings[found].1)
    }

    /// The digest of everything before the line at `index`, if that line says it is a seal.
    pub(super) fn digest_before(&self, index: usize) -> Option<Digest> {
        self.seals
            .iter()
            .find(|&&(at, _)| at == index)
            .map(|&(_, digest)| digest)
    }
}

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
