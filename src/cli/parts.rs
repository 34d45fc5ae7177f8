//! `parts check`: reads a parts list and shows how it is understood.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use super::network::write_names;
use super::new_file::NewFile;
use super::status::Status;
use super::table::{TextTable, flowing};
use crate::bench::profile::read_text;
use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::books::session::with_fitted;
use crate::engine::judge::discharge::{CAUTION, ChargedPart, parts_to_discharge};
use crate::engine::judge::safety;
use crate::engine::parts::{
    self, Kind, ListSettings, Part, PartsList, Step, ToleranceOrigin, by_group,
};
use crate::engine::quantity::{Quantity, counted, format_band, format_value};
use crate::engine::settings::Settings;
use crate::engine::sitting::{Outlook, Setup};
use crate::engine::source::{DecimalMark, Dialect, Separator, TextError};

/// Work on a parts list
#[derive(Debug, clap::Args)]
pub(crate) struct PartsArguments {
    #[command(subcommand)]
    task: Task,
}

/// A task with the list.
#[derive(Debug, clap::Subcommand)]
enum Task {
    /// Read a parts list, show how each row is understood, or everything that is wrong with it
    Check(CheckArguments),
}

#[derive(Debug, clap::Args)]
struct CheckArguments {
    /// The parts list, as a spreadsheet writes it, or the folder of a job. A job.toml beside it says how it is read
    file: PathBuf,
    /// `M` behind a resistance means a thousand, as on some old drawings
    #[arg(long)]
    m_is_thousand: bool,
    /// What separates the columns: `,`, `;` or `tab`. Without it, as job.toml says or the names of the columns show
    #[arg(long, value_name = "SIGN", value_parser = separator)]
    separator: Option<Separator>,
    /// The decimal sign: `.` or `,`. Without it, as job.toml says or the numbers show
    #[arg(long, value_name = "SIGN", value_parser = decimal)]
    decimal: Option<DecimalMark>,
    /// Give each section of a can such as `8+8uF` a row of its own, in the file: `C4a`, `C4b`
    #[arg(long)]
    write: bool,
}

fn separator(text: &str) -> Result<Separator, &'static str> {
    Separator::named(text).ok_or("expected `,`, `;` or `tab`")
}

fn decimal(text: &str) -> Result<DecimalMark, &'static str> {
    DecimalMark::named(text).ok_or("expected `.` or `,`")
}

/// Does the task.
pub(crate) fn run(arguments: &PartsArguments, out: &mut dyn Write) -> Result<Status> {
    let Task::Check(check) = &arguments.task;
    let file = if check.file.is_dir() {
        Folder::open(&check.file)?.parts()
    } else {
        check.file.clone()
    };
    let mut text = std::fs::read(&file)
        .with_context(|| format!("the parts list `{}` cannot be read", file.display()))?;
    let said = settings(check, &file)?;
    if check.write {
        text = write_sections(&file, text, said.list, out)?;
    }
    match parts::read(&text, &said.list) {
        Ok(list) => {
            let outlook = Outlook::of(&beside(&file)?, &list)?;
            write_list(&list, &outlook, out).map(|()| Status::Done)
        }
        Err(errors) => write_errors(&file, &errors, out).map(|()| Status::BadInput),
    }
}

/// Files of the job beside the list, from which a sitting over it would start; or nothing.
fn beside(file: &Path) -> Result<Setup> {
    let folder = file
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    match Folder::open(folder.unwrap_or(Path::new("."))) {
        Ok(folder) => {
            let setup = folder.read_setup()?;
            Ok(with_fitted(setup, Book::open(&folder).as_ref(), &folder))
        }
        Err(_) => Ok(Setup::default().with_file(Setup::JOB, "")),
    }
}

/// Gives each section of a can its row in the file; the text of the file as it is then.
fn write_sections(
    file: &Path,
    text: Vec<u8>,
    settings: ListSettings,
    out: &mut dyn Write,
) -> Result<Vec<u8>> {
    let Some((new, splits)) = parts::split_cans(&text, settings) else {
        writeln!(
            out,
            "no can has several sections; {} is unchanged",
            file.display()
        )?;
        return Ok(text);
    };
    NewFile::at(file, true)?.write(&new, out)?;
    for split in splits {
        let rows = split.can.designators(&split.designator).join(", ");
        writeln!(
            out,
            "{}, `{}`: now {rows}",
            split.designator, split.can.text
        )?;
    }
    Ok(new)
}

/// Dialect that the list is read in: as the job beside it says, and before that as the command line does.
fn settings(check: &CheckArguments, file: &Path) -> Result<Settings> {
    let job = file.with_file_name("job.toml");
    let text = if job.exists() {
        read_text(&job)?
    } else {
        String::new()
    };
    let mut said = Settings::parse(&text)?;
    said.list = ListSettings {
        m_is_thousand: check.m_is_thousand || said.list.m_is_thousand,
        dialect: Dialect {
            separator: check.separator.or(said.list.dialect.separator),
            decimal: check.decimal.or(said.list.dialect.decimal),
        },
        ..said.list
    };
    Ok(said)
}

/// One line for each error.
fn write_errors(file: &Path, errors: &TextError, out: &mut dyn Write) -> Result<()> {
    for error in errors.faults() {
        writeln!(out, "{}:{error}", file.display())?;
    }
    Ok(())
}

fn write_list(list: &PartsList, outlook: &Outlook, out: &mut dyn Write) -> Result<()> {
    let names = [
        "ref",
        "kind",
        "value",
        "band",
        "tolerance",
        "origin",
        "rating",
        "material",
        "role",
        "from",
        "to",
        "in circuit",
        "loss",
        "leakage",
        "frequency",
        "sheet",
        "with",
        "also",
        "law",
        "load",
        "largest",
    ];
    let mut table = TextTable::new(names);
    for parts in by_group(&list.parts, |part| &part.group) {
        if let Some(part) = parts.first().filter(|part| !part.group.is_empty()) {
            table.head(format!("{}:", part.group));
        }
        for part in parts {
            table.push(row(part));
        }
    }
    table.write(out)?;
    let mut below = Vec::new();
    write_remarks(list, &mut below)?;
    write_defaults(list, &mut below)?;
    for one in outlook.left_out() {
        writeln!(below, "no rule: {one}")?;
    }
    write_charge(list, &mut below)?;
    write_mains(outlook, &mut below)?;
    write_names(&list.parts, &mut below)?;
    if !list.extra_columns.is_empty() {
        writeln!(
            below,
            "kept as they are: columns {}",
            list.extra_columns.join(", ")
        )?;
    }
    writeln!(below, "{}", count_line(list))?;
    flowing(&String::from_utf8_lossy(&below), out)?;
    Ok(())
}

fn row(part: &Part) -> [String; 21] {
    [
        part.designator.clone(),
        part.kind.to_string(),
        part.nominal.to_string(),
        format_band(part.nominal.quantity(), part.band),
        part.tolerance.to_string(),
        part.tolerance_origin.to_string(),
        part.rating.to_string(),
        part.material
            .map(|material| material.to_string())
            .unwrap_or_default(),
        part.role.clone(),
        part.from.clone(),
        part.to.clone(),
        if part.in_circuit {
            "yes".to_owned()
        } else {
            String::new()
        },
        part.loss_limit
            .map(|loss| format!("up to {loss}"))
            .unwrap_or_default(),
        part.leakage_limit_ampere
            .map(|ampere| format!("up to {}", format_value(Quantity::Current, ampere, 6)))
            .unwrap_or_default(),
        part.loss_frequency_hertz
            .map(|hertz| format!("{hertz} Hz"))
            .unwrap_or_default(),
        part.sheet
            .map(|sheet| sheet.to_string())
            .unwrap_or_default(),
        part.partners.to_string(),
        Step::also_text(&part.also),
        part.law.map(|law| law.to_string()).unwrap_or_default(),
        part.load_ohm
            .map(|ohms| format_value(Quantity::Resistance, ohms, 6))
            .unwrap_or_default(),
        part.largest
            .map(|largest| largest.to_string())
            .unwrap_or_default(),
    ]
}

/// Findings on the file, and decisions made while reading values.
fn write_remarks(list: &PartsList, out: &mut dyn Write) -> Result<()> {
    for remark in &list.remarks {
        writeln!(out, "remark: {remark}")?;
    }
    for part in &list.parts {
        for remark in &part.remarks {
            writeln!(
                out,
                "remark: {}, `{}`: {remark}",
                part.designator, part.value_text
            )?;
        }
    }
    Ok(())
}

/// The defaults that were applied, each with the parts that it was applied to.
fn write_defaults(list: &PartsList, out: &mut dyn Write) -> Result<()> {
    let mut defaults: Vec<(String, Vec<&str>)> = Vec::new();
    for part in list
        .parts
        .iter()
        .filter(|part| part.tolerance_origin == ToleranceOrigin::Default)
    {
        let material = part
            .material
            .map_or("material not stated".to_owned(), |material| {
                material.to_string()
            });
        let line = if part.kind.conducts() {
            let limit = format_band(part.nominal.quantity(), part.band);
            let rating = match part.kind {
                Kind::Switch => "",
                _ => " without a rating, which says only whether it conducts",
            };
            format!("limit for {}{rating}: {limit}", part.kind)
        } else {
            format!(
                "tolerance for {}, {material}: {}",
                part.kind, part.tolerance
            )
        };
        match defaults.iter_mut().find(|known| known.0 == line) {
            Some(known) => known.1.push(&part.designator),
            None => defaults.push((line, vec![&part.designator])),
        }
    }
    for (line, designators) in defaults {
        writeln!(out, "default {line}, applied to {}", designators.join(" "))?;
    }
    Ok(())
}

/// The capacitors that may hold a charge, and the caution that goes with them.
fn write_charge(list: &PartsList, out: &mut dyn Write) -> Result<()> {
    let charged = parts_to_discharge(&list.parts);
    for words in ChargedPart::sentences(&charged) {
        writeln!(out, "may be charged: {words}")?;
    }
    if !charged.is_empty() {
        writeln!(out, "{CAUTION}")?;
    }
    Ok(())
}

/// The capacitors at the mains, or that might be there, and the caution that goes with them.
fn write_mains(outlook: &Outlook, out: &mut dyn Write) -> Result<()> {
    let found = outlook.at_mains();
    for words in &found {
        writeln!(out, "mains: {words}")?;
    }
    if !found.is_empty() {
        writeln!(out, "{}", safety::CAUTION)?;
    }
    Ok(())
}

/// `4 parts: 2 resistors, 1 capacitor, 1 winding`
fn count_line(list: &PartsList) -> String {
    let count = |kind| list.parts.iter().filter(|part| part.kind == kind).count();
    let kinds = Kind::ALL
        .into_iter()
        .filter(|kind| count(*kind) > 0)
        .map(|kind| counted(count(kind), kind.name()));
    format!(
        "{}: {}",
        counted(list.parts.len(), "part"),
        kinds.collect::<Vec<_>>().join(", ")
    )
}
