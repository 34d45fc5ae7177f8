//! Commands that the program types itself, in a demonstration: [`show`], [`run`] and [`sit_arguments`].

use std::ffi::OsString;
use std::io::{self, Write};

use anyhow::Result;

use super::job_word::quoted;
use super::status::{BadInput, Status};
use super::{Asked, Command, sit};
use crate::bench::clock::Clock;

/// Shows a command as one types it; `words` are those behind the name of the program.
pub(crate) fn show(words: &[String], out: &mut dyn Write) -> io::Result<()> {
    let words: Vec<String> = words.iter().map(|word| quoted(word)).collect();
    writeln!(out, "\n$ probewright {}", words.join(" "))
}

/// Shows a command and does what it does when it is typed; `clock` shows when by the wall.
///
/// # Errors
/// If the words are no command, and the errors of the command.
pub(crate) fn run(words: &[String], clock: Clock, out: &mut dyn Write) -> Result<Status> {
    show(words, out)?;
    parse(words)?.run(clock, out)
}

/// The arguments of a sitting that is asked for like that.
///
/// # Errors
/// If the words ask for anything else.
pub(crate) fn sit_arguments(words: &[String]) -> Result<sit::Arguments> {
    match parse(words)? {
        Asked::Command(Command::Sit(arguments)) => Ok(arguments),
        _ => Err(BadInput(format!("`{}` is no sitting", words.join(" "))).into()),
    }
}

fn parse(words: &[String]) -> Result<Asked> {
    let name = std::iter::once(OsString::from("probewright"));
    let arguments: Vec<OsString> = name.chain(words.iter().map(OsString::from)).collect();
    Ok(Asked::parse(&arguments)?)
}
