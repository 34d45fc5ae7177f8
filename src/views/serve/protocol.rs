//! [`FromServer`] and [`FromClient`]: the lines on the socket of a sitting, each one JSON object; and [`Commands`], what clients gave.

use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::engine::sitting::{Command, UnknownCommand};
use crate::views::state::{Item, State};

/// Version of the protocol. It rises when something that a client may rely on changes or goes; what is only added leaves it.
pub const PROTOCOL: u32 = 1;

/// The longest line that a client may send, in bytes, with its end.
pub const LONGEST_LINE: usize = 4096;

/// Most clients at a time.
pub const MOST_CLIENTS: usize = 16;

/// Lines of the server. A line that is none of these comes from a later program and is passed over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FromServer {
    /// Always the first line.
    Hello(Hello),
    /// Everything so far: the second line, and the one after [`FromServer::Missed`].
    State(Box<State>),
    /// The client was too slow: so many items were left out.
    Missed(u64),
    /// Refuses what is no command, and says why.
    Refused(String),
    /// Reason why the server closes the connection. Always the last line.
    Error(String),
    /// An item, as it is.
    #[serde(untagged)]
    Item(Box<Item>),
}

/// The server and its sitting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hello {
    /// [`PROTOCOL`].
    pub version: u32,
    /// Name and version of the program.
    pub program: String,
    /// Name of the sitting: that of its recording, without the ending.
    pub sitting: String,
}

/// Line of a client.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum FromClient {
    /// The text form of a command at the bench: `goto R12`.
    Command(String),
}

impl Hello {
    /// Of this program, for that sitting.
    pub(super) fn of(sitting: &str) -> Self {
        Self {
            version: PROTOCOL,
            program: concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")).to_owned(),
            sitting: sitting.to_owned(),
        }
    }
}

impl FromServer {
    /// As a line, with its end.
    pub fn line(&self) -> String {
        line(self)
    }
}

impl FromClient {
    /// As a line, with its end.
    pub fn line(&self) -> String {
        line(self)
    }
}

/// All that is said is plain data, which always has a JSON form.
fn line(said: &impl Serialize) -> String {
    serde_json::to_string(said).unwrap_or_default() + "\n"
}

/// Hands commands of viewers to the sitting. Clones are the same way.
#[derive(Clone)]
pub struct Commands {
    send: Arc<dyn Fn(Command) -> bool + Send + Sync>,
}

/// Reason why a command was not handed on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// No command.
    #[error(transparent)]
    Unknown(#[from] UnknownCommand),
    /// Holds what no keyboard would put into a line.
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

    use crate::engine::quantity::Stamp;
    use crate::engine::sitting::{Event, What};

    fn item() -> Item {
        let at = Stamp::from_micros(1_250_000);
        let what = What::Contact;
        Item::of(7, &Event { at, what })
    }

    #[test]
    fn every_line_of_the_server_reads_back_and_is_told_apart_by_its_word() {
        let all = [
            (
                FromServer::Hello(Hello::of("20561103T192530")),
                r#"{"hello":{"version":1,"program":"probewright "#,
            ),
            (
                FromServer::State(Box::default()),
                r#"{"state":{"version":3,"last_id":0,"#,
            ),
            (FromServer::Missed(12), "{\"missed\":12}\n"),
            (
                FromServer::Refused("no".to_owned()),
                "{\"refused\":\"no\"}\n",
            ),
            (FromServer::Error("no".to_owned()), "{\"error\":\"no\"}\n"),
            (
                FromServer::Item(Box::new(item())),
                "{\"version\":3,\"id\":7,\"at_us\":1250000,\"news\":{\"what\":\"contact\"}}\n",
            ),
        ];
        for (said, begins) in all {
            let line = said.line();
            assert!(line.starts_with(begins), "{line}");
            assert_eq!(line.find('\n'), Some(line.len() - 1), "{line}");
            assert_eq!(serde_json::from_str::<FromServer>(&line).unwrap(), said);
        }
    }

    #[test]
    fn the_manual_names_every_word_and_the_limits() {
        let text = include_str!("../../cli/manual/attach.md");
        let table = text.split_once("| the server says | when |").unwrap().1;
        for word in ["hello", "state", "missed", "refused", "error"] {
            assert!(table.contains(&format!("\n| `{word}` | ")), "{word}");
        }
        assert!(text.contains(&format!("version {PROTOCOL} of the protocol")));
        assert!(table.contains(&format!("| {MOST_CLIENTS} clients at a time |")));
        assert!(table.contains(&format!("| {LONGEST_LINE} bytes in a line")));
    }

    #[test]
    fn a_command_is_one_object_with_one_text() {
        let command = FromClient::Command("goto R12".to_owned());
        assert_eq!(command.line(), "{\"command\":\"goto R12\"}\n");
        assert_eq!(
            serde_json::from_str::<FromClient>(&command.line()).unwrap(),
            command
        );
        for other in ["goto R12", "{}", r#"{"command":7}"#, r#"{"state":{}}"#] {
            assert!(
                serde_json::from_str::<FromClient>(other).is_err(),
                "{other}"
            );
        }
    }

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
