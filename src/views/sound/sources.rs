//! [`Sources`]: what there is to make an utterance heard with.

use std::collections::VecDeque;
use std::ffi::OsStr;
use std::io::Write;
use std::path::PathBuf;
use std::thread;
use std::time::Duration;

use tempfile::TempDir;

use super::cue::{Cue, Utterance, bells};
use super::outside_program::{OutsideProgram, PlayError};
use super::samples::{SaveError, save};

/// A player that is not done with a cue after this has failed: none is longer than a second, and a sleeping sound card wakes
/// up in one or two more.
pub const LONGEST_SOUND: Duration = Duration::from_secs(5);

/// A speaker that is not done after this has failed.
pub const LONGEST_WORDS: Duration = Duration::from_secs(15);

/// From one ring of the bell to the next: terminals take quicker ones for one.
const RING: Duration = Duration::from_millis(200);

/// Programs that can make an utterance heard. The first of each list is used until it fails, then the next.
pub struct Sources {
    players: VecDeque<OutsideProgram>,
    speakers: VecDeque<OutsideProgram>,
    bell: Option<Box<dyn Write + Send>>,
    tell: Box<dyn FnMut(&str) + Send>,
    /// The sounds as files, from the first that was needed; gone with this.
    files: Option<TempDir>,
}

impl Sources {
    /// These programs; a terminal whose bell rings when no player is left; and who gets to know, in words and once each, when the
    /// last player or the last speaker failed.
    pub fn new(
        players: Vec<OutsideProgram>,
        speakers: Vec<OutsideProgram>,
        bell: Option<Box<dyn Write + Send>>,
        tell: Box<dyn FnMut(&str) + Send>,
    ) -> Self {
        Self {
            players: players.into(),
            speakers: speakers.into(),
            bell,
            tell,
            files: None,
        }
    }

    /// The player in use.
    pub fn player(&self) -> Option<&OutsideProgram> {
        self.players.front()
    }

    /// The speaker in use.
    pub fn speaker(&self) -> Option<&OutsideProgram> {
        self.speakers.front()
    }

    /// Whether there is a bell.
    pub fn has_bell(&self) -> bool {
        self.bell.is_some()
    }

    /// Whether nothing can be heard at all.
    pub fn is_mute(&self) -> bool {
        self.players.is_empty() && self.speakers.is_empty() && self.bell.is_none()
    }

    /// Makes an utterance heard as well as it can be, and returns when that is over; early if `hurry` says so.
    pub fn utter(&mut self, utterance: &Utterance, hurry: &dyn Fn() -> bool) {
        match utterance {
            Utterance::Cue(cue) => self.sound(*cue, hurry),
            Utterance::Words { text, .. } => self.speak(text, hurry),
        }
    }

    fn sound(&mut self, cue: Cue, hurry: &dyn Fn() -> bool) {
        while !self.players.is_empty() {
            let Err(failure) = self.play(cue, hurry) else {
                return;
            };
            self.players.pop_front();
            if self.players.is_empty() {
                let from_now = if self.bell.is_some() {
                    "the bell of the terminal from now on"
                } else {
                    "no sound from now on"
                };
                (self.tell)(&format!("sound: {failure}; {from_now}"));
            }
        }
        self.ring(bells(cue), hurry);
    }

    fn play(&mut self, cue: Cue, hurry: &dyn Fn() -> bool) -> Result<(), SoundError> {
        let file = self.file(cue)?;
        let player = self.players.front().ok_or(SoundError::NoPlayer)?;
        Ok(player.run(file.as_os_str(), LONGEST_SOUND, hurry)?)
    }

    /// The file of a cue; made when it is needed first.
    fn file(&mut self, cue: Cue) -> Result<PathBuf, SoundError> {
        let folder = match &mut self.files {
            Some(folder) => folder,
            none => none.insert(tempfile::Builder::new().prefix("probewright-").tempdir()?),
        };
        let file = folder.path().join(format!("{}.wav", cue.name()));
        if file.exists() {
            Ok(file)
        } else {
            Ok(save(cue, folder.path())?)
        }
    }

    /// Rings the bell of the terminal so many times.
    fn ring(&mut self, times: u32, hurry: &dyn Fn() -> bool) {
        let Some(bell) = &mut self.bell else { return };
        for _ in 0..times {
            if hurry() {
                return;
            }
            if bell.write_all(b"\x07").and_then(|()| bell.flush()).is_err() {
                // The terminal is gone, and with it the one who could be told.
                self.bell = None;
                return;
            }
            thread::sleep(RING);
        }
    }

    fn speak(&mut self, text: &str, hurry: &dyn Fn() -> bool) {
        while let Some(speaker) = self.speakers.front() {
            let Err(failure) = speaker.run(OsStr::new(text), LONGEST_WORDS, hurry) else {
                return;
            };
            self.speakers.pop_front();
            if self.speakers.is_empty() {
                (self.tell)(&format!("speech: {failure}; no words from now on"));
            }
        }
    }
}

/// A cue could not be played.
#[derive(Debug, thiserror::Error)]
enum SoundError {
    /// There is no player.
    #[error("there is no audio program")]
    NoPlayer,
    /// The player failed.
    #[error(transparent)]
    Player(#[from] PlayError),
    /// The file cannot be made.
    #[error(transparent)]
    File(#[from] SaveError),
    /// There is no place for files.
    #[error("cannot make a temporary folder: {0}")]
    Folder(#[from] std::io::Error),
}
