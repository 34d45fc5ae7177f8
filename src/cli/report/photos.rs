//! The photos of a job: `photos/*.jpg`, `.jpeg`, `.png`, `.webp`, each with its caption in a `.txt` beside it.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};

use crate::books::job::Folder;
use crate::views::report::owner::Photo;

/// The largest photo that goes into a report, and the most that all may have together, in bytes.
const LARGEST: u64 = 8 * MEGA;
const TOGETHER: u64 = 32 * MEGA;
const MEGA: u64 = 1_000_000;

const ENDINGS: [&str; 4] = ["jpg", "jpeg", "png", "webp"];

/// The photos of a job, and what was left out of them.
#[derive(Debug, Default)]
pub(super) struct Photos {
    /// By name of file.
    pub(super) shown: Vec<Photo>,
    /// Each as a sentence.
    pub(super) left_out: Vec<String>,
}

/// The photos of the job in that folder.
pub(super) fn of(folder: &Folder) -> Result<Photos> {
    let mut photos = Photos::default();
    let mut together = 0;
    for path in pictures(&folder.root().join("photos"))? {
        match read(&path, TOGETHER - together)? {
            Ok((photo, bytes)) => {
                together += bytes;
                photos.shown.push(photo);
            }
            Err(sentence) => photos.left_out.push(sentence),
        }
    }
    Ok(photos)
}

/// The files that are called like pictures, by name.
fn pictures(folder: &Path) -> Result<Vec<PathBuf>> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.with_context(|| format!("cannot list `{}`", folder.display()))?,
    };
    let mut pictures = Vec::new();
    for entry in entries {
        let path = entry?.path();
        let ending = path.extension().unwrap_or_default().to_string_lossy();
        if ENDINGS
            .iter()
            .any(|known| ending.eq_ignore_ascii_case(known))
        {
            pictures.push(path);
        }
    }
    pictures.sort_unstable();
    Ok(pictures)
}

/// A photo and its size; the inner error says why it is left out.
fn read(path: &Path, room: u64) -> Result<std::result::Result<(Photo, u64), String>> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let cannot = || format!("cannot read `{}`", path.display());
    let there = path.metadata().with_context(cannot)?;
    let bytes = there.len();
    if !there.is_file() {
        return Ok(Err(format!("`{name}` is left out: it is no file")));
    }
    if bytes > LARGEST.min(room) {
        return Ok(Err(format!(
            "`{name}` is left out: it has {:.1} MB, a photo may have {} MB and all together {} MB; make it smaller",
            bytes as f64 / MEGA as f64,
            LARGEST / MEGA,
            TOGETHER / MEGA
        )));
    }
    let photo = Photo::new(&name, &caption(path)?, fs::read(path).with_context(cannot)?);
    Ok(photo
        .map(|photo| (photo, bytes))
        .map_err(|no_photo| no_photo.to_string()))
}

/// What the `.txt` beside the photo says; without one the name of the file.
fn caption(photo: &Path) -> Result<String> {
    let text = photo.with_extension("txt");
    match fs::read(&text) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let name = photo.file_name().unwrap_or_default();
            Ok(name.to_string_lossy().into_owned())
        }
        read => {
            let bytes = read.with_context(|| format!("cannot read `{}`", text.display()))?;
            Ok(String::from_utf8_lossy(&bytes).trim().to_owned())
        }
    }
}
