//! Readings with no lead lifted: how much they tell and how often it is wrong, and how long that takes.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

use divan::{Bencher, black_box};
use fastrand::Rng;
use probewright::face::engine::impedance::Uncertain;
use probewright::face::engine::judge::{LoopFacts, Loops};
use probewright::face::engine::network::{
    Branch, Network, Read, Readings, own_values, resistances,
};
use probewright::face::engine::parts::{ListSettings, Part, read};
use probewright::face::views::report::diagram::Diagram;

#[path = "../../tests/in_circuit_statistics.rs"]
mod in_circuit_statistics;
#[path = "../../tests/invented_chassis.rs"]
pub(crate) mod invented_chassis;

use in_circuit_statistics::Counts;
use invented_chassis::Trouble;

/// Seeded chassis of each sort.
const CHASSIS: u64 = 1000;

#[divan::bench(sample_count = 1)]
fn a_thousand_chassis_with_complete_lists() {
    let counts = Counts::of(CHASSIS, Trouble::None);
    eprintln!("complete: {counts:?}");
    counts.hold_for_a_complete_list();
}

#[divan::bench(sample_count = 1)]
fn a_thousand_chassis_with_a_tenth_of_the_list_missing() {
    let counts = Counts::of(CHASSIS, Trouble::Missing);
    eprintln!("a tenth missing: {counts:?}");
    counts.hold_in_trouble();
}

#[divan::bench(sample_count = 1)]
fn a_thousand_chassis_with_leaking_capacitors() {
    let counts = Counts::of(CHASSIS, Trouble::Leaks);
    eprintln!("leaks: {counts:?}");
    counts.hold_in_trouble();
}

/// A list of so many nodes and twice as many resistors that hangs together, 1 kΩ to 100 kΩ.
fn list(nodes: usize) -> Vec<Part> {
    let mut rng = Rng::with_seed(nodes as u64);
    let mut pairs: Vec<[usize; 2]> = (1..nodes).map(|node| [node, rng.usize(..node)]).collect();
    while pairs.len() < 2 * nodes {
        let pair = [rng.usize(..nodes), rng.usize(..nodes)];
        if pair[0] != pair[1] && !pairs.contains(&pair) && !pairs.contains(&[pair[1], pair[0]]) {
            pairs.push(pair);
        }
    }
    let mut text = "ref,kind,value,from,to\n".to_owned();
    for (number, [a, b]) in pairs.into_iter().enumerate() {
        let ohms = 1e3 * libm::pow(100.0, rng.f64());
        writeln!(text, "R{number},resistor,{ohms:.0},node {a},node {b}").expect("a string");
    }
    let list = read(text.as_bytes(), &ListSettings::default());
    list.expect("a list").parts
}

/// Runs it, but says so if it took longer.
fn within<T>(limit: Duration, run: impl Fn() -> T) -> T {
    let begun = Instant::now();
    let result = run();
    let took = begun.elapsed();
    assert!(took < limit, "took {took:?}, expected less than {limit:?}");
    result
}

#[divan::bench(args = [50, 100, 200, 400])]
fn expected_readings(bencher: Bencher, nodes: usize) {
    let network = Network::of(&list(nodes));
    let groups = network.groups(|_| true);
    if nodes == 200 {
        within(Duration::from_millis(20), || network.expected(&groups));
    }
    bencher.bench_local(|| black_box(network.expected(&groups)));
}

#[divan::bench(args = [50, 100, 200, 400], sample_count = 10)]
fn joint_estimate(bencher: Bencher, nodes: usize) {
    let list = list(nodes);
    let network = Network::of(&list);
    let mut rng = Rng::with_seed(1);
    let branches = network.elements().iter().map(|element| Branch {
        ends: element.ends,
        siemens: (0.9 + 0.3 * rng.f64()) / list[element.part].nominal.value(),
    });
    let branches: Vec<Branch> = branches.collect();
    let mut readings = Readings::default();
    for branch in &branches {
        let ohms = resistances(nodes, &branches, &[branch.ends])[0].expect("joined");
        readings.add(branch.ends, Read::Ohms(Uncertain::new(ohms, 5e-4 * ohms)));
    }
    let owns = own_values(&network, &readings);
    assert!(owns.iter().any(|own| own.siemens.is_some()), "no estimate");
    if nodes == 200 {
        within(Duration::from_millis(100), || {
            own_values(&network, &readings)
        });
    }
    bencher.bench_local(|| black_box(own_values(&network, &readings)));
}

#[divan::bench(args = [50, 100, 200, 400], sample_count = 10)]
fn picture(bencher: Bencher, nodes: usize) {
    let list = list(nodes);
    let network = Network::of(&list);
    let mut readings = Readings::default();
    for element in network.elements() {
        readings.add(element.ends, Read::Ohms(Uncertain::new(10e3, 5.0)));
    }
    let facts = LoopFacts {
        list: &list,
        network: &network,
        owns: &own_values(&network, &readings),
        judged: &[],
        leads: &[],
        contradiction: None,
        known: &BTreeMap::new(),
    };
    let draw = || Diagram::of(&Loops::of(&facts)).file("picture");
    if nodes == 200 {
        within(Duration::from_millis(100), draw);
    }
    bencher.bench_local(|| black_box(draw()));
}
