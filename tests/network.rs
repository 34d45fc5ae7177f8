//! The network of a parts list.

use std::fmt::Write as _;

use num_complex::Complex64;
use probewright::face::engine::impedance::Uncertain;
use probewright::face::engine::network::{
    Branch, Network, Positions, Read, Readings, impedance, own_values,
};
use probewright::face::engine::parts::{ListSettings, read};

use crate::circuit_simulator::{resistors, simulate};
use crate::in_circuit_statistics::Counts;
use crate::invented_chassis::Trouble;

/// A network that hangs together, of 2 to 40 nodes and values from 1 Ω to 10 MΩ.
fn random_network(rng: &mut fastrand::Rng) -> (usize, Vec<([usize; 2], f64)>) {
    let nodes = rng.usize(2..=40);
    let tree: Vec<[usize; 2]> = (1..nodes).map(|node| [node, rng.usize(..node)]).collect();
    let more = (0..rng.usize(..=2 * nodes)).map(|_| [rng.usize(..nodes), rng.usize(..nodes)]);
    let ends: Vec<[usize; 2]> = tree
        .into_iter()
        .chain(more)
        .filter(|[a, b]| a != b)
        .collect();
    let valued = ends
        .into_iter()
        .map(|ends| (ends, libm::pow(10.0, 7.0 * rng.f64())));
    (nodes, valued.collect())
}

#[test]
fn a_circuit_simulator_finds_the_same_in_200_random_networks() {
    let mut rng = fastrand::Rng::with_seed(15);
    let mut netlist = "networks of resistors\n".to_owned();
    let mut expected = Vec::new();
    let mut prints = String::new();
    for number in 0..200 {
        let (nodes, valued) = random_network(&mut rng);
        let pair = [0, nodes - 1];
        let branches: Vec<Branch> = valued
            .iter()
            .map(|(ends, ohms)| Branch {
                ends: *ends,
                siemens: 1.0 / ohms,
            })
            .collect();
        expected.push(Positions::of(nodes, &branches).unwrap().resistance(pair));
        netlist += &resistors(&format!("k{number}"), &valued, pair);
        writeln!(prints, "print v(k{number}n0)").unwrap();
    }
    write!(
        netlist,
        ".control\nset numdgt=15\nop\n{prints}.endc\n.end\n"
    )
    .unwrap();
    let Some(found) = simulate(&netlist) else {
        return;
    };
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for ((name, found), expected) in found.into_iter().zip(expected) {
        let off = (found / expected - 1.0).abs();
        assert!(off < 1e-9, "{name}: {found} there, {expected} here");
    }
}

/// Chassis of each sort here; `cargo bench` holds the same limits over a thousand.
const FEW: u64 = 30;

#[test]
fn with_a_complete_list_nearly_all_is_known_and_right() {
    Counts::of(FEW, Trouble::None).hold_for_a_complete_list();
}

#[test]
fn with_parts_missing_no_fail_is_wrong_and_few_passes_are() {
    Counts::of(FEW, Trouble::Missing).hold_in_trouble();
}

#[test]
fn with_capacitors_that_leak_no_fail_is_wrong_and_few_passes_are() {
    Counts::of(FEW, Trouble::Leaks).hold_in_trouble();
}

/// Seeded networks of 1 Ω to 10 MΩ, read exactly: each is found again where it can be known at all.
#[test]
fn three_hundred_networks_over_seven_decades_converge() {
    let mut rng = fastrand::Rng::with_seed(300);
    for number in 0..300 {
        let (nodes, valued) = random_network(&mut rng);
        let mut text = "ref,kind,value,from,to\n".to_owned();
        let mut pairs: Vec<[usize; 2]> = Vec::new();
        let mut branches: Vec<Branch> = Vec::new();
        for ([a, b], ohms) in valued {
            let pair = [a.min(b), a.max(b)];
            if !pairs.contains(&pair) {
                writeln!(text, "R{},resistor,{ohms},n{a},n{b}", pairs.len()).unwrap();
                pairs.push(pair);
                branches.push(Branch {
                    ends: [a, b],
                    siemens: 1.0 / ohms,
                });
            }
        }
        let list = read(text.as_bytes(), &ListSettings::default()).unwrap();
        let network = Network::of(&list.parts);
        let at = Positions::of(nodes, &branches).unwrap();
        let mut readings = Readings::default();
        for (element, branch) in network.elements().iter().zip(&branches) {
            let ohms = at.resistance(branch.ends);
            readings.add(element.ends, Read::Ohms(Uncertain::new(ohms, 5e-4 * ohms)));
        }
        for own in own_values(&network, &readings) {
            // A share is told of every block that converged, and of every part in no loop.
            assert!(own.share.is_some(), "network {number}: {own:?}");
            if let Some(siemens) = own.siemens {
                let element = &network.elements()[own.group.members[0]];
                let off = siemens.value / branches[element.part].siemens - 1.0;
                assert!(off.abs() < 1e-6, "network {number}: {own:?} off {off}");
            }
        }
    }
}

/// Resistors of 1 Ω to 10 MΩ and capacitors of 10 pF to 10 µF, from 50 Hz to 100 kHz; to 1e-6.
#[test]
fn a_circuit_simulator_finds_the_same_impedances() {
    let mut rng = fastrand::Rng::with_seed(115);
    for hertz in [50.0, 1e3, 1e5] {
        let omega = std::f64::consts::TAU * hertz;
        let mut netlist = "networks at a frequency\n".to_owned();
        let (mut prints, mut expected) = (String::new(), Vec::new());
        for number in 0..40 {
            let (nodes, valued) = random_network(&mut rng);
            let pair = [0, nodes - 1];
            let node = |node: usize| match node {
                out if out == pair[1] => "0".to_owned(),
                other => format!("k{number}n{other}"),
            };
            writeln!(netlist, "ik{number} 0 {} dc 0 ac 1", node(0)).unwrap();
            let mut branches = Vec::new();
            for (place, (ends, ohms)) in valued.into_iter().enumerate() {
                let decades = libm::log10(ohms) / 7.0;
                // Each node has a way for the direct current that the simulator begins with.
                let is_capacitor = place + 1 >= nodes && rng.bool();
                let (letter, value, siemens) = if is_capacitor {
                    let farads = libm::pow(10.0, -11.0 + 6.0 * decades);
                    ("c", farads, Complex64::new(0.0, omega * farads))
                } else {
                    ("r", ohms, Complex64::new(1.0 / ohms, 0.0))
                };
                let [a, b] = ends.map(node);
                writeln!(netlist, "{letter}k{number}x{place} {a} {b} {value:e}").unwrap();
                branches.push((ends, siemens));
            }
            expected.push(impedance(nodes, &branches, pair).unwrap());
            let at = node(0);
            writeln!(prints, "let re{number} = real(v({at}))\nlet im{number} = imag(v({at}))\nprint re{number}\nprint im{number}").unwrap();
        }
        write!(
            netlist,
            ".control\nset numdgt=15\nac lin 1 {hertz} {hertz}\n{prints}.endc\n.end\n"
        )
        .unwrap();
        let Some(found) = simulate(&netlist) else {
            return;
        };
        assert_eq!(found.len(), 2 * expected.len(), "{found:?}");
        for (both, expected) in found.chunks(2).zip(expected) {
            let found = Complex64::new(both[0].1, both[1].1);
            let off = (found - expected).norm_sqr() / expected.norm_sqr();
            assert!(off < 1e-12, "{}: {found} there, {expected} here", both[0].0);
        }
    }
}
