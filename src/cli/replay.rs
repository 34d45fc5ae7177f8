//! `replay`: a recording is computed again, by the same engine and the same listener.

use std::collections::HashMap;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, anyhow};
use chrono::{DateTime, FixedOffset};

use super::listener::Listener;
use super::live::remark;
use super::paint::Paint;
use super::session::{PROFILE_FILE, sitting_name};
use super::status::Status;
use crate::judge::Verdict;
use crate::parts::ListSettings;
use crate::quantity::Stamp;
use crate::recording::{Ending, Entry, Event, LinkState, Reader};
use crate::sitting::{Command, Input, Plan, PlanTexts, Sitting};

/// Compute a recording again: the same lines, the same rows.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The recording.
    file: PathBuf,
    /// Write the rows of the results to this file, which must not exist.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// How fast: 1 is as it happened, 10 ten times as fast, max as fast as the machine can.
    #[arg(long, default_value = "max", value_name = "SPEED")]
    speed: Speed,
    /// End with status 3 unless every part of the plan passed.
    #[arg(long)]
    expect_pass: bool,
}

/// Bench seconds a second; `None` for no waiting at all.
#[derive(Debug, Clone, Copy)]
struct Speed(Option<f64>);

impl FromStr for Speed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.parse::<f64>() {
            _ if text == "max" => Ok(Self(None)),
            Ok(speed) if (0.01..=10_000.0).contains(&speed) => Ok(Self(Some(speed))),
            _ => Err("expected `max` or a number from 0.01 to 10000".to_owned()),
        }
    }
}

/// What the head of a recording holds.
#[derive(Debug, Default)]
struct Head {
    begun: Option<DateTime<FixedOffset>>,
    files: HashMap<String, Vec<u8>>,
    settings: HashMap<String, String>,
}

impl Head {
    /// Whether the entry belongs to the head, which is then taken in.
    fn take(&mut self, event: &Event<'_>) -> bool {
        match *event {
            Event::Program { .. } | Event::Meter { .. } => {}
            Event::Begun { wall } => self.begun = Some(wall),
            Event::File { name, content } => {
                self.files.insert(name.to_owned(), content.to_owned());
            }
            Event::Setting { key, value } => {
                self.settings.insert(key.to_owned(), value.to_owned());
            }
            _ => return false,
        }
        true
    }

    fn file(&self, name: &str) -> Result<&[u8]> {
        self.files
            .get(name)
            .map(Vec::as_slice)
            .ok_or_else(|| anyhow!("the recording does not hold `{name}`"))
    }

    fn setting(&self, key: &str) -> Result<&str> {
        self.settings
            .get(key)
            .map(String::as_str)
            .ok_or_else(|| anyhow!("the recording does not hold the setting `{key}`"))
    }

    fn plan(&self) -> Result<Plan> {
        let profile = std::str::from_utf8(self.file(PROFILE_FILE)?)
            .context("the recorded profile is not UTF-8")?;
        Ok(Plan::of(&PlanTexts {
            parts: self.file("parts.csv")?,
            list: ListSettings {
                m_is_thousand: self.setting("m_is_thousand")? == "yes",
            },
            profile,
            profile_name: self.setting("profile")?,
            only: self.setting("only")?,
            rule: self.setting("rule")?,
        })?)
    }
}

/// Holds a replay back to its speed.
struct Pace {
    speed: Speed,
    began: Instant,
}

impl Pace {
    fn wait_for(&self, at: Stamp) {
        if let Some(speed) = self.speed.0 {
            let due = Duration::from_micros(at.micros()).div_f64(speed);
            thread::sleep(due.saturating_sub(self.began.elapsed()));
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let mut reader = Reader::read_ahead(&arguments.file)?;
    let mut head = Head::default();
    let mut flaw = None;
    let mut listener = None;
    let mut sitting = None;
    let mut out = Some(out);
    let pace = Pace {
        speed: arguments.speed,
        began: Instant::now(),
    };
    loop {
        let entry = match reader.next_entry() {
            Ok(Some(entry)) => entry,
            Ok(None) => break,
            Err(error) => {
                flaw = Some(error);
                break;
            }
        };
        if sitting.is_none() {
            if head.take(&entry.event) {
                continue;
            }
            let plan = head.plan()?;
            let rows = rows(arguments, &head)?;
            let out = out
                .take()
                .ok_or_else(|| anyhow!("the recording has two heads"))?;
            listener = Some(Listener::new(plan.clone(), out, Paint::for_stdout(), rows));
            sitting = Some(Sitting::begin(plan));
        }
        let (Some(sitting), Some(listener)) = (&mut sitting, &mut listener) else {
            continue;
        };
        pace.wait_for(entry.at);
        feed(sitting, listener, &entry)?;
    }
    Ok(finish(arguments, &reader, listener, flaw))
}

/// Where the rows go.
fn rows(
    arguments: &Arguments,
    head: &Head,
) -> Result<Option<crate::report::Results<Box<dyn Write>>>> {
    let Some(path) = &arguments.csv else {
        return Ok(None);
    };
    let begun = head
        .begun
        .ok_or_else(|| anyhow!("the recording does not say when it began"))?;
    let file =
        File::create_new(path).with_context(|| format!("cannot make `{}`", path.display()))?;
    let name = sitting_name(&arguments.file);
    Ok(Some(Listener::rows(
        Box::new(BufWriter::new(file)),
        begun,
        &name,
        true,
    )?))
}

fn feed(sitting: &mut Sitting, listener: &mut Listener<'_>, entry: &Entry<'_>) -> Result<()> {
    let command;
    let input = match entry.event {
        Event::In { bytes, .. } => Input::Bytes(bytes),
        Event::Link {
            state: LinkState::Up,
            ..
        } => Input::LinkUp,
        Event::Link {
            state: LinkState::Lost,
            reason,
            ..
        } => Input::LinkLost { reason },
        Event::Command { text } => {
            command = text
                .parse::<Command>()
                .with_context(|| format!("line {} of the recording", entry.line))?;
            Input::Command(&command)
        }
        _ => return Ok(()),
    };
    sitting.handle(entry.at, input, &mut |event| listener.hear(&event));
    // A replay sends nothing, but the engine must be rid of what it would send.
    while sitting.transmit().is_some() {}
    listener.check()?;
    Ok(())
}

fn finish(
    arguments: &Arguments,
    reader: &Reader,
    listener: Option<Listener<'_>>,
    flaw: Option<crate::recording::ReadError>,
) -> Status {
    let summary = listener.and_then(|listener| listener.summary());
    if let Some(flaw) = flaw {
        remark(&format!("{flaw}"));
        return Status::CheckFailed;
    }
    if let Some(trouble) = reader
        .ending()
        .and_then(|ending| not_whole(ending, &arguments.file))
    {
        remark(&trouble);
        return Status::CheckFailed;
    }
    let passed = summary.is_some_and(|summary| summary.count(Verdict::Pass) == summary.parts);
    if arguments.expect_pass && !passed {
        Status::CheckFailed
    } else {
        Status::Done
    }
}

/// What is wrong with the end of a recording.
fn not_whole(ending: &Ending, file: &Path) -> Option<String> {
    let file = file.display();
    match ending {
        Ending::Sealed(_) => None,
        Ending::Unsealed { lines } => Some(format!(
            "`{file}` has no seal: the sitting was not ended; its {lines} lines are good"
        )),
        Ending::Torn { lines, bytes } => Some(format!(
            "`{file}` ends within a line: {bytes} bytes of it are left; the {lines} lines before it are good"
        )),
    }
}
