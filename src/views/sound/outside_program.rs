//! [`OutsideProgram`]: a program of the machine that plays or speaks.

use std::env::consts::EXE_SUFFIX;
use std::env::split_paths;
use std::ffi::{OsStr, OsString};
use std::io;
use std::path::{MAIN_SEPARATOR, Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::platform::{Started, end_with_all, is_program, start_apart};

/// The variable in which a program finds the file or the text, if what goes before names it. A shell would take words that are
/// put behind a command for a part of the command.
const VARIABLE: &str = "PROBEWRIGHT_UTTERED";

/// Programs that play a WAV file, the quickest to start first, and what goes before the file.
pub const PLAYERS: [(&str, &[&str]); 8] = [
    ("pw-play", &[]),
    ("paplay", &[]),
    ("aplay", &["-q"]),
    ("play", &["-q"]),
    ("ffplay", &["-nodisp", "-autoexit", "-loglevel", "quiet"]),
    ("mpv", &["--no-video", "--really-quiet"]),
    ("afplay", &[]),
    (
        "powershell",
        &[
            "-NoProfile",
            "-Command",
            "(New-Object Media.SoundPlayer $env:PROBEWRIGHT_UTTERED).PlaySync()",
        ],
    ),
];

/// Programs that speak a text, and what goes before the text.
pub const SPEAKERS: [(&str, &[&str]); 6] = [
    ("espeak-ng", &["-v", "en"]),
    ("espeak", &["-v", "en"]),
    ("spd-say", &["--wait", "--language", "en"]),
    ("flite", &["-t"]),
    ("say", &["--"]),
    (
        "powershell",
        &[
            "-NoProfile",
            "-Command",
            "Add-Type -AssemblyName System.Speech; (New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak($env:PROBEWRIGHT_UTTERED)",
        ],
    ),
];

/// Interval at which a program at work is looked at.
const LOOK: Duration = Duration::from_millis(5);

/// A program of the machine, found, with what goes before the file or the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutsideProgram {
    path: PathBuf,
    arguments: Vec<OsString>,
}

/// There is no such program.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found no program `{written}`, expected the name of one on PATH or its path")]
pub struct NoSuchProgram {
    /// Name that was given.
    pub written: String,
}

/// A program did not do its work.
#[derive(Debug, thiserror::Error)]
pub enum PlayError {
    /// Cannot be started.
    #[error("cannot start `{}`: {source}", program.display())]
    Start {
        program: PathBuf,
        /// Answer of the system.
        source: io::Error,
    },
    /// Ended with a failure.
    #[error("`{}` failed ({status})", program.display())]
    Failed {
        program: PathBuf,
        /// Its ending.
        status: ExitStatus,
    },
    /// Did not come to an end, and was ended.
    #[error("`{}` was not done after {seconds} s", program.display())]
    TooLong {
        program: PathBuf,
        /// Time that was waited for it, s.
        seconds: u64,
    },
}

impl OutsideProgram {
    /// Programs of `known` that the folders of `path` (in the form of the variable PATH) hold, in the order of `known`.
    pub fn all_on(path: &OsStr, known: &[(&str, &[&str])]) -> Vec<Self> {
        known
            .iter()
            .filter_map(|(name, arguments)| {
                Some(Self {
                    path: find(name, path)?,
                    arguments: arguments.iter().map(OsString::from).collect(),
                })
            })
            .collect()
    }

    /// The program that a person wrote: its name on `path` or its own path, and behind it, separated by blanks, what goes
    /// before the file or the text.
    ///
    /// # Errors
    /// If there is no such program.
    pub fn written(text: &str, path: &OsStr) -> Result<Self, NoSuchProgram> {
        let mut words = text.split_whitespace();
        let name = words.next().unwrap_or_default();
        let found = if name.contains(['/', MAIN_SEPARATOR]) {
            Some(PathBuf::from(name)).filter(|file| is_program(file))
        } else {
            find(name, path)
        };
        Ok(Self {
            path: found.ok_or_else(|| NoSuchProgram {
                written: name.to_owned(),
            })?,
            arguments: words.map(OsString::from).collect(),
        })
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Runs it on a file or a text and waits for its end, at most as long as `limit` and as `hurry` says no; then it is ended,
    /// with all that it started.
    ///
    /// # Errors
    /// If it cannot be started, fails, or takes longer than `limit`. Being hurried is no failure.
    pub fn run(
        &self,
        what: &OsStr,
        limit: Duration,
        hurry: &dyn Fn() -> bool,
    ) -> Result<(), PlayError> {
        let program = || self.path.clone();
        let start = |source| PlayError::Start {
            program: program(),
            source,
        };
        let mut child = self.start(what).map_err(start)?;
        let began = Instant::now();
        loop {
            if let Some(status) = child.try_wait().map_err(start)? {
                let failed = || PlayError::Failed {
                    program: program(),
                    status,
                };
                return status.success().then_some(()).ok_or_else(failed);
            }
            if hurry() {
                end_with_all(&mut child);
                return Ok(());
            }
            if began.elapsed() >= limit {
                end_with_all(&mut child);
                return Err(PlayError::TooLong {
                    program: program(),
                    seconds: limit.as_secs(),
                });
            }
            thread::sleep(LOOK);
        }
    }

    /// Apart: a Ctrl-C at the terminal is meant for the sitting, and whatever it starts can be ended with it.
    fn start(&self, what: &OsStr) -> io::Result<Started> {
        let mut command = Command::new(&self.path);
        command
            .args(&self.arguments)
            .env(VARIABLE, what)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        let names_it = |argument: &OsString| argument.to_string_lossy().contains(VARIABLE);
        if !self.arguments.iter().any(names_it) {
            command.arg(what);
        }
        start_apart(command)
    }
}

fn find(name: &str, path: &OsStr) -> Option<PathBuf> {
    if name.is_empty() {
        return None;
    }
    split_paths(path)
        .filter(|folder| folder.is_absolute())
        .map(|folder| folder.join(format!("{name}{EXE_SUFFIX}")))
        .find(|file| is_program(file))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    fn sh(script: &str) -> OutsideProgram {
        let mut shell = OutsideProgram::written("sh -c", OsStr::new("/bin:/usr/bin")).unwrap();
        shell.arguments.push(script.into());
        shell
    }

    const LONG: Duration = Duration::from_secs(60);

    #[test]
    fn programs_are_found_on_the_path_in_the_order_of_the_list() {
        let known: [(&str, &[&str]); 3] = [("no-such-thing", &[]), ("sh", &["-c"]), ("ls", &[])];
        let found = OutsideProgram::all_on(OsStr::new("relative:/bin:/usr/bin"), &known);
        let names: Vec<_> = found
            .iter()
            .map(|program| program.path.file_name().unwrap())
            .collect();
        assert_eq!(names, ["sh", "ls"]);
        assert_eq!(OutsideProgram::all_on(OsStr::new(""), &known), []);
    }

    #[test]
    fn what_is_written_but_not_there_is_named() {
        for text in ["no-such-thing -q", "/no/such/thing", "", "/etc/passwd"] {
            let name = text.split(' ').next().unwrap();
            let refused = OutsideProgram::written(text, OsStr::new("/bin")).unwrap_err();
            assert_eq!(refused.written, name);
        }
    }

    #[test]
    fn what_is_uttered_goes_by_a_variable_where_that_is_named() {
        let test = |script| sh(script).run(OsStr::new("R1; exit 1"), LONG, &|| false);
        test("test \"$PROBEWRIGHT_UTTERED\" = 'R1; exit 1' && test $# = 0").unwrap();
        test("test \"$0\" = 'R1; exit 1'").unwrap();
    }

    #[test]
    fn failures_say_which_program_and_how() {
        let failed = sh("exit 3").run(OsStr::new("x"), LONG, &|| false);
        assert!(
            failed
                .unwrap_err()
                .to_string()
                .ends_with("sh` failed (exit status: 3)")
        );
        let slow = sh("sleep 60").run(OsStr::new("x"), Duration::from_millis(20), &|| false);
        assert!(matches!(slow, Err(PlayError::TooLong { .. })), "{slow:?}");
    }

    #[test]
    fn a_hurried_program_is_ended_with_all_that_it_started() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pid");
        let script = format!("sleep 60 & echo $! > {}; wait", file.display());
        let pid = || {
            let text = fs::read_to_string(&file).unwrap_or_default();
            text.ends_with('\n').then(|| text.trim().to_owned())
        };
        let began = Instant::now();
        sh(&script)
            .run(OsStr::new("x"), LONG, &|| pid().is_some())
            .unwrap();
        assert!(began.elapsed() < LONG);
        let process = Path::new("/proc").join(pid().unwrap()).join("cmdline");
        // An ended process that nobody reaped yet has an empty command line.
        while !fs::read(&process).unwrap_or_default().is_empty() {
            assert!(began.elapsed() < LONG, "the inner program lives on");
            thread::yield_now();
        }
    }
}
