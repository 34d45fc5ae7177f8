//! `order`: what is to be bought for the parts of one or several jobs.

use std::fs;
use std::io::Write;
use std::path::PathBuf;

use anyhow::{Context, Result};
use chrono::{DateTime, FixedOffset};

use super::clock::Clock;
use super::new_file::NewFile;
use super::on_sale::OnSale;
use super::remark::remark;
use super::status::{BadInput, Status};
use super::table::Table;
use crate::job::Folder;
use crate::ledger::{Account, Book, Choice, Decision, DecisionsFile, Standing};
use crate::ordering::{Item, Need, OrderList, Spares, Stock, User, sheet};

/// Name of the stock file that is looked for.
const STOCK: &str = "stock.csv";

/// List what is to be bought: for every part that was decided to be replaced, merged over parts and jobs.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folders of the jobs.
    #[arg(required = true)]
    jobs: Vec<PathBuf>,
    /// How many more than needed of each, such as `1`, or per cent such as `10%`.
    #[arg(long, default_value = "0", value_name = "NUMBER")]
    spares: Spares,
    /// What lies in the drawer: columns article, count, place. Left out, stock.csv in the folder of the first job or beside it.
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Write the list as comma-separated values to this file.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Replace files that are there.
    #[arg(long)]
    force: bool,
    /// It was ordered: decide `order` for each part on the list that is to be bought.
    #[arg(long)]
    placed: bool,
}

/// A job with its ledger.
struct Open {
    name: String,
    folder: Folder,
    book: Book,
    on_sale: OnSale,
}

/// What the ledgers say about buying.
#[derive(Default)]
struct Wanted {
    needs: Vec<Need>,
    /// Parts of which nobody has said what is to be bought, so that the best substitute stands on the list.
    proposed: Vec<User>,
    /// Parts of which nobody has said what is to be bought, and why there is no substitute.
    unknown: Vec<(User, String)>,
    /// What is on order, and since when.
    on_order: Vec<(User, String, DateTime<FixedOffset>)>,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, clock: Clock, out: &mut dyn Write) -> Result<Status> {
    let jobs = open_all(&arguments.jobs)?;
    let mut wanted = Wanted::default();
    for job in &jobs {
        for account in job.book.accounts() {
            wanted.look_at(job, &account);
        }
    }
    let stock = stock(arguments)?;
    let list = OrderList::of(&wanted.needs, &stock, arguments.spares);
    write_list(&list, &wanted, out)?;
    if let Some(path) = &arguments.csv {
        NewFile::at(path, arguments.force)?.write(&sheet(&list))?;
        writeln!(out, "written to {}", path.display())?;
    }
    if arguments.placed {
        place(&jobs, &list, clock, out)?;
    }
    Ok(Status::Done)
}

/// The jobs, each by the name of its folder, or by its whole path where two have the same.
fn open_all(folders: &[PathBuf]) -> Result<Vec<Open>> {
    let whole = |job: &PathBuf| fs::canonicalize(job).unwrap_or_else(|_| job.clone());
    let paths: Vec<PathBuf> = folders.iter().map(whole).collect();
    let jobs = folders.iter().zip(&paths).enumerate();
    jobs.map(|(place, (given, path))| {
        if paths[..place].contains(path) {
            return Err(BadInput(format!("`{}` is given twice", given.display())).into());
        }
        let folder = Folder::open(given)?;
        let book = Book::open(&folder).with_context(|| format!("`{}`", given.display()))?;
        let same_name = |other: &&PathBuf| other.file_name() == path.file_name();
        let name = match path.file_name() {
            Some(name) if paths.iter().filter(same_name).count() == 1 => name,
            _ => path.as_os_str(),
        };
        Ok(Open {
            name: name.to_string_lossy().into_owned(),
            on_sale: OnSale::open(&folder)?,
            folder,
            book,
        })
    })
    .collect()
}

impl Wanted {
    fn look_at(&mut self, job: &Open, account: &Account<'_>) {
        let user = User {
            job: job.name.clone(),
            designator: account.part.designator.clone(),
        };
        let decision = account.decision();
        match (account.standing(), decision) {
            (Standing::ToReplace, decision) => {
                let said = decision.map_or("", |decision| decision.article.as_str());
                let items = if said.is_empty() {
                    self.proposed.push(user.clone());
                    proposal(job, account)
                } else {
                    Item::read(said, account.part.kind).map_err(|error| error.to_string())
                };
                match items {
                    Ok(items) => self.needs.extend(items.into_iter().map(|item| Need {
                        user: user.clone(),
                        item,
                    })),
                    Err(why) => {
                        self.proposed.retain(|one| *one != user);
                        self.unknown.push((user, why));
                    }
                }
            }
            (Standing::OnOrder, Some(decision)) => {
                let what = match decision.article.as_str() {
                    "" => account.part.value_text.clone(),
                    article => article.to_owned(),
                };
                self.on_order.push((user, what, decision.time));
            }
            _ => {}
        }
    }
}

/// The best substitute for a part, or why there is none.
fn proposal(job: &Open, account: &Account<'_>) -> Result<Vec<Item>, String> {
    let articles = job.on_sale.best(account.part, &job.book)?;
    Ok(articles.into_iter().map(Item::Article).collect())
}

/// What lies in the drawer.
fn stock(arguments: &Arguments) -> Result<Stock> {
    let first = &arguments.jobs[0];
    let found = match &arguments.stock {
        Some(path) => Some(path.clone()),
        None => [first.join(STOCK), first.join("..").join(STOCK)]
            .into_iter()
            .find(|path| path.is_file()),
    };
    let Some(path) = found else {
        return Ok(Stock::default());
    };
    let text = fs::read(&path).with_context(|| format!("cannot read `{}`", path.display()))?;
    let stock =
        Stock::read(&text).map_err(|error| BadInput(format!("`{}`: {error}", path.display())))?;
    if arguments.stock.is_none() {
        remark(&format!("the drawer is that of `{}`", path.display()));
    }
    Ok(stock)
}

fn write_list(list: &OrderList, wanted: &Wanted, out: &mut dyn Write) -> Result<()> {
    if list.lines.is_empty() && list.drawn.is_empty() {
        writeln!(
            out,
            "nothing is to be bought: no part stands to be replaced"
        )?;
    }
    let mut bought = Table::new(["buy", "spares", "what", "for"]);
    for line in &list.lines {
        let spares = match line.spares {
            0 => String::new(),
            spares => spares.to_string(),
        };
        bought.push([
            line.to_buy().to_string(),
            spares,
            line.item.to_string(),
            User::all(&line.users),
        ]);
    }
    let mut drawn = Table::new(["take", "from", "what", "for"]);
    for one in &list.drawn {
        drawn.push([
            one.users.len().to_string(),
            one.place.clone(),
            one.item.to_string(),
            User::all(&one.users),
        ]);
    }
    let mut on_order = Table::new(["on order since", "what", "for"]);
    for (user, what, since) in &wanted.on_order {
        on_order.push([
            since.format("%-d %b %Y").to_string(),
            what.clone(),
            user.to_string(),
        ]);
    }
    let mut blank = false;
    let mut parted = |out: &mut dyn Write, empty: bool| -> Result<bool> {
        if !empty && std::mem::replace(&mut blank, true) {
            writeln!(out)?;
        }
        Ok(!empty)
    };
    if parted(out, list.lines.is_empty())? {
        bought.write(out)?;
    }
    if parted(out, list.drawn.is_empty())? {
        drawn.write(out)?;
    }
    if parted(out, wanted.on_order.is_empty())? {
        on_order.write(out)?;
    }
    if parted(out, wanted.proposed.is_empty())? {
        writeln!(
            out,
            "the best substitute, since nobody said what is to be bought: {}; `probewright substitute JOB PART` says why and what else there is",
            User::all(&wanted.proposed)
        )?;
    }
    if parted(out, wanted.unknown.is_empty())? {
        for (user, why) in &wanted.unknown {
            writeln!(
                out,
                "{user}: {why}; say it with `probewright decide {} {} replace --article \"...\"`",
                user.job, user.designator
            )?;
        }
    }
    Ok(())
}

/// Decides `order` for each part for which something is bought.
fn place(jobs: &[Open], list: &OrderList, clock: Clock, out: &mut dyn Write) -> Result<()> {
    let now = clock.now();
    let mut placed = 0;
    for job in jobs {
        let mut file = DecisionsFile::open(&job.folder.decisions())?;
        for account in job.book.accounts() {
            let designator = &account.part.designator;
            let its = |user: &&User| user.job == job.name && user.designator == *designator;
            let bought = list.lines.iter().flat_map(|line| {
                let pieces = line.users.iter().filter(its);
                pieces.map(|_| line.item.to_string())
            });
            let article = bought.collect::<Vec<_>>().join(" + ");
            if article.is_empty() {
                continue;
            }
            file.add(&Decision {
                time: now,
                designator: designator.clone(),
                choice: Choice::Order,
                reason: account
                    .decision()
                    .map_or_else(String::new, |one| one.reason.clone()),
                article,
                bag: None,
            })?;
            placed += 1;
        }
    }
    match placed {
        1 => writeln!(out, "1 part is now on order")?,
        _ => writeln!(out, "{placed} parts are now on order")?,
    }
    Ok(())
}
