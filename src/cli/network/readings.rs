//! [`Taken`]: readings in circuit, and what stands about its parts, from the results of a job.

use std::collections::BTreeMap;

use anyhow::Result;

use super::Wired;
use crate::bench::profile::text;
use crate::books::ledger::{Choice, Row, counting};
use crate::engine::judge::{Found, Verdict, WITH_LIFTED};
use crate::engine::meter::Profile;
use crate::engine::network::{Read, Readings};
use crate::engine::parts::Step;
use crate::engine::quantity::Quantity;
use crate::engine::sitting::{LEAST_RANGE, range_end};

/// Readings of its network in the rows of a job.
pub(in crate::cli) struct Taken {
    /// The last reading across each part that is in circuit, and between each two places that were read. What was read before a part was
    /// fitted, or while a lead was lifted, is of another circuit.
    pub(in crate::cli) readings: Readings,
    /// The verdicts that stand on parts, by their places in the list: on own values, and on parts that were measured by themselves since
    /// they were read in circuit.
    pub(in crate::cli) known: BTreeMap<usize, Verdict>,
}

impl Taken {
    pub(in crate::cli) fn of_job(wired: &Wired) -> Result<Self> {
        let fitted = wired
            .book
            .decisions
            .iter()
            .filter(|one| one.choice == Choice::Fitted);
        let since = fitted.map(|one| one.time).max();
        let mut taken = Self {
            readings: Readings::default(),
            known: BTreeMap::new(),
        };
        for row in counting(&wired.book.measurements) {
            let is_resistance = row.quantity == Quantity::Resistance;
            if is_resistance && since.is_none_or(|since| row.time >= since) {
                taken.take(wired, row)?;
            }
        }
        Ok(taken)
    }

    fn take(&mut self, wired: &Wired, row: &Row) -> Result<()> {
        if row.step == Step::Own || (row.step == Step::Value && !row.in_circuit) {
            let part = place(wired, &row.designator);
            match (part, row.verdict) {
                (None, _) => {}
                (Some(part), Verdict::Inconclusive) => drop(self.known.remove(&part)),
                (Some(part), verdict) => drop(self.known.insert(part, verdict)),
            }
            return Ok(());
        }
        let is_other = row
            .checks
            .iter()
            .any(|check| check.words.starts_with(WITH_LIFTED));
        let ends = match row.step {
            _ if is_other || !row.in_circuit => None,
            Step::Value => ends(wired, &row.designator),
            Step::Between => wired.network.pair_named(&row.designator),
            _ => None,
        };
        let Some(ends) = ends else { return Ok(()) };
        match (row.found, row.value) {
            (Found::Value, Some(value)) => self.readings.add(ends, Read::Ohms(value)),
            (Found::Open | Found::BeyondRange, _) => {
                self.readings.add(ends, Read::Beyond(range(wired)?));
            }
            (Found::Value, None) => return Ok(()),
        }
        let nodes = wired.network.nodes();
        let across = |part: usize| {
            let at = nodes.of_part(part);
            let [a, b] = ends.map(Some);
            at == [a, b] || at == [b, a]
        };
        self.known.retain(|part, _| !across(*part));
        Ok(())
    }
}

/// The place of a part of the network in the list.
fn place(wired: &Wired, designator: &str) -> Option<usize> {
    let is_it = |part: &usize| {
        wired.list()[*part]
            .designator
            .eq_ignore_ascii_case(designator)
    };
    let mut parts = wired.network.elements().iter().map(|element| element.part);
    parts.find(is_it)
}

/// The nodes that a reading across a part is between; `None` if it is not in the network. Of a potentiometer whose wiper is joined they are
/// the ends of its track, between which no element lies.
fn ends(wired: &Wired, designator: &str) -> Option<[usize; 2]> {
    let [from, to] = wired.network.nodes().of_part(place(wired, designator)?);
    Some([from?, to?])
}

/// The end of the range of the job's meter, Ω.
fn range(wired: &Wired) -> Result<f64> {
    let name = wired.book.settings.meter.profile.as_deref();
    name.map_or(Ok(LEAST_RANGE), |name| {
        Ok(range_end(&Profile::parse(&text(name)?, name)?))
    })
}
