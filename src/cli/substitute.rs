//! `substitute`: what may stand in for a part, from what is on sale.
//!
//! [`OnSale`]: what the files of a job say about substitutes for its parts.

use std::io::Write;
use std::path::Path;

use anyhow::Result;

use super::status::{BadInput, Status};
use super::table::wrapped;
use crate::books::job::Folder;
use crate::books::ledger::{Book, Standing};
use crate::books::ordering::Item;
use crate::books::substitute::{
    Answer, Arrangement, CannotSubstitute, Goods, Substitute, Want, substitutes,
};
use crate::engine::judge::Policy;
use crate::engine::judge::safety::Places;
use crate::engine::parts::{Article, Kind, Part, default_tolerance, unfit_fuse};
use crate::engine::quantity::{
    Amount, Band, Drawing, Quantity, format_band, parse_value, with_minus,
};

/// Show what may stand in for a part, from what is on sale, the best first and each with its reasons.
///
/// With a job: every part that is to be replaced or on order, or the parts that are named. Without a job: a part as you would ask
/// for it over a counter, such as `32uF 450V electrolytic`.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of a job and parts of it by their designators, or a part in words: value, rating, material
    #[arg(required = true, value_name = "JOB [PART] ... | WORDS")]
    what: Vec<String>,
    /// Highest direct voltage across it, in volt, cold start without load included; overrides the list
    #[arg(long, value_name = "VOLTS", value_parser = above_zero)]
    volts: Option<f64>,
    /// Power of a resistor, in watt; overrides what follows from a voltage
    #[arg(long, value_name = "WATTS", value_parser = above_zero)]
    watts: Option<f64>,
    /// Role in the circuit of a part in words, as a parts list would say it
    #[arg(long, value_name = "WORDS")]
    role: Option<String>,
    /// The largest capacitance that its rectifier allows; overrides the list
    #[arg(long, value_name = "VALUE", value_parser = capacitance)]
    largest: Option<f64>,
    /// Look for pairs in series and in parallel even where a single part will do
    #[arg(long)]
    pairs: bool,
    /// Most to show for each part
    #[arg(long, value_name = "NUMBER", default_value_t = 5, value_parser = clap::value_parser!(u8).range(1..=50))]
    most: u8,
}

fn above_zero(text: &str) -> Result<f64, String> {
    let value: Option<f64> = text.parse().ok();
    value
        .filter(|value| value.is_finite() && *value > 0.0)
        .ok_or_else(|| "expected a number above zero".to_owned())
}

fn capacitance(text: &str) -> Result<f64, String> {
    let read = parse_value(text, Some(Quantity::Capacitance), Drawing::default());
    read.map(|value| value.amount.value())
        .map_err(|_| "expected a capacitance such as `50uF`".to_owned())
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let (first, others) = arguments.what.split_first().expect("one is required");
    if Path::new(first).is_dir() {
        of_job(arguments, Path::new(first), others, out)
    } else {
        of_words(arguments, out)
    }
}

/// A part in words.
fn of_words(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let text = arguments.what.join(" ");
    if text
        .split_whitespace()
        .any(|word| word.eq_ignore_ascii_case("fuse"))
    {
        let kind = Kind::Fuse;
        return Err(BadInput(CannotSubstitute::NotByValue { kind }.to_string()).into());
    }
    let article = Article::parse(&text, Drawing::default()).map_err(|error| {
        let one_by_one = if text.contains('+') {
            "; where several share one can, ask for each by itself: `8uF 450V electrolytic`"
        } else {
            ""
        };
        BadInput(format!(
            "`{text}` is no folder of a job, and as a part: {error}{one_by_one}"
        ))
    })?;
    let part = part_in_words(arguments, &article)?;
    let goods = Goods::default();
    let answered = if part.role.is_empty() && part.largest.is_none() {
        Ok(Want::of_article(&article))
    } else {
        Want::of_part(&part, &[], &Policy::default(), &Places::default())
    };
    let answer = match answered {
        Ok(want) => answer(arguments, want, &goods),
        Err(error) => nothing(&error),
    };
    show(&Asked::in_words(&article, &part.role), &[], &answer, out)?;
    Ok(status(&[answer]))
}

/// The part that a parts list would have for it.
fn part_in_words(arguments: &Arguments, article: &Article) -> Result<Part, BadInput> {
    let mut part = article.as_part();
    part.role = arguments.role.clone().unwrap_or_default();
    part.largest = largest(arguments, &part)?;
    Ok(part)
}

/// The parts of a job.
fn of_job(
    arguments: &Arguments,
    root: &Path,
    names: &[String],
    out: &mut dyn Write,
) -> Result<Status> {
    if arguments.role.is_some() {
        return Err(BadInput(
            "found --role with a job, expected it with a part in words; the role of a part is in parts.csv".to_owned(),
        )
        .into());
    }
    let folder = Folder::open(root)?;
    let book = Book::open(&folder)?;
    let on_sale = OnSale::open(&folder)?;
    let parts = chosen(&book, root, names)?;
    if parts.is_empty() {
        writeln!(
            out,
            "no part of the job is to be replaced or on order; name one, such as `probewright substitute {} {}`",
            root.display(),
            book.list.parts[0].designator
        )?;
        return Ok(Status::Done);
    }
    let single = arguments.volts.or(arguments.watts).or(arguments.largest);
    if single.is_some() && parts.len() > 1 {
        return Err(BadInput(format!(
            "found {} parts, expected one by its designator: --volts, --watts and --largest are about one part",
            parts.len()
        ))
        .into());
    }
    let mut answers = Vec::new();
    for part in parts {
        let mut part = part.clone();
        part.largest = largest(arguments, &part)?.or(part.largest);
        let answer = match on_sale.want(&part, &book) {
            Ok(want) => answer(arguments, want, &on_sale.goods),
            Err(error) => nothing(&error),
        };
        show(
            &Asked::for_part(&part),
            &decided(&book, &part, &on_sale),
            &answer,
            out,
        )?;
        answers.push(answer);
    }
    Ok(status(&answers))
}

/// The parts with these designators; without any those that are to be replaced or on order.
fn chosen<'a>(book: &'a Book, root: &Path, names: &[String]) -> Result<Vec<&'a Part>> {
    if names.is_empty() {
        let accounts = book.accounts().into_iter();
        let waits = accounts.filter(|account| {
            matches!(account.standing(), Standing::ToReplace | Standing::OnOrder)
        });
        return Ok(waits.map(|account| account.part).collect());
    }
    let find = |name: &String| {
        book.list.find(name).ok_or_else(|| {
            let file = root.join("parts.csv");
            BadInput(format!(
                "found `{name}`, expected a designator of {}",
                file.display()
            ))
            .into()
        })
    };
    names.iter().map(find).collect()
}

/// The largest capacitance that the command line states for `part`.
fn largest(arguments: &Arguments, part: &Part) -> Result<Option<Amount>, BadInput> {
    let Some(farads) = arguments.largest else {
        return Ok(None);
    };
    if part.kind != Kind::Capacitor {
        return Err(BadInput(format!(
            "found --largest for a {}, expected it for a capacitor",
            part.kind
        )));
    }
    if farads < part.nominal.value() {
        return Err(BadInput(format!(
            "found --largest below the original, expected no less than {}",
            part.nominal
        )));
    }
    Ok(Amount::new(Quantity::Capacitance, farads))
}

fn answer(arguments: &Arguments, mut want: Want, goods: &Goods) -> Answer {
    if let Some(volts) = arguments.volts {
        want = want.at_volts(volts);
    }
    if let Some(watts) = arguments.watts {
        want = want.at_watts(watts);
    }
    if let (Some(_), Some(ceiling)) = (arguments.largest, &mut want.ceiling) {
        "--largest".clone_into(&mut ceiling.words);
    }
    if arguments.pairs {
        want = want.with_pairs();
    }
    substitutes(&want, goods, usize::from(arguments.most))
}

fn nothing(reason: &CannotSubstitute) -> Answer {
    Answer {
        choices: Vec::new(),
        warnings: vec![reason.to_string()],
    }
}

/// Done, but where nothing was found for a part.
fn status(answers: &[Answer]) -> Status {
    if answers.iter().any(|answer| answer.choices.is_empty()) {
        Status::CheckFailed
    } else {
        Status::Done
    }
}

/// The original that something is looked for in place of, as the heading says it.
struct Asked(String);

impl Asked {
    /// A part in words; the tolerance too, where it is the usual one.
    fn in_words(article: &Article, role: &str) -> Self {
        let usual = if article.tolerance.is_some() {
            String::new()
        } else {
            let usual = default_tolerance(article.kind, article.material);
            format!(" ({usual} is usual)")
        };
        let comma = if role.is_empty() { "" } else { ", " };
        Self(format!("{article}{usual}{comma}{role}"))
    }

    /// A part of a job.
    fn for_part(part: &Part) -> Self {
        let words = match Article::of(part) {
            Some(article) => Self::in_words(&article, &part.role).0,
            None if part.kind.conducts() => format!("{} {}", part.kind, part.value_text),
            None => format!("{} {}", part.kind, part.nominal),
        };
        Self(format!("{}: {words}", part.designator))
    }
}

/// The person's words on what to buy or what is on order, and what speaks against it.
fn decided(book: &Book, part: &Part, on_sale: &OnSale) -> Vec<String> {
    let account = book.account(&part.designator);
    let Some((standing, decision)) = account
        .as_ref()
        .and_then(|account| Some((account.standing(), account.decision()?)))
    else {
        return Vec::new();
    };
    let waits = matches!(standing, Standing::ToReplace | Standing::OnOrder);
    if !waits || decision.article.is_empty() {
        return Vec::new();
    }
    let items = Item::read(&decision.article, part.kind).unwrap_or_default();
    let lacks = on_sale.lacks(part, book, &items);
    let lacks = lacks.iter().map(|lack| format!(", but {lack}"));
    vec![format!(
        "{standing}, by what you said: {}{}",
        decision.article,
        lacks.collect::<String>()
    )]
}

fn show(asked: &Asked, decided: &[String], answer: &Answer, out: &mut dyn Write) -> Result<()> {
    writeln!(out, "{}", with_minus(&asked.0))?;
    for line in decided {
        wrapped(line, "  ", "    ", out)?;
    }
    for (number, choice) in (1..).zip(&answer.choices) {
        show_choice(number, choice, out)?;
    }
    for warning in &answer.warnings {
        wrapped(warning, "  ! ", "    ", out)?;
    }
    Ok(())
}

fn show_choice(number: usize, choice: &Substitute, out: &mut dyn Write) -> Result<()> {
    writeln!(out, "  {number}. {}", with_minus(&choice.to_string()))?;
    let quantity = choice.value.quantity();
    let worst = format_band(quantity, rounded(choice.worst));
    if choice.arrangement == Arrangement::Single {
        writeln!(out, "     {worst}; {}", choice.sort)?;
    } else {
        let likely = format_band(quantity, rounded(choice.statistical));
        let text = format!(
            "{worst} at worst, {likely} likely (95 %: each equally likely anywhere in its tolerance, k = 2); {}",
            choice.sort
        );
        wrapped(&text, "     ", "       ", out)?;
    }
    for reason in &choice.reasons {
        wrapped(reason, "     - ", "       ", out)?;
    }
    Ok(())
}

/// The limits in four figures.
fn rounded(band: Band) -> Band {
    let four = |value: f64| format!("{value:.3e}").parse().unwrap_or(value);
    Band::new(four(band.lower()), four(band.upper())).unwrap_or(band)
}

/// Reason why those may not go in where a fuse is.
fn unfit(part: &Part, items: &[Item]) -> Option<String> {
    match items {
        [] => None,
        [item] => unfit_fuse(part, &item.to_string()),
        _ => Some("one fuse goes in, not several".to_owned()),
    }
}

/// The policy of a job and the goods that are on sale for it.
pub(crate) struct OnSale {
    /// The policy of the job.
    pub(crate) policy: Policy,
    /// The goods on sale.
    pub(crate) goods: Goods,
}

impl OnSale {
    /// Reads `policy.toml` and `goods.toml` of the job, or takes those that come with the program.
    ///
    /// # Errors
    /// If one is there and cannot be used.
    pub(crate) fn open(folder: &Folder) -> Result<Self> {
        let policy = Policy::of_job(&folder.read_policy()?)?;
        let goods = Goods::parse(&folder.read_goods()?)?;
        Ok(Self { policy, goods })
    }

    /// Wanted article in place of a part.
    ///
    /// # Errors
    /// If the list does not say enough about it.
    pub(crate) fn want(&self, part: &Part, book: &Book) -> Result<Want, CannotSubstitute> {
        let (list, settings) = (&book.list.parts, &book.settings);
        let places = Places::of(list, settings.mains, settings.chassis);
        Want::of_part(part, list, &self.policy, &places)
    }

    /// The articles of the best substitute for a part, or why there is none.
    ///
    /// # Errors
    /// The reason, in words.
    pub(crate) fn best(&self, part: &Part, book: &Book) -> Result<Vec<Article>, String> {
        let want = self.want(part, book).map_err(|error| error.to_string())?;
        let answer = substitutes(&want, &self.goods, 1);
        let best = answer.choices.into_iter().next();
        best.map(|best| best.articles)
            .ok_or_else(|| answer.warnings.join("; "))
    }

    /// Why `items` may not be bought for a part: a fuse keeps its rating, at the mains nothing goes in that has not the class
    /// its place needs, and nothing is bought for a place that is not known. `None` if they may.
    pub(crate) fn bars(&self, part: &Part, book: &Book, items: &[Item]) -> Option<String> {
        if part.kind == Kind::Fuse {
            return unfit(part, items);
        }
        let at = match self.want(part, book) {
            Ok(want) => want.at_mains.filter(|at| at.place.is_some())?,
            Err(CannotSubstitute::NotByValue { .. }) => return None,
            Err(unknown) => return Some(unknown.to_string()),
        };
        match items {
            [Item::Article(article)] => {
                let why = at.bars(&article.rating)?;
                Some(format!("{article} may not go in there: {why}"))
            }
            _ => Some("at the mains one part of the right class goes in, not several".to_owned()),
        }
    }

    /// Faults of putting `items` in place of a part. Of a pair they are not looked for, since each takes a share only.
    pub(crate) fn lacks(&self, part: &Part, book: &Book, items: &[Item]) -> Vec<String> {
        if part.kind == Kind::Fuse {
            return unfit(part, items).into_iter().collect();
        }
        let [Item::Article(article)] = items else {
            return Vec::new();
        };
        match self.want(part, book) {
            Ok(want) => want.lacks(article),
            Err(CannotSubstitute::NotByValue { .. }) => Vec::new(),
            Err(unknown) => vec![unknown.to_string()],
        }
    }
}
