//! `meter`: ports, profiles, and what arrives from a meter.

mod attempt;
mod check;
mod list;

use std::io::Write;
use std::path::PathBuf;

use anyhow::Result;

use super::status::Status;

/// Ports, profiles, and what arrives from a meter.
#[derive(Debug, clap::Subcommand)]
pub(crate) enum Arguments {
    /// List the ports of this machine and the profiles that come with the program.
    List,
    /// Show what arrives from a meter, byte for byte, and how it is understood.
    Try(attempt::Arguments),
    /// Check a profile and show what was understood.
    Check {
        /// The profile.
        file: PathBuf,
    },
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    match arguments {
        Arguments::List => list::run(out),
        Arguments::Try(arguments) => attempt::run(arguments, out),
        Arguments::Check { file } => {
            check::run(file, out)?;
            Ok(Status::Done)
        }
    }
}
