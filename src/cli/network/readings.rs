//! What was read in circuit, from the results of a job.

use anyhow::Result;

use super::Wired;
use crate::bench::profile::text;
use crate::books::ledger::{Choice, counting};
use crate::engine::judge::Found;
use crate::engine::meter::Profile;
use crate::engine::network::{Read, Readings};
use crate::engine::parts::Step;
use crate::engine::quantity::Quantity;

/// The end of a range that nobody knows, Ω: no ohmmeter ends below (common practice, no source).
const LEAST_RANGE: f64 = 1e6;

/// The last reading across each part that is in circuit. What was read before a part was fitted is of another circuit.
pub(super) fn of_job(wired: &Wired) -> Result<Readings> {
    let range = range(wired)?;
    let fitted = wired
        .book
        .decisions
        .iter()
        .filter(|one| one.choice == Choice::Fitted);
    let since = fitted.map(|one| one.time).max();
    let mut readings = Readings::default();
    for row in counting(&wired.book.measurements) {
        let counts =
            row.in_circuit && row.step == Step::Value && row.quantity == Quantity::Resistance;
        if !counts || since.is_some_and(|since| row.time < since) {
            continue;
        }
        let mut elements = wired.network.elements().iter();
        let Some(element) = elements.find(|element| {
            element.half.is_none()
                && wired.list()[element.part]
                    .designator
                    .eq_ignore_ascii_case(&row.designator)
        }) else {
            continue;
        };
        match (row.found, row.value) {
            (Found::Value, Some(value)) => readings.add(element.ends, Read::Ohms(value)),
            (Found::Open | Found::BeyondRange, _) => {
                readings.add(element.ends, Read::Beyond(range));
            }
            (Found::Value, None) => {}
        }
    }
    Ok(readings)
}

/// The end of the range of the job's meter, Ω.
fn range(wired: &Wired) -> Result<f64> {
    let Some(name) = &wired.book.settings.meter.profile else {
        return Ok(LEAST_RANGE);
    };
    let profile = Profile::parse(&text(name)?, name)?;
    let function = profile.function(Quantity::Resistance);
    let last = function.and_then(|function| function.ranges.last());
    Ok(last.map_or(LEAST_RANGE, |range| range.up_to))
}
