//! [`Reader`]: reads a recording line by line, checking every tag before it hands a line out.

use super::MAGIC;
use super::block::{Block, Input, Source, TagFault};
use super::event::{Beginning, Ending, Event, Seal, Word};
use super::fields::{Malformed, excerpt};
use super::problem::{Flaw, Problem, ReadError, Version};
use super::survey::{Located, State};
use crate::engine::quantity::Stamp;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// One line of a recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry<'a> {
    /// The number of the line, from 1.
    pub line: u64,
    /// Bytes of the file before the line.
    pub offset: u64,
    /// When it happened.
    pub at: Stamp,
    /// The event itself.
    pub event: Event<'a>,
}

/// Reads one recording. After the first [`ReadError::Damaged`] it gives nothing but that error: [`survey`](super::survey()) looks at the whole file.
pub struct Reader {
    source: Source,
    block: Block,
    /// The next line of the block.
    next: usize,
    state: State,
}

impl Reader {
    /// Opens a recording and checks its first line.
    ///
    /// # Errors
    /// All of [`ReadError`].
    pub fn open(file: impl AsRef<Path>) -> Result<Self, ReadError> {
        Self::over(open(file.as_ref())?, file.as_ref())
    }

    /// As [`Reader::open`], with a thread that reads and verifies ahead while the caller thinks.
    ///
    /// # Errors
    /// All of [`ReadError`].
    pub fn read_ahead(file: impl AsRef<Path>) -> Result<Self, ReadError> {
        let source = Source::ahead(Box::new(open(file.as_ref())?));
        let source = source.map_err(|source| ReadError::Open {
            file: file.as_ref().to_path_buf(),
            source,
        })?;
        Self::begin(source, file.as_ref(), false)?.past_first_line()
    }

    /// Reads a recording from any input; `file` is the name in messages.
    ///
    /// # Errors
    /// All of [`ReadError`] but [`ReadError::Open`].
    pub fn over(
        input: impl Read + Send + 'static,
        file: impl Into<PathBuf>,
    ) -> Result<Self, ReadError> {
        Self::begin(Source::here(Box::new(input)), file, false)?.past_first_line()
    }

    /// As [`Reader::over`], going on behind flaws.
    pub(super) fn surveying(input: Input, file: impl Into<PathBuf>) -> Result<Self, ReadError> {
        Self::begin(Source::here(input), file, true)
    }

    fn begin(source: Source, file: impl Into<PathBuf>, surveying: bool) -> Result<Self, ReadError> {
        let state = State {
            file: file.into(),
            version: Version::CURRENT,
            last: Stamp::ZERO,
            skipped: 0,
            ending: None,
            stopped: None,
            surveying,
        };
        let mut reader = Self {
            source,
            block: Block::default(),
            next: 0,
            state,
        };
        reader.fetch()?;
        reader.read_first_line()?;
        Ok(reader)
    }

    fn past_first_line(mut self) -> Result<Self, ReadError> {
        match self.take_first_line() {
            Some(problem) => Err(self.state.damaged(problem)),
            None => Ok(self),
        }
    }

    /// The version that the recording is written in.
    pub fn version(&self) -> Version {
        self.state.version
    }

    /// Lines skipped so far because their word belongs to a newer edition of the format.
    pub fn skipped(&self) -> u64 {
        self.state.skipped
    }

    /// End of the recording; `None` until [`Reader::next_entry`] has come to it.
    pub fn ending(&self) -> Option<&Ending> {
        self.state.ending.as_ref()
    }

    /// Lines before the next one.
    pub(super) fn lines(&self) -> u64 {
        self.block.lines_before + self.next as u64
    }

    /// Finding of the check of the tag on the line read last.
    pub(super) fn last_finding(&self) -> Option<TagFault> {
        self.next
            .checked_sub(1)
            .and_then(|index| self.block.finding(index))
    }

    /// The next line; `None` at the end, which [`Reader::ending`] then describes.
    ///
    /// # Errors
    /// [`ReadError::Read`] and [`ReadError::Damaged`].
    pub fn next_entry(&mut self) -> Result<Option<Entry<'_>>, ReadError> {
        let Some(Located {
            line,
            offset,
            at,
            word,
            fields,
        }) = self.locate()?
        else {
            return Ok(None);
        };
        match Event::parse(
            word,
            &mut self.block.bytes[fields],
            self.state.version.is_newer_edition(),
        ) {
            Ok(event) => Ok(Some(Entry {
                line,
                offset,
                at,
                event,
            })),
            Err(malformed) => Err(self.state.damaged(Problem {
                line,
                offset,
                flaw: Flaw::Malformed(malformed),
            })),
        }
    }

    /// Finds the next line that says something to us.
    fn locate(&mut self) -> Result<Option<Located>, ReadError> {
        if let Some(problem) = &self.state.stopped {
            return Err(ReadError::Damaged {
                file: self.state.file.clone(),
                problem: Box::new(problem.clone()),
            });
        }
        while self.state.ending.is_none() {
            if self.next == self.block.spans.len() {
                if self.block.is_last {
                    self.end_without_seal();
                    break;
                }
                self.fetch()?;
                continue;
            }
            let index = self.next;
            self.next += 1;
            match self.look_at(index) {
                Ok(Some(located)) if located.word == Word::Sealed => {
                    self.end_with_seal(index, located)?;
                }
                Ok(None) => self.state.skipped += 1,
                Ok(located) => return Ok(located),
                Err(flaw) => return Err(self.damaged(index, flaw)),
            }
        }
        Ok(None)
    }

    fn fetch(&mut self) -> Result<(), ReadError> {
        self.next = 0;
        self.source
            .next(&mut self.block)
            .map_err(|source| ReadError::Read {
                file: self.state.file.clone(),
                source,
            })
    }

    fn read_first_line(&mut self) -> Result<(), ReadError> {
        let file = || self.state.file.clone();
        let Some(&span) = self.block.spans.first() else {
            return Err(ReadError::Empty { file: file() });
        };
        let body = &self.block.bytes[span.body()];
        let text = std::str::from_utf8(body)
            .ok()
            .and_then(|text| text.strip_prefix(MAGIC)?.strip_prefix('\t'));
        let Some(version) = text.and_then(version_in) else {
            return Err(ReadError::NotARecording {
                file: file(),
                says: excerpt(body),
            });
        };
        if !version.can_be_read() {
            return Err(ReadError::Version {
                file: file(),
                found: version,
            });
        }
        self.state.version = version;
        Ok(())
    }

    /// Goes past the first line and says what is wrong with its tag.
    pub(super) fn take_first_line(&mut self) -> Option<Problem> {
        self.next = 1;
        let flaw = self.tag_flaw(0, self.block.finding(0)?)?;
        Some(self.problem(0, flaw))
    }

    fn tag_flaw(&self, index: usize, finding: TagFault) -> Option<Flaw> {
        let TagFault::Differs { expected } = finding else {
            return None;
        };
        Some(Flaw::Altered {
            expected,
            says: excerpt(&self.block.bytes[self.block.spans[index].whole()]),
        })
    }

    /// Finds out what a line is about; `None` if its word belongs to a newer edition.
    fn look_at(&mut self, index: usize) -> Result<Option<Located>, Flaw> {
        if !self.block.findings.is_empty()
            && let Some(finding) = self.block.finding(index)
            && let Some(flaw) = self.tag_flaw(index, finding)
        {
            return Err(flaw);
        }
        let span = self.block.spans[index];
        let body = &self.block.bytes[span.body()];
        let beginning = Beginning::of(body).map_err(Flaw::Malformed)?;
        self.state.advance(beginning.at)?;
        let Some(word) = Word::of(beginning.word) else {
            return self.state.unknown(beginning.word);
        };
        let fields = beginning.fields(word).map_err(Flaw::Malformed)?;
        Ok(Some(Located {
            line: self.block.lines_before + index as u64 + 1,
            offset: self.offset_of(index),
            at: beginning.at,
            word,
            fields: span.start + fields..span.body,
        }))
    }

    fn offset_of(&self, index: usize) -> u64 {
        self.block.offset + self.block.spans[index].start as u64
    }

    fn problem(&self, index: usize, flaw: Flaw) -> Problem {
        Problem {
            line: self.block.lines_before + index as u64 + 1,
            offset: self.offset_of(index),
            flaw,
        }
    }

    fn damaged(&mut self, index: usize, flaw: Flaw) -> ReadError {
        let problem = self.problem(index, flaw);
        self.state.damaged(problem)
    }

    fn end_without_seal(&mut self) {
        let (lines, bytes) = (self.lines(), self.block.torn as u64);
        self.state.ending = Some(if bytes == 0 {
            Ending::Unsealed { lines }
        } else {
            Ending::Torn { lines, bytes }
        });
    }

    /// Checks the seal, and that nothing stands behind it.
    fn end_with_seal(&mut self, index: usize, located: Located) -> Result<(), ReadError> {
        let extra = self.state.version.is_newer_edition();
        let seal = match Seal::parse(located.at, &mut self.block.bytes[located.fields], extra) {
            Ok(seal) => seal,
            Err(malformed) => return Err(self.damaged(index, Flaw::Malformed(malformed))),
        };
        let Some(found_digest) = self.block.digest_before(index) else {
            return Err(self.damaged(
                index,
                Flaw::Malformed(Malformed::Misplaced {
                    word: Word::Sealed.name(),
                }),
            ));
        };
        let found_lines = located.line - 1;
        let fits = (seal.lines, seal.digest) == (found_lines, found_digest);
        let wrong = Flaw::Seal {
            lines: seal.lines,
            digest: seal.digest,
            found_lines,
            found_digest,
        };
        let behind = self.behind_the_seal(index)?;
        self.state.ending = Some(Ending::Sealed(seal));
        match behind {
            _ if !fits => Err(self.damaged(index, wrong)),
            Some(problem) => Err(self.state.damaged(problem)),
            None => Ok(()),
        }
    }

    /// Bytes after the seal at `index`, if any.
    fn behind_the_seal(&mut self, index: usize) -> Result<Option<Problem>, ReadError> {
        let offset = self.block.offset + self.block.spans[index].end as u64 + 1;
        let line = self.lines() + 1;
        let mut rest = self.block.bytes[self.block.spans[index].end + 1..].to_vec();
        if rest.is_empty() && !self.block.is_last {
            let mut block = Block::default();
            self.source
                .next(&mut block)
                .map_err(|source| ReadError::Read {
                    file: self.state.file.clone(),
                    source,
                })?;
            let from = (offset - block.offset) as usize;
            rest = block.bytes.split_off(from);
        }
        Ok((!rest.is_empty()).then(|| Problem {
            line,
            offset,
            flaw: Flaw::AfterSeal {
                says: excerpt(&rest),
            },
        }))
    }
}

/// The version in the first line; more fields may follow only in a newer edition.
fn version_in(text: &str) -> Option<Version> {
    match text.split_once('\t') {
        None => Version::parse(text),
        Some((version, _)) => Version::parse(version).filter(|version| version.is_newer_edition()),
    }
}

fn open(file: &Path) -> Result<File, ReadError> {
    File::open(file).map_err(|source| ReadError::Open {
        file: file.to_path_buf(),
        source,
    })
}
