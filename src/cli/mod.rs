//! The command line: one file per command. The only room that prints.

mod archive;
mod attach;
mod audit;
mod batch;
mod books;
mod chosen_parts;
mod compare;
mod completions;
mod decide;
mod demo;
mod display;
mod glance;
mod job_word;
mod keys;
mod listener;
pub mod manual;
mod meter;
mod network;
mod new;
mod new_file;
mod new_parts;
mod order;
mod own_keys;
mod page;
mod parts;
mod printer;
mod progress;
mod publisher;
mod remark;
mod replay;
mod report;
mod runs;
mod said_lines;
mod sit;
mod sounds;
mod status;
mod substitute;
mod table;
mod tables;
mod typed;
mod value;
mod why;

use std::ffi::OsString;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser, Subcommand};

use crate::bench::clock::Clock;
use printer::Printer;
use remark::remark;
use status::{Status, tell};

/// Measures every part of an old chassis, hands free: reads a meter, notices when the probes touch and the value has
/// settled, judges it, writes it down and records everything.
#[derive(Debug, Parser)]
#[command(name = "probewright", version, after_help = after_help())]
struct Program {
    #[command(subcommand)]
    command: Command,
}

/// End of the help.
fn after_help() -> String {
    let statuses: Vec<String> = Status::ALL
        .iter()
        .map(|status| format!("{} {}", status.number(), status.meaning()))
        .collect();
    format!(
        "`probewright JOB`, the folder of a job alone, says where that job stands and what to do next;\n\
         so does `probewright` alone in the folder of a job.\n\n\
         Exit status: {}.\n\n\
         Valve equipment holds lethal voltages. Unplug it, discharge its capacitors and verify, before you measure.\n\
         Follow your local codes; leave licensed work to licensed people.",
        statuses.join("; ")
    )
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(demo::Arguments),
    New(new::Arguments),
    Parts(parts::PartsArguments),
    Tables(tables::Arguments),
    #[command(subcommand)]
    Meter(meter::Arguments),
    Sit(sit::Arguments),
    Attach(attach::Arguments),
    Why(why::Arguments),
    Decide(decide::Arguments),
    Substitute(substitute::Arguments),
    Order(order::Arguments),
    Batch(batch::Arguments),
    Compare(compare::Arguments),
    Network(network::Arguments),
    Report(report::Arguments),
    Replay(replay::Arguments),
    Audit(audit::Arguments),
    Archive(archive::Arguments),
    Value(value::ValueArguments),
    Sounds(sounds::Arguments),
    Manual(manual::Arguments),
    Completions(completions::Arguments),
}

/// Request to the program.
enum Asked {
    Glance(glance::Arguments),
    Command(Command),
}

/// Whether a word is one of the commands.
fn is_command(word: &str) -> bool {
    let program = Program::command();
    word == "help" || program.get_subcommands().any(|one| one.get_name() == word)
}

/// Runs the program with its arguments, the first of which is its name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if completions::answered(&arguments).unwrap_or(false) {
        return Status::Done.into();
    }
    let asked = match Asked::parse(&arguments) {
        Ok(asked) => asked,
        Err(usage) => {
            // Help and version go to standard output, misuse to standard error; a closed pipe is nobody's loss.
            if !usage.use_stderr() {
                let _ = usage.print();
                return Status::Done.into();
            }
            // It repeats what was typed.
            remark(usage.to_string().trim_end());
            return Status::BadInput.into();
        }
    };
    let mut out = Printer::onto(io::stdout().lock());
    let exit = asked.run(Clock::start(1.0), &mut out);
    let exit = exit.unwrap_or_else(|error| tell(&error));
    // Output left to print matters to nobody if the pipe is closed.
    let _ = out.flush();
    exit.into()
}

impl Asked {
    /// Reads the arguments, the first of which is the name of the program.
    fn parse(arguments: &[OsString]) -> Result<Self, clap::Error> {
        let first = arguments.get(1).map(OsString::as_os_str);
        // A command asked about by `help` is shown by itself, which is what its own help would say.
        let asks_itself = |word: &OsString| ["--help", "-h"].iter().any(|one| word == one);
        if first.is_some_and(|word| word == "help") && arguments.get(2).is_some_and(asks_itself) {
            return Program::try_parse_from(&arguments[..2])
                .map(|program| Self::Command(program.command));
        }
        if glance::is_meant(first) {
            glance::Arguments::try_parse_from(arguments).map(Self::Glance)
        } else {
            Program::try_parse_from(arguments).map(|program| Self::Command(program.command))
        }
    }

    /// Does it; `clock` shows when by the wall.
    fn run(&self, clock: Clock, out: &mut dyn Write) -> anyhow::Result<Status> {
        match self {
            Self::Glance(arguments) => glance::run(arguments, out),
            Self::Command(command) => command.run(clock, out),
        }
    }
}

impl Command {
    fn run(&self, clock: Clock, out: &mut dyn Write) -> anyhow::Result<Status> {
        match self {
            Self::Demo(arguments) => demo::run(arguments, out),
            Self::New(arguments) => new::run(arguments, out),
            Self::Parts(arguments) => parts::run(arguments, out),
            Self::Tables(arguments) => tables::run(arguments, out),
            Self::Meter(arguments) => meter::run(arguments, out),
            Self::Sit(arguments) => sit::run(arguments, out),
            Self::Attach(arguments) => attach::run(arguments, out),
            Self::Why(arguments) => why::run(arguments, out),
            Self::Decide(arguments) => decide::run(arguments, clock, out),
            Self::Substitute(arguments) => substitute::run(arguments, out),
            Self::Order(arguments) => order::run(arguments, clock, out),
            Self::Batch(arguments) => batch::run(arguments, out),
            Self::Compare(arguments) => compare::run(arguments, out),
            Self::Network(arguments) => network::run(arguments, out),
            Self::Report(arguments) => report::run(arguments, out),
            Self::Replay(arguments) => replay::run(arguments, out),
            Self::Audit(arguments) => audit::run(arguments, out),
            Self::Archive(arguments) => archive::run(arguments, out),
            Self::Value(arguments) => value::run(arguments, out),
            Self::Sounds(arguments) => sounds::run(arguments, out),
            Self::Manual(arguments) => manual::run(arguments, out),
            Self::Completions(arguments) => completions::run(arguments, out),
        }
    }
}
