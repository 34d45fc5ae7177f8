//! [`job_word`] and [`job_path`]: the folder of a job as it is typed behind the name of the program. [`Hint`]: a command to type
//! next.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use super::is_command;
use super::table::TextTable;

/// A command to type next about a job.
pub(crate) struct Hint<'a> {
    job: &'a Path,
    /// Name of the command; empty for the glance.
    command: &'a str,
    /// Words behind the job.
    after: String,
    /// Use of the command.
    what_for: &'a str,
}

impl<'a> Hint<'a> {
    pub(crate) fn new(
        job: &'a Path,
        command: &'a str,
        after: impl Into<String>,
        what_for: &'a str,
    ) -> Self {
        Self {
            job,
            command,
            after: after.into(),
            what_for,
        }
    }

    /// Writes the commands, below a `cd` if several of them would repeat the path of one job.
    pub(crate) fn write_all(hints: &[Self], out: &mut dyn Write) -> io::Result<()> {
        let mut table = TextTable::new(["", ""]);
        let several = hints.len() > 1 && hints.iter().all(|hint| hint.job == hints[0].job);
        if several && !is_here(hints[0].job) {
            table.head(format!("  cd {}", job_word(hints[0].job)));
        }
        for hint in hints {
            let word = job_word(hint.job);
            let command = typed(hint.command, if several { "." } else { &word }, &hint.after);
            table.push([format!("  {command}"), format!("# {}", hint.what_for)]);
        }
        table.write_rows(out)
    }
}

fn typed(command: &str, job: &str, after: &str) -> String {
    let job = if command.is_empty() && job == "." {
        ""
    } else {
        job
    };
    let words = ["probewright", command, job, after];
    let words = words.into_iter().filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// The command that shows where a job stands.
pub(crate) fn glance_command(job: &Path) -> String {
    typed("", &job_word(job), "")
}

/// The folder as a shell takes it, and so that the program does not take it for one of its commands; `.` where the program
/// runs in it.
pub(crate) fn job_word(folder: &Path) -> String {
    if is_here(folder) {
        ".".to_owned()
    } else {
        quoted(&job_path(folder))
    }
}

/// Whether the program runs in that folder.
pub(crate) fn is_here(folder: &Path) -> bool {
    let here = fs::canonicalize(".").ok();
    here.is_some() && here == fs::canonicalize(folder).ok()
}

/// The folder so that the program does not take it for one of its commands.
pub(crate) fn job_path(folder: &Path) -> String {
    let path = folder.display().to_string();
    if is_command(&path) || path.starts_with('-') {
        format!("./{path}")
    } else {
        path
    }
}

/// A text as one word of a shell.
pub(crate) fn quoted(text: &str) -> String {
    let plain = |sign: char| sign.is_alphanumeric() || "/._-+,:@%".contains(sign);
    if !text.is_empty() && text.chars().all(plain) {
        text.to_owned()
    } else {
        format!("'{}'", text.replace('\'', r"'\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_one_word_and_no_command() {
        for (folder, word) in [
            ("amplifier", "amplifier"),
            ("demo", "./demo"),
            ("jobs/demo", "jobs/demo"),
            ("-x", "./-x"),
            ("the old one", "'the old one'"),
            ("it's", r"'it'\''s'"),
            ("./src/..", "."),
        ] {
            assert_eq!(job_word(Path::new(folder)), word);
        }
    }
}
