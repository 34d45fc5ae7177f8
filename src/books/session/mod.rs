//! [`Session`]: everything a live sitting needs, put together from a job, a profile and a port.

mod bookkeeping;

pub(crate) use bookkeeping::{Bookkeeping, Kept};

use std::fs::File;
use std::io::Write;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};

use crate::bench::clock::Clock;
use crate::bench::link::{self, Address, Link};
use crate::bench::live::{Live, Message};
use crate::bench::profile;
use crate::bench::recorded::{CONDITION, FITTED, PROFILE_FILE, profile_file, sitting_name};
use crate::bench::recording::{self, Header, Writer};
use crate::books::job::Folder;
use crate::books::ledger::Decision;
use crate::books::results::{Results, open_results};
use crate::engine::judge::capacitor::{Condition, Table, TableTexts};
use crate::engine::settings::{MeterBeside, Settings};
use crate::engine::sitting::{Event, FIRST_METER, FurtherMeter, Plan, PlanTexts, Sitting};

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
    /// The meters beside it.
    pub(crate) further: Vec<Further>,
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
    /// Whether the parts are those of the equipment, or new ones, whose files are the incoming ones of the job.
    pub(crate) condition: Condition,
    /// The parts that were fitted since the equipment was found, separated by commas; empty if none was.
    pub(crate) fitted: String,
}

/// Neither the command line nor the job says it.
#[derive(Debug, thiserror::Error)]
#[error("no {what}: give --{what}, or set it under [meter] in job.toml")]
pub(crate) struct NotGiven {
    what: &'static str,
}

/// A meter beside the first.
#[derive(Debug, Clone)]
pub(crate) struct Further {
    /// What it is called at the bench.
    pub(crate) name: String,
    /// Name of its profile.
    pub(crate) profile_name: String,
    /// Its text.
    profile: String,
    /// Its port.
    pub(crate) port: String,
    /// The name under which a recording keeps the profile.
    file: String,
}

impl Further {
    /// The meter of that number.
    fn of(number: u16, meter: MeterBeside) -> Result<Self> {
        Ok(Self {
            profile: profile::text(&meter.profile)?,
            name: meter.name,
            profile_name: meter.profile,
            port: meter.port,
            file: profile_file(number),
        })
    }
}

impl Order {
    /// A sitting with all parts of the job, by the job's own settings, and with the meter of the job where none is given, and with all meters beside it.
    ///
    /// # Errors
    /// If a file of the job or the profile cannot be read, or neither says which profile and port.
    pub(crate) fn of(
        folder: &Folder,
        profile: Option<String>,
        port: Option<String>,
        also: &[MeterBeside],
    ) -> Result<Self> {
        let job = folder.read_job()?;
        let Settings {
            rule,
            meter,
            meters,
            ..
        } = Settings::parse(&job)?;
        let needed = |said: Option<String>, what: &'static str| said.ok_or(NotGiven { what });
        let profile_name = needed(profile.or(meter.profile), "profile")?;
        let port = needed(port.or(meter.port), "port")?;
        let further = (1..)
            .zip(meters_beside(meters, also))
            .map(|(number, meter)| Further::of(number, meter))
            .collect::<Result<_>>()?;
        Ok(Self {
            job,
            parts: folder.read_parts()?,
            policy: folder.read_policy()?,
            tables: folder.read_tables()?,
            profile: profile::text(&profile_name)?,
            profile_name,
            port,
            further,
            temperature: String::new(),
            condition: Condition::default(),
            fitted: fitted(folder),
            only: String::new(),
            rule: rule.name().to_owned(),
        })
    }

    /// The plan that follows.
    pub(crate) fn plan(&self) -> Result<Plan> {
        let further: Vec<_> = self
            .further
            .iter()
            .map(|meter| FurtherMeter {
                name: &meter.name,
                profile: &meter.profile,
                profile_name: &meter.profile_name,
            })
            .collect();
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
            condition: self.condition,
            fitted: &self.fitted,
            further: &further,
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
                name: FIRST_METER,
                profile: &self.profile_name,
                port: &self.port,
            },
        ];
        if self.condition != Condition::default() {
            setup.push(Setting {
                key: CONDITION,
                value: self.condition.name(),
            });
        }
        if !self.fitted.is_empty() {
            setup.push(Setting {
                key: FITTED,
                value: &self.fitted,
            });
        }
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
        for (number, meter) in (1..).zip(&self.further) {
            setup.push(File {
                name: &meter.file,
                content: meter.profile.as_bytes(),
            });
            setup.push(Meter {
                number,
                name: &meter.name,
                profile: &meter.profile_name,
                port: &meter.port,
            });
        }
        setup
    }

    /// The results and the folder of the recordings that its sitting writes to.
    pub(crate) fn places(&self, folder: &Folder) -> (PathBuf, PathBuf) {
        match self.condition {
            Condition::InService => (folder.results(), folder.sittings()),
            Condition::New => (folder.incoming(), folder.incoming_recordings()),
        }
    }

    /// Each meter's port, in the order of their numbers.
    fn ports(&self) -> impl Iterator<Item = &str> {
        let further = self.further.iter().map(|meter| meter.port.as_str());
        std::iter::once(self.port.as_str()).chain(further)
    }

    /// Every meter for people: its profile and its port, and the names of those beside the first.
    pub(crate) fn meters(&self) -> String {
        let first = format!("{} on {}", self.profile_name, self.port);
        let further = self.further.iter().map(|meter| {
            let (name, profile, port) = (&meter.name, &meter.profile_name, &meter.port);
            format!("{name}: {profile} on {port}")
        });
        let all: Vec<_> = std::iter::once(first).chain(further).collect();
        all.join("; ")
    }

    /// Each table of limits with its text.
    fn tables(&self) -> impl Iterator<Item = (Table, &str)> {
        Table::ALL
            .into_iter()
            .zip(self.tables.iter().map(String::as_str))
    }
}

/// The parts that were fitted by the decisions of the job, separated by commas. Decisions that cannot be read are told when the
/// sitting begins, which goes on without them.
fn fitted(folder: &Folder) -> String {
    let decisions = folder.read_decisions().unwrap_or_default();
    let decisions = Decision::read_all(&decisions).unwrap_or_default();
    let mut fitted = Decision::fitted(&decisions);
    // Such a name would be a pattern for others.
    fitted.retain(|designator| !designator.contains([',', '*', '?']));
    fitted.join(",")
}

/// A sitting, open and recording, and the channel it listens to.
pub(crate) struct Session {
    order: Order,
    plan: Plan,
    clock: Clock,
    links: Vec<Link>,
    writer: Writer<File>,
    rows: Results<Box<dyn Write>>,
    messages: Receiver<Message>,
    /// Where a sitting takes its commands from.
    pub(crate) sender: Sender<Message>,
    /// The recording.
    pub(crate) recording: PathBuf,
    remark: fn(&str),
}

impl Session {
    /// Opens port, recording and results.
    ///
    /// # Errors
    /// If the order makes no plan, or one of the three cannot be opened.
    pub(crate) fn open(
        order: Order,
        folder: &Folder,
        clock: Clock,
        remark: fn(&str),
    ) -> Result<Self> {
        let plan = order.plan()?;
        let (sender, messages) = channel();
        let links = open_links(&order, &plan, &sender)?;
        let (results, sittings) = order.places(folder);
        let opened = open_results(&results)
            .with_context(|| format!("cannot open `{}`", results.display()))?;
        if opened.cut > 0 {
            let name = results.file_name().unwrap_or_default().display();
            remark(&format!(
                "the last row of {name} was torn and is cut off; `probewright replay` gives it back from its recording",
            ));
        }
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
        let plan = plan.of_sitting(&name, clock.begun());
        let file: Box<dyn Write> = Box::new(opened.file);
        let rows = Results::new(file, clock.begun(), &name, opened.needs_header)
            .context("cannot write the results")?;
        Ok(Self {
            order,
            plan,
            clock,
            links,
            writer,
            rows,
            messages,
            sender,
            recording,
            remark,
        })
    }

    /// The plan.
    pub(crate) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The title of the job.
    ///
    /// # Errors
    /// If `job.toml` cannot be read; the plan would have said so.
    pub(crate) fn title(&self) -> Result<String> {
        Ok(Settings::parse(&self.order.job)?.title)
    }

    /// When it began by the wall.
    pub(crate) fn begun(&self) -> DateTime<FixedOffset> {
        self.clock.begun()
    }

    /// Runs it to its end. `hear` is told each event once its row is written.
    ///
    /// # Errors
    /// If recording or results cannot be written, and those of `hear`.
    pub(crate) fn run(self, hear: &mut dyn FnMut(&Event) -> Result<()>) -> Result<()> {
        let Self {
            plan,
            clock,
            links,
            writer,
            mut rows,
            messages,
            remark,
            ..
        } = self;
        let sitting = Sitting::begin(plan.clone());
        let mut hear = |event: &Event| {
            rows.hear(event, &plan)
                .context("cannot write the results")?;
            hear(event)
        };
        let live = Live {
            clock,
            sitting,
            writer,
            links,
            hear: &mut hear,
            failure: None,
            remark,
        };
        live.run(&messages)?;
        Ok(())
    }

    /// What the sitting was asked to do.
    pub(crate) fn order(&self) -> &Order {
        &self.order
    }
}

/// The meters of the job beside the first, and `also`: one of the same name goes in its place.
fn meters_beside(of_job: Vec<MeterBeside>, also: &[MeterBeside]) -> Vec<MeterBeside> {
    let mut meters = of_job;
    let from_job = meters.len();
    for meter in also {
        // A name that is given twice is a mistake, which the plan then tells.
        match meters[..from_job]
            .iter_mut()
            .find(|known| known.name == meter.name)
        {
            Some(known) => known.clone_from(meter),
            None => meters.push(meter.clone()),
        }
    }
    meters
}

/// Opens a link for each meter; what it tells carries the meter's number.
fn open_links(order: &Order, plan: &Plan, sender: &Sender<Message>) -> Result<Vec<Link>> {
    let mut links = Vec::new();
    for ((number, port), meter) in (0..).zip(order.ports()).zip(plan.meters()) {
        let address: Address = port.parse()?;
        let settings = link::LineSettings::of(meter.profile().line());
        let to_loop = sender.clone();
        let link = link::open(&address, settings, meter.name(), move |message| {
            // The loop may have ended already; then nobody is interested.
            let _ = to_loop.send(Message::Link(number, message));
        })?;
        links.push(link);
    }
    Ok(links)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_given_beside_the_job_goes_before_it() {
        let meter = |name: &str, port: &str| MeterBeside {
            name: name.to_owned(),
            profile: "x".to_owned(),
            port: port.to_owned(),
        };
        let of_job = vec![meter("a", "1"), meter("b", "2")];
        let meters = meters_beside(of_job, &[meter("b", "3"), meter("c", "4")]);
        let ports: Vec<_> = meters.iter().map(|meter| meter.port.as_str()).collect();
        assert_eq!(ports, ["1", "3", "4"]);
    }
}
