//! `decide`: what the person says about parts; and what was measured and decided so far.
//!
//! Doubts about the bag that a fitted part is said to come from.
//!
//! Measurements of a part and decisions about it, in the order of time.
//!
//! [`Saying`]: a decision as it was given on the command line, checked.

use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};

use clap_complete::ArgValueCompleter;

use super::chosen_parts::chosen_parts;
use super::completions::parts as complete_parts;
use super::remark::remark;
use super::status::{BadInput, Status};
use super::substitute::OnSale;
use crate::bench::clock::Clock;
use crate::books::batch::{Bag, Bags, bag_label};
use crate::books::job::{Folder, has_sitting};
use crate::books::ledger::{Account, Book, Choice, Decision, DecisionsFile, Row};
use crate::books::ordering::Item;
use crate::books::session::{missing_of, with_fitted};
use crate::books::when::minute;
use crate::engine::judge::safety::Places;
use crate::engine::judge::{Fitted, Verdict};
use crate::engine::parts::{Article, Part, Step};
use crate::engine::quantity::{Drawing, Tolerance, format_stated, with_minus};
use crate::engine::sitting::Setup;

/// Say what becomes of parts: keep, replace, order, fitted or accept. Without a decision, show what was measured and decided so far.
///
/// The last decision on a part counts. A verdict never overwrites one.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    dir: PathBuf,
    /// The parts: designators with * and ?, separated by commas.
    #[arg(add = ArgValueCompleter::new(complete_parts))]
    #[arg(value_name = "R12,C*", required_unless_present = "recorded")]
    parts: Option<String>,
    /// Write down what was decided at the bench, is in a recording, and is missing from decisions.csv.
    #[arg(long, conflicts_with = "parts")]
    recorded: bool,
    #[command(flatten)]
    saying: SayingArguments,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, clock: Clock, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.dir)?;
    if arguments.recorded {
        return write_recorded(&folder, out);
    }
    let mut book = Book::open(&folder)?;
    let parts = arguments.parts.as_deref().unwrap_or_default();
    let parts = chosen_parts(&book.list, parts)?;
    let said = arguments.saying.read(&parts)?;
    let designators: Vec<String> = parts.iter().map(|part| part.designator.clone()).collect();
    match said {
        None => history(&folder, &book, &designators, out)?,
        Some(saying) => decide(&folder, &mut book, &designators, &saying, clock, out)?,
    }
    Ok(Status::Done)
}

/// Writes down what only the recordings have, at the time when it was said.
fn write_recorded(folder: &Folder, out: &mut dyn Write) -> Result<Status> {
    let missing = missing_of(folder, has_sitting(folder))?;
    if missing.is_empty() {
        writeln!(out, "decisions.csv has every decision of the recordings")?;
        return Ok(Status::Done);
    }
    let mut file = DecisionsFile::open(folder, remark)?;
    for one in &missing {
        if one.superseded {
            writeln!(
                out,
                "left out, a later decision about the part is there: {one}"
            )?;
        } else {
            file.add(&one.said.decision)?;
            writeln!(out, "written down: {one}")?;
        }
    }
    Ok(Status::Done)
}

fn history(
    folder: &Folder,
    book: &Book,
    designators: &[String],
    out: &mut dyn Write,
) -> Result<()> {
    let bags = Bags::named_in(&book.decisions, folder)?;
    let accounts = book.accounts();
    let chosen = accounts
        .iter()
        .filter(|one| designators.contains(&one.part.designator));
    for (place, account) in chosen.enumerate() {
        if place > 0 {
            writeln!(out)?;
        }
        write_history(account, &bags, out)?;
    }
    Ok(())
}

/// Writes a decision for each part. What was written before one fails stays, and is named.
fn decide(
    folder: &Folder,
    book: &mut Book,
    designators: &[String],
    saying: &Saying,
    clock: Clock,
    out: &mut dyn Write,
) -> Result<()> {
    let now = clock.now();
    let decisions: Vec<Decision> = designators
        .iter()
        .map(|designator| saying.about(designator, book.time_of_decision(designator, now)))
        .collect();
    let buys = |one: &Decision| {
        one.choice == Choice::Order || !one.article.is_empty() || one.bag.is_some()
    };
    let on_sale = decisions.iter().any(buys).then(|| OnSale::open(folder));
    let on_sale = on_sale.transpose()?;
    let warnings = at_mains(folder, book, &decisions)?;
    for (decision, warning) in decisions.iter().zip(&warnings) {
        guard(book, on_sale.as_ref(), decision, warning.as_deref())?;
        if let Some(on_sale) = &on_sale {
            no_slip(folder, book, on_sale, decision)?;
        }
    }
    // Before anything is written: a number that cannot be looked up is not to be written down unseen.
    let bags = Bags::named_in(&decisions, folder)?;
    let mut file = DecisionsFile::open(folder, remark)?;
    for (place, (decision, warning)) in decisions.into_iter().zip(warnings).enumerate() {
        let designator = &decision.designator;
        file.add(&decision)
            .with_context(|| stays(&designators[..place], &designators[place..]))?;
        if let Some(warning) = warning {
            remark(&format!("it can kill: {warning}"));
        }
        doubt(book, &decision);
        if let Some(bag) = decision.bag {
            remark_on_bag(book, &bags, &decision, bag);
        }
        doubt_article(folder, book, on_sale.as_ref(), &decision)?;
        book.decisions.push(decision.clone());
        let account = book.account(designator);
        let now = account.map_or("", |account| account.standing().words());
        let words = words(&decision);
        writeln!(out, "{designator:<8} decided: {words}. Now {now}.")?;
        if let Some(bag) = decision.bag.filter(|bag| bags.bag(*bag).is_some()) {
            writeln!(out, "{:8} {}", "", bags.words(bag))?;
        }
    }
    Ok(())
}

/// Refuses what would put a part at the mains that has not the class its place needs, and what would leave one there without
/// a reason.
fn guard(
    book: &Book,
    on_sale: Option<&OnSale>,
    decision: &Decision,
    warning: Option<&str>,
) -> Result<()> {
    let (choice, designator) = (decision.choice, &decision.designator);
    let bad = |message: String| Err(BadInput(message).into());
    if let Some(warning) = warning.filter(|_| decision.reason.is_empty()) {
        return bad(format!(
            "`{choice}` needs a reason here: add --reason \"why it may stay\". {warning}"
        ));
    }
    let overrules =
        choice == Choice::Keep && book.account(designator).is_some_and(|one| one.by_policy());
    if overrules && decision.reason.is_empty() {
        return bad(format!(
            "{designator} is to be replaced by policy, whatever it reads: `keep` needs a reason here, add --reason \"why it may stay\""
        ));
    }
    let Some((part, on_sale)) = book.list.find(designator).zip(on_sale) else {
        return Ok(());
    };
    let items = match (choice, decision.article.as_str()) {
        (Choice::Replace | Choice::Fitted, "") | (Choice::Keep | Choice::Accept, _) => {
            return Ok(());
        }
        (Choice::Order, "") => Article::of(part).map(Item::Article).into_iter().collect(),
        (_, article) => Item::read(article, part.kind).unwrap_or_default(),
    };
    match on_sale.bars(part, book, &items) {
        Some(why) if choice != Choice::Fitted => bad(format!("{designator}: {why}")),
        Some(why) if decision.reason.is_empty() => bad(format!(
            "{designator}: {why}. If it was fitted, add --reason \"...\""
        )),
        _ => Ok(()),
    }
}

/// Refuses without a reason what is of a value so far from the listed one that it may be a slip.
fn no_slip(folder: &Folder, book: &Book, on_sale: &OnSale, decision: &Decision) -> Result<()> {
    let (choice, designator) = (decision.choice, &decision.designator);
    let part = book.list.find(designator);
    let Some(part) = part.filter(|_| decision.reason.is_empty()) else {
        return Ok(());
    };
    let fitted = match choice {
        Choice::Fitted => {
            with_fitted(Setup::default(), Ok(&after(book, decision)), folder).fitted()?
        }
        Choice::Replace | Choice::Order => {
            let mut said = Fitted::default();
            if let Ok(article) = Article::parse(&decision.article, Drawing::default()) {
                said.add(designator, vec![article]);
            }
            said
        }
        Choice::Keep | Choice::Accept => return Ok(()),
    };
    match fitted.slip(part, &on_sale.policy) {
        Some(slip) => Err(BadInput(format!(
            "{designator}: {slip}. If it is meant, add --reason \"why this value\""
        ))
        .into()),
        None => Ok(()),
    }
}

/// The job once that is decided too.
fn after(book: &Book, decision: &Decision) -> Book {
    let mut after = book.clone();
    after.decisions.push(decision.clone());
    after
}

/// The warning beside each decision that leaves a part at the mains as it is although its class is not the right one, or a
/// fuse although it is for too much: that of what was fitted, where something was.
fn at_mains(folder: &Folder, book: &Book, decisions: &[Decision]) -> Result<Vec<Option<String>>> {
    let (settings, list) = (&book.settings, &book.list);
    let places = Places::of(&list.parts, settings.mains, settings.chassis);
    let fitted = with_fitted(Setup::default(), Ok(book), folder).fitted()?;
    let warning = |said: &Decision| {
        let part = fitted.put_in(list.find(&said.designator)?, &places);
        let stays = matches!(said.choice, Choice::Keep | Choice::Accept);
        let account = book.account(&said.designator).filter(|_| stays);
        let fuse = || account?.unfit_fuse();
        places.warning(&part, said.choice).or_else(fuse)
    };
    Ok(decisions.iter().map(warning).collect())
}

/// Remarks on a part that is kept although it measures bad.
fn doubt(book: &Book, decision: &Decision) {
    let account = book.account(&decision.designator);
    let verdict = account.as_ref().and_then(bad);
    if let Some(verdict) = verdict.filter(|_| decision.choice == Choice::Keep) {
        let designator = &decision.designator;
        remark(&format!(
            "{designator} measures {verdict}: `accept` with a reason would say that it stays although it is not good"
        ));
    }
}

/// Says what speaks against the article; the decision stands, since the person may know more than the list.
fn doubt_article(
    folder: &Folder,
    book: &Book,
    on_sale: Option<&OnSale>,
    decision: &Decision,
) -> Result<()> {
    let part = book.list.find(&decision.designator).zip(on_sale);
    let Some((part, on_sale)) = part.filter(|_| !decision.article.is_empty()) else {
        return Ok(());
    };
    if decision.choice == Choice::Fitted {
        let fitted = with_fitted(Setup::default(), Ok(&after(book, decision)), folder).fitted()?;
        if let Some(words) = fitted.other_value(part, &on_sale.policy) {
            remark(&format!("{}: {words}", decision.designator));
        }
    }
    let items = Item::read(&decision.article, part.kind).unwrap_or_default();
    for lack in on_sale.lacks(part, book, &items) {
        remark(&format!(
            "{}, {}: {lack}",
            decision.designator, decision.article
        ));
    }
    Ok(())
}

fn bad(account: &Account<'_>) -> Option<Verdict> {
    let bad = |verdict: &Verdict| matches!(verdict, Verdict::Fail | Verdict::ConditionalFail);
    account.verdict().filter(bad)
}

/// Decisions that were written before one could not be.
fn stays(written: &[String], left: &[String]) -> String {
    let left = left.join(", ");
    if written.is_empty() {
        format!("nothing was decided about {left}")
    } else {
        format!("decided about {}, and not about {left}", written.join(", "))
    }
}

/// Says what speaks against the number of the bag.
fn remark_on_bag(book: &Book, bags: &Bags, decision: &Decision, number: u32) {
    let designator = &decision.designator;
    let Some(bag) = bags.bag(number) else {
        remark(&format!(
            "{}: `probewright batch` lists the bags that were measured",
            bags.words(number)
        ));
        return fitted_before(book, designator, number);
    };
    if let Some(words) = of_another_kind(book, designator, bag) {
        remark(&words);
    }
    if !bag.is_good() {
        remark(&format!(
            "{} was no good part when it was measured: {}, {}",
            bag.label(),
            bag.row.verdict,
            bag.row.reason
        ));
    }
    fitted_before(book, designator, number);
}

/// Says that the bag is measured in another unit than the part.
fn of_another_kind(book: &Book, designator: &str, bag: &Bag) -> Option<String> {
    let mut parts = book.list.parts.iter();
    let part = parts.find(|part| part.designator.eq_ignore_ascii_case(designator))?;
    let wanted = part.nominal.quantity();
    (wanted != bag.row.quantity).then(|| {
        format!(
            "{} holds a part with a {}, and {designator} has a {wanted}: is the number right?",
            bag.label(),
            bag.row.quantity
        )
    })
}

/// Says that the bag was emptied for another part before, since each holds one.
fn fitted_before(book: &Book, designator: &str, number: u32) {
    let accounts = book.accounts();
    let other = accounts.iter().find(|account| {
        account.fitted().and_then(|one| one.bag) == Some(number)
            && !account.part.designator.eq_ignore_ascii_case(designator)
    });
    if let Some(other) = other {
        remark(&format!(
            "{} was fitted as {} already, and each bag holds one part: one of the two numbers is wrong",
            bag_label(number),
            other.part.designator
        ));
    }
}

/// Writes the history of a part, and where it stands.
fn write_history(account: &Account<'_>, bags: &Bags, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", heading(account.part))?;
    let measured = account.measurements.iter();
    let decided = account.decisions.iter();
    let mut lines: Vec<_> = measured
        .map(|one| (one.time, measurement(one)))
        .chain(decided.map(|one| (one.time, decision(one, bags))))
        .collect();
    lines.sort_by_key(|(time, _)| *time);
    for (time, line) in &lines {
        writeln!(out, "  {:>17}  {}", minute(*time), with_minus(line))?;
    }
    if lines.is_empty() {
        writeln!(out, "  nothing was measured and nothing decided")?;
    }
    writeln!(out, "now: {}", standing(account))
}

/// `R4  resistor 4.7 kΩ ±10 %, anode load, HT2 to V1 anode`.
fn heading(part: &Part) -> String {
    let value = format_stated(part.nominal.quantity(), part.nominal.value());
    let what = if part.tolerance == Tolerance::MAXIMUM {
        format!("{} at most {value}", part.kind)
    } else {
        format!("{} {value} {}", part.kind, part.tolerance)
    };
    let place = match (part.from.as_str(), part.to.as_str()) {
        ("", "") => String::new(),
        (from, "") => format!("at {from}"),
        ("", to) => format!("at {to}"),
        (from, to) => format!("{from} to {to}"),
    };
    let circuit = if part.in_circuit { "in circuit" } else { "" };
    let words = [&what, &part.role, &place, circuit].map(str::to_owned);
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    with_minus(&format!("{}  {}", part.designator, words.join(", ")))
}

fn measurement(one: &Row) -> String {
    let step = if one.step == Step::Value {
        String::new()
    } else {
        format!("{} ", one.step)
    };
    let verdict = one.verdict.name().to_uppercase();
    format!(
        "{:<24} {verdict:<17} {}; sitting {}",
        step + &one.words(),
        one.comparison(),
        one.sitting
    )
}

/// The decision; below it the findings on the bag that the part came from.
fn decision(one: &Decision, bags: &Bags) -> String {
    let words = format!("decided: {}", words(one));
    match one.bag {
        Some(bag) => format!("{words}\n{:21}{}", "", bags.words(bag)),
        None => words,
    }
}

/// Where the part stands, and what of it was never measured.
fn standing(account: &Account<'_>) -> String {
    let mut words = account.standing().to_string();
    let missing = account.missing();
    if !missing.is_empty() && !account.latest().is_empty() {
        words = format!("{words}; not measured: {}", missing.join(", "));
    }
    for one in &account.left_out {
        words = format!("{words}\n  {one}");
    }
    if account.worse_since() {
        words.push_str("; measures worse since that was decided");
    }
    words
}

/// The words of a decision on the command line.
#[derive(Debug, clap::Args)]
struct SayingArguments {
    /// What becomes of them: keep, replace, order, fitted, or accept (which needs a reason).
    #[arg(value_name = "DECISION")]
    choice: Option<Choice>,
    /// Why.
    #[arg(long, requires = "choice", value_name = "TEXT")]
    reason: Option<String>,
    /// What will replace it, is on order or was fitted, as you would ask for it over a counter: "47uF 450V electrolytic", two that make one as "A + B".
    #[arg(long, requires = "choice", value_name = "ARTICLE")]
    article: Option<String>,
    /// The number of the bag that the fitted part came from.
    #[arg(long, requires = "choice", value_name = "NUMBER")]
    bag: Option<u32>,
}

/// A decision about whichever part.
#[derive(Debug)]
struct Saying {
    choice: Choice,
    reason: String,
    article: String,
    bag: Option<u32>,
}

impl SayingArguments {
    /// Decision about those parts; `None` if nothing is.
    ///
    /// # Errors
    /// If a reason is missing, or something does not belong to the choice or to a part.
    fn read(&self, parts: &[&Part]) -> Result<Option<Saying>> {
        let Some(choice) = self.choice else {
            return Ok(None);
        };
        let reason = self.reason.as_deref().unwrap_or_default().trim().to_owned();
        if choice.needs_reason() && reason.is_empty() {
            return refused(format!(
                "`{choice}` needs a reason: add --reason \"why it may stay as it is\""
            ));
        }
        if self.bag.is_some() && choice != Choice::Fitted {
            return refused(format!(
                "`--bag` goes with `fitted`, found it with `{choice}`"
            ));
        }
        let article = match self.article.as_deref() {
            Some(text) => article(text, choice, parts)?,
            None => String::new(),
        };
        Ok(Some(Saying {
            choice,
            reason,
            article,
            bag: self.bag,
        }))
    }
}

impl Saying {
    /// The decision about that part.
    fn about(&self, designator: &str, time: DateTime<FixedOffset>) -> Decision {
        Decision {
            time,
            designator: designator.to_owned(),
            choice: self.choice,
            reason: self.reason.clone(),
            article: self.article.clone(),
            bag: self.bag,
        }
    }
}

fn refused<T>(message: String) -> Result<T> {
    Err(BadInput(message).into())
}

/// The text of an article, if it can stand for each of the parts.
fn article(text: &str, choice: Choice, parts: &[&Part]) -> Result<String> {
    if matches!(choice, Choice::Keep | Choice::Accept) {
        return refused(format!(
            "`--article` goes with replace, order and fitted, found it with `{choice}`"
        ));
    }
    let text = text.trim();
    for part in parts {
        Item::read(text, part.kind)
            .map_err(|error| BadInput(format!("--article for {}: {error}", part.designator)))?;
    }
    Ok(text.to_owned())
}

/// A decision for people: `fitted (47uF 450V electrolytic, bag 3): it was leaky`.
fn words(decision: &Decision) -> String {
    let (thing, reason) = parts_of(decision);
    let mut words = decision.choice.name().to_owned();
    if !thing.is_empty() {
        words = format!("{words} ({thing})");
    }
    if reason.is_empty() {
        words
    } else {
        format!("{words}: {reason}")
    }
}

/// The article ordered or fitted, `47uF 450V electrolytic, bag 3`, and the reason; either may be empty.
fn parts_of(decision: &Decision) -> (String, &str) {
    let article = Some(decision.article.clone()).filter(|article| !article.is_empty());
    let bag = decision.bag.map(|bag| format!("bag {bag}"));
    let thing: Vec<String> = article.into_iter().chain(bag).collect();
    (thing.join(", "), &decision.reason)
}
