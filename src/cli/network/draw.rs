//! The loops that were read, as a picture.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::Wired;
use super::solve::solved;
use crate::books::job::Folder;
use crate::cli::new_file::NewFile;
use crate::cli::status::Status;
use crate::views::report::diagram::Diagram;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Readings between nodes from a file as well: a table `from,to,ohm,uncertainty`
    #[arg(long, value_name = "FILE")]
    read: Option<PathBuf>,
    /// Where it goes; - is standard output. Without it, to network.svg in the folder of the job.
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Replace a file that is there.
    #[arg(long)]
    force: bool,
}

pub(super) fn write(
    wired: &Wired,
    folder: &Folder,
    arguments: &Arguments,
    out: &mut dyn Write,
) -> Result<Status> {
    let path = arguments.output.clone();
    let path = path.unwrap_or_else(|| folder.root().join("network.svg"));
    let file = NewFile::at(&path, arguments.force)?;
    let (solution, known) = solved(wired, arguments.read.as_deref())?;
    let diagram = Diagram::of(&wired.loops(&solution, &known));
    if diagram.drawings.is_empty() {
        writeln!(
            out,
            "nothing to draw: what was read is in no loop, and nothing of it is in doubt"
        )?;
        return Ok(Status::Done);
    }
    let title = folder.heading(&wired.book.settings.title);
    file.write(diagram.file(&title).as_bytes(), out)?;
    if !file.is_stdout() {
        writeln!(out, "made {}", path.display())?;
        if let Some(words) = diagram.shows_a_part() {
            writeln!(out, "{words}")?;
        }
    }
    Ok(Status::Done)
}
