//! Proof that a reading in circuit can give.
//!
//! A passive parallel path can only lower a resistance (Rayleigh's monotonicity law: P. G. Doyle and J. L. Snell, Random Walks and
//! Electric Networks, section 1.4). So a resistance above its band is proof of a fault, but for what the contacts of the probes add, and
//! one below it is none. A value inside the band proves one limit only.
//!
//! Capacitors beside a capacitor can only raise it, but a coil lowers it, so that neither side proves anything; unless the list has
//! everything that is joined there, and no coil or winding is in a loop with it.
//!
//! A parallel path can only raise a current, so one below its largest is proof. An inductance it lowers if it is a coil and raises if it is a
//! capacitor, so neither side proves anything. A voltage is measured in circuit and nowhere else; of a ratio nothing is said here.

use std::collections::BTreeSet;

use super::check::{Aspect, Check};
use super::conditions::Conditions;
use super::grounds::Grounds;
use super::verdict::{Reason, Side, Verdict};
use crate::engine::impedance::Uncertain;
use crate::engine::network::Network;
use crate::engine::parts::{Kind, Part};
use crate::engine::quantity::{Band, Quantity};

/// Largest addition of contacts to a resistance that is read in circuit, Ω (common practice, no source).
pub(super) const CONTACT_OHMS: f64 = 0.5;

/// Verdict left of one on an isolated part when the part is still in circuit.
pub(super) fn weaken(
    verdict: Verdict,
    read: Uncertain,
    quantity: Quantity,
    band: Band,
) -> (Verdict, Reason) {
    let side = Side::of(read.value, band);
    match (quantity, side) {
        (Quantity::Current, Side::Inside) if band.lower() == f64::NEG_INFINITY => {
            (verdict, Reason::Value(side))
        }
        (Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio, side) => {
            (verdict, Reason::Value(side))
        }
        (Quantity::Resistance | Quantity::Inductance, Side::Low) => {
            (Verdict::Inconclusive, Reason::ParallelPathLowers)
        }
        (Quantity::Capacitance | Quantity::Inductance | Quantity::Current, Side::High) => {
            (Verdict::Inconclusive, Reason::ParallelPathRaises)
        }
        (_, Side::Inside) => (
            verdict.max(Verdict::ConditionalPass),
            Reason::ParallelPathMayHide,
        ),
        (Quantity::Capacitance, Side::Low) => (Verdict::Inconclusive, Reason::CoilMayLower),
        (Quantity::Resistance, Side::High) => {
            let surely = read.value - 2.0 * read.u - CONTACT_OHMS > band.upper();
            if surely || verdict != Verdict::Fail {
                (verdict, Reason::Value(side))
            } else {
                (Verdict::ConditionalFail, Reason::ContactsMayRaise)
            }
        }
        (Quantity::Current, Side::Low) => (verdict, Reason::Value(side)),
    }
}

/// The capacitors that no coil or winding is in a loop with, by their designators in small letters. Only where `complete` says of all parts
/// of a loop that the list has everything that is joined there, and no end of a part is without its node.
pub fn lone_capacitors(list: &[Part], complete: impl Fn(&[&Part]) -> bool) -> BTreeSet<String> {
    let network = Network::of(list);
    let mut lone = BTreeSet::new();
    if !network.unknown_ends().is_empty() {
        return lone;
    }
    let groups = network.groups(|_| true);
    for block in network.blocks(&groups).blocks {
        let members = block.iter().flat_map(|group| &groups[*group].members);
        let parts: Vec<&Part> = members
            .map(|member| &list[network.elements()[*member].part])
            .collect();
        let wound = |part: &&Part| matches!(part.kind, Kind::Coil | Kind::Winding);
        if complete(&parts) && !parts.iter().any(wound) {
            let capacitors = parts.iter().filter(|part| part.kind == Kind::Capacitor);
            lone.extend(capacitors.map(|part| part.designator.to_lowercase()));
        }
    }
    lone
}

/// Proof that a capacitor in circuit is low, where there is one.
pub(super) fn low_by_itself(
    part: &Part,
    grounds: &Grounds,
    conditions: &Conditions,
) -> Option<Check> {
    let is_low = grounds.in_circuit && grounds.verdict().1 == Reason::CoilMayLower;
    let lone = conditions
        .lone_capacitors
        .contains(&part.designator.to_lowercase());
    let value = grounds.value.filter(|_| is_low && lone)?;
    Some(Check {
        aspect: Aspect::Network,
        verdict: Some(grounds.rule.decide(value.value, value.u, grounds.band)),
        words: "low, and the list has everything there and no coil or winding in a loop with it"
            .to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::{ListSettings, read};

    /// A value on that side of a band from 90 to 110.
    fn at(side: Side) -> Uncertain {
        Uncertain::exact(match side {
            Side::Low => 50.0,
            Side::Inside => 100.0,
            Side::High => 150.0,
        })
    }

    #[test]
    fn contacts_do_not_fail_a_part() {
        let band = Band::new(0.8, 1.2).unwrap();
        let of = |ohms| {
            weaken(
                Verdict::Fail,
                Uncertain::new(ohms, 0.01),
                Quantity::Resistance,
                band,
            )
        };
        assert_eq!(
            of(1.5),
            (Verdict::ConditionalFail, Reason::ContactsMayRaise)
        );
        assert_eq!(of(1.8), (Verdict::Fail, Reason::Value(Side::High)));
    }

    #[test]
    fn a_low_capacitance_is_its_own_only_where_nothing_wound_is_in_a_loop_with_it() {
        let text = "ref,kind,value,from,to\nC1,capacitor,10n,a,b\nR1,resistor,1k,a,b\nC2,capacitor,10n,c,d\nL1,coil,1mH,d,e\nR2,resistor,1k,e,c\nC3,capacitor,1n,e,f\n";
        let list = read(text.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        let lone = lone_capacitors(&list, |_| true);
        assert_eq!(lone.into_iter().collect::<Vec<_>>(), ["c1", "c3"]);
        assert!(lone_capacitors(&list, |_| false).is_empty());
        let more = format!("{text}R3,resistor,1k,f,\n");
        let list = read(more.as_bytes(), &ListSettings::default())
            .unwrap()
            .parts;
        assert!(
            lone_capacitors(&list, |_| true).is_empty(),
            "an end without a node"
        );
    }

    #[test]
    fn a_voltage_is_judged_as_it_is_and_an_inductance_proves_nothing() {
        let band = Band::new(90.0, 110.0).unwrap();
        for side in [Side::Low, Side::Inside, Side::High] {
            let (verdict, reason) = weaken(Verdict::Pass, at(side), Quantity::Voltage, band);
            assert_eq!((verdict, reason), (Verdict::Pass, Reason::Value(side)));
        }
        for side in [Side::Low, Side::High] {
            let (verdict, _) = weaken(Verdict::Fail, at(side), Quantity::Inductance, band);
            assert_eq!(verdict, Verdict::Inconclusive);
        }
    }

    #[test]
    fn a_leakage_that_is_small_in_spite_of_parallel_paths_is_small() {
        let largest = Band::at_most(1e-3).unwrap();
        let of = |verdict, side, band| {
            weaken(
                verdict,
                Uncertain::exact(match side {
                    Side::Low => 0.5e-3,
                    Side::Inside => 1e-3,
                    Side::High => 3e-3,
                }),
                Quantity::Current,
                band,
            )
            .0
        };
        assert_eq!(
            of(Verdict::Fail, Side::High, largest),
            Verdict::Inconclusive
        );
        assert_eq!(of(Verdict::Pass, Side::Inside, largest), Verdict::Pass);
        let both = Band::new(1e-3, 2e-3).unwrap();
        assert_eq!(of(Verdict::Fail, Side::Low, both), Verdict::Fail);
        assert_eq!(
            of(Verdict::Pass, Side::Inside, both),
            Verdict::ConditionalPass
        );
    }
}
