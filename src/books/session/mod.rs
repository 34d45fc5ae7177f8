//! [`Session`]: everything a live sitting needs, put together from a job, a profile and a port.
//!
//! [`Bookkeeping`]: what a live sitting does for the weeks of the job: it writes down what is decided at the bench, and says
//! which fitted parts it has measured.

mod said_decisions;

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset, TimeDelta};

pub(crate) use said_decisions::{Missing, Said, SaidDecisions, missing, missing_of};

use crate::bench::clock::Clock;
use crate::bench::intake::{Intake, MESSAGES};
use crate::bench::link::{Address, Link};
use crate::bench::live::{Live, Message, Outcome};
use crate::bench::recorded::{head, sitting_name};
use crate::bench::recording::{Header, Writer};
use crate::bench::{link, profile};
use crate::books::batch::{self, Batch};
use crate::books::job::{Advice, Folder, GrowingTable, JobError, recordings_in};
use crate::books::ledger::{Account, Book, Choice, Decision, DecisionsFile, Glance, Standing};
use crate::books::results::{COLUMNS, Results};
use crate::books::when::day;
use crate::engine::judge::Verdict;
use crate::engine::judge::capacitor::Condition;
use crate::engine::parts::{Article, Step};
use crate::engine::quantity::{Drawing, Stamp};
use crate::engine::settings::{BenchMeter, MeterChoice, MeterWords, Settings};
use crate::engine::sitting::{
    EarlierValue, Event, FIRST_METER, Plan, Setup, Sitting, What, earlier_table,
};
use crate::platform::LastingFile;

/// Neither the command line nor the job says it.
#[derive(Debug, thiserror::Error)]
#[error("no {what} for `{meter}`: give `--meter PROFILE@PORT`, or set it in job.toml")]
pub(crate) struct NotGiven {
    what: &'static str,
    meter: String,
}

/// Set-up of a sitting over all parts of a job by the job's own settings; each of `given` goes in the place of the job's meter of
/// the same name.
///
/// # Errors
/// If a file of the job or a profile cannot be read, or nothing says which profile and port.
pub(crate) fn setup_of(folder: &Folder, given: &[MeterWords]) -> Result<Setup> {
    let mut setup = folder.read_setup()?;
    let settings = setup.job()?;
    for meter in meters(&settings, given)? {
        let text = profile::text(&meter.profile)?;
        setup = setup.with_meter(meter, &text);
    }
    Ok(setup
        .with_setting(Setup::ONLY, "")
        .with_setting(Setup::RULE, settings.rule.name())
        .with_setting(Setup::TEMPERATURE, "")
        .with_setting(Setup::CAUTIONS, "asked")
        .with_setting(Setup::DECISIONS, "told"))
}

/// The set-up with the parts that were fitted by the decisions of the job. Where its ledger cannot be read, the decisions are read
/// alone, and if not even they can be, the sitting goes on without them and says so when it begins.
pub(crate) fn with_fitted(setup: Setup, book: Result<&Book, &JobError>, folder: &Folder) -> Setup {
    let alone = |_| Decision::read_all(&folder.read_decisions().unwrap_or_default());
    let decisions = book.map(|book| book.decisions.clone());
    let decisions = decisions.or_else(alone).unwrap_or_default();
    let mut fitted = Decision::fitted(&decisions);
    // Such a name would be two.
    fitted.retain(|designator| !designator.contains(','));
    let setup = setup.with_setting(Setup::FITTED, &fitted.join(","));
    // The contents of bags are told by their recordings; where those are gone, the decision alone counts.
    let bags = decisions.iter().any(|one| one.bag.is_some());
    let batches = bags.then(|| batch::read(folder).unwrap_or_default());
    let batches = batches.unwrap_or_default();
    fitted.iter().fold(setup, |setup, designator| {
        match put_in(designator, &decisions, &batches) {
            Some((key, said)) => setup.with_setting(&format!("{key}{designator}"), &said),
            None => setup,
        }
    })
}

/// The words on what was fitted last as that part, as the decision says, else as its bag does, behind the beginning of the key that
/// they stand under; `None` where neither tells anything.
fn put_in(
    designator: &str,
    decisions: &[Decision],
    batches: &[Batch],
) -> Option<(&'static str, String)> {
    let last = decisions.iter().rfind(|one| {
        one.choice == Choice::Fitted && one.designator.eq_ignore_ascii_case(designator)
    })?;
    let is_article = |text: &str| Article::parse(text, Drawing::default()).is_ok();
    if last.article.is_empty() {
        let number = last.bag?;
        let batch = batches.iter().find(|batch| batch.bag(number).is_some())?;
        return Some((Setup::ARTICLE, batch.article.to_string()));
    }
    let key = if last.article.split(" + ").all(is_article) {
        Setup::ARTICLE
    } else {
        Setup::PRINTED
    };
    Some((key, last.article.clone()))
}

/// The set-up with what earlier sittings have read on the parts that are still in. New parts have no earlier values.
pub(crate) fn with_earlier(setup: Setup, book: Option<&Book>) -> Setup {
    let condition = setup.condition().unwrap_or_default();
    let Some(book) = book.filter(|_| condition == Condition::InService) else {
        return setup;
    };
    let accounts = book.accounts();
    let of = |account: &Account<'_>| {
        let mut latest = account.latest().into_iter();
        let row = latest
            .find(|row| row.step == Step::Value && row.quantity == account.part.measured())?;
        Some(EarlierValue {
            designator: account.part.designator.clone(),
            quantity: row.quantity,
            value: row.value?.value,
        })
    };
    let values: Vec<EarlierValue> = accounts.iter().filter_map(of).collect();
    if values.is_empty() {
        return setup;
    }
    setup.with_file(Setup::EARLIER, earlier_table(&values))
}

/// A sitting, open and recording, and the channel it listens to.
pub(crate) struct Session {
    setup: Setup,
    plan: Plan,
    clock: Clock,
    links: Vec<Link>,
    writer: Writer<LastingFile>,
    rows: Results<Box<dyn Write>>,
    messages: Receiver<Message>,
    /// Where a sitting takes its commands from.
    pub(crate) sender: SyncSender<Message>,
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
        let (sender, messages) = sync_channel(MESSAGES);
        let links = open_links(&setup, &plan, &sender)?;
        let (results, sittings) = places(&plan, folder);
        let advice = Advice {
            lost: "; `probewright replay` gives it back from its recording",
            anew: ", and `probewright replay JOB --csv NEW` makes the table anew from them",
        };
        let table = GrowingTable::open(&results, &COLUMNS.map(|(name, ..)| name), advice, remark)?;
        std::fs::create_dir_all(&sittings)
            .with_context(|| format!("cannot make `{}`", sittings.display()))?;
        let header = Header {
            program: env!("CARGO_PKG_NAME"),
            version: env!("CARGO_PKG_VERSION"),
            begun: clock.begun(),
            setup: &head(&setup),
        };
        remove_empty(&sittings, remark)?;
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

    pub(crate) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// When it began by the wall.
    pub(crate) fn begun(&self) -> DateTime<FixedOffset> {
        self.clock.begun()
    }

    /// Runs it to its end. `hear` is told each event once its row is written, and says of a decision what became of it.
    ///
    /// # Errors
    /// If recording or results cannot be written, and those of `hear`.
    pub(crate) fn run(self, hear: &mut dyn FnMut(&Event) -> Result<Option<Outcome>>) -> Result<()> {
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

    /// Set-up that it starts from.
    pub(crate) fn setup(&self) -> &Setup {
        &self.setup
    }
}

/// Removes recordings without one line: a program was killed when it had made the file, and the lock is ours.
fn remove_empty(sittings: &Path, remark: fn(&str)) -> Result<()> {
    for file in recordings_in(sittings)? {
        let is_empty = fs::metadata(&file).is_ok_and(|there| there.is_file() && there.len() == 0);
        if is_empty && fs::remove_file(&file).is_ok() {
            remark(&format!("`{}` had no line and is removed", file.display()));
        }
    }
    Ok(())
}

/// The meters of a job, and those given: one of the same name goes in its place.
fn meters(settings: &Settings, given: &[MeterWords]) -> Result<Vec<BenchMeter>, NotGiven> {
    let MeterChoice { profile, port } = settings.meter.clone();
    let mut meters = vec![(FIRST_METER.to_owned(), profile, port)];
    for BenchMeter {
        name,
        profile,
        port,
    } in settings.meters.clone()
    {
        meters.push((name, Some(profile), Some(port)));
    }
    let mut of_job: Vec<&mut _> = meters.iter_mut().collect();
    let mut more = Vec::new();
    for MeterWords {
        name,
        profile,
        port,
    } in given.iter().cloned()
    {
        let name = name.unwrap_or_else(|| FIRST_METER.to_owned());
        // A name that is given twice is a mistake, which the plan then tells.
        match of_job.iter().position(|(known, ..)| *known == name) {
            Some(place) => {
                let (_, its_profile, its_port) = of_job.swap_remove(place);
                *its_profile = profile.or(its_profile.take());
                *its_port = Some(port);
            }
            None => more.push((name, profile, Some(port))),
        }
    }
    meters.extend(more);
    let complete = |(name, profile, port): (String, Option<String>, Option<String>)| {
        let missing = |what| NotGiven {
            what,
            meter: name.clone(),
        };
        Ok(BenchMeter {
            profile: profile.ok_or_else(|| missing("profile"))?,
            port: port.ok_or_else(|| missing("port"))?,
            name,
        })
    };
    meters.into_iter().map(complete).collect()
}

/// The results and the folder of the recordings that a sitting writes to.
pub(crate) fn places(plan: &Plan, folder: &Folder) -> (PathBuf, PathBuf) {
    match plan.conditions().condition {
        Condition::InService => (folder.results(), folder.sittings()),
        Condition::New => (folder.incoming(), folder.incoming_recordings()),
    }
}

/// Opens a link for each meter; what it tells carries the meter's number.
fn open_links(setup: &Setup, plan: &Plan, sender: &SyncSender<Message>) -> Result<Vec<Link>> {
    let mut links = Vec::new();
    for ((number, at_bench), meter) in setup.meters().zip(plan.meters()) {
        let address: Address = at_bench.port.parse()?;
        let settings = meter.profile().line;
        let mut intake = Intake::of(number, sender.clone());
        let deliver = move |message| intake.hear(message);
        links.push(link::open(&address, settings, meter.name(), deliver)?);
    }
    Ok(links)
}

/// Listens to the events of a live sitting. A replay has none: what was decided then was written down then.
pub(crate) struct Bookkeeping {
    folder: Folder,
    begun: DateTime<FixedOffset>,
    /// Parts that were fitted and not measured since.
    awaited: Vec<String>,
    /// Parts of them that this sitting has measured.
    closed: Vec<String>,
    /// Decisions that could not be written.
    unwritten: Vec<Decision>,
    remark: fn(&str),
}

/// Results of a sitting for the job.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    /// Parts that were fitted, and that it has measured.
    pub(crate) closed: Vec<String>,
    /// Decisions that could not be written.
    pub(crate) unwritten: Vec<Decision>,
}

impl Bookkeeping {
    /// For a sitting that began then, on the job with that ledger. One that could not be read is told, and the
    /// sitting goes on.
    pub(crate) fn open(
        folder: &Folder,
        book: Result<&Book, &JobError>,
        begun: DateTime<FixedOffset>,
        remark: fn(&str),
    ) -> Self {
        let awaited = book.map(|book| {
            let glance = Glance::at(book);
            let awaited = glance.of(Standing::FittedNotMeasured);
            awaited
                .map(|account| account.part.designator.clone())
                .collect()
        });
        Self {
            folder: folder.clone(),
            begun,
            awaited: awaited.unwrap_or_else(|error| {
                remark(&format!(
                    "what was decided so far cannot be read; the sitting goes on without it: {error}"
                ));
                Vec::new()
            }),
            closed: Vec::new(),
            unwritten: Vec::new(),
            remark,
        }
    }

    /// Takes in an event, once its row is written; of a decision it says whether that is written down.
    pub(crate) fn hear(&mut self, event: &Event) -> Option<Outcome> {
        match &event.what {
            What::Deciding(resolve) => Some(self.decide(Decision {
                time: self.time(event.at, &resolve.designator),
                designator: resolve.designator.clone(),
                choice: resolve.choice,
                reason: resolve.reason.clone(),
                article: String::new(),
                bag: None,
            })),
            What::Judged(record) => {
                self.measured(&record.row.designator);
                None
            }
            _ => None,
        }
    }

    /// The time of a decision that is made at that stamp.
    fn time(&self, at: Stamp, designator: &str) -> DateTime<FixedOffset> {
        let since = TimeDelta::microseconds(i64::try_from(at.micros()).unwrap_or(i64::MAX));
        let now = self.begun.checked_add_signed(since).unwrap_or(self.begun);
        // A ledger that cannot be read was told when the sitting began.
        Book::open(&self.folder).map_or(now, |book| book.time_of_decision(designator, now))
    }

    fn decide(&mut self, decision: Decision) -> Outcome {
        let file = DecisionsFile::open(&self.folder, self.remark);
        if let Err(error) = file.and_then(|mut file| file.add(&decision)) {
            self.unwritten.push(decision);
            return Err(error.to_string());
        }
        let designator = &decision.designator;
        self.unwritten.retain(|one| one.designator != *designator);
        self.awaited.retain(|one| one != designator);
        self.closed.retain(|one| one != designator);
        if decision.choice == Choice::Fitted {
            self.awaited.push(designator.clone());
        }
        Ok(())
    }

    /// Says so if a part that was fitted is now measured.
    fn measured(&mut self, designator: &str) {
        if !self.awaited.iter().any(|awaited| awaited == designator) {
            return;
        }
        // A ledger that cannot be read was told when the sitting began, or will be at its end.
        let Ok(book) = Book::open(&self.folder) else {
            return;
        };
        let Some(account) = book.account(designator) else {
            return;
        };
        if account.standing() == Standing::FittedNotMeasured {
            return;
        }
        self.awaited.retain(|one| one != designator);
        let since = account.fitted().map(|one| day(one.time));
        let verdict = account.verdict().map_or("", Verdict::name);
        (self.remark)(&format!(
            "{designator} fitted {}, now measured: {verdict}",
            since.unwrap_or_default()
        ));
        self.closed.push(designator.to_owned());
    }

    /// Its yield for the weeks of the job.
    pub(crate) fn close(self) -> Kept {
        Kept {
            closed: self.closed,
            unwritten: self.unwritten,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_given_goes_before_the_job_and_a_port_alone_keeps_its_profile() {
        let settings = "[meter]\nprofile = \"p\"\nport = \"1\"\n[[meters]]\nname = \"b\"\nprofile = \"q\"\nport = \"2\"\n";
        let settings = Settings::parse(settings).unwrap();
        let of = |words: &[&str]| {
            let given: Vec<MeterWords> = words.iter().map(|one| one.parse().unwrap()).collect();
            let told = |one: &BenchMeter| format!("{}={}@{}", one.name, one.profile, one.port);
            let meters = meters(&settings, &given).map_err(|error| error.to_string())?;
            Ok(meters.iter().map(told).collect::<Vec<_>>().join(" "))
        };
        assert_eq!(of(&[]).unwrap(), "meter=p@1 b=q@2");
        assert_eq!(of(&["3", "b=4"]).unwrap(), "meter=p@3 b=q@4");
        assert_eq!(of(&["b=r@4", "c=s@5"]).unwrap(), "meter=p@1 b=r@4 c=s@5");
        // The plan refuses two of one name.
        assert_eq!(of(&["3", "4@5"]).unwrap(), "meter=p@3 b=q@2 meter=4@5");
        let missing: String = of(&["c=5"]).unwrap_err();
        assert!(missing.starts_with("no profile for `c`"), "{missing}");
    }
}
