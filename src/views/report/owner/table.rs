//! [`table`]: the report for spreadsheets, a row for each step of each part.

use super::{Facts, StepRow};
use crate::books::batch::Bag;
use crate::books::ledger::Row;
use crate::books::results::{cell_of, number};
use crate::engine::quantity::Quantity;
use crate::engine::source::{cell, csv_writer};

/// The first columns, and what they hold. Numbers are in the unit of their row.
const WHAT: [(&str, &str); 15] = [
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
    (
        "group",
        "the sub-assembly that it belongs to, empty if not stated",
    ),
    ("in_circuit", "yes or no, from the parts list"),
    ("standing", "where the part stands, in words"),
    ("quantity", "what the numbers are of"),
    ("unit", "their SI unit"),
    ("nominal", "nominal value"),
    ("lower", "lower limit, empty where there is none"),
    ("upper", "upper limit, empty where there is none"),
];

/// The columns of each of the two measurements behind `before_` and `after_`, and what they hold: the part that was found, and
/// the last one of the part now fitted, the same as before if it was measured once.
const MEASURED: [(&str, &str); 10] = [
    ("time", "when it settled, RFC 3339"),
    ("found", "value, open, or beyond range"),
    ("value", "what was judged, after every correction"),
    ("uncertainty", "its standard uncertainty, k = 1"),
    ("verdict", "the verdict"),
    ("reason", "why, from what decided"),
    ("checks", "what else was looked at"),
    ("policy", "what the policy did"),
    ("rule", "decision rule"),
    ("meter", "profile of the meter, if the recording tells"),
];

/// The last columns, and what they hold.
const DECIDED: [(&str, &str); 9] = [
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
    ("bag_value", "what was judged of the part from that bag"),
    ("bag_uncertainty", "its standard uncertainty, k = 1"),
];

/// The columns of the report as CSV, in order, and what they hold. Numbers are in the SI unit of their row.
pub fn report_columns() -> Vec<(String, &'static str)> {
    let plain = |columns: &[(&str, &'static str)]| -> Vec<(String, &'static str)> {
        let owned = columns
            .iter()
            .map(|(name, what)| ((*name).to_owned(), *what));
        owned.collect()
    };
    let mut columns = plain(&WHAT);
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
        let mut rows = accounts.iter().flat_map(StepRow::of);
        rows.try_for_each(|row| writer.write_record(cells(&row, facts)))
    };
    write().expect("memory takes every row");
    writer.into_inner().expect("memory takes every row")
}

fn cells(row: &StepRow<'_, '_>, facts: &Facts<'_>) -> Vec<String> {
    let part = row.part();
    let mut cells = vec![
        cell(&part.designator),
        row.step.to_string(),
        part.kind.name().to_owned(),
        cell(&part.value_text),
        part.material
            .map_or("", |material| material.name())
            .to_owned(),
        part.rating.to_string(),
        cell(&part.role),
        cell(&part.group),
        if part.in_circuit { "yes" } else { "no" }.to_owned(),
        row.account.standing().words().to_owned(),
    ];
    let target = row.target();
    let [lower, upper] = target.map_or([None; 2], |target| target.band.limits());
    let quantity = target.map(|target| target.quantity);
    cells.extend([
        quantity.map_or("", Quantity::name).to_owned(),
        quantity.map_or("", Quantity::unit_name).to_owned(),
        shown(target.map(|target| target.nominal)),
        shown(lower),
        shown(upper),
    ]);
    for one in [row.before, row.after] {
        cells.extend(measured(
            MEASURED.map(|(name, _)| name),
            one,
            quantity,
            facts,
        ));
    }
    cells.extend(decided(row, quantity, facts));
    cells
}

fn shown(value: Option<f64>) -> String {
    value.map(number).unwrap_or_default()
}

/// The cells of a measurement in these columns; no numbers of another quantity than the others of the step, since the list was
/// changed.
fn measured<const N: usize>(
    columns: [&str; N],
    one: Option<&Row>,
    quantity: Option<Quantity>,
    facts: &Facts<'_>,
) -> [String; N] {
    let of = |column, one: &Row| match column {
        "meter" => cell(facts.meter_of(one).unwrap_or_default()),
        "value" | "uncertainty" if quantity != Some(one.quantity) => String::new(),
        column => cell_of(column, one),
    };
    columns.map(|column| one.map_or_else(String::new, |one| of(column, one)))
}

/// The bag that the decision that counts names, if it was measured.
fn bag<'a>(row: &StepRow<'_, '_>, facts: &Facts<'a>) -> Option<&'a Bag> {
    facts.bags.bag(row.account.decision()?.bag?)
}

fn decided(
    row: &StepRow<'_, '_>,
    quantity: Option<Quantity>,
    facts: &Facts<'_>,
) -> [String; DECIDED.len()] {
    row.account
        .decision()
        .map_or_else(Default::default, |decision| {
            let found = bag(row, facts);
            let verdict = match (decision.bag, found) {
                (Some(_), Some(bag)) => bag.row.verdict.name(),
                (Some(_), None) => "not in incoming.csv",
                (None, _) => "",
            };
            let bag_row = found.map(|bag| &bag.row);
            let of_bag = ["time", "value", "uncertainty"];
            let [bag_time, bag_value, bag_uncertainty] = measured(of_bag, bag_row, quantity, facts);
            let [time, _, choice, reason, article, bag] = decision.row();
            [
                choice,
                time,
                reason,
                article,
                bag,
                verdict.to_owned(),
                bag_time,
                bag_value,
                bag_uncertainty,
            ]
        })
}
