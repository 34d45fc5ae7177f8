//! The command line: one file per command.

mod meter_check;

use std::ffi::OsString;
use std::io::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::meter::ProfileError;

/// Measures every part of an old chassis, hands free.
#[derive(Debug, Parser)]
#[command(version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Meters and their profiles.
    #[command(subcommand)]
    Meter(MeterCommand),
}

#[derive(Debug, Subcommand)]
enum MeterCommand {
    /// Reads a device profile and says what was understood.
    Check {
        /// The profile: a file, or the name of a shipped one.
        file: PathBuf,
    },
}

/// Runs the program with its arguments.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let Command::Meter(MeterCommand::Check { file }) = arguments.command;
    match meter_check::run(&file, &mut std::io::stdout().lock()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let bad_input = error.downcast_ref::<ProfileError>().is_some();
            let _ = writeln!(std::io::stderr(), "{error:#}");
            ExitCode::from(if bad_input { 2 } else { 1 })
        }
    }
}
