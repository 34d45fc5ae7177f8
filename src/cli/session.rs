//! [`Session`]: everything a live sitting needs, put together from a job, a profile and a port.

use std::fs::File;
use std::io::Write;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result};

use super::clock::Clock;
use super::listener::Listener;
use super::live::{Live, Message};
use super::paint::Paint;
use super::profile;
use super::remark::remark;
use super::status::BadInput;
use crate::feed::{Feed, Item};
use crate::job::{Folder, Settings};
use crate::judge::capacitor::{Table, TableTexts};
use crate::link::{self, Address, Link};
use crate::recording::{self, Header, Writer};
use crate::report::{Results, open_results};
use crate::sitting::{Event, Plan, PlanTexts, Sitting};

/// The texts and settings of a sitting, owned.
#[derive(Debug, Clone)]
pub(crate) struct Order {
    /// Text of `job.toml`.
    pub(crate) job: String,
    /// Bytes of `parts.csv`.
    pub(crate) parts: Vec<u8>,
    /// Name of the profile.
    pub(crate) profile_name: String,
    /// Its text.
    pub(crate) profile: String,
    /// Port of the meter.
    pub(crate) port: String,
    /// Which parts; empty for all.
    pub(crate) only: String,
    /// Name of the decision rule.
    pub(crate) rule: String,
    /// Text of `policy.toml`; empty where the job has none.
    pub(crate) policy: String,
    /// Texts of the job's own tables of limits; empty where it has none.
    pub(crate) tables: [String; Table::ALL.len()],
    /// Temperature at the bench, °C; empty for the one in `job.toml`.
    pub(crate) temperature: String,
}

impl Order {
    /// A sitting with all parts of the job, by the job's own settings, and with the meter of the job where none is given.
    ///
    /// # Errors
    /// If a file of the job or the profile cannot be read, or neither says which profile and port.
    pub(crate) fn of(
        folder: &Folder,
        profile: Option<String>,
        port: Option<String>,
    ) -> Result<Self> {
        let job = folder.read_job()?;
        let Settings { rule, meter, .. } = Settings::parse(&job)?;
        let needed = |said: Option<String>, what: &str| {
            let nobody = || {
                BadInput(format!(
                    "no {what}: give --{what}, or set it under [meter] in job.toml"
                ))
            };
            said.ok_or_else(nobody)
        };
        let profile_name = needed(profile.or(meter.profile), "profile")?;
        let port = needed(port.or(meter.port), "port")?;
        Ok(Self {
            job,
            parts: folder.read_parts()?,
            policy: folder.read_policy()?,
            tables: folder.read_tables()?,
            profile: profile::text(&profile_name)?,
            profile_name,
            port,
            temperature: String::new(),
            only: String::new(),
            rule: rule.name().to_owned(),
        })
    }

    /// The plan that follows.
    pub(crate) fn plan(&self) -> Result<Plan> {
        let texts = PlanTexts {
            parts: &self.parts,
            job: &self.job,
            profile: &self.profile,
            profile_name: &self.profile_name,
            only: &self.only,
            rule: &self.rule,
            policy: &self.policy,
            tables: self
                .tables()
                .fold(TableTexts::default(), |texts, (table, text)| {
                    texts.with(table, text)
                }),
            temperature: &self.temperature,
        };
        Ok(Plan::of(&texts)?)
    }

    /// The head of the recording: all that a replay needs.
    fn setup(&self) -> Vec<recording::Event<'_>> {
        use recording::Event::{File, Meter, Setting};
        let mut setup = vec![
            File {
                name: "job.toml",
                content: self.job.as_bytes(),
            },
            File {
                name: "parts.csv",
                content: &self.parts,
            },
            File {
                name: PROFILE_FILE,
                content: self.profile.as_bytes(),
            },
            Setting {
                key: "temperature",
                value: &self.temperature,
            },
            Setting {
                key: "only",
                value: &self.only,
            },
            Setting {
                key: "rule",
                value: &self.rule,
            },
            Setting {
                key: "profile",
                value: &self.profile_name,
            },
            Meter {
                number: 0,
                name: "meter",
                profile: &self.profile_name,
                port: &self.port,
            },
        ];
        if !self.policy.is_empty() {
            setup.push(File {
                name: "policy.toml",
                content: self.policy.as_bytes(),
            });
        }
        let own = self.tables().filter(|(_, text)| !text.is_empty());
        setup.extend(own.map(|(table, text)| File {
            name: table.file_name(),
            content: text.as_bytes(),
        }));
        setup
    }

    /// Each table of limits with its text.
    fn tables(&self) -> impl Iterator<Item = (Table, &str)> {
        Table::ALL
            .into_iter()
            .zip(self.tables.iter().map(String::as_str))
    }
}

/// The name under which a recording keeps the profile.
pub(crate) const PROFILE_FILE: &str = "profile.toml";

/// A sitting, open and recording, and the channel it listens to.
pub(crate) struct Session {
    order: Order,
    plan: Plan,
    clock: Clock,
    link: Link,
    writer: Writer<File>,
    rows: Results<Box<dyn Write>>,
    messages: Receiver<Message>,
    /// Where a sitting takes its commands from.
    pub(crate) sender: Sender<Message>,
    /// The recording.
    pub(crate) recording: PathBuf,
}

impl Session {
    /// Opens port, recording and results.
    ///
    /// # Errors
    /// If the order makes no plan, or one of the three cannot be opened.
    pub(crate) fn open(order: Order, folder: &Folder, clock: Clock) -> Result<Self> {
        let plan = order.plan()?;
        let address: Address = order.port.parse()?;
        let (sender, messages) = channel();
        let to_loop = sender.clone();
        let link = link::open(&address, line_settings(&plan), "meter", move |message| {
            // The loop may have ended already; then nobody is interested.
            let _ = to_loop.send(Message::Link(message));
        })?;
        let opened = open_results(&folder.results())
            .with_context(|| format!("cannot open `{}`", folder.results().display()))?;
        if opened.cut > 0 {
            remark(
                "the last row of results.csv was torn and is cut off; `probewright replay` gives it back from its recording",
            );
        }
        let sittings = folder.sittings();
        std::fs::create_dir_all(&sittings)
            .with_context(|| format!("cannot make `{}`", sittings.display()))?;
        let header = Header {
            program: env!("CARGO_PKG_NAME"),
            version: env!("CARGO_PKG_VERSION"),
            begun: clock.begun(),
            setup: &order.setup(),
        };
        let writer = Writer::create_in(&sittings, &header)?;
        let recording = writer.file().to_owned();
        let name = sitting_name(&recording);
        let file: Box<dyn Write> = Box::new(opened.file);
        let rows = Results::new(file, clock.begun(), &name, opened.needs_header)
            .context("cannot write the results")?;
        Ok(Self {
            order,
            plan,
            clock,
            link,
            writer,
            rows,
            messages,
            sender,
            recording,
        })
    }

    /// The plan.
    pub(crate) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What views are told of it: the translator of its events, and its first item.
    ///
    /// # Errors
    /// If `job.toml` cannot be read; the plan would have said so.
    pub(crate) fn feed(&self) -> Result<(Feed, Item)> {
        let title = Settings::parse(&self.order.job)?.title;
        Ok(Feed::begin(&self.plan, &title, self.clock.begun()))
    }

    /// Runs it to its end.
    ///
    /// # Errors
    /// If recording or results cannot be written.
    pub(crate) fn run(
        self,
        out: &mut dyn Write,
        watcher: Box<dyn FnMut(&Event) + '_>,
    ) -> Result<()> {
        let Self {
            plan,
            clock,
            link,
            writer,
            rows,
            messages,
            ..
        } = self;
        let listener = Listener::new(plan.clone(), out, Paint::for_stdout(), Some(rows));
        let live = Live {
            clock,
            sitting: Sitting::begin(plan),
            writer,
            link,
            listener,
            watcher,
        };
        live.run(&messages)?;
        Ok(())
    }

    /// What the sitting was asked to do.
    pub(crate) fn order(&self) -> &Order {
        &self.order
    }
}

/// The name of a sitting: that of its recording, without the ending.
pub(crate) fn sitting_name(recording: &std::path::Path) -> String {
    recording
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

fn line_settings(plan: &Plan) -> link::LineSettings {
    link::LineSettings::of(plan.profile().line())
}
