//! [`job_word`] and [`job_path`]: the folder of a job as it is typed behind the name of the program.

use std::path::Path;

use super::is_command;

/// The folder as a shell takes it, and so that the program does not take it for one of its commands.
pub(crate) fn job_word(folder: &Path) -> String {
    quoted(&job_path(folder))
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
        ] {
            assert_eq!(job_word(Path::new(folder)), word);
        }
    }
}
