//! [`most_telling`]: the touch of a sitting that shows best what settling looks like.

use anyhow::Result;

use crate::bench::recorded::Recorded;
use crate::engine::parts::Step;
use crate::engine::probing::Finding;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::{Live, Plan, Record, What};
use crate::views::report::owner::{Touch, TouchPoint};

/// No more readings of a touch are kept than this; a longer one is none that settled.
const MOST: usize = 20_000;

/// Of the touches of this sitting and `best` the one that has most to show.
pub(super) fn most_telling(recorded: &Recorded, mut best: Option<Touch>) -> Result<Option<Touch>> {
    let plan = recorded.plan()?;
    let sitting = recorded.name();
    let mut readings: Vec<(Stamp, Quantity, f64)> = Vec::new();
    recorded.play(
        plan.clone(),
        |_| (),
        |event| {
            match &event.what {
                What::Reading(Live {
                    quantity,
                    value: Some(value),
                    ..
                }) if readings.len() < MOST => readings.push((event.at, *quantity, *value)),
                What::Lifted | What::InHand { .. } => readings.clear(),
                What::Judged(record) => {
                    let touch = touch(&plan, record, &readings, &sitting);
                    best = better(best.take(), touch);
                }
                _ => {}
            }
            Ok(())
        },
    )?;
    Ok(best)
}

fn better(best: Option<Touch>, other: Option<Touch>) -> Option<Touch> {
    let telling = |touch: &Option<Touch>| touch.as_ref().map_or(0.0, Touch::telling);
    if telling(&other) > telling(&best) {
        other
    } else {
        best
    }
}

/// The touch that a record came of; `None` if it yielded no value.
fn touch(
    plan: &Plan,
    record: &Record,
    readings: &[(Stamp, Quantity, f64)],
    sitting: &str,
) -> Option<Touch> {
    let part = &plan.parts()[record.part];
    let settled = &record.settled;
    let Finding::Value(estimate) = settled.finding else {
        return None;
    };
    let own = settled.quantity == part.nominal.quantity() && part.step == Step::Value;
    let of_touch = readings.iter().filter(|(at, quantity, _)| {
        (settled.contact..=settled.at).contains(at) && *quantity == settled.quantity
    });
    own.then(|| Touch {
        title: part.title(),
        sitting: sitting.to_owned(),
        quantity: settled.quantity,
        points: of_touch
            .map(|(at, _, value)| TouchPoint {
                at_s: at.since(settled.contact).as_secs_f64(),
                value: *value,
            })
            .collect(),
        settled_s: settled.at.since(settled.contact).as_secs_f64(),
        value: estimate.value,
        uncertainty: estimate.standard_uncertainty,
        band: record.row.band,
    })
}
