//! One item of every kind, and what must hold for all of them.

use proptest::prelude::*;

use super::*;
use crate::engine::judge::Verdict;
use crate::engine::quantity::Quantity;
use crate::views::screen::Mood;

fn entry() -> Box<Entry> {
    Box::new(Entry {
        designator: "R12".to_owned(),
        title: "R12".to_owned(),
        step: "value".to_owned(),
        kind: "resistor".to_owned(),
        listed: "4K7".to_owned(),
        what: "resistor 4.7 kΩ ±10 %".to_owned(),
        from: "V1 anode".to_owned(),
        to: "HT2".to_owned(),
        role: "anode load".to_owned(),
        band: limits(),
        quantity: Quantity::Resistance,
        unit: "Ω".to_owned(),
        note: String::new(),
        in_circuit: true,
        index: 3,
        of: 40,
    })
}

fn limits() -> Limits {
    Limits {
        lower: Some(4230.0),
        nominal: Some(4700.0),
        upper: None,
        words: "4.23 kΩ or more".to_owned(),
    }
}

fn begun() -> News {
    News::Begun {
        title: "an amplifier".to_owned(),
        began: "2056-11-03T19:25:30+01:00".to_owned(),
        profile: "scpi-multimeter".to_owned(),
        parts: 40,
        entries: 42,
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
        title: "C4 leakage".to_owned(),
        what: "capacitor 47 nF ±20 %".to_owned(),
    }]
}

fn judged(verdict: Verdict) -> News {
    News::Judged(Box::new(Judged {
        designator: "R12".to_owned(),
        title: "R12".to_owned(),
        step: "value".to_owned(),
        kind: "resistor".to_owned(),
        index: 3,
        attempt: 2,
        quantity: Quantity::Resistance,
        unit: "Ω".to_owned(),
        found: Found::Value,
        value: Some(4712.04),
        uncertainty: Some(4.1),
        compared: Some(4711.9),
        compared_uncertainty: Some(4.2),
        words: "4.7120 kΩ ± 0.0041 kΩ".to_owned(),
        band: limits(),
        verdict,
        reason: "inside its band".to_owned(),
        percent_off: Some(0.253),
        percent_of_limit: None,
        probability: Some(1.0),
        rule: "guard-band".to_owned(),
        checks: vec![
            CheckWords {
                aspect: "leads".to_owned(),
                verdict: None,
                words: "0.14 Ω taken off".to_owned(),
            },
            CheckWords {
                aspect: "loss".to_owned(),
                verdict: Some(Verdict::Inconclusive),
                words: "no limit is known".to_owned(),
            },
        ],
        readings: 12,
        seconds: 1.2,
    }))
}

fn progress() -> Progress {
    Progress {
        parts: 40,
        done: 3,
        counts: Counts {
            pass: 2,
            skipped: 1,
            not_reached: 37,
            ..Counts::default()
        },
        mean_s: Some(4.1),
        left_s: Some(151.7),
    }
}

fn live(value: Option<f64>, touching: bool) -> News {
    News::Reading(Live {
        quantity: Quantity::Resistance,
        value,
        overload: value.is_none(),
        touching,
    })
}

/// Every kind at least once.
fn every_kind() -> Vec<News> {
    let title = || "R12".to_owned();
    let mut all = vec![
        begun(),
        News::InHand {
            entry: entry(),
            next: next(),
        },
        News::MayBeCharged(charge()),
        News::ChargeCaution {
            text: "discharge".to_owned(),
        },
        News::NothingLeft,
        News::ToDischarge { entry: entry() },
        News::AcrossCapacitor {
            title: title(),
            volts: 212.5,
            discharged: false,
        },
        News::Overridden {
            reason: "removed".to_owned(),
        },
        News::ToSoak {
            entry: entry(),
            next: next(),
            test: "450 V for 5 min".to_owned(),
            volts: 450.0,
            read_after_s: 300.0,
        },
        News::SoakBegun {
            title: title(),
            volts: 400.0,
        },
        News::Soaking(Soaking {
            title: title(),
            elapsed_s: 60.0,
            ampere: Some(1.2e-3),
            trend: Some("falling".to_owned()),
            expected: Some(Expected {
                after_s: 300.0,
                low: 1e-4,
                high: 3e-4,
            }),
            verdict: Some(Verdict::Fail),
            reason: "above".to_owned(),
        }),
        News::SoakMissed { title: title() },
        live(Some(0.1 + 0.2), true),
        live(None, false),
        News::Contact,
        News::AwaitingOpen { title: title() },
        News::Restless {
            title: title(),
            value: 1e6 / 3.0,
            quantity: Quantity::Capacitance,
        },
        News::Unsettled {
            title: title(),
            seconds: 4.2,
            readings: 40,
        },
        News::Lifted,
        News::Skipped { title: title() },
        News::Noted {
            title: None,
            text: "a lead is loose".to_owned(),
        },
        News::Decided {
            designator: title(),
            choice: "replace".to_owned(),
            reason: "drifted".to_owned(),
        },
        News::Refused {
            command: "redo".to_owned(),
            why: "no part was judged yet".to_owned(),
        },
        News::Progress(progress()),
        News::Ended(progress()),
    ];
    all.extend(Verdict::ALL.map(judged));
    all.extend(of_leads());
    all.extend(of_meters());
    all
}

fn of_meters() -> Vec<News> {
    let mut all = Vec::new();
    for (way, reason) in [
        (Way::Up, None),
        (Way::Lost, Some("no such device".to_owned())),
    ] {
        for meter in [None, Some("bridge".to_owned())] {
            let reason = reason.clone();
            all.push(News::Link { way, reason, meter });
        }
    }
    for state in [
        MeterWord::Identified,
        MeterWord::WrongMeter,
        MeterWord::Trouble,
        MeterWord::NotUnderstood,
        MeterWord::Silent,
        MeterWord::Answering,
        MeterWord::WrongQuantity,
        MeterWord::CannotMeasure,
    ] {
        for meter in [None, Some("bridge".to_owned())] {
            all.push(News::Meter {
                state,
                text: "the meter is silent".to_owned(),
                meter,
            });
        }
    }
    all
}

fn of_leads() -> [News; 8] {
    [
        News::AwaitingZero,
        News::Zeroed {
            ohms: 0.14,
            uncertainty: 0.02,
        },
        News::NotZeroed,
        News::ZeroLater,
        News::AwaitingApart,
        News::Fixture {
            farads: 8e-12,
            ohms: 0.1,
            hertz: 1000.0,
        },
        News::NoFixture,
        News::Signalled {
            signal: "redo".to_owned(),
        },
    ]
}

/// The word by which JSON names the kind. A new kind does not compile before it has its example above and its word here.
fn word(news: &News) -> &'static str {
    match news {
        News::Begun { .. } => "begun",
        News::InHand { .. } => "in-hand",
        News::MayBeCharged(_) => "may-be-charged",
        News::ChargeCaution { .. } => "charge-caution",
        News::NothingLeft => "nothing-left",
        News::ToDischarge { .. } => "to-discharge",
        News::AcrossCapacitor { .. } => "across-capacitor",
        News::Overridden { .. } => "overridden",
        News::ToSoak { .. } => "to-soak",
        News::SoakBegun { .. } => "soak-begun",
        News::Soaking(_) => "soaking",
        News::SoakMissed { .. } => "soak-missed",
        News::Reading(_) => "reading",
        News::Contact => "contact",
        News::AwaitingOpen { .. } => "awaiting-open",
        News::Judged(_) => "judged",
        News::Restless { .. } => "restless",
        News::Unsettled { .. } => "unsettled",
        News::Lifted => "lifted",
        News::Skipped { .. } => "skipped",
        News::Noted { .. } => "noted",
        News::Decided { .. } => "decided",
        News::Refused { .. } => "refused",
        News::AwaitingZero => "awaiting-zero",
        News::Zeroed { .. } => "zeroed",
        News::NotZeroed => "not-zeroed",
        News::ZeroLater => "zero-later",
        News::AwaitingApart => "awaiting-apart",
        News::Fixture { .. } => "fixture",
        News::NoFixture => "no-fixture",
        News::Signalled { .. } => "signalled",
        News::Link { .. } => "link",
        News::Meter { .. } => "meter",
        News::Progress(_) => "progress",
        News::Ended(_) => "ended",
    }
}

fn item(id: u64, news: News) -> Item {
    let line = (!id.is_multiple_of(3)).then(|| format!("line {id}"));
    Item {
        version: VERSION,
        id,
        at_us: id * 20_000,
        news,
        line,
        mood: if id.is_multiple_of(2) {
            Mood::Plain
        } else {
            Mood::Doubtful
        },
    }
}

#[test]
fn every_kind_reads_back_from_json_and_bears_its_word() {
    for (id, news) in (1..).zip(every_kind()) {
        let item = item(id, news);
        let json = serde_json::to_string(&item).unwrap();
        let tag = format!(r#""news":{{"what":"{}""#, word(&item.news));
        assert!(json.contains(&tag), "{json}");
        assert_eq!(serde_json::from_str::<Item>(&json).unwrap(), item, "{json}");
    }
}

#[test]
fn the_developers_table_names_every_kind() {
    let table = include_str!("../../../DEVELOPERS.md");
    for news in every_kind() {
        let row = format!("\n| `{}` | ", word(&news));
        assert!(table.contains(&row), "{row}");
    }
    assert!(table.contains(&format!("version {VERSION}")));
}

#[test]
fn a_word_that_is_no_quantity_is_refused_with_what_was_expected() {
    let json =
        r#"{"what":"reading","quantity":"weight","value":1.0,"overload":false,"touching":true}"#;
    let error = serde_json::from_str::<News>(json).unwrap_err().to_string();
    assert!(
        error.contains("`weight`") && error.contains("`resistance`"),
        "{error}"
    );
}

#[test]
fn what_was_applied_already_is_passed_over() {
    let mut state = State::default();
    let first = item(1, judged(Verdict::Pass));
    state.apply(&first);
    let before = state.clone();
    state.apply(&first);
    assert_eq!(state, before);
    assert_eq!(state.last.len(), 1);
}

#[test]
fn a_lost_link_leaves_no_reading_standing() {
    let mut state = State::default();
    state.apply(&item(1, live(Some(4712.0), true)));
    assert!(state.touching());
    state.apply(&item(
        2,
        News::Link {
            way: Way::Lost,
            reason: None,
            meter: None,
        },
    ));
    assert!(!state.touching());
    assert_eq!(state.reading, None);
}

#[test]
fn news_of_a_further_meter_leave_the_first_as_it_is_and_are_said() {
    let mut state = State::default();
    let up = |meter| News::Link {
        way: Way::Up,
        reason: None,
        meter,
    };
    state.apply(&item(1, up(None)));
    let link = state.link.clone();
    let lost = News::Link {
        way: Way::Lost,
        reason: Some("gone".to_owned()),
        meter: Some("bridge".to_owned()),
    };
    let told = Item {
        line: Some("bridge: link lost: gone; trying again".to_owned()),
        ..item(2, lost)
    };
    state.apply(&told);
    assert_eq!(state.link, link);
    let said = state.said.map(|said| said.line);
    assert_eq!(said, told.line);
}

proptest! {
    #[test]
    fn a_state_taken_at_any_point_goes_on_like_one_made_from_the_start(
        kinds in proptest::collection::vec((0..every_kind().len(), -1e9..1e9_f64), 0..400),
        cut in 0.0..1.0_f64,
    ) {
        let all = every_kind();
        let items: Vec<Item> = (1..)
            .zip(&kinds)
            .map(|(id, (kind, value))| match all[*kind] {
                News::Reading(reading) if reading.value.is_some() => item(id, live(Some(*value), true)),
                // Mostly readings, as it is at a bench.
                _ if id.is_multiple_of(2) => item(id, live(Some(*value), *value > 0.0)),
                ref news => item(id, news.clone()),
            })
            .collect();
        let cut = (items.len() as f64 * cut) as usize;
        let mut whole = State::default();
        let mut late = State::default();
        for (i, item) in items.iter().enumerate() {
            if i == cut {
                let json = serde_json::to_string(&whole).unwrap();
                late = serde_json::from_str(&json).unwrap();
                prop_assert_eq!(&late, &whole);
            }
            whole.apply(item);
            late.apply(item);
            prop_assert!(whole.trace.points.len() <= Trace::MOST);
            prop_assert!(whole.last.len() <= 10);
        }
        prop_assert_eq!(late, whole);
    }
}
