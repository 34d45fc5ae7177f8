//! [`Recorded`]: a recording as something to be computed again.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use chrono::{DateTime, FixedOffset};

use super::session::{PROFILE_FILE, profile_file, sitting_name};
use crate::job::Settings;
use crate::judge::capacitor::{Table, TableTexts};
use crate::parts::{self, PartsList};
use crate::quantity::Stamp;
use crate::recording::{Ending, Entry, Event, LinkState, ReadError, Reader};
use crate::sitting::{self, Command, FurtherMeter, Input, Plan, PlanTexts, Sitting};

/// A recording whose head was read: what the sitting was started with.
#[derive(Debug)]
pub(crate) struct Recorded {
    file: PathBuf,
    begun: Option<DateTime<FixedOffset>>,
    /// Version of the program that recorded it.
    program: Option<String>,
    files: HashMap<String, Vec<u8>>,
    settings: HashMap<String, String>,
    /// Name and profile of each meter beside the first, by its number.
    further: BTreeMap<u16, (String, String)>,
}

/// How the file ended.
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
            program: None,
            files: HashMap::new(),
            settings: HashMap::new(),
            further: BTreeMap::new(),
        };
        let mut reader = Reader::open(file)?;
        while let Some(entry) = reader.next_entry()? {
            if !recorded.take(&entry.event) {
                break;
            }
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

    /// The version of the program that recorded it, if it says.
    pub(crate) fn program(&self) -> Option<&str> {
        self.program.as_deref()
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
        let optional = |key: &str| self.settings.get(key).map_or("", String::as_str);
        let further = self.further()?;
        Ok(Plan::of(&PlanTexts {
            parts: self.file("parts.csv")?,
            job: self.text("job.toml")?,
            policy: self.text_if_any("policy.toml")?,
            tables: self.tables()?,
            profile: self.text(PROFILE_FILE)?,
            profile_name: self.setting("profile")?,
            only: self.setting("only")?,
            rule: self.setting("rule")?,
            temperature: optional("temperature"),
            further: &further,
        })?)
    }

    /// The whole parts list, also what the plan leaves out.
    ///
    /// # Errors
    /// As for [`plan`](Self::plan).
    pub(crate) fn list(&self) -> Result<PartsList> {
        let settings = Settings::parse(self.text("job.toml")?)?;
        Ok(parts::read(self.file("parts.csv")?, &settings.list)?)
    }

    /// Computes the sitting again. `wait` is called before each input with its time, `say` with each event.
    ///
    /// # Errors
    /// Those of `say`, a command that this version does not know, a file that cannot be read. A damaged file is no error
    /// but [`Played::UpToAFlaw`].
    pub(crate) fn play(
        &self,
        plan: Plan,
        mut wait: impl FnMut(Stamp),
        mut say: impl FnMut(&sitting::Event) -> Result<()>,
    ) -> Result<Played> {
        let mut reader = Reader::read_ahead(&self.file)?;
        let mut sitting = Sitting::begin(plan);
        loop {
            match reader.next_entry() {
                Ok(Some(entry)) => {
                    wait(entry.at);
                    feed(&mut sitting, &entry, &mut say)?;
                }
                Ok(None) => return Ok(Played::ToTheEnd(reader.ending().cloned())),
                Err(flaw) => return Ok(Played::UpToAFlaw(flaw)),
            }
        }
    }

    /// Whether the entry belongs to the head, which then holds it.
    fn take(&mut self, event: &Event<'_>) -> bool {
        match *event {
            Event::Program { version, .. } => self.program = Some(version.to_owned()),
            Event::Meter { number: 0, .. } => {}
            Event::Meter {
                number,
                name,
                profile,
                ..
            } => {
                let meter = (name.to_owned(), profile.to_owned());
                self.further.insert(number, meter);
            }
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
        let found = self.files.get(name).map(Vec::as_slice);
        found.ok_or_else(|| anyhow!("the recording does not hold `{name}`"))
    }

    fn text(&self, name: &str) -> Result<&str> {
        std::str::from_utf8(self.file(name)?)
            .with_context(|| format!("the recorded `{name}` is not UTF-8"))
    }

    /// The text of a file that need not be there; empty if it is not.
    fn text_if_any(&self, name: &str) -> Result<&str> {
        if self.files.contains_key(name) {
            self.text(name)
        } else {
            Ok("")
        }
    }

    /// The meters beside the first. Their numbers follow each other, since an input names its meter by it.
    fn further(&self) -> Result<Vec<FurtherMeter<'_>>> {
        let numbered = (1..).zip(&self.further);
        numbered
            .map(|(expected, (number, (name, profile_name)))| {
                if expected != *number {
                    return Err(anyhow!("the recording does not hold the meter {expected}"));
                }
                Ok(FurtherMeter {
                    name,
                    profile_name,
                    profile: self.text(&profile_file(*number))?,
                })
            })
            .collect()
    }

    fn tables(&self) -> Result<TableTexts<'_>> {
        let mut texts = TableTexts::default();
        for table in Table::ALL {
            texts = texts.with(table, self.text_if_any(table.file_name())?);
        }
        Ok(texts)
    }

    fn setting(&self, key: &str) -> Result<&str> {
        let found = self.settings.get(key).map(String::as_str);
        found.ok_or_else(|| anyhow!("the recording does not hold the setting `{key}`"))
    }
}

/// Hands an entry to the engine; entries of the head and what was sent are nothing to it.
fn feed(
    sitting: &mut Sitting,
    entry: &Entry<'_>,
    say: &mut impl FnMut(&sitting::Event) -> Result<()>,
) -> Result<()> {
    let command;
    let meter = match entry.event {
        Event::In { meter, .. } | Event::Link { meter, .. } => meter,
        _ => 0,
    };
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
    let mut said = Ok(());
    sitting.handle_from(meter.into(), entry.at, input, &mut |event| {
        if said.is_ok() {
            said = say(&event);
        }
    });
    // A replay sends nothing, but the engine must be rid of what it would send.
    while sitting.transmit_to().is_some() {}
    said
}

/// What is wrong with the end of a recording; `None` for a sealed one.
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
