//! One event of every kind, for the tests of all that is made of events.

use std::collections::{BTreeMap, BTreeSet};

use chrono::DateTime;
use strum::VariantArray as _;

use super::event::{Expected, WhatDiscriminants};
use super::*;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::capacitor::Direction;
use crate::engine::judge::{Aspect, Check, Found, LoopGroup, Loops, Rule, Verdict};
use crate::engine::parts::{Choice, Kind, Step, Title};
use crate::engine::probing::{Estimate, Finding, SettledValue, Signal};
use crate::engine::quantity::{Band, Quantity, Stamp};

fn title() -> Title {
    "R12".into()
}

fn entry() -> Entry {
    Entry {
        designator: title().into(),
        step: "value".to_owned(),
        kind: "resistor".to_owned(),
        listed: "4K7".to_owned(),
        nominal: "4.7 kΩ".to_owned(),
        what: "resistor 4.7 kΩ ±10 %".to_owned(),
        task: false,
        meter: None,
        from: "V1 anode".to_owned(),
        to: "HT2".to_owned(),
        group: "tone board".to_owned(),
        role: "anode load".to_owned(),
        band: limits(),
        quantity: Quantity::Resistance,
        unit: "Ω".to_owned(),
        note: String::new(),
        in_circuit: true,
        index: 3,
        of: 40,
    }
}

fn limits() -> Limits {
    Limits {
        lower: Some(4230.0),
        nominal: Some(4700.0),
        upper: None,
        words: "4.23 kΩ or more".to_owned(),
    }
}

fn charge() -> Charge {
    Charge {
        designator: "C13".to_owned(),
        volts: Some(450.0),
        coulombs: Some(0.0144),
        joules: Some(3.24),
        bleed_s: Some(30.3),
        slowest_bleed_s: None,
        words: "C13: up to 450 V".to_owned(),
    }
}

fn next() -> Vec<Next> {
    vec![Next {
        title: Title::of("C4", Step::Leakage),
        what: "capacitor 47 nF ±20 %".to_owned(),
    }]
}

pub(crate) fn judged(verdict: Verdict) -> What {
    let band = Band::new(4230.0, 5170.0).unwrap();
    let check = |aspect, verdict, words: &str| Check {
        aspect,
        verdict,
        words: words.to_owned(),
    };
    let settled = SettledValue {
        quantity: Quantity::Resistance,
        contact: Stamp::from_micros(1_000_000),
        at: Stamp::from_micros(2_200_000),
        readings: 12,
        finding: Finding::Value(Estimate::combine(4712.04, 0.1, 2.0, 0.4)),
        second: None,
    };
    What::Judged(Box::new(Record {
        part: 2,
        settled,
        row: Row {
            row: 7,
            time: DateTime::default(),
            sitting: "20561103T192530".to_owned(),
            designator: title().into(),
            step: Step::Value,
            kind: Kind::Resistor,
            listed: "4K7".to_owned(),
            in_circuit: true,
            attempt: 2,
            found: Found::Value,
            quantity: Quantity::Resistance,
            read: Some(4712.04),
            value: Some(Uncertain::new(4711.9, 2.05)),
            nominal: 4700.0,
            band,
            guard: Some(4.1),
            probability: Some(1.0),
            value_verdict: Verdict::Pass,
            verdict,
            reason: "inside its band".to_owned(),
            checks: vec![
                check(Aspect::Leads, None, "0.14 Ω taken off"),
                check(
                    Aspect::Loss,
                    Some(Verdict::Inconclusive),
                    "no limit is known",
                ),
            ],
            policy: String::new(),
            rule: Rule::GuardBand,
            readings: 12,
            rests_on: vec![6],
            withdraws: Vec::new(),
        },
    }))
}

fn summary() -> Summary {
    Summary {
        parts: 40,
        done: 3,
        counts: Counts {
            pass: 2,
            skipped: 1,
            not_reached: 37,
            ..Counts::default()
        },
        in_circuit: true,
        mean_s: Some(4.1),
        left_s: Some(151.7),
    }
}

pub(crate) fn reading(value: Option<f64>, touching: bool) -> What {
    What::Reading(Live {
        quantity: Quantity::Resistance,
        value,
        overload: value.is_none(),
        touching,
    })
}

fn of_soak() -> Vec<What> {
    let soaking = Soaking {
        title: title(),
        elapsed_s: 60.0,
        ampere: Some(1.2e-3),
        trend: Some(Direction::Falling),
        expected: Some(Expected {
            after_s: 300.0,
            low: 1e-4,
            high: 3e-4,
        }),
        verdict: Some(Verdict::Fail),
        reason: "above".to_owned(),
    };
    vec![
        What::ToSoak(Box::new(ToSoak {
            entry: entry(),
            next: next(),
            test: "450 V for 5 min".to_owned(),
            volts: 450.0,
            read_after_s: 300.0,
        })),
        What::SoakCaution {
            number: 2,
            of: 8,
            text: "One hand, dry floor.".to_owned(),
        },
        What::Heeded,
        What::Unheeded { title: title() },
        What::SoakBegun {
            title: title(),
            volts: 400.0,
            read_after_s: 300.0,
        },
        What::Soaking(Box::new(Soaking {
            trend: None,
            expected: None,
            verdict: None,
            ampere: None,
            ..soaking.clone()
        })),
        What::Soaking(Box::new(soaking)),
        What::SoakMissed { title: title() },
    ]
}

fn of_leads() -> Vec<What> {
    vec![
        What::AwaitingZero {
            meter: Some("bridge".to_owned()),
        },
        What::Zeroed {
            ohms: 0.14,
            uncertainty: 0.01,
        },
        What::NotZeroed,
        What::ZeroLater,
        What::AwaitingApart,
        What::Fixture {
            farads: 8e-12,
            ohms: 0.1,
            hertz: 1000.0,
        },
        What::NoFixture,
        What::Signalled {
            signal: Signal::Redo,
        },
    ]
}

fn of_meters() -> Vec<What> {
    let text = || "so it says".to_owned();
    let links = [LinkNews::Up, LinkNews::Lost { reason: text() }];
    let news = [
        MeterNews::Identified { text: text() },
        MeterNews::WrongMeter {
            found: text(),
            expected: None,
        },
        MeterNews::Trouble {
            code: -113,
            text: text(),
        },
        MeterNews::NotUnderstood { text: text() },
        MeterNews::Missed { bytes: 70_000 },
        MeterNews::Silent,
        MeterNews::Answering,
        MeterNews::WrongQuantity {
            expected: Quantity::Resistance,
            found: Some(Quantity::AcVoltage),
        },
        MeterNews::CannotMeasure {
            quantity: Quantity::Voltage,
            in_profile: false,
            discharge: true,
        },
    ];
    let mut all = Vec::new();
    for meter in [None, Some("bridge".to_owned())] {
        let meter = || meter.clone();
        all.extend(links.iter().cloned().map(|news| What::Link {
            meter: meter(),
            news,
        }));
        all.extend(news.iter().cloned().map(|news| What::Meter {
            meter: meter(),
            news,
        }));
    }
    all
}

fn resolve() -> Resolve {
    Resolve {
        designator: title().into(),
        choice: Choice::Replace,
        reason: "drifted".to_owned(),
        warning: None,
    }
}

/// The decision with a warning.
fn of_danger() -> Resolve {
    Resolve {
        warning: Some("no safety class".to_owned()),
        ..resolve()
    }
}

/// A loop of two parts, both in doubt.
pub(crate) fn loops() -> Loops {
    let group = |part: &str, [from, to]: [&str; 2]| LoopGroup {
        parts: vec![part.to_owned()],
        ends: [from.to_owned(), to.to_owned()],
        lower_ohm: Some(99e3),
        upper_ohm: None,
        together: false,
        share: Some(0.83),
        verdict: Some(Verdict::Inconclusive),
        suspect: true,
        lift: Some(part.to_owned()),
        reasons: vec!["low in circuit".to_owned()],
    };
    let ends = ["V1 grid", "chassis"];
    Loops {
        pieces: vec![vec![group("R12", ends), group("R13", ends)]],
        left_out: 0,
        contradiction: Some("R12 reads otherwise".to_owned()),
    }
}

fn of_decisions() -> Vec<What> {
    vec![
        What::Deciding(resolve()),
        What::Deciding(of_danger()),
        What::Decided(resolve()),
        What::Decided(of_danger()),
        What::NotDecided {
            resolve: of_danger(),
            obstacle: "no space left on device".to_owned(),
        },
    ]
}

fn of_lifted() -> Vec<What> {
    vec![
        What::Loops(Box::new(loops())),
        What::ToLift {
            leads: vec![LeadToLift {
                designator: "R12".to_owned(),
                settles: vec!["R12".to_owned(), "R13".to_owned()],
            }],
        },
        What::Lead {
            title: title(),
            lifted: true,
        },
        What::StillLifted {
            parts: vec![title().into()],
        },
    ]
}

/// Every kind at least once.
pub(crate) fn every_kind() -> Vec<What> {
    let mut all = vec![
        What::InHand {
            entry: Box::new(entry()),
            next: next(),
        },
        What::MayBeCharged(charge()),
        What::ChargeCaution,
        What::NothingLeft,
        What::ToDischarge {
            entry: Box::new(entry()),
        },
        What::AcrossCapacitor {
            title: title(),
            volts: 212.5,
            discharged: false,
            below_volt: 2.0,
        },
        What::Overridden {
            title: Some("C13".into()),
            reason: "removed".to_owned(),
            left: vec!["C14".to_owned()],
        },
        What::ToPower {
            entry: Box::new(entry()),
            next: next(),
        },
        What::PowerOff,
        reading(Some(0.1 + 0.2), true),
        reading(None, false),
        What::Contact,
        What::AwaitingOpen { title: title() },
        What::GrippedAgain {
            title: title(),
            in_hand: "R13".to_owned(),
            asked: true,
        },
        What::AtPlace {
            entry: Box::new(entry()),
            parts: vec![title().into(), "R13".to_owned()],
        },
        What::WhichPart {
            place: "V2".to_owned(),
            quantity: Quantity::Resistance,
            value: Some(4712.0),
            candidates: vec![title().into(), "R13".to_owned()],
            alike: true,
        },
        What::ReadsLike {
            title: title(),
            candidates: vec!["R13".to_owned(), "R15".to_owned()],
        },
        What::Moved {
            title: title(),
            belongs_to: "R13".to_owned(),
            choice: Some(Choice::Replace),
            reason: "drifted".to_owned(),
            check_from: Some("R9".to_owned()),
        },
        What::SettledAnew {
            title: title(),
            quantity: Quantity::Capacitance,
            before: Some(1e-7 / 3.0),
            choice: Some(Choice::Keep),
            reason: "it reads well".to_owned(),
        },
        What::Restless {
            title: title(),
            value: 1e6 / 3.0,
            quantity: Quantity::Capacitance,
        },
        What::Unsettled {
            title: title(),
            lasted_s: 4.2,
            readings: 40,
        },
        What::Lifted,
        What::Skipped { title: title() },
        What::Noted {
            title: None,
            text: "a lead is loose".to_owned(),
        },
        What::Noted {
            title: Some(title()),
            text: "cracked".to_owned(),
        },
        What::Refused {
            command: Command::Goto("R99".to_owned()),
            obstacle: Refusal::NoSuchPart,
        },
        What::Progress(Box::new(summary())),
        What::Ended(Box::new(summary())),
    ];
    all.extend(Verdict::ALL.map(judged));
    all.extend(of_soak());
    all.extend(of_leads());
    all.extend(of_lifted());
    all.extend(of_decisions());
    all.extend(of_meters());
    all
}

/// The word by which JSON names the kind.
fn word(what: &What) -> &'static str {
    WhatDiscriminants::from(what).into()
}

/// The rows of the table in the manual: the word of the event, and what the cell of its fields says.
fn table() -> BTreeMap<&'static str, &'static str> {
    let text = include_str!("../../cli/manual/events.md");
    let (_, behind) = text
        .split_once("| `what` | when | fields |\n|---|---|---|\n")
        .unwrap();
    let rows = behind.lines().take_while(|line| line.starts_with("| `"));
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        (cells[0].trim_matches('`'), cells[2])
    })
    .collect()
}

/// The fields that a cell names in backquotes: what stands in brackets is about the field before, `as X` means those of X too.
fn fields(table: &BTreeMap<&str, &'static str>, cell: &'static str) -> BTreeSet<&'static str> {
    let outside = cell
        .split('(')
        .flat_map(|piece| match piece.split_once(')') {
            Some((_, outside)) => outside.split('`').skip(1).step_by(2),
            None => piece.split('`').skip(1).step_by(2),
        });
    let mut fields: BTreeSet<&str> = outside.collect();
    if let Some(behind) = cell.strip_prefix("as `") {
        let (other, _) = behind.split_once('`').unwrap();
        fields.remove(other);
        fields.extend(self::fields(table, table[other]));
    }
    fields
}

#[test]
fn every_kind_has_an_example() {
    let examples = every_kind();
    for kind in WhatDiscriminants::VARIANTS {
        let shown = examples
            .iter()
            .any(|what| word(what) == <&str>::from(*kind));
        assert!(shown, "{kind:?}");
    }
}

#[test]
fn every_kind_reads_back_from_json_and_bears_its_word() {
    for what in every_kind() {
        let at = Stamp::from_micros(1_250_000);
        let event = Event { at, what };
        let json = serde_json::to_string(&event).unwrap();
        let begin = format!(
            r#"{{"at_us":1250000,"news":{{"what":"{}""#,
            word(&event.what)
        );
        assert!(json.starts_with(&begin), "{json}");
        assert_eq!(
            serde_json::from_str::<Event>(&json).unwrap(),
            event,
            "{json}"
        );
    }
}

#[test]
fn the_table_of_the_manual_has_every_kind_and_every_field_and_no_other() {
    let mut of_events: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for what in every_kind() {
        let json = serde_json::to_value(&what).unwrap();
        let names = json.as_object().unwrap().keys().cloned();
        let names = names.filter(|name| name != "what");
        of_events.entry(word(&what)).or_default().extend(names);
    }
    let table = table();
    let of_manual = table.iter().map(|(word, cell)| {
        let fields = fields(&table, cell).into_iter().map(str::to_owned);
        (*word, fields.collect())
    });
    let of_manual: BTreeMap<&str, BTreeSet<String>> = of_manual.collect();
    for (word, fields) in &of_events {
        assert_eq!(of_manual.get(word), Some(fields), "{word}");
    }
    assert!(of_manual.keys().eq(of_events.keys()));
}

#[test]
fn a_word_that_is_no_quantity_is_refused_with_what_was_expected() {
    let json =
        r#"{"what":"reading","quantity":"weight","value":1.0,"overload":false,"touching":true}"#;
    let error = serde_json::from_str::<What>(json).unwrap_err().to_string();
    assert!(
        error.contains("`weight`") && error.contains("`resistance`"),
        "{error}"
    );
}

#[test]
fn names_in_json_are_those_that_people_read() {
    fn check<T: serde::Serialize>(
        all: impl IntoIterator<Item = T>,
        name: impl Fn(&T) -> &'static str,
    ) {
        for one in all {
            assert_eq!(serde_json::to_value(&one).unwrap(), name(&one));
        }
    }
    check(Quantity::ALL, |quantity| quantity.name());
    check(Verdict::ALL, |verdict| verdict.name());
    check(Choice::ALL, |choice| choice.name());
    check([Signal::Redo, Signal::Skip], |signal| signal.name());
    check(
        [Direction::Falling, Direction::Level, Direction::Rising],
        |direction| direction.name(),
    );
}
