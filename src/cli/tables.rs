//! `tables`: writes the tables of limits into the folder of a job, to be edited there.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;
use crate::job::Folder;
use crate::judge::capacitor::Table;

/// Write the program's limits of loss, leakage and insulation into a job, as commented tables to edit.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job. Tables that are there are never overwritten.
    dir: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.dir)?;
    for table in Table::ALL {
        match folder.write_table(table)? {
            Some(path) => writeln!(out, "made {}", path.display())?,
            None => writeln!(
                out,
                "left {} as it is",
                folder.root().join(table.file_name()).display()
            )?,
        }
    }
    writeln!(
        out,
        "a table of the job goes before the program's own; delete what you do not change"
    )?;
    Ok(Status::Done)
}
