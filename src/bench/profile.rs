//! Finding a profile: by the name of a shipped one, or by path.

use std::path::Path;

use anyhow::{Result, anyhow};

use super::text_file::read_text;
use crate::engine::meter::{shipped_profile, shipped_profiles};

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
    Err(anyhow!(
        "no profile `{name}`: give the path of a file, or one of {}",
        names.join(", ")
    ))
}
