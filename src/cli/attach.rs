//! `attach`: a sitting that another process serves, seen and commanded from here.
//!
//! [`Ending`]: how a watched sitting came to its end.
//!
//! [`summary`]: a state in a few lines, for somebody who joins.
//!
//! [`View`]: what shows a watched sitting: the board of this terminal, or lines.

use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::{Context, Result, bail};

use super::display::{Board, Display, Keys};
use super::keys::{Keyboard, Wish, help_aside, keys, listen_aside};
use super::listener::Paint;
use super::remark::remark;
use super::status::Status;
use crate::books::job::Folder;
use crate::engine::sitting::{LinkNews, Row, Summary, What};
use crate::platform::on_request_to_end;
use crate::views::serve::{Client, FromServer, Speaker};
use crate::views::state::{Item, Stage, State};
use crate::views::told::{Line, Mood};

/// Watch a sitting that was begun with `sit --serve`, from another terminal, and control it with the same keys or lines.
///
/// The key q or Ctrl-C leaves, and the sitting goes on; e ends it for everybody, after asking.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    dir: PathBuf,
    /// Print the lines of the socket as they come, each a JSON object, for scripts.
    #[arg(long)]
    json: bool,
    /// Lines instead of the screen, as where standard output is no terminal.
    #[arg(long, conflicts_with = "json")]
    plain: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.dir)?;
    let client = Client::connect(folder.root())?;
    let left = Arc::new(AtomicBool::new(false));
    let keyboard = Keyboard::take_over();
    if keyboard.single_keys() && !arguments.json {
        remark(&help_aside());
    }
    leave_on_signal(leaving(client.speaker()?, &left))?;
    let mut speaker = client.speaker()?;
    let leave = leaving(client.speaker()?, &left);
    listen_aside(&keyboard, move |wish| match wish {
        Wish::Command(command) => speaker.say(&command).or_else(too_long).is_ok(),
        Wish::Leave => {
            leave();
            false
        }
    });
    let ending = if arguments.json {
        watch(client, |line, _| print(out, line))
    } else if !arguments.plain && Display::is_possible() {
        on_screen(client, keys(&keyboard, true), out)
    } else {
        let mut view = View::Lines(Lines::new(out, Paint::for_stdout()));
        watch(client, |_, said| {
            said.map_or(Ok(()), |said| view.hear(said))
        })
    };
    // The terminal is given back before anything is said about the end.
    drop(keyboard);
    let ending = ending?;
    if left.load(Ordering::SeqCst) {
        return Ok(Status::Done);
    }
    ending.status()
}

/// Watches with the board on the terminal, and prints the last line when the terminal is given back.
fn on_screen(client: Client, keys: Keys, out: &mut dyn Write) -> Result<Ending> {
    let display = Display::open(keys).context("cannot draw on the terminal")?;
    let mut view = View::Board(display.board());
    let mut last = None;
    let ending = watch(client, |_, said| {
        if let Some(FromServer::Item(item)) = said
            && matches!(item.event.what, What::Ended(_))
        {
            last.clone_from(&item.line);
        }
        said.map_or(Ok(()), |said| view.hear(said))
    });
    if display.close()
        && let Some(last) = last
    {
        writeln!(out, "{}", last.text)?;
    }
    ending
}

/// Hands every line to `hear`, as it came and as it is understood, until the connection is closed.
fn watch(
    mut client: Client,
    mut hear: impl FnMut(&str, Option<&FromServer>) -> io::Result<()>,
) -> Result<Ending> {
    let mut ending = Ending::BrokenOff;
    let mut line = String::new();
    while client
        .read(&mut line)
        .context("cannot read from the sitting")?
    {
        // A message of a later program that this one does not know is passed over.
        let said = serde_json::from_str(&line).ok();
        if let Some(said) = &said {
            ending = ending.after(said);
        }
        hear(&line, said.as_ref())?;
    }
    Ok(ending)
}

/// A command that is too long for the socket is told, and the next one may be shorter.
fn too_long(error: io::Error) -> io::Result<()> {
    if error.kind() != io::ErrorKind::InvalidInput {
        return Err(error);
    }
    remark(&error.to_string());
    Ok(())
}

fn print(out: &mut dyn Write, line: &str) -> io::Result<()> {
    out.write_all(line.as_bytes())?;
    out.flush()
}

/// Connection of a viewer that leaves: it is closed, which is no fault of the sitting.
fn leaving(speaker: Speaker, left: &Arc<AtomicBool>) -> impl Fn() + Send + use<> {
    let left = Arc::clone(left);
    move || {
        left.store(true, Ordering::SeqCst);
        speaker.hang_up();
    }
}

/// A signal that asks for the end leaves, with the terminal as it was.
fn leave_on_signal(leave: impl Fn() + Send + 'static) -> Result<()> {
    let leave = move || {
        leave();
        true
    };
    on_request_to_end(leave).context("cannot watch for signals")
}

/// End that a watched sitting has come to, if the connection were closed now.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Ending {
    /// Its end was told.
    Over,
    /// The server closed the connection and said why.
    Closed(String),
    /// The program that served it is gone.
    BrokenOff,
}

impl Ending {
    /// After that was said.
    fn after(self, said: &FromServer) -> Self {
        match said {
            FromServer::Item(item) if matches!(item.event.what, What::Ended(_)) => Self::Over,
            FromServer::State(state) if state.stage == Stage::Ended => Self::Over,
            FromServer::Error(why) => Self::Closed(why.clone()),
            _ => self,
        }
    }

    /// The exit status that goes with it.
    fn status(self) -> Result<Status> {
        match self {
            Self::Over => Ok(Status::Done),
            Self::Closed(why) => bail!(why),
            Self::BrokenOff => bail!(
                "the program that served the sitting is gone; its recording can be read, and `sit` goes on with the job"
            ),
        }
    }
}

/// Sitting, last verdicts, trouble, and the part in hand.
fn summary(state: &State) -> Vec<Line> {
    let line = |text: String, mood| Line { text, mood };
    let mut lines = vec![line(head(state), Mood::Plain)];
    // The latest verdict comes last, where the next one will stand.
    let last = state.last.iter().rev();
    lines.extend(last.map(|record| line(verdict(&record.row), Mood::Quiet)));
    lines.extend(trouble(state).map(|text| line(text, Mood::Bad)));
    lines.extend(now(state).map(|text| line(text, Mood::Plain)));
    lines
}

fn head(state: &State) -> String {
    let title = if state.title.is_empty() {
        "a sitting"
    } else {
        &state.title
    };
    format!(
        "{title}, since {}: {}",
        state.began,
        progress(&state.progress)
    )
}

/// `3 of 40 parts done: 2 pass, 1 left out`.
fn progress(progress: &Summary) -> String {
    let said: Vec<String> = progress
        .named()
        .map(|(count, name)| format!("{count} {name}"))
        .collect();
    let colon = if said.is_empty() { "" } else { ": " };
    format!(
        "{} of {} parts done{colon}{}",
        progress.done,
        progress.parts,
        said.join(", ")
    )
}

fn verdict(row: &Row) -> String {
    let verdict = row.verdict.name().to_uppercase();
    let again = if row.attempt > 1 {
        format!(", attempt {}", row.attempt)
    } else {
        String::new()
    };
    format!(
        "{:<8} {:<24} {verdict:<17} {} ({}){again}",
        row.title(),
        row.words(),
        row.reason,
        row.band_words()
    )
}

/// Troubles that last until they are mended.
fn trouble(state: &State) -> impl Iterator<Item = String> {
    let lost = match &state.link {
        Some(LinkNews::Lost { reason }) => Some(format!("link lost: {reason}; trying again")),
        _ => None,
    };
    let trouble = state.meter.trouble.as_ref();
    let meter = trouble.map(|trouble| trouble.words.clone());
    lost.into_iter().chain(meter)
}

/// Current task.
fn now(state: &State) -> Option<String> {
    let in_hand = |to_do: &str| {
        let entry = state.in_hand.as_ref()?;
        Some(format!("  {:<8} {}{to_do}", entry.title(), entry.what))
    };
    match state.stage {
        Stage::Waiting => None,
        Stage::Part => in_hand(""),
        Stage::Discharge => in_hand(": discharged? voltmeter across it"),
        Stage::Power => in_hand(": power comes on, then `live`"),
        Stage::Soak => in_hand(": leakage under voltage"),
        Stage::Zero => Some("zero: hold the probes on each other".to_owned()),
        Stage::Apart => Some("zero: hold the probes apart".to_owned()),
        Stage::NothingLeft => Some("every part of the list was taken in hand".to_owned()),
        Stage::Ended => Some("the sitting is over".to_owned()),
    }
}

/// The view of a watched sitting.
enum View<'a> {
    /// The board, which makes the same state of what it is told.
    Board(Board),
    /// Lines as the sitting prints them, after a summary of what was before.
    Lines(Lines<'a>),
}

/// Lines, and how many items were missed before the next of them.
struct Lines<'a> {
    out: &'a mut dyn Write,
    paint: Paint,
    missed: Option<u64>,
}

impl View<'_> {
    /// Takes in what the server says.
    fn hear(&mut self, said: &FromServer) -> io::Result<()> {
        match (self, said) {
            (_, FromServer::Refused(why)) => remark(why),
            (Self::Board(board), FromServer::State(state)) => board.show(state),
            (Self::Board(board), FromServer::Item(item)) => board.apply(item),
            // The board shows the state of now, whatever was missed. An error is told at the end, a hello matters to programs.
            (Self::Board(_), FromServer::Missed(_))
            | (_, FromServer::Error(_) | FromServer::Hello(_)) => {}
            (Self::Lines(lines), FromServer::State(state)) => return lines.anew(state),
            (Self::Lines(lines), FromServer::Item(item)) => return lines.heard(item),
            (Self::Lines(lines), FromServer::Missed(missed)) => lines.missed = Some(*missed),
        }
        Ok(())
    }
}

impl<'a> Lines<'a> {
    /// Prints to `out`.
    fn new(out: &'a mut dyn Write, paint: Paint) -> Self {
        Self {
            out,
            paint,
            missed: None,
        }
    }

    fn anew(&mut self, state: &State) -> io::Result<()> {
        let missed = self.missed.take().map(|missed| Line {
            text: format!("too slow: {missed} items were missed"),
            mood: Mood::Doubtful,
        });
        for line in missed.into_iter().chain(summary(state)) {
            self.paint.write(self.out, &line)?;
        }
        self.out.flush()
    }

    fn heard(&mut self, item: &Item) -> io::Result<()> {
        let Some(line) = &item.line else {
            return Ok(());
        };
        self.paint.write(self.out, line)?;
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::Counts;

    #[test]
    fn progress_names_only_what_there_is() {
        let mut some = Summary {
            parts: 40,
            ..Summary::default()
        };
        assert_eq!(progress(&some), "0 of 40 parts done");
        some.done = 3;
        some.counts = Counts {
            pass: 2,
            skipped: 1,
            not_reached: 37,
            ..Counts::default()
        };
        assert_eq!(progress(&some), "3 of 40 parts done: 2 pass, 1 skipped");
    }

    #[test]
    fn a_lost_link_is_told_before_what_is_in_hand() {
        let mut state = State {
            title: "an amplifier".to_owned(),
            began: "2056-11-03T19:25:30+01:00".to_owned(),
            stage: Stage::NothingLeft,
            ..State::default()
        };
        state.link = Some(LinkNews::Lost {
            reason: "the port went away".to_owned(),
        });
        let lines: Vec<String> = summary(&state).into_iter().map(|line| line.text).collect();
        assert_eq!(
            lines,
            [
                "an amplifier, since 2056-11-03T19:25:30+01:00: 0 of 0 parts done",
                "link lost: the port went away; trying again",
                "every part of the list was taken in hand",
            ]
        );
    }
}
