//! The glance: where a job stands, without any word but its folder.

mod json;
mod last_sitting;
mod next;
mod text;

use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Result;

use super::is_command;
use super::remark::remark;
use super::status::Status;
use crate::books::batch::Bags;
use crate::books::job::Folder;
use crate::books::ledger::{Book, Glance};
use last_sitting::LastSitting;

/// Where a job stands: what is good, what is open, and what to do next.
#[derive(Debug, clap::Parser)]
#[command(name = "probewright", disable_version_flag = true)]
pub(crate) struct Arguments {
    /// The folder of the job; without it the one that you are in.
    #[arg(default_value = ".", hide_default_value = true)]
    job: PathBuf,
    /// As JSON, for scripts.
    #[arg(long)]
    json: bool,
}

/// Whether these are arguments of the glance, the first behind the name of the program: none or `--json` in the folder of a
/// job, or a folder that is no command.
pub(crate) fn is_meant(first: Option<&OsStr>) -> bool {
    match first.map(|word| (word, word.to_str())) {
        None | Some((_, Some("--json"))) => Folder::open(Path::new(".")).is_ok(),
        Some((_, Some(word))) if is_command(word) || word.starts_with('-') => false,
        Some((word, _)) => Path::new(word).is_dir(),
    }
}

/// Writes the glance.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.job)?;
    let book = Book::open(&folder)?;
    for one in &book.remarks {
        remark(one);
    }
    let glance = Glance::at(&book);
    let last = LastSitting::of(&folder, &book)?;
    if arguments.json {
        json::write(&book, &glance, last.as_ref(), out)?;
    } else {
        let bags = Bags::named_in(&book.decisions, &folder)?;
        text::write(&folder, &book, &glance, &bags, last.as_ref(), out)?;
    }
    Ok(Status::Done)
}
