//! `order`: what is to be bought for the parts of one or several jobs.

use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::{Context, Result};

use super::glance::by_policy;
use super::job_word::{Hint, quoted};
use super::new_file::NewFile;
use super::remark::remark;
use super::status::{BadInput, Status};
use super::substitute::OnSale;
use super::table::{TextTable, wrapped};
use crate::bench::clock::Clock;
use crate::books::job::Folder;
use crate::books::ledger::{Account, Book, Choice, Decision, DecisionsFile, Glance, Standing};
use crate::books::ordering::{
    Doubt, Item, Line, Need, OnOrder, OrderList, PERCENT_RULE, Spares, Stock, Unknown, User,
    Wanted, sheet,
};
use crate::books::when::day;
use crate::engine::parts::{Article, Kind, Part, can_of};
use crate::views::report::order::{self, OrderFacts, OrderJob};

/// Name of the stock file that is looked for.
const STOCK: &str = "stock.csv";

/// List what to buy for every part that is to be replaced, merged over parts and jobs.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folders of the jobs.
    #[arg(required = true)]
    jobs: Vec<PathBuf>,
    /// Spares of each, such as `1`, or per cent such as `10%`.
    #[arg(long, default_value = "0", value_name = "NUMBER")]
    spares: Spares,
    /// Stock in the drawer: columns article, count, place. Without it, stock.csv in the folder of the first job or beside it.
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
    /// Write the list as comma-separated values to this file; - is standard output.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Write the list as one HTML page to this file, to print and tick off; - is standard output.
    #[arg(long, value_name = "FILE")]
    page: Option<PathBuf>,
    /// Replace files that are there.
    #[arg(long)]
    force: bool,
    /// The order was placed: decide `order` for each part that something is bought for.
    #[arg(long)]
    placed: bool,
}

/// A job with its ledger.
struct Open {
    /// Name in the list.
    name: String,
    folder: Folder,
    book: Book,
    on_sale: OnSale,
}

impl Open {
    /// A part of it.
    fn user(&self, account: &Account<'_>) -> User {
        User {
            job: self.name.clone(),
            designator: account.part.designator.clone(),
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, clock: Clock, out: &mut dyn Write) -> Result<Status> {
    let jobs = open_all(&arguments.jobs)?;
    let at = |path: &Option<PathBuf>| {
        let file = path
            .as_deref()
            .map(|path| NewFile::at(path, arguments.force));
        file.transpose()
    };
    let (csv, html) = (at(&arguments.csv)?, at(&arguments.page)?);
    let wanted = wanted(&jobs);
    let stock = stock(arguments)?;
    let list = OrderList::of(&wanted.needs, &stock, arguments.spares);
    let mut nowhere = io::sink();
    let is_taken = [&csv, &html].into_iter().flatten().any(NewFile::is_stdout);
    let files = [
        csv.map(|file| (file, sheet(&list))),
        html.map(|file| (file, page_of(&jobs, &list, &wanted).into_bytes())),
    ];
    for (file, bytes) in files.iter().flatten() {
        file.write(bytes, out)?;
    }
    let lines: &mut dyn Write = if is_taken { &mut nowhere } else { out };
    write_list(&list, &wanted, lines)?;
    write_policy(&jobs, &wanted, lines)?;
    if let Spares::Percent(percent) = arguments.spares {
        let rule = format!("spares: {percent} % {PERCENT_RULE}");
        wrapped(&rule, "", "  ", lines)?;
    }
    for path in [&arguments.csv, &arguments.page].into_iter().flatten() {
        writeln!(lines, "written to {}", path.display())?;
    }
    if arguments.placed {
        place(&jobs, &list, clock, lines)?;
    }
    let next = next(&jobs, &wanted);
    if !next.is_empty() {
        writeln!(lines, "\nnext")?;
        Hint::write_all(&next, lines)?;
    }
    Ok(Status::Done)
}

/// The page to print.
fn page_of(jobs: &[Open], list: &OrderList, wanted: &Wanted) -> String {
    let jobs: Vec<OrderJob> = jobs
        .iter()
        .map(|job| OrderJob {
            name: job.name.clone(),
            title: job.book.settings.title.clone(),
        })
        .collect();
    order::page(&OrderFacts {
        made: Clock::start(1.0).begun(),
        program: env!("CARGO_PKG_VERSION"),
        jobs: &jobs,
        list,
        wanted,
    })
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

/// Needs and orders from the ledgers of all jobs.
fn wanted(jobs: &[Open]) -> Wanted {
    let mut wanted = Wanted::default();
    for job in jobs {
        for account in job.book.accounts() {
            match (account.standing(), account.decision()) {
                (Standing::ToReplace, decision) => {
                    let said = decision.map_or("", |decision| decision.article.as_str());
                    to_replace(&mut wanted, job, &account, said);
                }
                (Standing::ByPolicy, _) => wanted.by_policy.push(job.user(&account)),
                (Standing::OnOrder, Some(decision)) => {
                    let what = on_order(account.part, &decision.article);
                    let items = Item::read(&what, account.part.kind).unwrap_or_default();
                    let bars = job.on_sale.bars(account.part, &job.book, &items);
                    wanted.doubts.extend(bars.map(|why| Doubt {
                        user: job.user(&account),
                        what: format!("on order as {what}"),
                        why,
                    }));
                    wanted.on_order.push(OnOrder {
                        user: job.user(&account),
                        what,
                        since: decision.time,
                    });
                }
                _ => {}
            }
        }
    }
    wanted
}

/// A part is to be replaced by what was said, or by the best substitute where nothing was.
fn to_replace(wanted: &mut Wanted, job: &Open, account: &Account<'_>, said: &str) {
    let user = job.user(account);
    let fuse = rated_fuse(account.part).filter(|_| said.is_empty());
    let items = if let Some(fuse) = fuse {
        Ok(vec![fuse])
    } else if said.is_empty() {
        let best = job.on_sale.best(account.part, &job.book);
        best.map(|articles| articles.into_iter().map(Item::Article).collect())
    } else {
        Item::read(said, account.part.kind).map_err(|error| error.to_string())
    };
    let items: Vec<Item> = match items {
        Ok(_)
            if said.is_empty()
                && let Some(can) = can(job, account) =>
        {
            vec![can]
        }
        Ok(items) => items,
        Err(why) => {
            wanted.unknown.push(Unknown { user, why });
            return;
        }
    };
    if let Some(why) = job.on_sale.bars(account.part, &job.book, &items) {
        wanted.unknown.push(Unknown { user, why });
        return;
    }
    if said.is_empty() {
        wanted.proposed.push(user.clone());
    }
    let lacks = job.on_sale.lacks(account.part, &job.book, &items);
    wanted.doubts.extend(lacks.into_iter().map(|why| Doubt {
        user: user.clone(),
        what: items.first().map(ToString::to_string).unwrap_or_default(),
        why,
    }));
    wanted.needs.extend(items.into_iter().map(|item| Need {
        user: user.clone(),
        item,
    }));
}

/// The whole can, if the part is a section of one of which others are to be replaced too, and nobody said by what.
fn can(job: &Open, account: &Account<'_>) -> Option<Item> {
    let name = can_of(&account.part.designator)?;
    let accounts = job.book.accounts();
    let sections = accounts.iter().filter(|other| {
        let said = other
            .decision()
            .is_some_and(|decision| !decision.article.is_empty());
        can_of(&other.part.designator) == Some(name)
            && other.part.kind == Kind::Capacitor
            && other.standing() == Standing::ToReplace
            && !said
    });
    let articles: Vec<String> = sections
        .filter_map(|section| Article::of(section.part))
        .map(|article| article.to_string())
        .collect();
    (articles.len() > 1 && account.part.kind == Kind::Capacitor)
        .then(|| Item::Words(format!("{}, in one can", articles.join(" + "))))
}

/// A fuse is replaced by one of the rating that is printed on it, and by no other.
fn rated_fuse(part: &Part) -> Option<Item> {
    let rated = part.kind == Kind::Fuse && part.value_text.contains(['A', 'a']);
    rated.then(|| Item::Words(format!("fuse {}", part.value_text)))
}

/// The article on order: in the words of the list where the person's can be read, else in theirs, and else the part itself.
fn on_order(part: &Part, said: &str) -> String {
    if said.is_empty() {
        return Article::of(part).map_or_else(
            || format!("{} {}", part.kind, part.value_text),
            |article| article.to_string(),
        );
    }
    let items = Item::read(said, part.kind).map(|items| {
        let items = items.iter().map(ToString::to_string);
        items.collect::<Vec<_>>().join(" + ")
    });
    items.unwrap_or_else(|_| said.to_owned())
}

/// Reads the drawer.
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
    let stock = Stock::read(&path.display().to_string(), &text)?;
    if arguments.stock.is_none() {
        remark(&format!("the drawer is that of `{}`", path.display()));
    }
    for one in &stock.remarks {
        remark(&format!("{}: {one}", path.display()));
    }
    Ok(stock)
}

fn write_list(list: &OrderList, wanted: &Wanted, out: &mut dyn Write) -> Result<()> {
    if list.lines.is_empty() && list.drawn.is_empty() {
        let why = match (wanted.unknown.is_empty(), wanted.on_order.is_empty()) {
            (false, _) => "nothing can be bought yet: nobody said what",
            (true, false) => "nothing more is to be bought",
            (true, true) => "nothing to buy: no part is to be replaced",
        };
        writeln!(out, "{why}")?;
    }
    let mut bought = TextTable::new(["buy", "spares", "article", "for"]);
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
    let mut drawn = TextTable::new(["take", "place", "article", "for"]);
    for one in &list.drawn {
        drawn.push([
            one.taken().to_string(),
            one.place.clone(),
            one.item.to_string(),
            User::all(&one.users),
        ]);
    }
    let mut on_order = TextTable::new(["on order since", "article", "for"]);
    for one in &wanted.on_order {
        on_order.push([day(one.since), one.what.clone(), one.user.to_string()]);
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
    let doubts = || wanted.doubts.iter().chain(&list.passed_over);
    if parted(out, doubts().next().is_none())? {
        for one in doubts() {
            let text = format!("{}, {}: {}", one.user, one.what, one.why);
            wrapped(&text, "! ", "  ", out)?;
        }
    }
    if parted(out, wanted.proposed.is_empty())? {
        let text = format!(
            "the best substitute, since nobody said what to buy: {}",
            User::all(&wanted.proposed)
        );
        wrapped(&text, "", "  ", out)?;
    }
    if parted(out, wanted.unknown.is_empty())? {
        for one in &wanted.unknown {
            let text = format!("{}, not known what to buy: {}", one.user, one.why);
            wrapped(&text, "", "  ", out)?;
        }
    }
    Ok(())
}

/// Commands about what was proposed, about what is not known, and about what the policy replaces.
fn next<'a>(jobs: &'a [Open], wanted: &Wanted) -> Vec<Hint<'a>> {
    let mut all = Vec::new();
    for job in jobs {
        let mut add = |command: &'a str, after: String, what_for: &'a str| {
            all.push(Hint::new(job.folder.root(), command, after, what_for));
        };
        let own = |user: &&User| user.job == job.name;
        if let Some(user) = wanted.proposed.iter().find(own) {
            let why = "why this substitute, and what else there is";
            add("substitute", quoted(&user.designator), why);
        }
        for user in wanted.unknown.iter().map(|one| &one.user).filter(own) {
            let after = format!("{} replace --article \"...\"", quoted(&user.designator));
            add("decide", after, "say what is to be bought");
        }
        if let Some(after) = by_policy(&Glance::at(&job.book)) {
            add("decide", after, "what the policy replaces");
        }
    }
    all
}

/// Writes which parts the policy replaces and nobody has decided about.
fn write_policy(jobs: &[Open], wanted: &Wanted, out: &mut dyn Write) -> Result<()> {
    for job in jobs {
        let own = wanted.by_policy.iter().filter(|user| user.job == job.name);
        let names: Vec<&str> = own.map(|user| &*user.designator).collect();
        if !names.is_empty() {
            let words = format!(
                "not on the list, {} and not decided: {} {}",
                Standing::ByPolicy,
                job.name,
                names.join(" ")
            );
            wrapped(&words, "", "  ", out)?;
        }
    }
    Ok(())
}

/// Decides `order` for each part for which something is bought.
fn place(jobs: &[Open], list: &OrderList, clock: Clock, out: &mut dyn Write) -> Result<()> {
    let now = clock.now();
    let mut placed = 0;
    for job in jobs {
        let own = |line: &Line| line.users.iter().any(|user| user.job == job.name);
        if !list.lines.iter().any(own) {
            continue;
        }
        let mut file = DecisionsFile::open(&job.folder, remark)?;
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
                time: job.book.time_of_decision(designator, now),
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
        0 => writeln!(
            out,
            "no part was put on order, since there is nothing to buy"
        )?,
        1 => writeln!(out, "1 part is now on order")?,
        _ => writeln!(out, "{placed} parts are now on order")?,
    }
    Ok(())
}
