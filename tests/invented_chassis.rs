//! Invented chassis by the thousand: parts lists of valve equipment with nothing unsoldered, what their parts really are, and a meter.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use fastrand::Rng;
use probewright::face::engine::impedance::Uncertain;
use probewright::face::engine::network::{
    Branch, FURTHER_READINGS, Network, Read, Readings, further_pairs, resistances,
};
use probewright::face::engine::parts::{Kind, ListSettings, Part, read};

/// Faults of a chassis beside the drift of its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Trouble {
    /// Nothing.
    None,
    /// A tenth of the parts is missing from the list.
    Missing,
    /// Three capacitors of ten leak, 0.5 MΩ to 20 MΩ.
    Leaks,
}

/// The end of the meter's range, Ω.
const RANGE: f64 = 50e6;

/// A chassis as its list has it, with what an ohmmeter read across each part and between nodes that no part joins.
pub(crate) struct Chassis {
    pub(crate) list: Vec<Part>,
    pub(crate) network: Network,
    pub(crate) readings: Readings,
    /// True value of each part of the list, Ω.
    pub(crate) ohms: Vec<f64>,
}

/// A value of the standard normal distribution.
fn normal(rng: &mut Rng) -> f64 {
    (-2.0 * libm::log(1.0 - rng.f64())).sqrt() * libm::cos(TAU * rng.f64())
}

/// The rows of a parts list in the making.
struct Rows {
    texts: Vec<String>,
    resistors: usize,
    capacitors: usize,
}

impl Rows {
    fn resistor(&mut self, rng: &mut Rng, from: &str, to: &str, ohms: &[f64]) {
        self.resistors += 1;
        let (number, ohms) = (self.resistors, ohms[rng.usize(..ohms.len())]);
        let tolerance = [5, 10, 10, 20, 20, 20][rng.usize(..6)];
        self.texts.push(format!(
            "R{number},resistor,{ohms},{tolerance}%,{from},{to},yes"
        ));
    }

    fn capacitor(&mut self, from: &str, to: &str) {
        self.capacitors += 1;
        let number = self.capacitors;
        self.texts
            .push(format!("C{number},capacitor,47n,20%,{from},{to},yes"));
    }

    fn winding(&mut self, name: &str, ohms: f64, from: &str, to: &str) {
        self.texts
            .push(format!("{name},winding,{ohms},15%,{from},{to},yes"));
    }
}

/// The rows of an invented list: supply, output stage, three to eight stages.
fn rows(rng: &mut Rng) -> Vec<String> {
    let mut list = Rows {
        texts: Vec::new(),
        resistors: 0,
        capacitors: 0,
    };
    let (stages, supplies) = (rng.usize(3..=8), rng.usize(1..=4));
    list.winding("L1", f64::from(rng.i32(80..400)), "rectifier", "HT0");
    for supply in 1..=supplies {
        let (before, own) = (format!("HT{}", supply - 1), format!("HT{supply}"));
        list.resistor(rng, &before, &own, &[4700.0, 10e3, 22e3, 47e3]);
        list.capacitor(&own, "chassis");
    }
    if rng.f64() < 0.35 {
        list.resistor(rng, "HT0", "chassis", &[100e3, 220e3]);
    }
    if rng.f64() < 0.2 {
        list.resistor(rng, &format!("HT{supplies}"), "divider", &[47e3, 100e3]);
        list.resistor(rng, "divider", "chassis", &[22e3, 47e3]);
        list.capacitor("divider", "chassis");
    }
    list.winding("T2.a", 180.0, "HT0", "output anode 1");
    list.winding("T2.b", 190.0, "HT0", "output anode 2");
    if rng.bool() {
        list.winding("T2.whole", 370.0, "output anode 1", "output anode 2");
    }
    list.winding("T2.sec", 0.8, "loudspeaker", "chassis");
    for stage in 1..=stages {
        let supply = format!("HT{}", rng.usize(..=supplies));
        of_stage(&mut list, rng, stage, &supply);
    }
    if rng.f64() < 0.3 {
        let cathode = format!("V{} cathode", rng.usize(1..=stages));
        list.resistor(rng, "loudspeaker", &cathode, &[470.0, 1e3, 2200.0]);
    }
    list.texts
}

fn of_stage(list: &mut Rows, rng: &mut Rng, stage: usize, supply: &str) {
    let node = |name: &str| format!("V{stage} {name}");
    let (anode, cathode, screen) = (node("anode"), node("cathode"), node("screen"));
    list.resistor(rng, supply, &anode, &[47e3, 100e3, 220e3, 330e3]);
    list.resistor(rng, &cathode, "chassis", &[1e3, 1500.0, 2200.0, 3300.0]);
    if rng.f64() < 0.7 {
        list.capacitor(&cathode, "chassis");
    }
    let mut leak = node("grid");
    if rng.f64() < 0.4 {
        leak = node("grid stopper");
        list.resistor(rng, &leak, &node("grid"), &[1e3, 4700.0, 10e3]);
    }
    list.resistor(rng, &leak, "chassis", &[220e3, 470e3, 1e6, 2.2e6]);
    if stage > 1 {
        list.capacitor(&format!("V{} anode", stage - 1), &leak);
    }
    if rng.bool() {
        list.resistor(rng, supply, &screen, &[100e3, 470e3, 1e6]);
        list.capacitor(&screen, "chassis");
        if rng.f64() < 0.1 {
            list.resistor(rng, &screen, "chassis", &[47e3, 100e3, 220e3]);
        }
    }
    if rng.f64() < 0.3 {
        let (top, bottom) = (node("tone top"), node("tone bottom"));
        list.capacitor(&anode, &top);
        list.resistor(rng, &top, &bottom, &[47e3, 100e3, 220e3]);
        list.resistor(rng, &bottom, "chassis", &[100e3, 470e3]);
        list.capacitor(&bottom, "chassis");
        if rng.f64() < 0.4 {
            list.resistor(rng, &top, "chassis", &[220e3, 1e6]);
        }
        if rng.f64() < 0.1 {
            list.resistor(rng, &bottom, &leak, &[470e3, 1e6]);
        }
    }
    if rng.f64() < 0.04 {
        list.resistor(rng, &anode, &leak, &[1e6, 2.2e6, 4.7e6]);
    }
    if rng.f64() < 0.04 {
        list.resistor(rng, &cathode, "chassis", &[2200.0, 4700.0]);
    }
    if rng.f64() < 0.15 {
        let delayed = node("AVC");
        list.resistor(rng, &leak, &delayed, &[470e3, 1e6, 2.2e6]);
        list.capacitor(&delayed, "chassis");
        list.resistor(rng, &delayed, "AVC", &[470e3, 1e6]);
        list.capacitor("AVC", "chassis");
        if rng.f64() < 0.3 {
            list.resistor(rng, "AVC", &cathode, &[470e3, 1e6]);
        }
    }
}

fn list_of(rows: &[String]) -> Vec<Part> {
    let mut text = "ref,kind,value,tolerance,from,to,in_circuit\n".to_owned();
    for row in rows {
        writeln!(text, "{row}").unwrap();
    }
    let list = read(text.as_bytes(), &ListSettings::default());
    list.unwrap().parts
}

/// Value of the part after sixty years, Ω: most drifted up a little, some far, few down, one in a hundred is open.
fn aged(part: &Part, trouble: Trouble, rng: &mut Rng) -> f64 {
    let nominal = part.nominal.value();
    match part.kind {
        Kind::Capacitor if trouble == Trouble::Leaks && rng.f64() < 0.3 => {
            0.5e6 * libm::pow(40.0, rng.f64())
        }
        Kind::Capacitor => f64::INFINITY,
        Kind::Winding => nominal * (1.0 + 0.05 * normal(rng)),
        _ => {
            let luck = rng.f64();
            nominal
                * match luck {
                    _ if luck < 0.01 => 1e7,
                    _ if luck < 0.05 => 1.3 + 1.5 * rng.f64(),
                    _ if luck < 0.06 => 0.5 + 0.3 * rng.f64(),
                    _ => libm::exp(0.03 + 0.06 * normal(rng)),
                }
        }
    }
}

impl Chassis {
    /// The one of that seed, read with a meter of 0.1 %.
    pub(crate) fn of(seed: u64, trouble: Trouble) -> Self {
        let mut rng = Rng::with_seed(seed);
        let rows = rows(&mut rng);
        let whole = list_of(&rows);
        let mut really: Vec<f64> = whole
            .iter()
            .map(|part| aged(part, trouble, &mut rng))
            .collect();
        let place = |name: &str| whole.iter().position(|part| part.designator == name);
        if let [Some(both), Some(a), Some(b)] = ["T2.whole", "T2.a", "T2.b"].map(place) {
            really[both] = really[a] + really[b];
        }
        let kept = |_: &&String| trouble != Trouble::Missing || rng.f64() >= 0.1;
        let kept: Vec<String> = rows.iter().filter(kept).cloned().collect();
        let list = list_of(&kept);
        let network = Network::of(&list);
        let truth = Network::of(&whole);
        let branches: Vec<Branch> = truth
            .elements()
            .iter()
            .map(|element| Branch {
                ends: element.ends,
                siemens: 1.0 / really[element.part],
            })
            .collect();
        let gain = 1.0 + 0.0005 * normal(&mut rng);
        let mut meter = |ends: [usize; 2]| {
            let name = |node: usize| &network.nodes().all()[node].name;
            let ends = ends.map(|node| truth.nodes().named(name(node)).unwrap());
            let found = resistances(truth.nodes().all().len(), &branches, &[ends])[0];
            match found.filter(|ohms| *ohms < RANGE) {
                Some(ohms) => {
                    let noise = (0.0003 * ohms + 0.003) * normal(&mut rng);
                    let u = 0.001 / 3f64.sqrt() * ohms + 0.01;
                    Read::Ohms(Uncertain::new(ohms * gain + noise, u))
                }
                None => Read::Beyond(RANGE),
            }
        };
        let mut readings = Readings::default();
        for group in network.groups(|_| true) {
            readings.add(group.ends, meter(group.ends));
        }
        for ends in further_pairs(&network, FURTHER_READINGS) {
            readings.add(ends, meter(ends));
        }
        let ohms = list
            .iter()
            .map(|part| really[place(&part.designator).unwrap()]);
        Self {
            ohms: ohms.collect(),
            list,
            network,
            readings,
        }
    }
}
