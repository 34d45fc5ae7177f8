//! [`show`]: a long text through the pager.

use std::env;
use std::io::{self, IsTerminal as _, Write};
use std::process::{Command, Stdio};

/// Shows the text through `$PAGER`, else through `less`; as it is where standard output is no terminal or no pager can be run.
pub(super) fn show(text: &str, out: &mut dyn Write) -> io::Result<()> {
    let paged = io::stdout().is_terminal() && wanted().is_some_and(|pager| paged(&pager, text));
    if paged {
        Ok(())
    } else {
        out.write_all(text.as_bytes())
    }
}

/// The command of the pager; `None` if an empty `$PAGER` asks for none.
fn wanted() -> Option<String> {
    let asked = env::var("PAGER").unwrap_or_else(|_| "less".to_owned());
    let asked = asked.trim();
    (!asked.is_empty()).then(|| asked.to_owned())
}

/// Whether the pager took the text. Its command is one of the shell, as `$PAGER` may hold options.
fn paged(pager: &str, text: &str) -> bool {
    // The shell's own status for a command that is not there.
    const NOT_FOUND: i32 = 127;
    let mut command = Command::new("sh");
    command.args(["-c", pager]).stdin(Stdio::piped());
    if env::var_os("LESS").is_none() {
        // Ends by itself if the text fits the screen, and leaves it there.
        command.env("LESS", "FRX");
    }
    let Ok(mut child) = command.stderr(Stdio::null()).spawn() else {
        return false;
    };
    if let Some(mut input) = child.stdin.take() {
        // A reader who leaves the pager early has read enough.
        let _ = input.write_all(text.as_bytes());
    }
    child
        .wait()
        .is_ok_and(|status| status.code() != Some(NOT_FOUND))
}
