//! [`NewFile`]: a file that appears whole or not at all, and takes nobody's place unasked.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::status::BadInput;
use crate::platform::write_whole;
use anyhow::{Context as _, Result};

/// A file to be written.
#[derive(Debug)]
pub(crate) struct NewFile {
    path: PathBuf,
    /// Whether one that is there may be replaced.
    replace: bool,
    /// It is a device or a pipe: what is written goes through it, and nothing is there to be replaced.
    passes_through: bool,
}

impl NewFile {
    /// A file of that name; one that is there is replaced only by `force`.
    ///
    /// # Errors
    /// If there is one and it may not be replaced, or something else has the name.
    pub(crate) fn at(path: &Path, force: bool) -> Result<Self> {
        let shown = path.display();
        let (path, passes_through) = match path.metadata() {
            Err(_) => (path.to_owned(), false),
            Ok(there) if there.is_dir() => {
                return Err(BadInput(format!("`{shown}` is a folder; name a file")).into());
            }
            Ok(there) if !there.is_file() => (path.to_owned(), true),
            Ok(_) if !force => return Err(taken(path)),
            // What a link points at is replaced, not the link.
            Ok(_) => (path.canonicalize()?, false),
        };
        Ok(Self {
            path,
            replace: force,
            passes_through,
        })
    }

    /// Writes it: beside its place first, then to the disk, then into its place.
    ///
    /// # Errors
    /// If that cannot be done; what was there before is then as it was.
    pub(crate) fn write(&self, bytes: &[u8]) -> Result<()> {
        let shown = self.path.display();
        if self.passes_through {
            let write = || -> io::Result<()> {
                let mut file = std::fs::OpenOptions::new().write(true).open(&self.path)?;
                file.write_all(bytes)?;
                file.flush()
            };
            return write().with_context(|| format!("cannot write `{shown}`"));
        }
        let placed = write_whole(&self.path, bytes, self.replace)
            .with_context(|| format!("cannot write `{shown}`; nothing was changed"))?;
        if placed {
            Ok(())
        } else {
            Err(taken(&self.path))
        }
    }
}

fn taken(path: &Path) -> anyhow::Error {
    let shown = path.display();
    BadInput(format!(
        "`{shown}` exists already; nothing was changed; name another file, or replace it by --force"
    ))
    .into()
}
