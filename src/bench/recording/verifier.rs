//! [`Verifier`]: reads blocks of whole lines and checks the chain of their tags.

use super::LONGEST_LINE;
use super::block::{Block, Digest, Span, Tag, TagFault};
use super::event::Word;
use sha2::{Digest as _, Sha256};
use std::io::{self, Read};

/// Bytes that are read at once: large enough that the cost of a call does not matter, small enough for the cache.
const BLOCK: u64 = 256 * 1024;

/// The state of the chain between two lines.
struct Chain {
    /// The tag of the last line whose tag was right.
    last_good: Option<Tag>,
    /// The tag that the line before should have had, if it had another.
    broken: Option<Tag>,
}

/// Reads a recording block by block.
pub(super) struct Verifier<R> {
    input: R,
    /// The tag of the line before, then the beginning of a line that is not whole yet.
    carry: Vec<u8>,
    /// Bytes of `carry` that belong to the line before.
    lead: usize,
    /// The place of `carry` in the file.
    offset: u64,
    lines: u64,
    hasher: Sha256,
    chain: Chain,
}

impl<R: Read> Verifier<R> {
    /// A verifier at the beginning of a recording.
    pub(super) fn new(input: R) -> Self {
        let chain = Chain {
            last_good: None,
            broken: None,
        };
        Self {
            input,
            carry: Vec::new(),
            lead: 0,
            offset: 0,
            lines: 0,
            hasher: Sha256::new(),
            chain,
        }
    }

    /// Fills `block` with the next whole lines: at least one, unless the file ends.
    pub(super) fn fill(&mut self, block: &mut Block) -> io::Result<()> {
        block.spans.clear();
        block.findings.clear();
        block.seals.clear();
        block.offset = self.offset;
        block.lines_before = self.lines;
        let cut = self.read_lines(block)?;
        block.torn = if block.is_last {
            block.bytes.len() - cut
        } else {
            0
        };
        let last_tag = self.check_lines(block, cut);
        self.carry.clear();
        self.carry.extend_from_slice(&block.bytes[last_tag..]);
        self.lead = cut - last_tag;
        self.offset += last_tag as u64;
        self.lines += block.spans.len() as u64;
        Ok(())
    }

    /// Reads until there is a whole line or nothing more; returns the end of the last whole line.
    fn read_lines(&mut self, block: &mut Block) -> io::Result<usize> {
        block.bytes.clear();
        block.bytes.extend_from_slice(&self.carry);
        block.is_last = false;
        loop {
            let filled = block.bytes.len();
            if filled - self.lead > LONGEST_LINE {
                return Err(io::Error::new(
                    io::ErrorKind::FileTooLarge,
                    format!("a line is longer than {LONGEST_LINE} bytes"),
                ));
            }
            let read = self
                .input
                .by_ref()
                .take(BLOCK)
                .read_to_end(&mut block.bytes)?;
            block.is_last = (read as u64) < BLOCK;
            match memchr::memrchr(b'\n', &block.bytes[filled..]) {
                Some(newline) => return Ok(filled + newline + 1),
                None if block.is_last => return Ok(self.lead),
                None => {}
            }
        }
    }

    /// Checks the lines that end at or before `cut`; returns where the tag of the last one begins.
    fn check_lines(&mut self, block: &mut Block, cut: usize) -> usize {
        let (mut start, mut hashed, mut last_tag) = (self.lead, self.lead, 0);
        for newline in memchr::memchr_iter(b'\n', &block.bytes[self.lead..cut]) {
            let end = self.lead + newline;
            let span = Span {
                start,
                body: end.saturating_sub(Tag::LENGTH + 1).max(start),
                end,
            };
            let index = block.spans.len();
            if says_sealed(&block.bytes[span.body()]) {
                self.hasher.update(&block.bytes[hashed..start]);
                hashed = start;
                block.seals.push((index, Digest::so_far(&self.hasher)));
            }
            if let Some(finding) = self.chain.check(&block.bytes, last_tag, span) {
                block.findings.push((index, finding));
            }
            block.spans.push(span);
            last_tag = end.saturating_sub(Tag::LENGTH).max(start);
            start = end + 1;
        }
        self.hasher.update(&block.bytes[hashed..cut]);
        last_tag
    }
}

impl Chain {
    /// Checks one line; the tag of the line before begins at `last_tag`.
    fn check(&mut self, bytes: &[u8], last_tag: usize, span: Span) -> Option<TagFault> {
        let tagged = &bytes[span.body..span.end];
        // The tab before the tag is part of what is hashed. A line without it has no tag, whatever its end says.
        let (tab, says) = tagged.split_at(tagged.len().min(1));
        let says = if tab == b"\t" { says } else { &[] };
        let body = &bytes[span.start..span.body + tab.len()];
        let expected = Tag::of(&bytes[last_tag..span.body + tab.len()]);
        let finding = if says == expected.digits() {
            // The line before can be a copy of the last good one: it ends with a tag to continue from, too.
            let before = &bytes[last_tag..span.start.saturating_sub(1).max(last_tag)];
            let copied =
                self.broken.is_some() && self.last_good.is_some_and(|tag| tag.digits() == before);
            copied.then_some(TagFault::FollowsLastGood)
        } else {
            let follows = |tag: Tag| Tag::following(tag, body).digits() == says;
            match (self.broken, self.last_good) {
                (Some(tag), _) if follows(tag) => Some(TagFault::FollowsBody),
                (Some(_), Some(tag)) if follows(tag) => Some(TagFault::FollowsLastGood),
                _ => Some(TagFault::Differs { expected }),
            }
        };
        if let Some(TagFault::Differs { expected }) = finding {
            self.broken = Some(expected);
        } else {
            self.broken = None;
            self.last_good = says.try_into().ok().map(Tag::from_digits);
        }
        finding
    }
}

/// Whether the second field is the word of the seal.
fn says_sealed(body: &[u8]) -> bool {
    const SEALED: &[u8] = Word::Sealed.name().as_bytes();
    // The first field is short: looking at each byte is faster than preparing a search.
    body.iter()
        .position(|&byte| byte == b'\t')
        .is_some_and(|tab| {
            let rest = &body[tab + 1..];
            rest.starts_with(SEALED) && rest.get(SEALED.len()).is_none_or(|&byte| byte == b'\t')
        })
}
