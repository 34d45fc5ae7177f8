//! `new`: makes the folder of a job, with commented files.

use std::io::{self, IsTerminal as _, Read as _, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};

use super::job_word::{is_here, job_word};
use super::remark::remark;
use super::status::{BadInput, Status};
use crate::books::job::Folder;

/// Make the folder of a job, with commented files to fill in.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder; it is made if it is not there. Files in it are never overwritten.
    dir: PathBuf,
    /// A parts list to begin with, as a spreadsheet writes it; `-` takes what is pasted on standard input, up to Ctrl-D
    #[arg(long, value_name = "FILE")]
    list: Option<PathBuf>,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let dir = &arguments.dir;
    let list = arguments.list.as_deref().map(read).transpose()?;
    let text = match &list {
        Some(list) => list.as_slice(),
        None => include_bytes!("parts.csv"),
    };
    let folder = Folder::create(dir, include_str!("job.toml"), text)?;
    writeln!(out, "made {}", folder.name())?;
    let first = if list.is_some() {
        "the list is in parts.csv"
    } else {
        "write the maker's parts list into parts.csv"
    };
    let cd = (!is_here(dir)).then(|| format!("cd {}", job_word(dir)));
    let steps = [
        first,
        "probewright parts check .",
        "probewright sit . --meter PROFILE@PORT",
    ];
    for (number, step) in (1..).zip(cd.as_deref().into_iter().chain(steps)) {
        writeln!(out, "  {number}. {step}")?;
    }
    Ok(Status::Done)
}

/// The list as it is in the file, or as it is pasted on standard input.
fn read(file: &Path) -> Result<Vec<u8>> {
    let mut list = Vec::new();
    if file == Path::new("-") {
        if io::stdin().is_terminal() {
            remark(
                "paste the parts list with the line that names its columns, then Enter and Ctrl-D",
            );
        }
        io::stdin().lock().read_to_end(&mut list)?;
    } else {
        list = std::fs::read(file)
            .with_context(|| format!("the parts list `{}` cannot be read", file.display()))?;
    }
    if list.trim_ascii().is_empty() {
        return Err(BadInput("found an empty list, expected one to begin with".to_owned()).into());
    }
    Ok(list)
}
