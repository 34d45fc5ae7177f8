//! The evening with nothing unsoldered: a small chassis in a folder of its own, in which two faults are found so.

use std::io::Write;

use anyhow::Result;

use super::chassis::Chassis;
use super::weeks::{Story, heading};
use crate::books::job::Folder;
use crate::books::ledger::Book;
use crate::books::when::day;
use crate::engine::network::{Branch, Network, resistances};
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::Quantity;

const JOB: &str = include_str!("tone-unit.toml");
const PARTS: &str = include_str!("tone-unit.csv");

/// True values of its parts, in ohm or farad: R1, in no loop, and R7, in one, have drifted far up.
const REAL: [(&str, f64); 9] = [
    ("R1", 291e3),
    ("R2", 2.26e3),
    ("C1", 24.1e-6),
    ("C2", 51e-9),
    ("R3", 103.2e3),
    ("R4", 486e3),
    ("R5", 341e3),
    ("R6", 1.04e6),
    ("R7", 68.4e3),
];

/// Its folder in that of the amplifier.
const FOLDER: &str = "tone-unit";

impl Story<'_> {
    pub(super) fn evening_in_circuit(&self, out: &mut dyn Write) -> Result<()> {
        let folder = Folder::create(&self.folder.root().join(FOLDER), JOB, PARTS.as_bytes())?;
        let unit = Story::of(self.bench, &folder);
        let clock = unit.clock(3);
        let when = day(clock.begun());
        heading(
            out,
            &format!(
                "{when}, while the parcel is on its way: the tone unit, with no lead unsoldered"
            ),
        )?;
        let list = Book::open(&folder)?.list.parts;
        unit.sit(
            3,
            clock,
            &["--in-circuit"],
            |plan| Ok(as_joined(&list, plan.parts())),
            out,
        )?;
        unit.type_in(&[], clock, out)?;
        unit.type_in(&["why", "R7"], clock, out)?;
        unit.type_in(&["network", "draw"], clock, out)?;
        Ok(())
    }
}

/// The chassis as the probes find it: between two places everything that joins them.
fn as_joined(list: &[Part], plan: &[Part]) -> Chassis {
    let real = |part: &Part| {
        let mut all = REAL.iter();
        let found = all.find(|(name, _)| *name == part.designator);
        found.map_or(part.nominal.value(), |(_, value)| *value)
    };
    let network = Network::of(list);
    let conducting = network
        .elements()
        .iter()
        .filter(|element| element.is_resistive());
    let branches: Vec<Branch> = conducting
        .map(|element| Branch {
            ends: element.ends,
            siemens: 1.0 / real(&list[element.part]),
        })
        .collect();
    let between = |pair: &Part| {
        let ends = network.pair_named(&pair.designator)?;
        resistances(network.nodes().all().len(), &branches, &[ends])[0]
    };
    Chassis::of_new(plan.iter().map(|part| {
        let (quantity, value) = match part.step {
            Step::Between => (Quantity::Resistance, between(part).unwrap_or(f64::INFINITY)),
            _ => (part.measured(), real(part)),
        };
        (part.designator.clone(), quantity, value)
    }))
}
