//! [`AsFound`]: a part as it was found, against its nominal value.
//!
//! [`AgeFinding`]: whether parts have drifted further the older they are.

use std::collections::BTreeMap;

use chrono::Datelike as _;
use strum::{IntoStaticStr, VariantArray};

use super::By;
use super::group::Key;
use crate::books::ledger::{Account, Book, Found, Row};
use crate::engine::judge::Verdict;
use crate::engine::parts::{Kind, Material, Step};
use crate::engine::statistics::{Quartiles, RankCorrelation, Slope, holm, rank_correlation, slope};

/// A part as it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsFound {
    /// The number of its job.
    pub job: usize,
    pub kind: Kind,
    /// Material, if stated.
    pub material: Option<Material>,
    /// Age when it was measured, in years; `None` where the job does not say when it was made.
    pub age: Option<i32>,
    /// Value less nominal value, as a share of that; `None` for one that is open.
    pub drift: Option<f64>,
    /// Whether it lay outside of its band, as it was judged.
    pub beyond: bool,
}

/// Reason why a part is left out of a look at drift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "snake_case")]
pub enum LeftOut {
    /// In circuit, the measurement proved nothing.
    InconclusiveInCircuit,
    /// Out of circuit, the measurement proved nothing, or lay beyond the range of the meter.
    Inconclusive,
    /// Never measured as found.
    NotMeasured,
    /// Of a kind that has no nominal value to drift from, such as a switch or a test point.
    OtherKinds,
}

words!(LeftOut: ALL, name);

/// The parts of a job as they were found; `job` is its number among those that are looked at.
pub fn as_found(job: usize, book: &Book) -> (Vec<AsFound>, Vec<LeftOut>) {
    let (mut found, mut left_out) = (Vec::new(), Vec::new());
    for account in book.accounts() {
        match of_part(job, book.settings.made, &account) {
            Ok(part) => found.push(part),
            Err(why) => left_out.push(why),
        }
    }
    (found, left_out)
}

fn of_part(job: usize, made: Option<i32>, account: &Account<'_>) -> Result<AsFound, LeftOut> {
    let part = account.part;
    if !drifts(part.kind) {
        return Err(LeftOut::OtherKinds);
    }
    let first = account.first();
    let measurement = first.into_iter().find(|one| one.step.is(Step::Value));
    let measurement = measurement.ok_or(LeftOut::NotMeasured)?;
    let drift = drift(measurement);
    let proves_nothing = measurement.verdict == Verdict::Inconclusive;
    if proves_nothing && measurement.in_circuit {
        return Err(LeftOut::InconclusiveInCircuit);
    }
    if proves_nothing || (drift.is_none() && measurement.found != Found::Open) {
        return Err(LeftOut::Inconclusive);
    }
    Ok(AsFound {
        job,
        kind: part.kind,
        material: part.material,
        age: made.map(|made| measurement.time.year() - made),
        drift,
        beyond: is_beyond(measurement),
    })
}

/// Whether a part of the kind has a nominal value that it can drift from.
const fn drifts(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Resistor | Kind::Potentiometer | Kind::Capacitor | Kind::Winding | Kind::Coil
    )
}

/// Value less nominal value, as a share of that; of a winding at 20 °C where its temperature is known.
fn drift(measurement: &Row) -> Option<f64> {
    let drift = (measurement.value?.value - measurement.nominal) / measurement.nominal;
    drift.is_finite().then_some(drift)
}

/// Whether it lay outside of its band; one that is open does.
fn is_beyond(measurement: &Row) -> bool {
    let value = measurement.value;
    value.is_none_or(|value| !measurement.band.contains(value.value))
}

/// With fewer jobs of known age than this nothing is said: no order of four can be told from chance at 5 %.
pub const FEWEST_JOBS: usize = 5;

/// Whether the parts of a group have drifted further the older they are.
///
/// Parts of one job share their age, their maker and their life, so that they are one witness and not many: each job counts once, with
/// the median drift of its parts of the group.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeFinding {
    /// Common property of the parts.
    pub name: String,
    /// Number of jobs of known age with such parts.
    pub jobs: usize,
    /// The youngest and the oldest of them, in years; `None` without any.
    pub ages: Option<(i32, i32)>,
    /// Drift with age; `None` with too few jobs, or if all are of one age.
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

    fn book() -> Book {
        let parts = "ref,kind,value,tolerance,material\nR1,resistor,100,10%,carbon\nR2,resistor,100,10%,carbon\n\
        R3,resistor,100,10%,film\nR4,resistor,100,10%,\nR5,resistor,100,10%,\nS1,switch,1,,\n";
        let mut book = Book::read("made = 1996\n", parts.as_bytes(), b"", b"").unwrap();
        let measured = |designator, value| Row::sample(designator).with_value(value, 0.3);
        let low = Row {
            in_circuit: true,
            ..measured("R2", 80.0)
        };
        let open = Row {
            found: Found::Open,
            value: None,
            ..Row::sample("R3")
        };
        book.measurements = vec![
            measured("R1", 120.0),
            low.judged_anew(),
            open.judged_anew(),
            measured("R4", 95.0),
            measured("S1", 0.1),
        ];
        book
    }

    #[test]
    fn parts_are_taken_as_found_and_what_proves_nothing_is_counted() {
        let (found, left_out) = as_found(3, &book());
        let drifts: Vec<Option<f64>> = found.iter().map(|one| one.drift).collect();
        assert_eq!(drifts, [Some(0.2), None, Some(-0.05)]);
        let beyond: Vec<bool> = found.iter().map(|one| one.beyond).collect();
        assert_eq!(beyond, [true, true, false]);
        assert_eq!((found[0].age, found[0].job), (Some(60), 3));
        let expected = [
            LeftOut::InconclusiveInCircuit,
            LeftOut::NotMeasured,
            LeftOut::OtherKinds,
        ];
        assert_eq!(left_out, expected);
    }

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
