//! [`AgeFinding`]: whether parts have drifted further the older they are.

use std::collections::BTreeMap;

use super::group::Key;
use super::{AsFound, By};
use crate::engine::statistics::{Quartiles, RankCorrelation, Slope, holm, rank_correlation, slope};

/// With fewer jobs of known age than this nothing is said: no order of four can be told from chance at 5 %.
pub const FEWEST_JOBS: usize = 5;

/// Whether the parts of a group have drifted further the older they are.
///
/// Parts of one job share their age, their maker and their life, so that they are one witness and not many: each job counts once, with
/// the median drift of its parts of the group.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeFinding {
    /// What the parts have in common.
    pub name: String,
    /// How many jobs of known age have such parts.
    pub jobs: usize,
    /// The youngest and the oldest of them, in years; `None` without any.
    pub ages: Option<(i32, i32)>,
    /// How drift goes with age; `None` with too few jobs, or if all are of one age.
    pub correlation: Option<RankCorrelation>,
    /// Its p value, adjusted by Holm for all groups that are looked at.
    pub p_holm: Option<f64>,
    /// Drift in a year, as a share of the nominal value.
    pub slope: Option<Slope>,
}

/// The findings for the groups of these parts, in their order. By age and by kind, the groups are the kinds.
pub fn age_findings(parts: &[AsFound], by: By) -> Vec<AgeFinding> {
    let mut sorted: BTreeMap<Key, Vec<&AsFound>> = BTreeMap::new();
    for part in parts {
        let key = Key::without_age(part, by);
        sorted.entry(key).or_default().push(part);
    }
    let mut findings: Vec<AgeFinding> = sorted
        .into_iter()
        .map(|(key, parts)| finding(key.name(by), &parts))
        .collect();
    let mut tested: Vec<&mut AgeFinding> = findings
        .iter_mut()
        .filter(|finding| finding.correlation.is_some())
        .collect();
    let p: Vec<f64> = tested
        .iter()
        .filter_map(|finding| finding.correlation.map(|found| found.p))
        .collect();
    for (finding, p_holm) in tested.iter_mut().zip(holm(&p)) {
        finding.p_holm = Some(p_holm);
    }
    findings
}

fn finding(name: String, parts: &[&AsFound]) -> AgeFinding {
    let points = points(parts);
    let ages: Vec<i32> = points.iter().map(|point| point.0 as i32).collect();
    let enough = points.len() >= FEWEST_JOBS;
    AgeFinding {
        name,
        jobs: points.len(),
        ages: ages.iter().min().copied().zip(ages.iter().max().copied()),
        correlation: enough.then(|| rank_correlation(&points)).flatten(),
        p_holm: None,
        slope: enough.then(|| slope(&points)).flatten(),
    }
}

/// Age and median drift of each job. The parts of a job may have been measured over two years: their median age counts.
fn points(parts: &[&AsFound]) -> Vec<(f64, f64)> {
    let mut jobs: BTreeMap<usize, (Vec<f64>, Vec<f64>)> = BTreeMap::new();
    for part in parts {
        if let Some((age, drift)) = part.age.zip(part.drift) {
            let (ages, drifts) = jobs.entry(part.job).or_default();
            ages.push(f64::from(age));
            drifts.push(drift);
        }
    }
    let middle = |values: Vec<f64>| Quartiles::of(values).map(|spread| spread.median);
    let point = |(ages, drifts)| middle(ages).zip(middle(drifts));
    jobs.into_values().filter_map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::Kind;

    fn part(job: usize, drift: f64) -> AsFound {
        AsFound {
            job,
            kind: Kind::Resistor,
            material: None,
            age: i32::try_from(job).ok().map(|job| 40 + 5 * job),
            drift: Some(drift),
            beyond: false,
        }
    }

    #[test]
    fn a_job_is_one_witness_however_many_parts_it_has() {
        let parts: Vec<AsFound> = (0..6)
            .flat_map(|job| (0..20).map(move |_| part(job, job as f64 * 0.02)))
            .collect();
        let found = &age_findings(&parts, By::Kind)[0];
        assert_eq!((found.jobs, found.ages), (6, Some((40, 65))));
        let correlation = found.correlation.unwrap();
        assert_eq!(correlation.tau, 1.0);
        // One of two orders of six: 2/6!.
        assert!((correlation.p - 2.0 / 720.0).abs() < 1e-12);
        assert!((found.slope.unwrap().estimate - 0.004).abs() < 1e-12);
    }

    #[test]
    fn nothing_is_said_of_four_jobs() {
        let parts: Vec<AsFound> = (0..4).map(|job| part(job, job as f64)).collect();
        let found = &age_findings(&parts, By::Age)[0];
        assert_eq!(
            (found.jobs, found.correlation, found.slope),
            (4, None, None)
        );
    }
}
