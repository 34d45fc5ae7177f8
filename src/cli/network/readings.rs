//! Readings in circuit, from the results of a job.

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
        let Some(ends) = ends(wired, &row.designator) else {
            continue;
        };
        match (row.found, row.value) {
            (Found::Value, Some(value)) => readings.add(ends, Read::Ohms(value)),
            (Found::Open | Found::BeyondRange, _) => {
                readings.add(ends, Read::Beyond(range));
            }
            (Found::Value, None) => {}
        }
    }
    Ok(readings)
}

/// The nodes that a reading across a part is between; `None` if it is not in the network. Of a potentiometer whose wiper is joined they are
/// the ends of its track, between which no element lies.
fn ends(wired: &Wired, designator: &str) -> Option<[usize; 2]> {
    let is_it = |part: &usize| {
        wired.list()[*part]
            .designator
            .eq_ignore_ascii_case(designator)
    };
    let mut parts = wired.network.elements().iter().map(|element| element.part);
    let [from, to] = wired.network.nodes().of_part(parts.find(is_it)?);
    Some([from?, to?])
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
