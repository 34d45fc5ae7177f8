//! The events and the state of a whole sitting at a simulated meter.

use probewright::face::engine::meter::shipped_profile;
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Command, Input, Plan, Setup, Sitting, What};
use probewright::face::views::state::{Item, State};

const PARTS: &str = "\
ref,kind,value,tolerance
R1,resistor,4K7,10%
R2,resistor,220k,10%
R3,resistor,330R,5%
R4,resistor,1k,10%
";

/// A sitting as it begins, and all its items: R1 passes, R2 fails, R3 is left out, R4 is open.
fn items() -> (State, Vec<Item>) {
    let profile = shipped_profile("talk-only-line-meter").unwrap();
    let setup = Setup::of(PARTS, profile.name, profile.text);
    let setup = setup.with_file(Setup::JOB, "title = \"a test\"\n");
    let plan = Plan::of(&setup).unwrap();
    let began = chrono::DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
    let plan = plan.of_sitting("evening", began);
    let start = State::begin(&plan);
    let mut state = start.clone();
    let mut items: Vec<Item> = Vec::new();
    let mut sitting = Sitting::begin(plan.clone());
    let mut at = 0;
    let mut give = |input: Input<'_>| {
        at += 100_000;
        sitting.handle(Stamp::from_micros(at), input, &mut |event| {
            let item = state.next_item(&event);
            state.apply(&item);
            items.push(item);
        });
    };
    give(Input::LinkUp);
    let mut show = |line: &str, times: usize| {
        for _ in 0..times {
            give(Input::Bytes(format!("{line}\r\n").as_bytes()));
        }
    };
    show("OL OHM", 5);
    show("4712 OHM", 30);
    show("OL OHM", 5);
    show("301000 OHM", 30);
    show("OL OHM", 5);
    give(Input::Command(&Command::Skip));
    give(Input::Command(&Command::On));
    for _ in 0..60 {
        give(Input::Bytes(b"OL OHM\r\n"));
    }
    give(Input::Command(&Command::End));
    (start, items)
}

#[test]
fn items_are_numbered_without_gaps_from_the_first_to_the_last() {
    let (start, items) = items();
    assert_eq!((start.title.as_str(), start.progress.parts), ("a test", 4));
    assert!(matches!(items.last().unwrap().event.what, What::Ended(_)));
    for (id, item) in (1..).zip(&items) {
        assert_eq!(item.id, id);
    }
    assert!(
        items
            .windows(2)
            .all(|pair| pair[0].event.at <= pair[1].event.at)
    );
}

#[test]
fn progress_counts_as_the_engine_does() {
    let (_, items) = items();
    let told: Vec<_> = items
        .iter()
        .filter_map(|item| match &item.event.what {
            What::Progress(progress) => Some(progress),
            _ => None,
        })
        .collect();
    let What::Ended(ended) = &items.last().unwrap().event.what else {
        panic!("no end");
    };
    assert_eq!(told.last().unwrap(), &ended);
    let counts = ended.counts;
    assert_eq!(
        (counts.pass, counts.fail, counts.skipped, counts.not_reached),
        (1, 2, 1, 0),
        "{ended:?}"
    );
    assert_eq!((ended.parts, ended.done), (4, 4));
    assert_eq!(ended.left_s, Some(0.0));
}

#[test]
fn a_view_that_joins_late_shows_the_same_at_every_item() {
    let (mut whole, items) = items();
    let mut late: Vec<State> = Vec::new();
    for item in &items {
        whole.apply(item);
        for state in &mut late {
            state.apply(item);
        }
        // Through JSON, as to another process.
        if item.id.is_multiple_of(20) {
            let json = serde_json::to_string(&whole).unwrap();
            late.push(serde_json::from_str(&json).unwrap());
        }
        assert!(late.iter().all(|state| *state == whole));
    }
    assert_eq!(whole.last[0].row.title(), "R4");
    assert_eq!(whole.last.len(), 3);
}

#[test]
fn a_reading_carries_no_text() {
    let (_, items) = items();
    let readings: Vec<Item> = items
        .into_iter()
        .filter(|item| matches!(item.event.what, What::Reading(_)))
        .collect();
    assert!(readings.len() > 100);
    assert!(readings.iter().all(|item| item.line.is_none()));
    let json = serde_json::to_string(&readings[8]).unwrap();
    assert_eq!(
        json,
        format!(
            r#"{{"version":3,"id":{},"at_us":{},"news":{{"what":"reading","quantity":"resistance","value":4712.0,"overload":false,"touching":true}}}}"#,
            readings[8].id,
            readings[8].event.at.micros()
        )
    );
}
