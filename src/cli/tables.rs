//! `tables`: writes the tables of limits and of goods into the folder of a job, to be edited there.

use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;
use crate::books::job::Folder;
use crate::books::substitute::Goods;
use crate::engine::judge::capacitor::ShippedTable;

/// Write the program's limits of loss, leakage and insulation, and the parts on sale, into a job, as commented tables to edit.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job. Tables that are there are never overwritten.
    dir: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.dir)?;
    for table in ShippedTable::ALL {
        told(&folder, table.file_name(), folder.write_table(table)?, out)?;
    }
    let goods = folder.write_goods(Goods::shipped_text())?;
    told(&folder, Goods::FILE_NAME, goods, out)?;
    writeln!(
        out,
        "a table in the job replaces the program's own; delete those that you do not change"
    )?;
    Ok(Status::Done)
}

/// Outcome for a table.
fn told(folder: &Folder, name: &str, made: Option<PathBuf>, out: &mut dyn Write) -> io::Result<()> {
    match made {
        Some(path) => writeln!(out, "made {}", path.display()),
        None => writeln!(out, "left {} as it is", folder.root().join(name).display()),
    }
}
