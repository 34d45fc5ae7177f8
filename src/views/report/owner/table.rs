//! [`table`]: the report for spreadsheets, a row for each step of each part.

use chrono::SecondsFormat;

use super::document::found;
use super::facts::step_rows;
use super::{Facts, StepRow};
use crate::books::batch::Bag;
use crate::books::ledger::Measurement;
use crate::books::results::number;
use crate::engine::quantity::Quantity;
use crate::engine::source::{cell, csv_writer};

/// The columns before those of the quantities, and what they hold.
const WHAT: [(&str, &str); 9] = [
    ("ref", "reference designator"),
    ("step", "which measurement of the part, as in the results"),
    ("kind", "kind of part"),
    ("listed", "value as the parts list writes it"),
    ("material", "what it is made of, if stated"),
    (
        "rating",
        "voltage, power and safety class, as far as stated",
    ),
    ("role", "what it does, as the list words it"),
    ("in_circuit", "yes or no, from the parts list"),
    ("standing", "where the part stands, in words"),
];

/// The columns of each quantity, without the unit that ends their names, and what they hold.
const NUMBERS: [(&str, &str); 9] = [
    ("nominal", "nominal value"),
    ("lower", "lower limit, empty where there is none"),
    ("upper", "upper limit, empty where there is none"),
    ("before", "value of the part that was found"),
    ("before_uncertainty", "its standard uncertainty, k = 1"),
    (
        "after",
        "last value of the part that is in now; the same as before if it was measured once",
    ),
    ("after_uncertainty", "its standard uncertainty, k = 1"),
    ("bag", "value of the part from that bag, before it went in"),
    ("bag_uncertainty", "its standard uncertainty, k = 1"),
];

/// The columns of each of the two measurements behind `before_` and `after_`, and what they hold.
const MEASURED: [(&str, &str); 7] = [
    ("time", "when it settled, RFC 3339"),
    ("found", "value, open, or beyond range"),
    ("verdict", "the verdict"),
    ("reason", "why"),
    ("checks", "what else was looked at"),
    ("rule", "decision rule"),
    ("meter", "profile of the meter, if the recording tells"),
];

/// The last columns, and what they hold.
const DECIDED: [(&str, &str); 7] = [
    ("decision", "the decision that counts, if there is one"),
    ("decision_time", "when it was made"),
    ("decision_reason", "why, in the person's words"),
    ("article", "what is to be ordered or was fitted"),
    ("bag", "the bag that the fitted part came from"),
    (
        "bag_verdict",
        "the verdict on that bag before its part went in; `not in incoming.csv` if it is not there",
    ),
    ("bag_time", "when that value settled"),
];

/// The columns of the report as CSV, in order, and what they hold. Values are in the SI unit that ends the name.
pub fn report_columns() -> Vec<(String, &'static str)> {
    let plain = |columns: &[(&str, &'static str)]| -> Vec<(String, &'static str)> {
        let owned = columns
            .iter()
            .map(|(name, what)| ((*name).to_owned(), *what));
        owned.collect()
    };
    let mut columns = plain(&WHAT);
    for quantity in Quantity::ALL {
        let unit = quantity.unit_name();
        columns.extend(NUMBERS.map(|(name, what)| (format!("{name}_{unit}"), what)));
    }
    for when in ["before", "after"] {
        columns.extend(MEASURED.map(|(name, what)| (format!("{when}_{name}"), what)));
    }
    columns.extend(plain(&DECIDED));
    columns
}

/// The report as CSV (RFC 4180): a row for each step of each part, in the order of the list.
pub fn table(facts: &Facts<'_>) -> Vec<u8> {
    let mut writer = csv_writer(Vec::new());
    let accounts = facts.accounts();
    let mut write = || {
        writer.write_record(report_columns().iter().map(|(name, _)| name))?;
        let mut rows = step_rows(&accounts).into_iter();
        rows.try_for_each(|row| writer.write_record(cells(&row, facts)))
    };
    write().expect("memory takes every row");
    writer.into_inner().expect("memory takes every row")
}

fn cells(row: &StepRow<'_, '_>, facts: &Facts<'_>) -> Vec<String> {
    let part = row.part();
    let mut cells = vec![
        cell(&part.designator),
        row.step.clone(),
        part.kind.name().to_owned(),
        cell(&part.value_text),
        part.material
            .map_or("", |material| material.name())
            .to_owned(),
        part.rating.to_string(),
        cell(&part.role),
        if part.in_circuit { "yes" } else { "no" }.to_owned(),
        row.account.standing().words().to_owned(),
    ];
    for quantity in Quantity::ALL {
        cells.extend(numbers(row, quantity, facts));
    }
    cells.extend(measured(row.before, facts));
    cells.extend(measured(row.after, facts));
    cells.extend(decided(row, facts));
    cells
}

fn numbers(
    row: &StepRow<'_, '_>,
    quantity: Quantity,
    facts: &Facts<'_>,
) -> [String; NUMBERS.len()] {
    let shown = |value: Option<f64>| value.map(number).unwrap_or_default();
    let target = row.target().filter(|target| target.quantity == quantity);
    let of = |measurement: Option<&Measurement>| {
        let figures = measurement?.figures?;
        (figures.quantity == quantity).then_some(figures)
    };
    let (before, after) = (of(row.before), of(row.after));
    let bag = bag(row, facts).filter(|bag| bag.quantity == quantity);
    [
        shown(target.and_then(|target| target.nominal)),
        shown(target.and_then(|target| target.lower)),
        shown(target.and_then(|target| target.upper)),
        shown(before.and_then(|figures| figures.value)),
        shown(before.and_then(|figures| figures.uncertainty)),
        shown(after.and_then(|figures| figures.value)),
        shown(after.and_then(|figures| figures.uncertainty)),
        shown(bag.and_then(|bag| bag.value)),
        shown(bag.and_then(|bag| bag.uncertainty)),
    ]
}

fn measured(one: Option<&Measurement>, facts: &Facts<'_>) -> [String; MEASURED.len()] {
    one.map_or_else(Default::default, |one| {
        [
            one.time.to_rfc3339_opts(SecondsFormat::Millis, false),
            found(one.found).to_owned(),
            one.verdict.name().to_owned(),
            cell(&one.reason),
            cell(&one.checks),
            cell(&one.rule),
            cell(facts.meter_of(one).unwrap_or_default()),
        ]
    })
}

/// The bag that the decision that counts names, if it was measured.
fn bag<'a>(row: &StepRow<'_, '_>, facts: &Facts<'a>) -> Option<&'a Bag> {
    facts.bags.bag(row.account.decision()?.bag?)
}

fn decided(row: &StepRow<'_, '_>, facts: &Facts<'_>) -> [String; DECIDED.len()] {
    row.account
        .decision()
        .map_or_else(Default::default, |decision| {
            let found = bag(row, facts);
            let verdict = match (decision.bag, found) {
                (Some(_), Some(bag)) => bag.verdict.name(),
                (Some(_), None) => "not in incoming.csv",
                (None, _) => "",
            };
            let settled = found.map(|bag| bag.time.to_rfc3339_opts(SecondsFormat::Millis, false));
            let [time, _, choice, reason, article, bag] = decision.row();
            [
                choice,
                time,
                reason,
                article,
                bag,
                verdict.to_owned(),
                settled.unwrap_or_default(),
            ]
        })
}
