//! `new`: makes the folder of a job, with commented files.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;
use crate::books::job::Folder;

/// Make the folder of a job, with commented files to fill in.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder; it is made if it is not there. Files in it are never overwritten.
    dir: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let dir = &arguments.dir;
    let folder = Folder::create(dir, include_str!("job.toml"), include_str!("parts.csv"))?;
    let dir = dir.display();
    writeln!(out, "made {dir}")?;
    writeln!(
        out,
        "  1. write the maker's parts list into {}",
        folder.parts().display()
    )?;
    writeln!(
        out,
        "  2. probewright parts check {}",
        folder.parts().display()
    )?;
    writeln!(
        out,
        "  3. probewright sit {dir} --port PORT --profile PROFILE"
    )?;
    Ok(Status::Done)
}
