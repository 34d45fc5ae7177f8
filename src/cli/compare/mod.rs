//! `compare`: two sittings of a job side by side, or the drift of the parts of many jobs.
//!
//! Numbers of a comparison as people read them.

mod drift;
mod side_by_side;

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::ValueEnum;

use super::status::{BadInput, Status};
use crate::books::comparison::{By, Change};
use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::engine::impedance::Uncertain;
use crate::engine::parts::Selection;
use crate::engine::quantity::{Quantity, format_with_uncertainty};
use crate::engine::source::csv_writer;

/// Compare measurements before and after, and tell which changes are real; or, with --by, how far the parts of
/// many jobs have drifted from their nominal values.
#[derive(Debug, clap::Args)]
pub(crate) struct Arguments {
    /// The folder of a job; with --by any number of them.
    #[arg(required = true, value_name = "JOB")]
    jobs: Vec<PathBuf>,
    /// The earlier sitting, by its name or how that begins; if left out, the first measurement of each part that was found.
    #[arg(long, value_name = "SITTING", conflicts_with = "by")]
    before: Option<String>,
    /// The later sitting; if left out, the last measurement of each part now fitted.
    #[arg(long, value_name = "SITTING", conflicts_with = "by")]
    after: Option<String>,
    /// Only these parts, such as `R*,C4`.
    #[arg(long, value_name = "PARTS")]
    only: Option<String>,
    /// Show the drift of parts as they were found, grouped by this.
    #[arg(long, value_name = "WHAT")]
    by: Option<Grouping>,
    /// Write the rows to this file as well, which must not exist.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Replace the file of --csv if it exists.
    #[arg(long, requires = "csv")]
    force: bool,
    /// Print JSON instead of a table.
    #[arg(long)]
    json: bool,
}

/// A way to group parts.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Grouping {
    /// Resistors, capacitors, ...
    Kind,
    /// Carbon resistors, paper capacitors, ...
    Material,
    /// Resistors of 50 to 59 years, ...; needs `made` in job.toml.
    Age,
}

impl From<Grouping> for By {
    fn from(grouping: Grouping) -> Self {
        match grouping {
            Grouping::Kind => Self::Kind,
            Grouping::Material => Self::Material,
            Grouping::Age => Self::Age,
        }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments, out: &mut dyn Write) -> Result<Status> {
    let only = selection(arguments.only.as_deref())?;
    match (arguments.by, &arguments.jobs[..]) {
        (Some(by), jobs) => drift::run(arguments, by.into(), jobs, only.as_ref(), out),
        (None, [job]) => side_by_side::run(arguments, job, only.as_ref(), out),
        (None, jobs) => Err(BadInput(format!(
            "found {} jobs: give one, or say with --by kind, --by material or --by age how to compare many",
            jobs.len()
        ))
        .into()),
    }
}

fn selection(text: Option<&str>) -> Result<Option<Selection>> {
    let parse = |text| Selection::parse(text).map_err(|error| BadInput(format!("--only: {error}")));
    Ok(text.map(parse).transpose()?)
}

/// The ledger of the job in `root`; an error names the folder.
fn book(root: &Path) -> Result<Book> {
    let folder = Folder::open(root)?;
    Book::open(&folder).with_context(|| format!("`{}`", root.display()))
}

/// The bytes of a CSV file with these rows (RFC 4180).
fn csv_bytes(rows: &[impl serde::Serialize]) -> Result<Vec<u8>> {
    let mut writer = csv_writer(Vec::new());
    for row in rows {
        writer.serialize(row)?;
    }
    Ok(writer.into_inner()?)
}

/// The value with as many figures as its uncertainty supports.
fn value(quantity: Quantity, found: Uncertain) -> String {
    let both = format_with_uncertainty(quantity, found.value, 2.0 * found.u);
    let (value, _) = both.split_once(" ± ").unwrap_or((&both, ""));
    value.to_owned()
}

/// The change in per cent with its expanded uncertainty, or in its unit where it was nothing before.
fn change_words(change: &Change) -> String {
    let Some((share, expanded)) = change.share().zip(change.expanded_share()) else {
        let (difference, u) = (change.difference(), change.uncertainty());
        return format_with_uncertainty(change.quantity, difference, 2.0 * u);
    };
    let (share, expanded) = (100.0 * share, 100.0 * expanded);
    let decimals = if expanded > 0.0 {
        (1.0 - libm::log10(expanded).floor()).clamp(0.0, 4.0) as usize
    } else {
        2
    };
    let share = signed(share, decimals);
    format!("{share} % ± {expanded:.decimals$} %")
}

/// The number with its sign; zero, also what is rounded to it, has none.
fn signed(number: f64, decimals: usize) -> String {
    let text = format!("{number:+.decimals$}");
    if text.contains(|c: char| matches!(c, '1'..='9')) {
        text
    } else {
        text[1..].to_owned()
    }
}

/// d/u(d): one decimal, and none where it is large.
fn ratio(ratio: f64) -> String {
    if ratio.abs() < 100.0 {
        signed(ratio, 1)
    } else if ratio.abs() < 1000.0 {
        format!("{ratio:+.0}")
    } else if ratio > 0.0 {
        "over +999".to_owned()
    } else {
        "under -999".to_owned()
    }
}

/// A share in per cent with its sign, for what changes in a year.
fn a_year(share: f64) -> String {
    format!("{} %", signed(100.0 * share, 2))
}

/// `p = 0.012`, `p < 0.001`.
fn p_value(p: f64) -> String {
    if p < 0.001 {
        "p < 0.001".to_owned()
    } else {
        format!("p = {p:.3}")
    }
}

/// Nine significant figures, as many as the results have.
fn nine_figures(value: f64) -> f64 {
    format!("{value:.8e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(before: (f64, f64), after: (f64, f64)) -> String {
        change_words(&Change {
            quantity: Quantity::Resistance,
            before: Uncertain::new(before.0, before.1),
            after: Uncertain::new(after.0, after.1),
        })
    }

    #[test]
    fn a_change_has_the_figures_that_its_uncertainty_supports() {
        assert_eq!(of((1000.0, 0.3), (1050.0, 0.4)), "+5.00 % ± 0.10 %");
        assert_eq!(of((1000.0, 0.3), (999.999, 0.4)), "0.00 % ± 0.10 %");
        assert_eq!(of((1000.0, 30.0), (950.0, 40.0)), "-5 % ± 10 %");
        assert_eq!(of((1000.0, 0.0), (1050.0, 0.0)), "+5.00 % ± 0.00 %");
        assert_eq!(of((0.0, 0.3), (1.0, 0.4)), "1.0 Ω ± 1.0 Ω");
    }

    #[test]
    fn a_large_ratio_is_cut_short() {
        assert_eq!(ratio(-1.96), "-2.0");
        assert_eq!(
            (ratio(-0.01), ratio(0.0)),
            ("0.0".to_owned(), "0.0".to_owned())
        );
        assert_eq!(ratio(345.6), "+346");
        assert_eq!(ratio(f64::INFINITY), "over +999");
    }
}
