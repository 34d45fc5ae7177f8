//! [`Commands`]: the way from a viewer back to the sitting.

use std::fmt;
use std::sync::Arc;

use crate::engine::sitting::{Command, UnknownCommand};

/// Hands commands of viewers to the sitting. Clones are the same way.
#[derive(Clone)]
pub struct Commands {
    send: Arc<dyn Fn(Command) -> bool + Send + Sync>,
}

/// Why a command was not handed on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// It is no command.
    #[error(transparent)]
    Unknown(#[from] UnknownCommand),
    /// It holds what no keyboard would put into a line.
    #[error("found a control character, expected one line of text")]
    ControlCharacter,
    /// Nobody listens any more.
    #[error("the sitting is over")]
    Over,
}

impl Commands {
    /// The way through `send`, which says whether the sitting still listens, and never waits.
    pub fn new(send: impl Fn(Command) -> bool + Send + Sync + 'static) -> Self {
        Self {
            send: Arc::new(send),
        }
    }

    /// Hands on the command of that text form, such as `goto R12`. Whether it can be followed is told by an item.
    ///
    /// # Errors
    /// If it is no command, or the sitting is over.
    pub fn say(&self, text: &str) -> Result<(), Refusal> {
        // It is printed, and recorded as one line.
        if text.contains(char::is_control) {
            return Err(Refusal::ControlCharacter);
        }
        let command = text.parse::<Command>()?;
        if (self.send)(command) {
            Ok(())
        } else {
            Err(Refusal::Over)
        }
    }
}

impl fmt::Debug for Commands {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Commands").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    #[test]
    fn only_what_is_a_command_of_one_line_reaches_the_sitting() {
        let (sender, heard) = channel();
        let commands = Commands::new(move |command| sender.send(command).is_ok());
        assert_eq!(commands.say("goto R12"), Ok(()));
        let unknown = commands.say("measure harder").unwrap_err().to_string();
        assert!(unknown.starts_with("unknown command `measure harder`, expected next"));
        for text in ["note a\nnote b", "note \u{1b}[2J", "\n"] {
            assert_eq!(
                commands.say(text),
                Err(Refusal::ControlCharacter),
                "{text:?}"
            );
        }
        assert_eq!(
            heard.try_iter().collect::<Vec<_>>(),
            [Command::Goto("R12".to_owned())]
        );
        drop(heard);
        assert_eq!(commands.say("next"), Err(Refusal::Over));
    }
}
