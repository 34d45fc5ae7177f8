//! [`Session`]: everything a live sitting needs, put together from a job, a profile and a port.

mod bookkeeping;

pub(crate) use bookkeeping::{Bookkeeping, Kept};

use std::fs::File;
use std::io::Write;
use std::iter::once;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};

use crate::bench::clock::Clock;
use crate::bench::link::{self, Address, Link};
use crate::bench::live::{Live, Message};
use crate::bench::profile;
use crate::bench::recorded::{head, sitting_name};
use crate::bench::recording::{Header, Writer};
use crate::books::job::{Advice, Folder, GrowingTable, JobError};
use crate::books::ledger::{Book, Decision};
use crate::books::results::{COLUMNS, Results};
use crate::engine::judge::capacitor::Condition;
use crate::engine::settings::BenchMeter;
use crate::engine::sitting::{Event, FIRST_METER, Plan, Setup, Sitting};

/// Neither the command line nor the job says it.
#[derive(Debug, thiserror::Error)]
#[error("no {what}: give --{what}, or set it under [meter] in job.toml")]
pub(crate) struct NotGiven {
    what: &'static str,
}

/// What a sitting over all parts of a job starts from by the job's own settings, with the meter of the job where none is given,
/// and with all meters beside it; one of `also` goes in the place of one of the same name.
///
/// # Errors
/// If a file of the job or a profile cannot be read, or nothing says which profile and port.
pub(crate) fn setup_of(
    folder: &Folder,
    profile: Option<String>,
    port: Option<String>,
    also: &[BenchMeter],
) -> Result<Setup> {
    let mut setup = folder.read_setup()?;
    let settings = setup.job()?;
    let needed = |said: Option<String>, what| said.ok_or(NotGiven { what });
    let first = BenchMeter {
        name: FIRST_METER.to_owned(),
        profile: needed(profile.or(settings.meter.profile), "profile")?,
        port: needed(port.or(settings.meter.port), "port")?,
    };
    for meter in once(first).chain(meters_beside(settings.meters, also)) {
        let text = profile::text(&meter.profile)?;
        setup = setup.with_meter(meter, &text);
    }
    Ok(setup
        .with_setting(Setup::ONLY, "")
        .with_setting(Setup::RULE, settings.rule.name())
        .with_setting(Setup::TEMPERATURE, "")
        .with_setting(Setup::CAUTIONS, "asked"))
}

/// That, with the parts that were fitted by the decisions of the job. Where its ledger cannot be read, the decisions are read
/// alone, and if not even they can be, the sitting goes on without them and says so when it begins.
pub(crate) fn with_fitted(setup: Setup, book: Result<&Book, &JobError>, folder: &Folder) -> Setup {
    let alone = |_| Decision::read_all(&folder.read_decisions().unwrap_or_default());
    let decisions = book.map(|book| book.decisions.clone());
    let decisions = decisions.or_else(alone).unwrap_or_default();
    let mut fitted = Decision::fitted(&decisions);
    // Such a name would be a pattern for others.
    fitted.retain(|designator| !designator.contains([',', '*', '?']));
    setup.with_setting(Setup::FITTED, &fitted.join(","))
}

/// A sitting, open and recording, and the channel it listens to.
pub(crate) struct Session {
    setup: Setup,
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
    /// If the set-up makes no plan, or one of the three cannot be opened.
    pub(crate) fn open(
        setup: Setup,
        folder: &Folder,
        clock: Clock,
        remark: fn(&str),
    ) -> Result<Self> {
        let plan = Plan::of(&setup)?;
        let (sender, messages) = channel();
        let links = open_links(&setup, &plan, &sender)?;
        let (results, sittings) = places(&plan, folder);
        let advice = Advice {
            lost: "; `probewright replay` gives it back from its recording",
            anew: ", and `probewright replay JOB --csv NEW` makes the table anew from them",
        };
        let table = GrowingTable::open(&results, &COLUMNS.map(|(name, _)| name), advice, remark)?;
        std::fs::create_dir_all(&sittings)
            .with_context(|| format!("cannot make `{}`", sittings.display()))?;
        let header = Header {
            program: env!("CARGO_PKG_NAME"),
            version: env!("CARGO_PKG_VERSION"),
            begun: clock.begun(),
            setup: &head(&setup),
        };
        let writer = Writer::create_in(&sittings, &header)?;
        let recording = writer.file().to_owned();
        let name = sitting_name(&recording);
        let plan = plan.of_sitting(&name, clock.begun());
        let header = table.needs_header();
        let file: Box<dyn Write> = Box::new(table);
        let rows = Results::new(file, header).context("cannot write the results")?;
        Ok(Self {
            setup,
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
            rows.hear(event).context("cannot write the results")?;
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

    /// What it starts from.
    pub(crate) fn setup(&self) -> &Setup {
        &self.setup
    }
}

/// The meters of the job beside the first, and `also`: one of the same name goes in its place.
fn meters_beside(of_job: Vec<BenchMeter>, also: &[BenchMeter]) -> Vec<BenchMeter> {
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

/// The results and the folder of the recordings that a sitting writes to.
pub(crate) fn places(plan: &Plan, folder: &Folder) -> (PathBuf, PathBuf) {
    match plan.conditions().condition {
        Condition::InService => (folder.results(), folder.sittings()),
        Condition::New => (folder.incoming(), folder.incoming_recordings()),
    }
}

/// Opens a link for each meter; what it tells carries the meter's number.
fn open_links(setup: &Setup, plan: &Plan, sender: &Sender<Message>) -> Result<Vec<Link>> {
    let mut links = Vec::new();
    for ((number, at_bench), meter) in setup.meters().zip(plan.meters()) {
        let address: Address = at_bench.port.parse()?;
        let settings = *meter.profile().line();
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
        let meter = |name: &str, port: &str| BenchMeter {
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
