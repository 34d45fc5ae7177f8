//! The text of a file, and of a profile: by the name of a shipped one, or by path.

use std::path::Path;

use anyhow::{Context as _, Result};

use crate::engine::meter::{shipped_profile, shipped_profiles};
use crate::engine::source::utf8;

/// There is no such profile.
#[derive(Debug, thiserror::Error)]
#[error("no profile `{name}`: give the path of a file, or one of {known}")]
pub(crate) struct NoProfile {
    name: String,
    known: String,
}

/// The text of the profile called `name`, or of the file at that path.
///
/// # Errors
/// If there is neither.
pub(crate) fn text(name: &str) -> Result<String> {
    if let Some(shipped) = shipped_profile(name) {
        return Ok(shipped.text.to_owned());
    }
    let path = Path::new(name);
    if path.exists() {
        return read_text(path);
    }
    let names: Vec<&str> = shipped_profiles()
        .iter()
        .map(|shipped| shipped.name)
        .collect();
    let (name, known) = (name.to_owned(), names.join(", "));
    Err(NoProfile { name, known }.into())
}

/// The text of a file.
///
/// # Errors
/// If it cannot be read, or is not UTF-8.
pub(crate) fn read_text(file: &Path) -> Result<String> {
    let name = file.display().to_string();
    let bytes = std::fs::read(file).with_context(|| format!("cannot read `{name}`"))?;
    Ok(utf8(&name, &bytes)?.to_owned())
}
