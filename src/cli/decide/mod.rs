//! `decide`: what the person says about parts; and what was measured and decided so far.

mod bag_remarks;
mod history;
mod saying;

use std::io::Write;
use std::path::PathBuf;

use anyhow::{Context, Result};

use super::chosen_parts::chosen_parts;
use super::on_sale::OnSale;
use super::remark::remark;
use super::status::{BadInput, Status};
use crate::bench::clock::Clock;
use crate::books::batch::Bags;
use crate::books::job::Folder;
use crate::books::ledger::{Account, Book, Choice, Decision, DecisionsFile};
use crate::books::ordering::Item;
use crate::engine::judge::Verdict;
use crate::engine::judge::safety::Places;
use crate::engine::parts::Article;
use saying::Saying;

/// Say what becomes of parts: keep, replace, order, fitted or accept. Without that, see what was measured and decided so far.
///
/// The last decision on a part counts. A verdict never overwrites one.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of the job.
    dir: PathBuf,
    /// The parts: designators with * and ?, separated by commas.
    #[arg(value_name = "R12,C*")]
    parts: String,
    #[command(flatten)]
    saying: saying::SayingArguments,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, clock: Clock, out: &mut dyn Write) -> Result<Status> {
    let folder = Folder::open(&arguments.dir)?;
    let mut book = Book::open(&folder)?;
    let parts = chosen_parts(&book.list, &arguments.parts)?;
    let said = arguments.saying.read(&parts)?;
    let designators: Vec<String> = parts.iter().map(|part| part.designator.clone()).collect();
    match said {
        None => history(&folder, &book, &designators, out)?,
        Some(saying) => decide(&folder, &mut book, &designators, &saying, clock, out)?,
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
        history::write(account, &bags, out)?;
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
    for decision in &decisions {
        guard(folder, book, decision)?;
    }
    // Before anything is written: a number that cannot be looked up is not to be written down unseen.
    let bags = Bags::named_in(&decisions, folder)?;
    let mut file = DecisionsFile::open(folder, remark)?;
    for (place, decision) in decisions.into_iter().enumerate() {
        let designator = &decision.designator;
        file.add(&decision)
            .with_context(|| stays(&designators[..place], &designators[place..]))?;
        if let Some(warning) = at_mains(book, &decision) {
            remark(&format!("it can kill: {warning}"));
        }
        doubt(book, &decision);
        if let Some(bag) = decision.bag {
            bag_remarks::say(book, &bags, &decision, bag);
        }
        doubt_article(folder, book, &decision)?;
        book.decisions.push(decision.clone());
        let account = book.account(designator);
        let now = account.map_or("", |account| account.standing().words());
        let words = saying::words(&decision);
        writeln!(out, "{designator:<8} decided: {words}. Now {now}.")?;
        if let Some(bag) = decision.bag.filter(|bag| bags.bag(*bag).is_some()) {
            writeln!(out, "{:8} {}", "", bags.words(bag))?;
        }
    }
    Ok(())
}

/// Refuses what would put a part at the mains that has not the class its place needs, and what would leave one there without
/// a reason.
fn guard(folder: &Folder, book: &Book, decision: &Decision) -> Result<()> {
    let (choice, designator) = (decision.choice, &decision.designator);
    let bad = |message: String| Err(BadInput(message).into());
    if let Some(warning) = at_mains(book, decision).filter(|_| decision.reason.is_empty()) {
        return bad(format!(
            "`{choice}` needs a reason here: add --reason \"why it may stay\". {warning}"
        ));
    }
    let Some(part) = book.list.find(designator) else {
        return Ok(());
    };
    let items = match (choice, decision.article.as_str()) {
        (Choice::Replace | Choice::Fitted, "") | (Choice::Keep | Choice::Accept, _) => {
            return Ok(());
        }
        (Choice::Order, "") => Article::of(part).map(Item::Article).into_iter().collect(),
        (_, article) => Item::read(article, part.kind).unwrap_or_default(),
    };
    match OnSale::open(folder)?.bars(part, book, &items) {
        Some(why) if choice != Choice::Fitted => bad(format!("{designator}: {why}")),
        Some(why) if decision.reason.is_empty() => bad(format!(
            "{designator}: {why}. If it was fitted, add --reason \"...\""
        )),
        _ => Ok(()),
    }
}

/// What is to be said of a part at the mains that stays as it is although its class is not the right one.
fn at_mains(book: &Book, decision: &Decision) -> Option<String> {
    let part = book.list.find(&decision.designator)?;
    let stays = matches!(decision.choice, Choice::Keep | Choice::Accept);
    let (settings, list) = (&book.settings, &book.list.parts);
    let places = Places::of(list, settings.mains, settings.chassis);
    places.warning(part).filter(|_| stays)
}

/// What is kept although it measures bad is said to be so.
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

/// What speaks against the article is said; the decision stands, since the person may know more than the list.
fn doubt_article(folder: &Folder, book: &Book, decision: &Decision) -> Result<()> {
    let part = book.list.find(&decision.designator);
    let Some(part) = part.filter(|_| !decision.article.is_empty()) else {
        return Ok(());
    };
    let items = Item::read(&decision.article, part.kind).unwrap_or_default();
    for lack in OnSale::open(folder)?.lacks(part, book, &items) {
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

/// What became of the decisions when one could not be written.
fn stays(written: &[String], left: &[String]) -> String {
    let left = left.join(", ");
    if written.is_empty() {
        format!("nothing was decided about {left}")
    } else {
        format!("decided about {}, and not about {left}", written.join(", "))
    }
}
