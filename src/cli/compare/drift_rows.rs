//! [`GroupRow`] and [`AgeRow`]: groups and what age does to them, for files and programs.

use serde::Serialize;

use super::words::nine_figures;
use crate::books::comparison::{AgeFinding, Group};

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

/// What age does to a group.
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
