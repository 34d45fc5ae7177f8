//! The glance as text.

use std::io::{self, Write};

use super::{LastSitting, next};
use crate::books::batch::Bags;
use crate::books::job::Folder;
use crate::books::ledger::{Account, Book, Glance, Row, Standing};
use crate::books::when::{day, minute};
use crate::cli::job_word::Hint;
use crate::cli::runs::{listed, runs};
use crate::cli::table::{TextTable, wrapped};
use crate::engine::judge::Verdict;
use crate::engine::parts::{Title, by_group};
use crate::engine::quantity::counted;

/// Writes the glance.
pub(super) fn write(
    folder: &Folder,
    book: &Book,
    glance: &Glance<'_>,
    bags: &Bags,
    last: Option<&LastSitting>,
    out: &mut dyn Write,
) -> io::Result<()> {
    writeln!(out, "{}", folder.heading(&book.settings.title))?;
    wrapped(&counts(glance), "", "", out)?;
    writeln!(out, "{}", sitting(last))?;
    undecided(glance, out)?;
    by_policy(glance, out)?;
    not_measured(glance, out)?;
    unjudged(glance, out)?;
    decided(glance, Standing::ToReplace, bags, out)?;
    decided(glance, Standing::OnOrder, bags, out)?;
    decided(glance, Standing::FittedNotMeasured, bags, out)?;
    remarks(glance, out)?;
    writeln!(out, "\nnext")?;
    Hint::write_all(&next(glance, folder.root()), out)
}

/// `48 parts: 30 good, 3 fitted and good, 2 kept; 13 to do`.
fn counts(glance: &Glance<'_>) -> String {
    let done = Standing::ALL.into_iter().filter(|one| !one.is_to_do());
    let done = done.filter_map(|standing| match glance.count(standing) {
        0 => None,
        count => Some(format!("{count} {standing}")),
    });
    let done: Vec<String> = done.collect();
    let parts = counted(glance.parts.len(), "part");
    let to_do = match glance.to_do() {
        0 => "nothing to do".to_owned(),
        to_do => format!("{to_do} to do"),
    };
    if done.is_empty() {
        format!("{parts}: {to_do}")
    } else {
        format!("{parts}: {}; {to_do}", done.join(", "))
    }
}

fn sitting(last: Option<&LastSitting>) -> String {
    let Some(last) = last else {
        return "no sitting yet".to_owned();
    };
    let values = counted(last.values, "value");
    match last.began {
        Some(began) => format!("last sitting {}, {values} ({})", minute(began), last.name),
        None => format!("last sitting {}, {values}", last.name),
    }
}

fn undecided(glance: &Glance<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut table = TextTable::new(["", "", "", "", ""]);
    let undecided: Vec<&Account<'_>> = glance.of(Standing::Undecided).collect();
    for accounts in by_group(&undecided, |account| &account.part.group) {
        head(&mut table, accounts[0]);
        for account in accounts {
            let Some(worst) = account.worst() else {
                continue;
            };
            table.push([
                format!("  {}", Title::of(designator(account), worst.step)),
                worst.verdict.to_string(),
                worst.words(),
                day(worst.time),
                worst.comparison(),
            ]);
        }
    }
    group(glance, Standing::Undecided, out)?;
    table.write_rows(out)
}

/// Parts that the policy replaces whatever they read, and nobody has decided about.
fn by_policy(glance: &Glance<'_>, out: &mut dyn Write) -> io::Result<()> {
    let all: Vec<&str> = glance.of(Standing::ByPolicy).map(designator).collect();
    if all.is_empty() {
        return Ok(());
    }
    let words = format!("{}: {}", Standing::ByPolicy, all.join(" "));
    writeln!(out)?;
    wrapped(&words, "", "  ", out)
}

/// Designators in runs, and what is missing where something was measured.
fn not_measured(glance: &Glance<'_>, out: &mut dyn Write) -> io::Result<()> {
    group(glance, Standing::NotMeasured, out)?;
    let of = |partly: bool| {
        let all = glance.of(Standing::NotMeasured);
        all.filter(move |account| account.latest().is_empty() != partly)
    };
    let untouched: Vec<&Account<'_>> = of(false).collect();
    for accounts in by_group(&untouched, |account| &account.part.group) {
        let names: Vec<&str> = accounts.iter().map(|account| designator(account)).collect();
        let group = &accounts[0].part.group;
        let first = match group.as_str() {
            "" => "  ".to_owned(),
            group => format!("  {group}: "),
        };
        wrapped(&listed(&runs(&names)), &first, "  ", out)?;
    }
    for account in of(true) {
        let missing = account.to_measure().join(", ");
        writeln!(out, "  {}: {missing}", designator(account))?;
    }
    Ok(())
}

/// Measurements that no rule can judge, with what to write.
fn unjudged(glance: &Glance<'_>, out: &mut dyn Write) -> io::Result<()> {
    group(glance, Standing::Unjudged, out)?;
    let all = glance.of(Standing::Unjudged);
    all.flat_map(|account| &account.left_out)
        .try_for_each(|one| wrapped(&one.to_string(), "  ", "    ", out))
}

/// Decisions that are not carried out yet, and since when.
fn decided(
    glance: &Glance<'_>,
    standing: Standing,
    bags: &Bags,
    out: &mut dyn Write,
) -> io::Result<()> {
    group(glance, standing, out)?;
    let mut table = TextTable::new(["", "", ""]);
    let all: Vec<&Account<'_>> = glance.of(standing).collect();
    for account in by_group(&all, |account| &account.part.group)
        .into_iter()
        .flatten()
    {
        if let Some(decision) = account.decision() {
            let (thing, reason) = (decision.article.as_str(), decision.reason.as_str());
            let words = [thing, reason].into_iter();
            let words = words.filter(|word| !word.is_empty());
            let words = words.collect::<Vec<_>>().join(": ");
            let bag = decision.bag.map(|bag| bags.words(bag));
            let mut lines = [words]
                .into_iter()
                .chain(bag)
                .filter(|line| !line.is_empty());
            table.push([
                format!("  {}", designator(account)),
                format!("since {}", day(decision.time)),
                lines.next().unwrap_or_default(),
            ]);
            lines.for_each(|line| table.push([String::new(), String::new(), line]));
        }
    }
    table.write_rows(out)
}

/// The name of the sub-assembly before its parts, where the list has one.
fn head<const COLUMNS: usize>(table: &mut TextTable<COLUMNS>, first: &Account<'_>) {
    if !first.part.group.is_empty() {
        table.head(format!("  {}:", first.part.group));
    }
}

/// The heading of a group; nothing for one without parts.
fn group(glance: &Glance<'_>, standing: Standing, out: &mut dyn Write) -> io::Result<()> {
    match glance.count(standing) {
        0 => Ok(()),
        count => writeln!(out, "\n{standing}: {count}"),
    }
}

fn remarks(glance: &Glance<'_>, out: &mut dyn Write) -> io::Result<()> {
    let mut remarks: Vec<String> = glance.worse_since().map(worse_since).collect();
    remarks.extend(glance.parts.iter().filter_map(|(_, account)| {
        let why = account.unfit_fuse()?;
        Some(format!("{} may not stay: {why}", designator(account)))
    }));
    remarks.extend(strangers(glance));
    if !remarks.is_empty() {
        writeln!(out, "\nto be looked at")?;
    }
    remarks
        .iter()
        .try_for_each(|remark| wrapped(remark, "  ", "  ", out))
}

/// Parts that decisions or results name and the list does not have.
fn strangers(glance: &Glance<'_>) -> impl Iterator<Item = String> {
    let decided = glance.decided_strangers.iter().copied();
    let measured = glance.measured_strangers.iter().copied();
    let is_in = |all: &[&str], one: &str| all.iter().any(|other| other.eq_ignore_ascii_case(one));
    let (both, decided): (Vec<&str>, Vec<&str>) =
        decided.partition(|one| is_in(&glance.measured_strangers, one));
    let measured = measured.filter(|one| !is_in(&both, one)).collect();
    let groups = [
        ("decisions.csv and results.csv name", both),
        ("decisions.csv names", decided),
        ("results.csv names", measured),
    ];
    let groups = groups.into_iter().filter(|(_, names)| !names.is_empty());
    groups.map(|(who, names)| {
        let names = listed(&runs(&names));
        format!("{who} {names}, which parts.csv does not have: renamed or removed?")
    })
}

fn worse_since(account: &Account<'_>) -> String {
    let decided = account.decision();
    let since = decided.map(|one| format!("{} since {}", account.standing(), day(one.time)));
    format!(
        "{} is {}, but measures worse now: {} {}",
        designator(account),
        since.unwrap_or_default(),
        account.verdict().map_or("", Verdict::name),
        account.worst().map(Row::words).unwrap_or_default(),
    )
}

fn designator<'a>(account: &Account<'a>) -> &'a str {
    &account.part.designator
}
