//! The drift of the parts of many jobs, as a table.
//!
//! [`GroupRow`] and [`AgeRow`]: groups and what age does to them, for files and programs.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use anyhow::{Context, Result};
use chrono::{Datelike as _, Local};
use serde::Serialize;

use super::{Arguments, a_year, book, csv_bytes, nine_figures, p_value};
use crate::books::comparison::{
    AgeFinding, AsFound, By, FEWEST_JOBS, Group, LeftOut, age_findings, as_found, groups,
};
use crate::books::ledger::Book;
use crate::cli::new_file::NewFile;
use crate::cli::status::Status;
use crate::cli::table::TextTable;
use crate::engine::parts::Selection;
use crate::engine::quantity::{counted, with_minus};
use crate::engine::sitting::signed_percent;
use crate::engine::statistics::{Quartiles, SIGNIFICANT};

/// The parts of all jobs.
struct Gathered {
    parts: Vec<AsFound>,
    /// Reason why each of the others was left out.
    left_out: Vec<LeftOut>,
    jobs: usize,
    /// Jobs that do not say when the equipment was made.
    undated: usize,
}

impl Gathered {
    /// Number of parts left out for that reason.
    fn left_out(&self, why: LeftOut) -> usize {
        self.left_out.iter().filter(|one| **one == why).count()
    }
}

/// Runs the command.
pub(super) fn run(
    arguments: &Arguments,
    by: By,
    jobs: &[PathBuf],
    only: Option<&Selection>,
    out: &mut dyn Write,
) -> Result<Status> {
    let gathered = gather(jobs, only)?;
    let groups = groups(&gathered.parts, by);
    let findings = age_findings(&gathered.parts, by);
    if let Some(path) = &arguments.csv {
        let rows = rows(&groups, &findings);
        let file = NewFile::at(path, arguments.force)?;
        file.write(&csv_bytes(&rows)?, out)?;
        if file.is_stdout() {
            return Ok(Status::Done);
        }
    }
    if arguments.json {
        let left_out = LeftOut::ALL.map(|why| (why.name(), gathered.left_out(why)));
        let json = serde_json::json!({
            "jobs": gathered.jobs,
            "groups": rows(&groups, &findings),
            "age": ages(&findings),
            "left_out": BTreeMap::from(left_out),
        });
        writeln!(out, "{json}")?;
    } else {
        table(&gathered, &groups, out)?;
        about_age(&gathered, &findings, out)?;
    }
    Ok(Status::Done)
}

/// Reads the jobs. A folder that is given twice counts once.
fn gather(jobs: &[PathBuf], only: Option<&Selection>) -> Result<Gathered> {
    let mut gathered = Gathered {
        parts: Vec::new(),
        left_out: Vec::new(),
        jobs: 0,
        undated: 0,
    };
    let mut seen = Vec::new();
    for job in jobs {
        let root = job.canonicalize().unwrap_or_else(|_| job.clone());
        if seen.contains(&root) {
            continue;
        }
        seen.push(root);
        let mut book: Book = book(job)?;
        book.settings
            .check_made(Local::now().year())
            .with_context(|| format!("`{}`", job.display()))?;
        if let Some(only) = only {
            let chosen = only.among(&book.list.parts);
            book.list.parts = chosen.into_iter().cloned().collect();
        }
        let (parts, left_out) = as_found(gathered.jobs, &book);
        gathered.parts.extend(parts);
        gathered.left_out.extend(left_out);
        gathered.jobs += 1;
        gathered.undated += usize::from(book.settings.made.is_none());
    }
    Ok(gathered)
}

fn table(gathered: &Gathered, groups: &[Group], out: &mut dyn Write) -> Result<()> {
    let jobs = counted(gathered.jobs, "job");
    writeln!(out, "drift from the nominal value, as found, in {jobs}\n")?;
    let names = [
        "group",
        "parts",
        "open",
        "median",
        "middle half",
        "outside the band",
    ];
    let mut table = TextTable::new(names);
    for group in groups {
        let drift = |of: fn(&Quartiles) -> f64| {
            let of = group.drift.as_ref().map(of);
            of.map(|share| signed_percent(100.0 * share))
                .unwrap_or_default()
        };
        let (lower, upper) = (
            drift(|drift| drift.lower_quartile),
            drift(|drift| drift.upper_quartile),
        );
        let middle = match group.drift {
            Some(_) => format!("{lower} to {upper}"),
            None => String::new(),
        };
        let share = 100.0 * group.beyond as f64 / group.parts as f64;
        table.push([
            group.name.clone(),
            group.parts.to_string(),
            group.open.to_string(),
            drift(|drift| drift.median),
            middle,
            format!("{} ({share:.0} %)", group.beyond),
        ]);
    }
    table.write(out)?;
    writeln!(out)?;
    left_out(gathered, out)
}

fn left_out(gathered: &Gathered, out: &mut dyn Write) -> Result<()> {
    if !gathered.left_out.is_empty() {
        writeln!(out, "left out:")?;
    }
    for why in LeftOut::ALL {
        let words = match why {
            LeftOut::InconclusiveInCircuit => "in circuit, where the reading proved nothing",
            LeftOut::Inconclusive => "without a value that proves anything",
            LeftOut::NotMeasured => "not measured as found",
            LeftOut::OtherKinds => "of a kind that has no nominal value to drift from",
        };
        match gathered.left_out(why) {
            0 => {}
            count => writeln!(out, "  {count} {words}")?,
        }
    }
    Ok(())
}

fn about_age(gathered: &Gathered, findings: &[AgeFinding], out: &mut dyn Write) -> Result<()> {
    writeln!(out, "\ndoes age explain it?")?;
    let dated = findings.iter().filter(|finding| finding.jobs > 0);
    for finding in dated {
        let line = format!("  {}: {}", finding.name, about(finding));
        writeln!(out, "{}", with_minus(&line))?;
        if let Some(slope) = finding.slope {
            let interval = slope.interval.map_or_else(
                || "too few jobs for an interval".to_owned(),
                |(lower, upper)| format!("95 %: {} to {}", a_year(lower), a_year(upper)),
            );
            let line = format!("    {} a year ({interval})", a_year(slope.estimate));
            writeln!(out, "{}", with_minus(&line))?;
        }
    }
    if gathered.undated > 0 {
        let undated = gathered.undated;
        let jobs = if undated == 1 {
            "job does not say when it was"
        } else {
            "jobs do not say when they were"
        };
        writeln!(
            out,
            "  {undated} {jobs} made, such as by `made = 1956` in job.toml"
        )?;
    }
    writeln!(
        out,
        "\
Each job counts once, with the median of its parts, since parts of one job are
alike in more than age. Kendall's rank correlation, p by Holm for all groups;
slope of Theil and Sen. Windings are taken at 20 °C where that is known."
    )?;
    Ok(())
}

/// Words about a group: whether drift goes with age, from how many jobs, and how old they are.
fn about(finding: &AgeFinding) -> String {
    let jobs = counted(finding.jobs, "job");
    let Some((youngest, oldest)) = finding.ages else {
        return jobs;
    };
    let ages = if youngest == oldest {
        format!("{youngest} years old")
    } else {
        format!("{youngest} to {oldest} years old")
    };
    let Some((correlation, p)) = finding.correlation.zip(finding.p_holm) else {
        return if finding.jobs < FEWEST_JOBS {
            format!("{jobs} of known age, {ages}; {FEWEST_JOBS} are needed")
        } else {
            format!("{jobs}, {ages}; nothing to tell them apart by")
        };
    };
    let words = match (p <= SIGNIFICANT, correlation.tau > 0.0) {
        (false, _) => "not shown",
        (true, true) => "the older, the higher",
        (true, false) => "the older, the lower",
    };
    format!(
        "{words} (tau {:+.2}, {}; {jobs}, {ages})",
        correlation.tau,
        p_value(p)
    )
}

/// A group. Drift is in per cent of the nominal value.
#[derive(Debug, Serialize)]
pub(super) struct GroupRow {
    group: String,
    parts: usize,
    open: usize,
    lower_quartile_percent: Option<f64>,
    median_percent: Option<f64>,
    upper_quartile_percent: Option<f64>,
    outside: usize,
    outside_percent: f64,
    age_jobs: usize,
    age_tau: Option<f64>,
    age_p: Option<f64>,
    age_p_holm: Option<f64>,
    age_slope_percent_per_year: Option<f64>,
}

/// Effect of age on a group.
#[derive(Debug, Serialize)]
pub(super) struct AgeRow {
    group: String,
    jobs: usize,
    youngest: Option<i32>,
    oldest: Option<i32>,
    tau: Option<f64>,
    p: Option<f64>,
    p_holm: Option<f64>,
    slope_percent_per_year: Option<f64>,
    slope_lower: Option<f64>,
    slope_upper: Option<f64>,
}

fn percent(share: f64) -> f64 {
    nine_figures(100.0 * share)
}

/// The rows of the groups, each with what age does to the parts that it belongs to.
pub(super) fn rows(groups: &[Group], findings: &[AgeFinding]) -> Vec<GroupRow> {
    let row = |group: &Group| {
        // A group by age is named after its kind, then its age.
        let belongs = |finding: &&AgeFinding| {
            let rest = group.name.strip_prefix(&finding.name);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(", "))
        };
        let age = findings.iter().find(belongs);
        let correlation = age.and_then(|age| age.correlation);
        let drift = group.drift;
        GroupRow {
            group: group.name.clone(),
            parts: group.parts,
            open: group.open,
            lower_quartile_percent: drift.map(|drift| percent(drift.lower_quartile)),
            median_percent: drift.map(|drift| percent(drift.median)),
            upper_quartile_percent: drift.map(|drift| percent(drift.upper_quartile)),
            outside: group.beyond,
            outside_percent: percent(group.beyond as f64 / group.parts as f64),
            age_jobs: age.map_or(0, |age| age.jobs),
            age_tau: correlation.map(|found| nine_figures(found.tau)),
            age_p: correlation.map(|found| nine_figures(found.p)),
            age_p_holm: age.and_then(|age| age.p_holm).map(nine_figures),
            age_slope_percent_per_year: age
                .and_then(|age| age.slope)
                .map(|slope| percent(slope.estimate)),
        }
    };
    groups.iter().map(row).collect()
}

/// The rows of what age does.
pub(super) fn ages(findings: &[AgeFinding]) -> Vec<AgeRow> {
    let row = |finding: &AgeFinding| {
        let interval = finding.slope.and_then(|slope| slope.interval);
        AgeRow {
            group: finding.name.clone(),
            jobs: finding.jobs,
            youngest: finding.ages.map(|ages| ages.0),
            oldest: finding.ages.map(|ages| ages.1),
            tau: finding.correlation.map(|found| nine_figures(found.tau)),
            p: finding.correlation.map(|found| nine_figures(found.p)),
            p_holm: finding.p_holm.map(nine_figures),
            slope_percent_per_year: finding.slope.map(|slope| percent(slope.estimate)),
            slope_lower: interval.map(|interval| percent(interval.0)),
            slope_upper: interval.map(|interval| percent(interval.1)),
        }
    };
    findings.iter().map(row).collect()
}
