//! Readings in circuit, from the results of a job.

use anyhow::Result;

use super::Wired;
use crate::bench::profile::text;
use crate::books::ledger::{Choice, counting};
use crate::engine::judge::{Found, WITH_LIFTED};
use crate::engine::meter::Profile;
use crate::engine::network::{Read, Readings};
use crate::engine::parts::Step;
use crate::engine::quantity::Quantity;
use crate::engine::sitting::{LEAST_RANGE, range_end};

/// The last reading across each part that is in circuit, and between each two places that were read. What was read before a part was fitted,
/// or while a lead was lifted, is of another circuit.
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
        let is_resistance = row.in_circuit && row.quantity == Quantity::Resistance;
        let is_other = row
            .checks
            .iter()
            .any(|check| check.words.starts_with(WITH_LIFTED));
        if !is_resistance || is_other || since.is_some_and(|since| row.time < since) {
            continue;
        }
        let ends = match row.step {
            Step::Value => ends(wired, &row.designator),
            Step::Between => wired.network.pair_named(&row.designator),
            _ => None,
        };
        let Some(ends) = ends else { continue };
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
    let name = wired.book.settings.meter.profile.as_deref();
    name.map_or(Ok(LEAST_RANGE), |name| {
        Ok(range_end(&Profile::parse(&text(name)?, name)?))
    })
}
