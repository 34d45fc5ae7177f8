//! The command line: one file per command. The only room that prints.

mod also;
mod attach;
mod audible;
mod clock;
mod demo;
mod display;
mod key_bytes;
mod keys;
mod listener;
mod live;
mod meter;
mod new;
mod new_file;
mod own_keys;
mod page;
mod paint;
mod parts;
mod profile;
mod publisher;
mod recorded;
mod remark;
mod replay;
mod report;
mod session;
mod sit;
mod sound_sources;
mod sounds;
mod status;
mod table;
mod tables;
mod value;
mod why;

use std::ffi::OsString;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::job::{JobError, SettingsError};
use crate::judge::TomlError;
use crate::ledger::BookError;
use crate::link::AddressError;
use crate::meter::ProfileError;
use crate::recording::ReadError;
use crate::sitting::PlanError;
use remark::remark;
use status::{BadInput, Status};

/// Measures every part of an old chassis, hands free: reads a meter, notices when the probes touch and the value has
/// settled, judges it, writes it down and records everything.
#[derive(Debug, Parser)]
#[command(name = "probewright", version, after_help = after_help())]
struct Program {
    #[command(subcommand)]
    command: Command,
}

/// What the help says at its end.
fn after_help() -> String {
    let statuses: Vec<String> = Status::ALL
        .iter()
        .map(|status| format!("{} {}", status.number(), status.meaning()))
        .collect();
    format!(
        "Exit status: {}.\n\n\
         Valve equipment holds lethal voltages. Unplug it, discharge its capacitors and verify, before you measure.\n\
         Keep to your local codes; leave to licensed practice what is theirs.",
        statuses.join("; ")
    )
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(demo::Arguments),
    New(new::Arguments),
    Parts(parts::PartsArguments),
    Tables(tables::Arguments),
    Sit(sit::Arguments),
    Attach(attach::Arguments),
    Replay(replay::Arguments),
    Why(why::Arguments),
    Report(report::Arguments),
    Value(value::ValueArguments),
    Sounds(sounds::Arguments),
    #[command(subcommand)]
    Meter(meter::Arguments),
}

/// Runs the program with its arguments, the first of which is its name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let program = match Program::try_parse_from(arguments) {
        Ok(program) => program,
        Err(usage) => {
            // Help and version go to standard output, misuse to standard error; a closed pipe is nobody's loss.
            let _ = usage.print();
            return if usage.use_stderr() {
                Status::BadInput.into()
            } else {
                Status::Done.into()
            };
        }
    };
    let mut out = io::stdout().lock();
    let exit = program
        .command
        .run(&mut out)
        .unwrap_or_else(|error| tell(&error));
    // What is left to print matters to nobody if the pipe is closed.
    let _ = out.flush();
    exit.into()
}

impl Command {
    fn run(&self, out: &mut dyn Write) -> anyhow::Result<Status> {
        match self {
            Self::Demo(arguments) => demo::run(arguments, out),
            Self::New(arguments) => new::run(arguments, out),
            Self::Parts(arguments) => parts::run(arguments, out),
            Self::Tables(arguments) => tables::run(arguments, out),
            Self::Sit(arguments) => sit::run(arguments, out),
            Self::Attach(arguments) => attach::run(arguments, out),
            Self::Replay(arguments) => replay::run(arguments, out),
            Self::Why(arguments) => why::run(arguments, out),
            Self::Report(arguments) => report::run(arguments, out),
            Self::Value(arguments) => value::run(arguments, out),
            Self::Sounds(arguments) => sounds::run(arguments, out),
            Self::Meter(arguments) => meter::run(arguments, out),
        }
    }
}

/// Tells the error and gives the exit status that goes with it.
fn tell(error: &anyhow::Error) -> Status {
    if is_broken_pipe(error) {
        return Status::Done;
    }
    remark(&format!("probewright: {error:#}"));
    if is_bad_input(error) {
        Status::BadInput
    } else {
        Status::CouldNot
    }
}

fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        cause
            .downcast_ref::<io::Error>()
            .is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
    })
}

fn is_bad_input(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        matches!(
            cause.downcast_ref::<JobError>(),
            Some(JobError::NoJob { .. } | JobError::Exists { .. })
        ) || cause.is::<SettingsError>()
            || cause.is::<BadInput>()
            || cause.is::<TomlError>()
            || cause.downcast_ref::<BookError>().is_some_and(is_bad_book)
            || cause.is::<PlanError>()
            || cause.is::<ProfileError>()
            || cause.is::<AddressError>()
            || cause.downcast_ref::<ReadError>().is_some_and(|error| {
                !matches!(error, ReadError::Open { .. } | ReadError::Read { .. })
            })
    })
}

fn is_bad_book(error: &BookError) -> bool {
    match error {
        BookError::Settings(_) | BookError::Parts(_) | BookError::Ledger(_) => true,
        BookError::Job(error) => !matches!(error, JobError::Io { .. }),
    }
}
