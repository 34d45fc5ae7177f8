//! [`Story`]: a whole job over three evenings, through the commands that a person types.

use std::collections::BTreeMap;
use std::io::Write;

use anyhow::{Context as _, Result};

use super::bench::{Bench, evening};
use super::chassis::Chassis;
use super::restorer::{PAIR, opinions};
use super::{CHASSIS, PARTS_OF_A_BATCH};
use crate::bench::clock::Clock;
use crate::books::batch;
use crate::books::job::Folder;
use crate::books::ledger::{Account, Book, Glance, Standing};
use crate::books::ordering::Item;
use crate::books::when::day;
use crate::cli::batch::{Grouping, numbers};
use crate::cli::job_word::job_path;
use crate::cli::sit::Prepared;
use crate::cli::status::Status;
use crate::cli::typed;
use crate::engine::judge::Policy;
use crate::engine::sitting::Plan;

/// Days since the three evenings, and since the one with no lead unsoldered between them.
const EVENINGS: [i64; 4] = [24, 3, 1, 10];

/// Distance of a new part from its nominal value at most, as a share of it.
const NEW_PARTS_ARE_WITHIN: f64 = 0.01;

/// A job over weeks.
pub(super) struct Story<'a> {
    pub(super) bench: &'a Bench<'a>,
    pub(super) folder: &'a Folder,
    /// The folder as it is typed.
    job: String,
}

/// A part that is to be fitted.
struct Fitting {
    designator: String,
    article: String,
    bag: Option<u32>,
    /// True value, in ohm, farad or henry.
    value: f64,
}

impl<'a> Story<'a> {
    pub(super) fn of(bench: &'a Bench<'a>, folder: &'a Folder) -> Self {
        Self {
            bench,
            folder,
            job: job_path(folder.root()),
        }
    }

    /// Tells it from the first evening to the audit, whose status it is.
    pub(super) fn tell(&self, out: &mut dyn Write) -> Result<Status> {
        self.first_evening(out)?;
        self.evening_in_circuit(out)?;
        let fitted = self.second_evening(out)?;
        self.third_evening(&fitted, out)
    }

    fn first_evening(&self, out: &mut dyn Write) -> Result<()> {
        let clock = self.clock(0);
        heading(
            out,
            &format!("{}: everything is measured", day(clock.begun())),
        )?;
        self.sit(
            0,
            clock,
            &[],
            |plan| Chassis::found(CHASSIS, plan.parts()),
            out,
        )?;
        heading(
            out,
            "The same evening: what was found is decided, and what is needed is ordered",
        )?;
        self.type_in(&[], clock, out)?;
        let book = Book::open(self.folder)?;
        for opinion in opinions(&Glance::at(&book), &Policy::default()) {
            let parts = opinion.designators.join(",");
            let words = [
                "decide",
                &parts,
                opinion.choice.name(),
                "--reason",
                &opinion.reason,
            ];
            self.type_in(&words, clock, out)?;
        }
        self.type_in(&["order", "--placed"], clock, out)?;
        Ok(())
    }

    /// New parts are measured, and what was ordered goes in.
    fn second_evening(&self, out: &mut dyn Write) -> Result<Vec<Fitting>> {
        let clock = self.clock(1);
        let book = Book::open(self.folder)?;
        let article = ordered(&book, PAIR[1])?;
        heading(
            out,
            &format!(
                "{}, three weeks later: the parcel is here",
                day(clock.begun())
            ),
        )?;
        let [one, other] = PAIR;
        writeln!(
            out,
            "{one} and {other} share the signal between the output valves, so ten of theirs came, and are measured before the\n\
             two that are most alike go in."
        )?;
        let count = PARTS_OF_A_BATCH.len().to_string();
        let words = ["--batch", &article, "--count", &count];
        self.sit(1, clock, &words, |plan| Ok(new_parts(plan)), out)?;
        let fittings = self.fittings(&book)?;
        let bag = fittings.iter().find_map(|fitting| fitting.bag).unwrap_or(1);
        let bag = batch::bag_label(bag);
        self.type_in(
            &["batch", &bag, "--match", "pairs", "--groups", "1"],
            clock,
            out,
        )?;
        heading(out, "The same evening: what came goes in")?;
        for (article, bag, parts) in together(&fittings) {
            let bag = bag.map(|bag| bag.to_string());
            let bag = bag.iter().flat_map(|bag| ["--bag", bag]);
            let words = ["decide", &parts, "fitted", "--article", article].into_iter();
            self.type_in(&words.chain(bag).collect::<Vec<_>>(), clock, out)?;
        }
        Ok(fittings)
    }

    /// Measures the parts that went in, and tells about the job.
    fn third_evening(&self, fitted: &[Fitting], out: &mut dyn Write) -> Result<Status> {
        let clock = self.clock(2);
        heading(
            out,
            &format!(
                "{}: what went in is measured where it sits, and nothing else",
                day(clock.begun())
            ),
        )?;
        let book = Book::open(self.folder)?;
        let chassis = |_: &Plan| with_fitted(&book, fitted);
        self.sit(2, clock, &["--todo"], chassis, out)?;
        heading(out, "The job is done: what there is to show for it")?;
        self.type_in(&["compare"], clock, out)?;
        self.type_in(&[], clock, out)?;
        self.type_in(&["report"], clock, out)?;
        self.type_in(&["audit"], clock, out)
    }

    /// The clock of an evening, which begins now.
    pub(super) fn clock(&self, evening_number: usize) -> Clock {
        let now = Clock::start(1.0).now();
        Clock::start_as_if(evening(EVENINGS[evening_number], now), self.bench.speed)
    }

    /// Types a command on the job, which stands behind its name, and alone without one.
    pub(super) fn type_in(
        &self,
        words: &[&str],
        clock: Clock,
        out: &mut dyn Write,
    ) -> Result<Status> {
        let words = self.on_the_job(words);
        typed::run(&words, clock, out)
    }

    fn on_the_job(&self, words: &[&str]) -> Vec<String> {
        let mut words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
        words.insert(usize::from(!words.is_empty()), self.job.clone());
        words
    }

    /// Holds a sitting that is asked for with these words.
    pub(super) fn sit(
        &self,
        evening_number: u64,
        clock: Clock,
        words: &[&str],
        chassis: impl FnOnce(&Plan) -> Result<Chassis>,
        out: &mut dyn Write,
    ) -> Result<()> {
        let meter = self.bench.switch_on(evening_number)?;
        let profile = self.bench.arguments.profile.as_str();
        let with = format!("{profile}@{}", meter.port());
        let with = ["--meter", &with, "--plain"];
        let words = self.on_the_job(&[&["sit"], words, &with].concat());
        typed::show(&words, out)?;
        let arguments = typed::sit_arguments(&words)?;
        let prepared = Prepared::of(&arguments, clock)?;
        let prepared = prepared.context("nothing is left to be measured")?;
        let (session, mut books, _) = prepared.begin(out)?;
        let chassis = chassis(session.plan())?;
        self.bench
            .hold(meter, session, chassis, &mut |event| books.hear(event), out)?;
        books.close(true, out).map(|_| ())
    }

    /// Fits the ordered parts: in the pair the two new parts that lie closest.
    fn fittings(&self, book: &Book) -> Result<Vec<Fitting>> {
        let batches = batch::read(self.folder)?;
        let newest = batches.last().context("no new part was measured")?;
        let pairs = numbers(newest, Grouping::Pairs, Some(1))?;
        let of_pair = PAIR.into_iter().zip(pairs.into_iter().flatten());
        let bags: BTreeMap<&str, u32> = of_pair.collect();
        let mut rng = fastrand::Rng::with_seed(self.bench.arguments.seed);
        let glance = Glance::at(book);
        let ordered = glance.of(Standing::OnOrder);
        ordered
            .map(|account| {
                let bag = bags.get(account.part.designator.as_str()).copied();
                let within = NEW_PARTS_ARE_WITHIN * (2.0 * rng.f64() - 1.0);
                let share = bag.map_or(1.0 + within, share_in);
                fitting(account, bag, share)
            })
            .collect()
    }
}

/// Share of its nominal value that a new part has, by the number of its bag.
fn share_in(bag: u32) -> f64 {
    let place = bag.saturating_sub(1) as usize % PARTS_OF_A_BATCH.len();
    PARTS_OF_A_BATCH[place]
}

/// The chassis with the new parts in it.
fn with_fitted(book: &Book, fitted: &[Fitting]) -> Result<Chassis> {
    let mut chassis = Chassis::found(CHASSIS, &book.list.parts)?;
    chassis.rest();
    for new in fitted {
        let account = book.account(&new.designator);
        let account = account.with_context(|| format!("no `{}`", new.designator))?;
        chassis.fit(&new.designator, account.part.measured(), new.value);
    }
    Ok(chassis)
}

/// The bags of a batch with what is in them.
fn new_parts(plan: &Plan) -> Chassis {
    let parts = plan.parts().iter();
    Chassis::of_new(parts.map(|part| {
        let share = batch::bag_number(&part.designator).map_or(1.0, share_in);
        let value = share * part.nominal.value();
        (part.designator.clone(), part.measured(), value)
    }))
}

/// The article that is on order for a part.
fn ordered(book: &Book, designator: &str) -> Result<String> {
    let account = book.account(designator);
    let article = account.and_then(|account| Some(account.decision()?.article.clone()));
    article
        .filter(|article| !article.is_empty())
        .with_context(|| format!("nothing is on order for {designator}"))
}

/// A new part of the article that is on order for a part, with such a share of its nominal value.
fn fitting(account: &Account<'_>, bag: Option<u32>, share: f64) -> Result<Fitting> {
    let article = account.decision().map(|one| one.article.clone());
    let article = article.unwrap_or_default();
    let items = Item::read(&article, account.part.kind)?;
    let nominal = match &items[..] {
        [Item::Article(article)] => article.nominal,
        // Two that make one have the value of the old one.
        _ => account.part.nominal,
    };
    Ok(Fitting {
        designator: account.part.designator.clone(),
        article,
        bag,
        value: share * nominal.value(),
    })
}

/// Parts of one article without a bag go in together; each with a bag by itself.
fn together(fittings: &[Fitting]) -> Vec<(&str, Option<u32>, String)> {
    let mut all: Vec<(&str, Option<u32>, String)> = Vec::new();
    for one in fittings {
        let same = |other: &&mut (&str, Option<u32>, String)| {
            other.0 == one.article && other.1.is_none() && one.bag.is_none()
        };
        match all.iter_mut().find(same) {
            Some((_, _, parts)) => {
                parts.push(',');
                parts.push_str(&one.designator);
            }
            None => all.push((&one.article, one.bag, one.designator.clone())),
        }
    }
    all
}

pub(super) fn heading(out: &mut dyn Write, text: &str) -> Result<()> {
    writeln!(out, "\n=== {text} ===")?;
    Ok(())
}
