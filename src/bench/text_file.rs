//! [`read_text`]: the text of a file.

use std::path::Path;

use anyhow::{Context as _, Result};

use crate::engine::source::utf8;

/// The text of a file.
///
/// # Errors
/// If it cannot be read, or is not UTF-8.
pub(crate) fn read_text(file: &Path) -> Result<String> {
    let name = file.display().to_string();
    let bytes = std::fs::read(file).with_context(|| format!("cannot read `{name}`"))?;
    Ok(utf8(&name, &bytes)?.to_owned())
}
