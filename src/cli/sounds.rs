//! `sounds`: what can be heard during a sitting.
//!
//! [`Audible`]: what of a sitting is heard, and with what.
//!
//! [`sound_sources`]: what this machine has to be heard with.

use std::ffi::{OsStr, OsString};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;
use std::{env, fs};

use anyhow::{Context, Result};

use super::remark::remark;
use super::status::Status;
use crate::engine::sitting::{Event, What};
use crate::platform::PersonsTerminal;
use crate::views::sound::{
    Cue, OutsideProgram, PLAYERS, Rank, SPEAKERS, Sounder, Sources, Utterance, save,
};
use crate::views::told::told;

/// Play every sound of a sitting, with its name.
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

/// End of the help.
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
    // A player that failed was told when it did.
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

/// Sounds that a person wants.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Wanted {
    /// Nothing at all.
    pub(crate) quiet: bool,
    /// Words beside the tones.
    pub(crate) words: bool,
    /// Rather nothing than the bell of the terminal.
    pub(crate) no_bell: bool,
}

/// Listens to the events of a sitting and makes them heard.
pub(crate) struct Audible {
    sounder: Option<Sounder>,
    words: bool,
    /// The meters that went and did not come back yet, by the names that tell several apart.
    away: Vec<Option<String>>,
}

impl Audible {
    /// Tells once what is wanted and cannot be had; a machine without any sound is as good as quiet.
    pub(crate) fn start(wanted: Wanted) -> Self {
        let sounder = (!wanted.quiet)
            .then(|| sound_sources(wanted).told())
            .and_then(start);
        Self {
            sounder,
            words: wanted.words,
            away: Vec::new(),
        }
    }

    /// Takes in an event. Never waits for the loudspeaker.
    pub(crate) fn hear(&mut self, event: &Event) {
        let told = told(&event.what);
        let cue = told.cue.filter(|cue| self.is_news(*cue, &event.what));
        let Some(sounder) = &self.sounder else { return };
        if let Some(cue) = cue {
            sounder.utter(Utterance::Cue(cue));
        }
        if let Some(speech) = told.speech.filter(|_| self.words) {
            sounder.utter(Utterance::Words {
                text: speech.text(),
                rank: speech.rank,
            });
        }
    }

    /// Whether it is to be heard now. Lost and back are heard once each for each meter, however many layers report it; that a
    /// link comes up at the start is no news.
    fn is_news(&mut self, cue: Cue, what: &What) -> bool {
        let (What::Link { meter, .. } | What::Meter { meter, .. }) = what else {
            return true;
        };
        let was_away = self.away.contains(meter);
        match cue {
            Cue::LinkLost if !was_away => self.away.push(meter.clone()),
            Cue::LinkBack if was_away => self.away.retain(|away| away != meter),
            Cue::LinkLost | Cue::LinkBack => return false,
            _ => {}
        }
        true
    }
}

/// A sounder for these sources; none where nothing could be heard anyway.
fn start(sources: Sources) -> Option<Sounder> {
    if sources.is_mute() {
        return None;
    }
    // A machine that has no thread to spare has none for sounds.
    Sounder::start(sources).ok()
}

/// Names the player and what goes before the file; empty for none.
pub(crate) const PLAYER_VARIABLE: &str = "PROBEWRIGHT_PLAYER";

/// Names the speaker and what goes before the text; empty for none.
pub(crate) const SPEAKER_VARIABLE: &str = "PROBEWRIGHT_SPEAKER";

/// The sources found, and those asked for but not found.
pub(crate) struct Available {
    /// The sources found.
    sources: Sources,
    /// The missing ones, in words.
    missing: Vec<String>,
}

impl Available {
    /// Tells the person what is missing, and gives what there is.
    pub(crate) fn told(self) -> Sources {
        for missing in &self.missing {
            remark(missing);
        }
        self.sources
    }
}

/// Looks for programs that play and, if words are wanted, speak, and for a terminal with a bell.
pub(crate) fn sound_sources(wanted: Wanted) -> Available {
    let path = env::var_os("PATH").unwrap_or_default();
    let mut missing = Vec::new();
    let mut look = |variable, known| {
        programs(env::var_os(variable), &path, known).unwrap_or_else(|why| {
            missing.push(format!("{variable}: {why}"));
            Vec::new()
        })
    };
    let players = look(PLAYER_VARIABLE, &PLAYERS);
    let speakers = if wanted.words {
        look(SPEAKER_VARIABLE, &SPEAKERS)
    } else {
        Vec::new()
    };
    if wanted.words && speakers.is_empty() {
        missing.push(format!(
            "no words will be heard: found no speech program; install one of {}, or name one in {SPEAKER_VARIABLE}",
            names(&SPEAKERS)
        ));
    }
    let bell = if wanted.no_bell { None } else { bell() };
    Available {
        sources: Sources::new(players, speakers, bell, Box::new(remark)),
        missing,
    }
}

/// The names of known programs, for messages.
pub(crate) fn names(known: &[(&str, &[&str])]) -> String {
    let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
    names.join(", ")
}

fn programs(
    written: Option<OsString>,
    path: &OsStr,
    known: &[(&str, &[&str])],
) -> Result<Vec<OutsideProgram>, crate::views::sound::NoSuchProgram> {
    let Some(written) = written else {
        return Ok(OutsideProgram::all_on(path, known));
    };
    let written = written.to_string_lossy();
    if written.trim().is_empty() {
        return Ok(Vec::new());
    }
    OutsideProgram::written(&written, path).map(|program| vec![program])
}

/// The terminal that the person sees, if any.
fn bell() -> Option<Box<dyn Write + Send>> {
    Some(Box::new(Bell(PersonsTerminal::seen()?)))
}

/// A terminal that takes what it can take at once; the rest of a bell that nobody hears is left out.
struct Bell(PersonsTerminal);

impl Write for Bell {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.0.takes(Duration::ZERO) {
            self.0.write(bytes)
        } else {
            Ok(bytes.len())
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::sitting::{LinkNews, MeterNews};

    /// Plays these, one after the other.
    fn heard(all: &[What]) -> Vec<Option<Cue>> {
        let mut audible = Audible {
            sounder: None,
            words: true,
            away: Vec::new(),
        };
        let mut heard = |what: &What| told(what).cue.filter(|cue| audible.is_news(*cue, what));
        all.iter().map(&mut heard).collect()
    }

    fn link(news: LinkNews) -> What {
        What::Link { meter: None, news }
    }

    fn lost() -> What {
        link(LinkNews::Lost {
            reason: "gone".to_owned(),
        })
    }

    fn meter(name: &str, news: MeterNews) -> What {
        let meter = (!name.is_empty()).then(|| name.to_owned());
        What::Meter { meter, news }
    }

    #[test]
    fn a_meter_that_goes_and_comes_back_is_heard_once_each_way() {
        let all = [
            link(LinkNews::Up),
            meter("", MeterNews::Silent),
            lost(),
            link(LinkNews::Up),
            meter("", MeterNews::Answering),
            lost(),
        ];
        let (lost, back) = (Some(Cue::LinkLost), Some(Cue::LinkBack));
        assert_eq!(heard(&all), [None, lost, None, back, None, lost]);
    }

    #[test]
    fn each_of_two_meters_is_heard_to_go_and_to_come_back() {
        let all = [
            meter("meter", MeterNews::Silent),
            meter("bridge", MeterNews::Silent),
            meter("meter", MeterNews::Answering),
            meter("meter", MeterNews::Answering),
            meter("bridge", MeterNews::Answering),
        ];
        let (lost, back) = (Some(Cue::LinkLost), Some(Cue::LinkBack));
        assert_eq!(heard(&all), [lost, lost, back, None, back]);
    }
}
