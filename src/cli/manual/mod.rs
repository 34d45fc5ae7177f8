//! `probewright manual`: everything that the README leaves out, in topics.
//!
//! The texts lie here as Markdown. A link to a constant that stands alone on its line is replaced by the [table](tables) of what
//! the constant holds, so that no table is written twice; in the documentation of the crate it stays a link.

mod blocks;
mod man;
mod pager;
mod tables;
mod text;
pub mod topics;

use std::io::Write;
use std::path::PathBuf;

use clap_complete::ArgValueCompleter;

use self::topics::{TOPICS, Topic};
use crate::cli::completions::topics;
use crate::cli::status::{BadInput, Status};
use crate::platform::PersonsTerminal;

/// Show the manual: a topic, or the list of them
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A topic, or a command, for the topic about it.
    #[arg(add = ArgValueCompleter::new(topics))]
    topic: Option<String>,
    /// Write man pages for every command and every topic into the folders man1 and man7 of this one.
    #[arg(long, value_name = "DIR", conflicts_with = "topic")]
    man: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> anyhow::Result<Status> {
    if let Some(folder) = &arguments.man {
        let pages = man::write(folder)?;
        writeln!(out, "{pages} pages in {}", folder.display())?;
        return Ok(Status::Done);
    }
    let markdown = match &arguments.topic {
        Some(word) => topic(word)?.with_tables(),
        None => contents(),
    };
    let width = PersonsTerminal::columns().map_or(text::WIDTH, |columns| columns.min(text::WIDEST));
    pager::show(&text::plain(&markdown, width), out)?;
    Ok(Status::Done)
}

/// The topic of that name, or the one that tells of the command of that name.
fn topic(word: &str) -> Result<&'static Topic, BadInput> {
    let word = word.to_lowercase();
    let found = TOPICS.iter().find(|topic| topic.name == word);
    let found = found.or_else(|| TOPICS.iter().find(|topic| topic.tells_of(&word)));
    found.ok_or_else(|| {
        let names: Vec<&str> = TOPICS.iter().map(|topic| topic.name).collect();
        let expected = names.join(", ");
        BadInput(format!("no topic `{word}`, expected one of {expected}"))
    })
}

/// The list of all topics, as Markdown.
fn contents() -> String {
    let rows = TOPICS.map(|topic| [topic.name.to_owned(), topic.title().to_owned()]);
    format!(
        "# The manual of probewright\n\n`probewright manual TOPIC` shows one of these:\n\n{}\n\
         `probewright COMMAND --help` lists the options of a command, and `probewright manual --man DIR` writes all of it as man pages.\n",
        tables::markdown(["topic", "what it tells"], rows)
    )
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn every_command_is_told_of_in_a_topic() {
        let program = crate::cli::Program::command();
        let untold: Vec<&str> = program
            .get_subcommands()
            .map(clap::Command::get_name)
            .filter(|name| topic(name).is_err())
            .collect();
        assert!(untold.is_empty(), "{untold:?}");
    }

    #[test]
    fn a_topic_that_is_not_there_is_refused_with_those_that_are() {
        let refused = topic("nonsense").unwrap_err().to_string();
        assert!(
            TOPICS.iter().all(|topic| refused.contains(topic.name)),
            "{refused}"
        );
    }
}
