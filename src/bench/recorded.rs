//! [`Recorded`]: a recording as something to be computed again.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use chrono::{DateTime, FixedOffset};

use crate::bench::recording::{Ending, Entry, Event, LinkState, ReadError, Reader};
use crate::engine::judge::capacitor::{Condition, Table, TableTexts};
use crate::engine::parts::{self, PartsList};
use crate::engine::settings::Settings;
use crate::engine::sitting::{self, Command, FurtherMeter, Input, Plan, PlanTexts, Sitting};

/// The setting by which a recording says that its parts are new; without it they are those of the equipment.
pub(crate) const CONDITION: &str = "condition";

/// The setting of a recording that names the parts that were fitted before it began; a recording without it knows of none.
pub(crate) const FITTED: &str = "fitted";

/// The name under which a recording keeps the profile of the first meter.
pub(crate) const PROFILE_FILE: &str = "profile.toml";

/// The name under which a recording keeps the profile of a meter beside the first.
pub(crate) fn profile_file(number: u16) -> String {
    format!("profile-{number}.toml")
}

/// The name of a sitting: that of its recording, without the ending.
pub(crate) fn sitting_name(recording: &Path) -> String {
    recording
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// A recording whose head was read: what the sitting was started with.
#[derive(Debug)]
pub(crate) struct Recorded {
    file: PathBuf,
    begun: Option<DateTime<FixedOffset>>,
    files: HashMap<String, Vec<u8>>,
    settings: HashMap<String, String>,
    /// Name and profile of each meter beside the first, by its number.
    further: BTreeMap<u16, (String, String)>,
    /// Name and version of the program that recorded.
    program: Option<(String, String)>,
}

/// What a sitting is to be computed by instead of what its recording holds; nothing: by the recording alone.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Instead<'a> {
    /// Bytes of the parts list.
    pub(crate) parts: Option<&'a [u8]>,
    /// Text of `job.toml`.
    pub(crate) job: Option<&'a str>,
    /// Text of the policy; empty for the one that comes with the program.
    pub(crate) policy: Option<&'a str>,
    /// Texts of the tables of limits.
    pub(crate) tables: Option<TableTexts<'a>>,
    /// Text of the profile of the first meter.
    pub(crate) profile: Option<&'a str>,
    /// Name of the decision rule.
    pub(crate) rule: Option<&'a str>,
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
            files: HashMap::new(),
            settings: HashMap::new(),
            further: BTreeMap::new(),
            program: None,
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

    /// The name of the sitting.
    pub(crate) fn name(&self) -> String {
        sitting_name(&self.file)
    }

    /// The plan of the sitting.
    ///
    /// # Errors
    /// If the head lacks something, or holds what this version cannot read.
    pub(crate) fn plan(&self) -> Result<Plan> {
        self.plan_by(Instead::default())
    }

    /// The plan of the sitting as it would be by other texts.
    ///
    /// # Errors
    /// As for [`plan`](Self::plan), and if one of those texts cannot be used.
    pub(crate) fn plan_by(&self, instead: Instead<'_>) -> Result<Plan> {
        let optional = |key: &str| self.settings.get(key).map_or("", String::as_str);
        let further = self.further()?;
        let plan = Plan::of(&PlanTexts {
            parts: instead.parts.map_or_else(|| self.file("parts.csv"), Ok)?,
            job: instead.job.map_or_else(|| self.text("job.toml"), Ok)?,
            policy: instead
                .policy
                .map_or_else(|| self.text_if_any("policy.toml"), Ok)?,
            tables: instead.tables.map_or_else(|| self.tables(), Ok)?,
            profile: instead
                .profile
                .map_or_else(|| self.text(PROFILE_FILE), Ok)?,
            profile_name: self.setting("profile")?,
            only: self.setting("only")?,
            rule: instead.rule.map_or_else(|| self.setting("rule"), Ok)?,
            temperature: optional("temperature"),
            condition: self.condition()?,
            fitted: optional(FITTED),
            further: &further,
        })?;
        Ok(plan.of_sitting(&self.name(), self.begun.unwrap_or_default()))
    }

    /// Name and version of the program that recorded, as the recording says.
    pub(crate) fn program(&self) -> Option<(&str, &str)> {
        let (name, version) = self.program.as_ref()?;
        Some((name, version))
    }

    /// The bytes of a file that it keeps.
    pub(crate) fn kept(&self, name: &str) -> Option<&[u8]> {
        self.files.get(name).map(Vec::as_slice)
    }

    /// Each profile: the name of the file that keeps it, and the name by which it was asked for.
    pub(crate) fn profiles(&self) -> impl Iterator<Item = (String, &str)> {
        let first = self.setting("profile").ok();
        let first = first.map(|name| (PROFILE_FILE.to_owned(), name));
        let further = self
            .further
            .iter()
            .map(|(number, (_, name))| (profile_file(*number), name.as_str()));
        first.into_iter().chain(further)
    }

    /// Whether the sitting was judged by the decision rule of its own `job.toml`, none being given beside it.
    pub(crate) fn has_rule_of_its_job(&self) -> bool {
        let of_job = self.text("job.toml").ok().map(Settings::parse);
        matches!((of_job, self.setting("rule")), (Some(Ok(job)), Ok(rule)) if job.rule.name() == rule)
    }

    /// Whether new parts were measured, of which the recording has a list of its own.
    pub(crate) fn is_of_new_parts(&self) -> bool {
        matches!(self.condition(), Ok(Condition::New))
    }

    /// The whole parts list, also what the plan leaves out.
    ///
    /// # Errors
    /// As for [`plan`](Self::plan).
    pub(crate) fn list(&self) -> Result<PartsList> {
        let settings = Settings::parse(self.text("job.toml")?)?;
        Ok(parts::read(self.file("parts.csv")?, &settings.list)?)
    }

    /// Computes the sitting again. `wait` is called before each entry with it, `say` with each event.
    ///
    /// # Errors
    /// Those of `say`, a command that this version does not know, a file that cannot be read. A damaged file is no error
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
        match *event {
            Event::Program { name, version } => {
                self.program = Some((name.to_owned(), version.to_owned()));
            }
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

    /// Whether the parts are new; a recording that does not say is about those of the equipment.
    fn condition(&self) -> Result<Condition> {
        let Some(word) = self.settings.get(CONDITION) else {
            return Ok(Condition::default());
        };
        let unknown = || {
            anyhow!(
                "the recording is about parts that are `{word}`, which this version does not know"
            )
        };
        Condition::named(word).ok_or_else(unknown)
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
