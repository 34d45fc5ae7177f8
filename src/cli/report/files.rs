//! The files of a job that a report is made from, with their digests.

use std::fmt::Write as _;
use std::fs;
use std::io;

use anyhow::{Context as _, Result};
use sha2::{Digest as _, Sha256};

use crate::books::job::Folder;
use crate::views::report::owner::FileFacts;

const NAMES: [&str; 6] = [
    "job.toml",
    "parts.csv",
    "policy.toml",
    "results.csv",
    "decisions.csv",
    "incoming.csv",
];

/// Those that are there.
pub(super) fn of(folder: &Folder) -> Result<Vec<FileFacts>> {
    let mut files = Vec::new();
    for name in NAMES {
        let path = folder.root().join(name);
        let bytes = match fs::read(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
            read => read.with_context(|| format!("cannot read `{}`", path.display()))?,
        };
        files.push(FileFacts {
            name: name.to_owned(),
            bytes: bytes.len() as u64,
            digest: hexadecimal(&Sha256::digest(&bytes)),
        });
    }
    Ok(files)
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("a text takes every letter");
        text
    })
}
