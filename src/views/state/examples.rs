//! Properties of every kind of event.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::engine::judge::Verdict;
use crate::engine::sitting::examples::{every_kind, judged, reading};
use crate::views::told::told;

fn item(id: u64, what: What) -> Item {
    let at = Stamp::from_micros(id * 20_000);
    Item::of(id, &Event { at, what })
}

fn lost(meter: Option<&str>) -> What {
    What::Link {
        meter: meter.map(str::to_owned),
        news: LinkNews::Lost {
            reason: "gone".to_owned(),
        },
    }
}

#[test]
fn every_kind_reads_back_from_json_with_its_line() {
    for (id, what) in (1..).zip(every_kind()) {
        let item = item(id, what);
        let json = serde_json::to_string(&item).unwrap();
        let begin = format!(r#"{{"version":{VERSION},"id":{id},"at_us":"#);
        assert!(json.starts_with(&begin), "{json}");
        assert_eq!(serde_json::from_str::<Item>(&json).unwrap(), item, "{json}");
    }
    let manual = include_str!("../../cli/manual/events.md");
    assert!(manual.contains(&format!("version {VERSION}")));
    let (_, table) = manual
        .split_once("| field | what it holds |\n|---|---|\n")
        .unwrap();
    let rows = table.lines().map_while(|row| row.strip_prefix("| `"));
    let told: BTreeSet<&str> = rows.filter_map(|row| row.split('`').next()).collect();
    let items = every_kind()
        .into_iter()
        .map(|what| serde_json::to_value(item(1, what)).unwrap());
    let fields = items.flat_map(|item| {
        item.as_object()
            .unwrap()
            .keys()
            .cloned()
            .collect::<Vec<_>>()
    });
    assert_eq!(
        told,
        fields
            .collect::<BTreeSet<_>>()
            .iter()
            .map(String::as_str)
            .collect()
    );
}

#[test]
fn what_is_only_told_in_its_line_has_one() {
    for what in every_kind() {
        let mut state = State::default();
        let event = Event {
            at: Stamp::ZERO,
            what,
        };
        if state.change(&event, "") {
            assert!(told(&event.what).line.is_some(), "{event:?}");
        }
    }
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
    state.apply(&item(1, reading(Some(4712.0), true)));
    assert!(state.touching());
    state.apply(&item(2, lost(None)));
    assert!(!state.touching());
    assert_eq!(state.reading, None);
}

#[test]
fn news_of_a_further_meter_leave_the_first_as_it_is_and_are_said() {
    let mut state = State::default();
    state.meter.name = Some("meter".to_owned());
    let up = What::Link {
        meter: Some("meter".to_owned()),
        news: LinkNews::Up,
    };
    state.apply(&item(1, up));
    assert_eq!((&state.link, &state.said), (&Some(LinkNews::Up), &None));
    state.apply(&item(2, reading(Some(4712.0), true)));
    state.apply(&item(3, lost(Some("bridge"))));
    assert_eq!(state.link, Some(LinkNews::Up));
    assert_eq!(
        state.reading, None,
        "what it showed does not stand any longer"
    );
    let said = state.said.map(|said| said.line.text);
    assert_eq!(
        said.as_deref(),
        Some("bridge: link lost: gone; trying again")
    );
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
                What::Reading(live) if live.value.is_some() => item(id, reading(Some(*value), true)),
                // Mostly readings, as it is at a bench.
                _ if id.is_multiple_of(2) => item(id, reading(Some(*value), *value > 0.0)),
                ref what => item(id, what.clone()),
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
