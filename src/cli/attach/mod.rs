//! `attach`: a sitting that another process serves, seen and commanded from here.

mod ending;
mod summary;
mod view;

use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::{Context, Result};

use super::display::{Display, Keys};
use super::keys::{Keyboard, Wish, help_aside, keys, listen_aside};
use super::paint::Paint;
use super::remark::remark;
use super::status::Status;
use crate::books::job::Folder;
use crate::engine::sitting::What;
use crate::platform::on_request_to_end;
use crate::views::serve::{Client, FromServer, Speaker};
use ending::Ending;
use view::{Lines, View};

/// Watch a sitting that was begun with `sit --serve`, from another terminal, and command it by the same keys or lines.
///
/// The key q or Ctrl-C leaves, and the sitting goes on; e ends it for everybody, after asking.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    dir: PathBuf,
    /// Print the lines of the socket as they come, each a JSON object, for scripts.
    #[arg(long)]
    json: bool,
    /// Lines instead of the screen; so it is anyway where standard output is no terminal.
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
        Wish::Command(command) => speaker.say(&command).is_ok(),
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
        // What a later program says and this one does not know is passed over.
        let said = serde_json::from_str(&line).ok();
        if let Some(said) = &said {
            ending = ending.after(said);
        }
        hear(&line, said.as_ref())?;
    }
    Ok(ending)
}

fn print(out: &mut dyn Write, line: &str) -> io::Result<()> {
    out.write_all(line.as_bytes())?;
    out.flush()
}

/// What leaves: the connection is closed, and that is no fault of the sitting.
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
