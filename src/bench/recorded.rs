//! [`Recorded`]: a recording as something to be computed again; and [`hand_in`], the one way in for live work and replay.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use chrono::{DateTime, FixedOffset};

use super::recording::{Ending, Entry, Event, LinkState, ReadError, Reader, Version};
use crate::engine::quantity::Stamp;
use crate::engine::settings::BenchMeter;
use crate::engine::sitting::{self, Command, Input, Plan, Setup, Sitting, UnknownCommand};

/// The name of a sitting: that of its recording, without the ending.
pub(crate) fn sitting_name(recording: &Path) -> String {
    recording
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// A recording whose head was read.
#[derive(Debug)]
pub(crate) struct Recorded {
    file: PathBuf,
    begun: Option<DateTime<FixedOffset>>,
    /// Set-up of the sitting.
    pub(crate) setup: Setup,
    /// Name and version of the program that recorded.
    program: Option<(String, String)>,
}

/// The ending of the file.
#[derive(Debug)]
pub(crate) enum Played {
    /// At its end, of whichever kind.
    ToTheEnd(Option<Ending>),
    /// At a line that is not as it was written; what stood before it was computed.
    UpToAFlaw(ReadError),
}

impl Recorded {
    /// Reads the head.
    ///
    /// # Errors
    /// If the file is no recording, or damaged in its head.
    pub(crate) fn open(file: &Path) -> Result<Self> {
        let mut recorded = Self {
            file: file.to_owned(),
            begun: None,
            setup: Setup::default(),
            program: None,
        };
        let mut reader = Reader::open(file)?;
        while let Some(entry) = reader.next_entry()? {
            if !recorded.take(&entry.event) {
                break;
            }
        }
        let edition = reader.version();
        if edition < Version::BY_TOUCH {
            let setup = std::mem::take(&mut recorded.setup);
            recorded.setup = setup.with_setting(Setup::EDITION, &edition.to_string());
        }
        Ok(recorded)
    }

    /// The wall clock at time 0.
    ///
    /// # Errors
    /// If the recording does not say.
    pub(crate) fn begun(&self) -> Result<DateTime<FixedOffset>> {
        self.begun
            .ok_or_else(|| anyhow!("the recording does not say when it began"))
    }

    /// The name of the sitting.
    pub(crate) fn name(&self) -> String {
        sitting_name(&self.file)
    }

    /// The plan of the sitting.
    ///
    /// # Errors
    /// If the head lacks something, or holds what this version cannot read.
    pub(crate) fn plan(&self) -> Result<Plan> {
        self.plan_by(&self.setup)
    }

    /// The plan of the sitting as it would be by another set-up.
    ///
    /// # Errors
    /// If that lacks something, or holds what this version cannot read.
    pub(crate) fn plan_by(&self, setup: &Setup) -> Result<Plan> {
        let plan = Plan::of(setup)?;
        Ok(plan.of_sitting(&self.name(), self.begun.unwrap_or_default()))
    }

    /// Name and version of the program that recorded, as the recording says.
    pub(crate) fn program(&self) -> Option<(&str, &str)> {
        let (name, version) = self.program.as_ref()?;
        Some((name, version))
    }

    /// Computes the sitting again. `wait` is called before each entry with it, `say` with each event.
    ///
    /// # Errors
    /// Faults of `say`, a command that this version does not know, a file that cannot be read. A damaged file is no error
    /// but [`Played::UpToAFlaw`].
    pub(crate) fn play(
        &self,
        plan: Plan,
        mut wait: impl FnMut(&Entry<'_>),
        mut say: impl FnMut(&sitting::Event) -> Result<()>,
    ) -> Result<Played> {
        let mut reader = Reader::read_ahead(&self.file)?;
        let mut sitting = Sitting::begin(plan);
        loop {
            match reader.next_entry() {
                Ok(Some(entry)) => {
                    wait(&entry);
                    feed(&mut sitting, &entry, &mut say)?;
                }
                Ok(None) => return Ok(Played::ToTheEnd(reader.ending().cloned())),
                Err(flaw) => return Ok(Played::UpToAFlaw(flaw)),
            }
        }
    }

    /// Whether the entry belongs to the head, which then holds it.
    fn take(&mut self, event: &Event<'_>) -> bool {
        let setup = std::mem::take(&mut self.setup);
        self.setup = match *event {
            Event::File { name, content } => setup.with_file(name, content),
            Event::Setting { key, value } => setup.with_setting(key, value),
            Event::Meter {
                number,
                name,
                profile,
                port,
            } => setup.numbered(
                number,
                BenchMeter {
                    name: name.to_owned(),
                    profile: profile.to_owned(),
                    port: port.to_owned(),
                },
            ),
            Event::Program { name, version } => {
                self.program = Some((name.to_owned(), version.to_owned()));
                setup
            }
            Event::Begun { wall } => {
                self.begun = Some(wall);
                setup
            }
            _ => {
                self.setup = setup;
                return false;
            }
        };
        true
    }
}

/// A set-up as a recording keeps it.
pub(crate) fn head(setup: &Setup) -> Vec<Event<'_>> {
    let files = setup
        .files()
        .map(|(name, content)| Event::File { name, content });
    let settings = setup
        .settings()
        .map(|(key, value)| Event::Setting { key, value });
    let meters = setup.meters().map(|(number, meter)| Event::Meter {
        number,
        name: &meter.name,
        profile: &meter.profile,
        port: &meter.port,
    });
    files.chain(settings).chain(meters).collect()
}

/// Hands an entry to the engine, and throws away what it would send.
fn feed(
    sitting: &mut Sitting,
    entry: &Entry<'_>,
    say: &mut impl FnMut(&sitting::Event) -> Result<()>,
) -> Result<()> {
    let mut said = Ok(());
    hand_in(sitting, entry.at, &entry.event, &mut |event| {
        if said.is_ok() {
            said = say(&event);
        }
    })
    .with_context(|| format!("line {} of the recording", entry.line))?;
    while sitting.transmit_to().is_some() {}
    said
}

/// Fault at the end of a recording; `None` for a sealed one.
pub(crate) fn not_whole(ending: Option<&Ending>, file: &Path) -> Option<String> {
    let file = file.display();
    match ending? {
        Ending::Sealed(_) => None,
        Ending::Unsealed { lines } => Some(format!(
            "`{file}` has no seal: the sitting was not ended; its {lines} lines are good"
        )),
        Ending::Torn { lines, bytes } => Some(format!(
            "`{file}` ends within a line: {bytes} bytes of it are left; the {lines} lines before it are good"
        )),
    }
}

/// Hands to the engine what a recording tells; what belongs to its head and what was sent are nothing to it.
///
/// # Errors
/// If it is a command that this version does not know; the engine then gets nothing.
pub(crate) fn hand_in(
    sitting: &mut Sitting,
    at: Stamp,
    event: &Event<'_>,
    say: &mut impl FnMut(sitting::Event),
) -> Result<(), UnknownCommand> {
    let command: Command;
    let (meter, input) = match *event {
        Event::In { meter, bytes } => (meter, Input::Bytes(bytes)),
        Event::Missed { meter, bytes } => (meter, Input::Missed(bytes)),
        Event::Link {
            meter,
            state: LinkState::Up,
            ..
        } => (meter, Input::LinkUp),
        Event::Link {
            meter,
            state: LinkState::Lost,
            reason,
        } => (meter, Input::LinkLost { reason }),
        Event::Command { text } => {
            command = text.parse()?;
            (0, Input::Command(&command))
        }
        Event::Decision { written, reason } => {
            let outcome = if written { Ok(()) } else { Err(reason) };
            (0, Input::Written(outcome))
        }
        Event::Out { .. }
        | Event::Program { .. }
        | Event::Begun { .. }
        | Event::File { .. }
        | Event::Setting { .. }
        | Event::Meter { .. } => return Ok(()),
    };
    sitting.handle_from(meter.into(), at, input, say);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_head_reads_back_as_it_was_written() {
        let other = BenchMeter {
            name: "bridge".to_owned(),
            profile: "own".to_owned(),
            port: "tcp:localhost:5025".to_owned(),
        };
        let setup = Setup::of("ref,kind\n", "scpi-multimeter", "one")
            .with_meter(other, "two")
            .with_setting(Setup::RULE, "simple");
        let mut recorded = Recorded {
            file: PathBuf::new(),
            begun: None,
            setup: Setup::default(),
            program: None,
        };
        for event in head(&setup) {
            assert!(recorded.take(&event), "{event:?}");
        }
        assert_eq!(recorded.setup, setup);
        assert!(!recorded.take(&Event::Command { text: "end" }));
        assert_eq!(recorded.setup, setup);
    }
}
