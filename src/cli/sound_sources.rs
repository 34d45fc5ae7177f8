//! [`sound_sources`]: what this machine has to be heard with.

use std::env;
use std::ffi::{OsStr, OsString};
use std::io::{self, Write};
use std::time::Duration;

use super::audible::Wanted;
use super::remark::remark;
use crate::platform::PersonsTerminal;
use crate::views::sound::{OutsideProgram, PLAYERS, SPEAKERS, Sources};

/// Names the player and what goes before the file; empty for none.
pub(crate) const PLAYER_VARIABLE: &str = "PROBEWRIGHT_PLAYER";

/// Names the speaker and what goes before the text; empty for none.
pub(crate) const SPEAKER_VARIABLE: &str = "PROBEWRIGHT_SPEAKER";

/// What was found, and what was asked for but not found.
pub(crate) struct Found {
    /// What there is.
    sources: Sources,
    /// What there is not, in words.
    missing: Vec<String>,
}

impl Found {
    /// Tells the person what is missing, and gives what there is.
    pub(crate) fn told(self) -> Sources {
        for missing in &self.missing {
            remark(missing);
        }
        self.sources
    }
}

/// Looks for programs that play and, if words are wanted, speak, and for a terminal with a bell.
pub(crate) fn sound_sources(wanted: Wanted) -> Found {
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
    Found {
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
