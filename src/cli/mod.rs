//! The command line: one file per command.

mod parts;
mod status;
mod table;
mod value;

use std::ffi::OsString;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::Parser;

use status::{BadInput, Status};

#[derive(Debug, Parser)]
#[command(name = "probewright", version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    Value(value::ValueArguments),
    Parts(parts::PartsArguments),
}

/// Runs the program with its arguments.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let status = if error.use_stderr() {
                Status::BadInput
            } else {
                Status::Done
            };
            return if error.print().is_ok() {
                status.into()
            } else {
                Status::CouldNot.into()
            };
        }
    };
    let out = &mut io::stdout().lock();
    let result = match &arguments.command {
        Command::Value(arguments) => value::run(arguments, out),
        Command::Parts(arguments) => parts::run(arguments, out),
    };
    result.unwrap_or_else(|error| report(&error)).into()
}

/// Writes an error where errors go; a line that cannot be written there has no other place.
fn report(error: &anyhow::Error) -> Status {
    let _ = writeln!(io::stderr(), "probewright: {error:#}");
    if error.is::<BadInput>() {
        Status::BadInput
    } else {
        Status::CouldNot
    }
}
