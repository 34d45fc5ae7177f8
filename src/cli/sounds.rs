//! `sounds`: what can be heard during a sitting.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use super::audible::Wanted;
use super::remark::remark;
use super::sound_sources::{PLAYER_VARIABLE, names, sound_sources};
use super::status::Status;
use crate::views::sound::{Cue, PLAYERS, Rank, Sources, Utterance, save};

/// Hear what is heard during a sitting: every sound with its name.
#[derive(Debug, clap::Args)]
#[command(after_help = ENVIRONMENT)]
pub(crate) struct Arguments {
    /// Write the sounds as WAV files into this folder instead of playing them.
    #[arg(long, value_name = "DIR")]
    save: Option<PathBuf>,
    /// Say their names as well.
    #[arg(long, conflicts_with = "save")]
    speak: bool,
}

/// What the help says at its end.
const ENVIRONMENT: &str = "\
Environment:
  PROBEWRIGHT_PLAYER   audio program and what goes before the file, such as `aplay -q`; empty for none
  PROBEWRIGHT_SPEAKER  speech program and what goes before the text; empty for none
Without them the first program found on PATH is used, and where it fails the next.";

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    match &arguments.save {
        Some(folder) => write_files(folder, out),
        None => play(arguments.speak, out),
    }
}

fn write_files(folder: &Path, out: &mut dyn Write) -> Result<Status> {
    fs::create_dir_all(folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    for &cue in Cue::ALL {
        writeln!(out, "{}", save(cue, folder)?.display())?;
    }
    Ok(Status::Done)
}

fn play(speak: bool, out: &mut dyn Write) -> Result<Status> {
    let wanted = Wanted {
        words: speak,
        ..Wanted::default()
    };
    let mut sources = sound_sources(wanted).told();
    introduce(&sources, out)?;
    let had_player = sources.player().is_some();
    for &cue in Cue::ALL {
        writeln!(
            out,
            "{:<17} {:<9} {}",
            cue.name(),
            cue.pattern().rhythm(),
            cue.meaning()
        )?;
        out.flush()?;
        sources.utter(&Utterance::Cue(cue), &|| false);
        if speak {
            let text = cue.name().replace('-', " ");
            let rank = Rank::News;
            sources.utter(&Utterance::Words { text, rank }, &|| false);
        }
    }
    // That the last player failed was told when it did.
    let failed = had_player && sources.player().is_none();
    Ok(if failed {
        Status::CouldNot
    } else {
        Status::Done
    })
}

/// Says what plays.
fn introduce(sources: &Sources, out: &mut dyn Write) -> Result<()> {
    match sources.player() {
        Some(player) => writeln!(out, "played by {}", player.path().display())?,
        None if sources.has_bell() => writeln!(
            out,
            "no audio program found: the bell of the terminal rings, once for good, twice for doubtful, three times for bad"
        )?,
        None => writeln!(out, "no audio program found: nothing is heard")?,
    }
    if sources.player().is_none() {
        remark(&format!(
            "to hear tones, install one of {}, or name one in {PLAYER_VARIABLE}",
            names(&PLAYERS)
        ));
    }
    if let Some(speaker) = sources.speaker() {
        writeln!(out, "spoken by {}", speaker.path().display())?;
    }
    Ok(())
}
