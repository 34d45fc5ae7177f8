//! [`Block`]: some whole lines of a recording, with what checking their tags has shown; and [`Source`]: where blocks come from,
//! this thread or one that reads and verifies ahead.
//!
//! Blocks are made anew: a pool in which they went round saved the reading thread 4 % of its time, and a replay of five million readings none.

use std::fmt;
use std::io::{self, Read};
use std::ops::Range;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

use sha2::{Digest as _, Sha256};

use super::verifier::Verifier;

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

/// Remark on the tag of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TagFault {
    /// Not the tag that the line makes.
    Differs {
        /// The tag that the line makes.
        expected: Tag,
    },
    /// Follows from the tag that the line before should have had: there, only the tag was changed.
    FollowsBody,
    /// Follows from the last line with a right tag: what stands between does not belong there.
    FollowsLastGood,
}

/// Some whole lines, and what is known of them. The fields are filled by the verifier and read by the reader.
#[derive(Debug, Default)]
pub(super) struct Block {
    /// The tag of the line before the block, then the lines.
    pub(super) bytes: Vec<u8>,
    pub(super) spans: Vec<Span>,
    /// By position in `spans`, ascending.
    pub(super) findings: Vec<(usize, TagFault)>,
    /// By position in `spans`: lines that say they are a seal, with the digest of all lines before.
    pub(super) seals: Vec<(usize, Digest)>,
    /// The place of `bytes` in the file.
    pub(super) offset: u64,
    /// Lines of the file before it.
    pub(super) lines_before: u64,
    /// The file ends with this block.
    pub(super) is_last: bool,
    /// Bytes behind the last whole line, at the end of the file.
    pub(super) torn: usize,
}

impl Block {
    /// Finding on the line at `index`.
    pub(super) fn finding(&self, index: usize) -> Option<TagFault> {
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

/// Most blocks on their way at a time.
const AHEAD: usize = 4;

/// Source of blocks.
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

const HEX: &[u8; 16] = b"0123456789abcdef";

/// A whole SHA-256; shown as 64 lower-case hexadecimal digits, as `sha256sum` shows it.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// Digest of `hasher` so far, without ending it.
    pub(super) fn so_far(hasher: &Sha256) -> Self {
        Self(hasher.clone().finalize().into())
    }

    /// Reads 64 lower-case hexadecimal digits.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        if text.len() != 64 || !text.bytes().all(|byte| HEX.contains(&byte)) {
            return None;
        }
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

/// The end of every line: the first 8 hexadecimal digits of a SHA-256.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tag([u8; Self::LENGTH]);

impl Tag {
    /// Digits of a tag.
    pub const LENGTH: usize = 8;

    /// The tag of a stretch of the file.
    pub(super) fn of(stretch: &[u8]) -> Self {
        Self::ending(Sha256::digest(stretch).as_slice())
    }

    /// The tag that a line with this `body` would have behind a line that ended with `before`.
    pub(super) fn following(before: Self, body: &[u8]) -> Self {
        let hasher = Sha256::new()
            .chain_update(before.0)
            .chain_update(b"\n")
            .chain_update(body);
        Self::ending(hasher.finalize().as_slice())
    }

    fn ending(digest: &[u8]) -> Self {
        let mut digits = [0; Self::LENGTH];
        for (pair, byte) in digits.chunks_exact_mut(2).zip(digest) {
            pair.copy_from_slice(&[HEX[usize::from(byte >> 4)], HEX[usize::from(byte & 15)]]);
        }
        Self(digits)
    }

    /// A tag that stands in the file.
    pub(super) const fn from_digits(digits: [u8; Self::LENGTH]) -> Self {
        Self(digits)
    }

    /// The digits as they stand in the file.
    pub(super) const fn digits(&self) -> &[u8] {
        &self.0
    }
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&String::from_utf8_lossy(&self.0))
    }
}

impl fmt::Debug for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Tag({self})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    /// NIST, "SHA-256 example: one block message `abc`" (FIPS 180-4 example values). From memory.
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn the_published_example_message_gives_the_published_digest_and_tag() {
        let digest = Digest::so_far(&Sha256::new_with_prefix(b"abc"));
        assert_eq!(digest.to_string(), ABC);
        assert_eq!(Digest::parse(ABC), Some(digest));
        assert_eq!(Tag::of(b"abc").to_string(), "ba7816bf");
    }

    #[test]
    fn a_digest_in_any_other_dress_is_refused() {
        for wrong in [
            "",
            "ba78",
            &ABC.to_uppercase(),
            &format!("{ABC}0"),
            &ABC.replace("ba", "+a"),
        ] {
            assert_eq!(Digest::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn following_a_line_hashes_its_tag_and_newline_first() {
        assert_eq!(
            Tag::following(Tag::of(b"abc"), b"body\t"),
            Tag::of(b"ba7816bf\nbody\t")
        );
    }
}
