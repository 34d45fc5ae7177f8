//! `completions`: what a shell needs to complete commands, options, topics and parts, and the answers to what it asks then.

use std::env;
use std::ffi::{OsStr, OsString};
use std::io::Write;
use std::path::Path;

use anyhow::Result;
use clap::CommandFactory as _;
use clap_complete::CompletionCandidate;
use clap_complete::env::{CompleteEnv, Shells};

use super::Program;
use super::manual::topics::TOPICS;
use super::status::{BadInput, Status};
use crate::books::job::Folder;

/// The variable by which a shell asks.
const ASKED_BY: &str = "PROBEWRIGHT_COMPLETE";

/// Print what a shell needs to complete commands, options, topics of the manual and the parts of a job
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// bash, elvish, fish, powershell or zsh; for bash: `source <(probewright completions bash)`
    shell: String,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let shells = Shells::builtins();
    let Some(shell) = shells.completer(&arguments.shell) else {
        let names: Vec<&str> = shells.names().collect();
        let found = &arguments.shell;
        return Err(BadInput(format!(
            "found the shell `{found}`, expected one of {}",
            names.join(", ")
        ))
        .into());
    };
    shell.write_registration(ASKED_BY, "probewright", "probewright", "probewright", out)?;
    Ok(Status::Done)
}

/// Answers a shell that asks; whether one did.
pub(super) fn answered(arguments: &[OsString]) -> Result<bool, clap::Error> {
    let here = env::current_dir().ok();
    CompleteEnv::with_factory(Program::command)
        .var(ASKED_BY)
        .try_complete(arguments.to_vec(), here.as_deref())
}

/// The topics that begin so.
pub(super) fn topics(begin: &OsStr) -> Vec<CompletionCandidate> {
    let topics = TOPICS.iter();
    let topics = topics.filter(|topic| {
        begin
            .to_str()
            .is_some_and(|begin| topic.name.starts_with(begin))
    });
    let candidate = |topic: &super::manual::topics::Topic| {
        CompletionCandidate::new(topic.name).help(Some(topic.title().into()))
    };
    topics.map(candidate).collect()
}

/// The designators that begin so, upper and lower case alike, of the job that stands on the command line, else of the one here.
pub(super) fn parts(begin: &OsStr) -> Vec<CompletionCandidate> {
    let mut words = env::args_os().skip_while(|word| word != "--").skip(2);
    let named = words.find_map(|word| Folder::open(Path::new(&word)).ok());
    let folder = named.or_else(|| Folder::open(Path::new(".")).ok());
    let book = folder.and_then(|folder| folder.read_setup().ok());
    let begin = begin.to_string_lossy().to_lowercase();
    let list = book.and_then(|setup| setup.list().ok());
    let parts = list.into_iter().flat_map(|list| list.parts);
    parts
        .filter(|part| part.designator.to_lowercase().starts_with(&begin))
        .map(|part| {
            CompletionCandidate::new(part.designator.clone()).help(Some(part.value_text.into()))
        })
        .collect()
}
