//! [`json`]: the report for programs.

use chrono::SecondsFormat;
use serde::Serialize;

use super::facts::Counts;
use super::{Facts, FileFacts, SittingFacts, StepRow};
use crate::books::ledger::{Account, Decision, Row};
use crate::engine::parts::Step;
use crate::engine::quantity::Quantity;

/// Version of the JSON report. It rises when a field goes or means something else; not when one is added.
pub const JSON_VERSION: u32 = 3;

/// The report as JSON, indented, with a newline at its end. Values are in the SI unit of their quantity, uncertainties are
/// standard uncertainties (k = 1), times RFC 3339. What is not known is `null`, and no field is ever left out.
pub fn json(facts: &Facts<'_>) -> String {
    let accounts = facts.accounts();
    let document = Document {
        schema: "probewright-report",
        version: JSON_VERSION,
        made: facts.made.to_rfc3339_opts(SecondsFormat::Secs, false),
        program: facts.program,
        title: facts.title,
        rule: facts.book.settings.rule.name(),
        own_policy: facts.own_policy,
        counts: Counts::of(&accounts),
        parts: accounts.iter().map(|one| PartOf::of(one, facts)).collect(),
        sittings: facts.sittings.iter().map(SittingOf::of).collect(),
        files: facts.files,
    };
    let text = serde_json::to_string_pretty(&document).expect("texts and numbers become JSON");
    text + "\n"
}

#[derive(Serialize)]
struct Document<'a> {
    schema: &'a str,
    version: u32,
    made: String,
    program: &'a str,
    title: &'a str,
    rule: &'a str,
    own_policy: bool,
    counts: Counts,
    parts: Vec<PartOf<'a>>,
    sittings: Vec<SittingOf<'a>>,
    files: &'a [FileFacts],
}

#[derive(Serialize)]
struct PartOf<'a> {
    r#ref: &'a str,
    kind: &'a str,
    listed: &'a str,
    tolerance: String,
    rating: String,
    material: Option<&'a str>,
    role: &'a str,
    group: &'a str,
    from: &'a str,
    to: &'a str,
    in_circuit: bool,
    note: &'a str,
    standing: &'a str,
    verdict: Option<&'a str>,
    worse_since: bool,
    decisions: Vec<DecisionOf<'a>>,
    steps: Vec<StepOf<'a>>,
}

impl<'a> PartOf<'a> {
    fn of(account: &Account<'a>, facts: &Facts<'a>) -> Self {
        let part = account.part;
        let conducts = part.kind.conducts();
        let rows = StepRow::of(account);
        Self {
            r#ref: &part.designator,
            kind: part.kind.name(),
            listed: &part.value_text,
            tolerance: if conducts {
                String::new()
            } else {
                part.tolerance.to_string()
            },
            rating: part.rating.to_string(),
            material: part.material.map(crate::engine::parts::Material::name),
            role: &part.role,
            group: &part.group,
            from: &part.from,
            to: &part.to,
            in_circuit: part.in_circuit,
            note: &part.note,
            standing: account.standing().words(),
            verdict: account.verdict().map(crate::engine::judge::Verdict::name),
            worse_since: account.worse_since(),
            decisions: account
                .decisions
                .iter()
                .map(|one| DecisionOf::of(one, facts))
                .collect(),
            steps: rows.iter().map(|row| StepOf::of(row, facts)).collect(),
        }
    }
}

#[derive(Serialize)]
struct DecisionOf<'a> {
    time: String,
    decision: &'a str,
    reason: &'a str,
    article: &'a str,
    bag: Option<u32>,
    bag_check: Option<&'a Row>,
}

impl<'a> DecisionOf<'a> {
    fn of(decision: &'a Decision, facts: &Facts<'a>) -> Self {
        Self {
            time: decision.time.to_rfc3339_opts(SecondsFormat::Millis, false),
            decision: decision.choice.name(),
            reason: &decision.reason,
            article: &decision.article,
            bag: decision.bag,
            bag_check: decision
                .bag
                .and_then(|bag| facts.bags.bag(bag))
                .map(|bag| &bag.row),
        }
    }
}

#[derive(Serialize)]
struct StepOf<'a> {
    step: Step,
    quantity: Option<Quantity>,
    unit: Option<&'a str>,
    nominal: Option<f64>,
    lower: Option<f64>,
    upper: Option<f64>,
    before: Option<MeasurementOf<'a>>,
    after: Option<MeasurementOf<'a>>,
}

impl<'a> StepOf<'a> {
    fn of(row: &StepRow<'a, '_>, facts: &Facts<'a>) -> Self {
        let target = row.target();
        let [lower, upper] = target.map_or([None; 2], |target| target.band.limits());
        let of = |row: &'a Row| MeasurementOf {
            meter: facts.meter_of(row),
            row,
        };
        Self {
            step: row.step,
            quantity: target.map(|target| target.quantity),
            unit: target.map(|target| target.quantity.unit_name()),
            nominal: target.map(|target| target.nominal),
            lower,
            upper,
            before: row.before.map(of),
            after: row.after.map(of),
        }
    }
}

/// A row of the results, and the profile of the meter.
#[derive(Serialize)]
struct MeasurementOf<'a> {
    meter: Option<&'a str>,
    #[serde(flatten)]
    row: &'a Row,
}

#[derive(Serialize)]
struct SittingOf<'a> {
    name: &'a str,
    began: Option<String>,
    lasted_s: Option<f64>,
    program: Option<&'a str>,
    meters: Vec<&'a str>,
    lines: u64,
    of_new_parts: bool,
    rows: usize,
    state: &'a str,
    sha256: Option<&'a str>,
}

impl<'a> SittingOf<'a> {
    fn of(sitting: &'a SittingFacts) -> Self {
        Self {
            name: &sitting.name,
            began: sitting
                .begun
                .map(|begun| begun.to_rfc3339_opts(SecondsFormat::Millis, false)),
            lasted_s: sitting.lasted_s,
            program: sitting.program.as_deref(),
            meters: sitting.profiles(),
            lines: sitting.lines,
            of_new_parts: sitting.of_new_parts,
            rows: sitting.rows,
            state: sitting.proof.name(),
            sha256: sitting.proof.digest(),
        }
    }
}
