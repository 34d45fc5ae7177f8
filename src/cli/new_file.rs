//! [`NewFile`]: a file that appears whole or not at all, and takes nobody's place unasked.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::status::BadInput;
use crate::platform::write_whole;
use anyhow::{Context as _, Result};

/// A file to be written.
#[derive(Debug)]
pub(crate) struct NewFile {
    path: PathBuf,
    goes: Goes,
}

/// Target of what is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Goes {
    /// Into a file that is not there yet.
    New,
    /// Into a file, whose place may be taken.
    InPlace,
    /// Through a device or a pipe: nothing is there to be replaced.
    Through,
    /// To standard output.
    Out,
}

impl NewFile {
    /// A file of that name; one that is there is replaced only by `force`. The name `-` is standard output.
    ///
    /// # Errors
    /// If there is one and it may not be replaced, or something else has the name.
    pub(crate) fn at(path: &Path, force: bool) -> Result<Self> {
        let advice = "name another file, or replace it with --force";
        Self::with_advice(path, force, advice)
    }

    /// A file that is not there yet; the name `-` is standard output.
    ///
    /// # Errors
    /// If something has the name.
    pub(crate) fn only_new(path: &Path) -> Result<Self> {
        Self::with_advice(path, false, "name another file")
    }

    fn with_advice(path: &Path, force: bool, advice: &str) -> Result<Self> {
        let shown = path.display();
        let (path, goes) = match path.metadata() {
            _ if path == Path::new("-") => (path.to_owned(), Goes::Out),
            Err(_) if force => (path.to_owned(), Goes::InPlace),
            Err(_) => (path.to_owned(), Goes::New),
            Ok(there) if there.is_dir() => {
                return Err(BadInput(format!("`{shown}` is a folder; name a file")).into());
            }
            Ok(there) if !there.is_file() => (path.to_owned(), Goes::Through),
            Ok(_) if !force => return Err(taken(path, advice)),
            // The target of a link is replaced, not the link.
            Ok(_) => (path.canonicalize()?, Goes::InPlace),
        };
        Ok(Self { path, goes })
    }

    /// Whether it is standard output, where nothing else may then go.
    pub(crate) fn is_stdout(&self) -> bool {
        self.goes == Goes::Out
    }

    /// Writes it: beside its place first, then to the disk, then into its place. `out` is standard output.
    ///
    /// # Errors
    /// If that cannot be done; what was there before is then as it was.
    pub(crate) fn write(&self, bytes: &[u8], out: &mut dyn Write) -> Result<()> {
        let shown = self.path.display();
        let through = |to: &mut dyn Write| to.write_all(bytes).and_then(|()| to.flush());
        match self.goes {
            Goes::Out => through(out).context("cannot write to standard output"),
            Goes::Through => std::fs::OpenOptions::new()
                .write(true)
                .open(&self.path)
                .and_then(|mut file| through(&mut file))
                .with_context(|| format!("cannot write `{shown}`")),
            Goes::New | Goes::InPlace => {
                let placed = write_whole(&self.path, bytes, self.goes == Goes::InPlace)
                    .with_context(|| format!("cannot write `{shown}`; nothing was changed"))?;
                placed
                    .then_some(())
                    .ok_or_else(|| taken(&self.path, "name another file"))
            }
        }
    }
}

fn taken(path: &Path, advice: &str) -> anyhow::Error {
    let shown = path.display();
    BadInput(format!(
        "`{shown}` exists already; nothing was changed; {advice}"
    ))
    .into()
}
