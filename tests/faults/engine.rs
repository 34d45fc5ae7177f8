//! Two hundred sittings in the engine, with a simulated clock.

use std::collections::VecDeque;
use std::fmt::Write as _;

use fastrand::Rng;
use probewright::face::engine::quantity::Quantity::{self, Capacitance, Resistance};
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Command, Event, Input, Plan, Setup, Sitting, What};

use super::proxy::{Passed, Proxy};

const ASKED: &str = r#"
format = 1
title = "asked"
mode = "query"
[line]
baud = 9600
[timing]
answer_within_s = 1.0
[identify]
query = "*IDN?"
expect = "FAULTY"
[errors]
query = "SYST:ERR?"
[function.resistance]
setup = ["CONF:RES"]
query = "READ?"
idle = "overload"
range = [{ up_to = 1e7, resolution = 1, percent_of_reading = 0.1, counts = 5 }]
[function.capacitance]
setup = ["CONF:CAP"]
query = "READ?"
idle = { below = 1e-10 }
range = [{ up_to = 1e-5, resolution = 1e-11, percent_of_reading = 1.0, counts = 5 }]
"#;

const TALKER: &str = r#"
format = 1
title = "talker"
mode = "talk"
[line]
baud = 9600
[timing]
silent_after_s = 2.0
[function.resistance]
idle = "overload"
range = [{ up_to = 1e7, resolution = 1, percent_of_reading = 0.1, counts = 5 }]
"#;

/// No sitting lasts longer, µs.
const LONGEST: u64 = 600_000_000;

/// Something that came in, to hand it in again.
#[derive(Debug, Clone)]
enum Came {
    Bytes(Vec<u8>),
    Up,
    Lost,
    End,
}

impl Came {
    fn hand_in(&self, sitting: &mut Sitting, at: u64, say: &mut impl FnMut(Event)) {
        let end = Command::End;
        let input = match self {
            Self::Bytes(bytes) => Input::Bytes(bytes),
            Self::Up => Input::LinkUp,
            Self::Lost => Input::LinkLost { reason: "pulled" },
            Self::End => Input::Command(&end),
        };
        sitting.handle(Stamp::from_micros(at), input, say);
    }
}

/// A part and what it really has.
#[derive(Debug, Clone)]
struct Truth {
    designator: String,
    quantity: Quantity,
    value: f64,
}

/// Next deed of the person, and its time, µs.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Hand {
    Touch(u64),
    /// The probes are on it until a verdict, or until patience ends.
    Hold(u64),
    Lift(u64),
    /// Waits for the program to go on, or grips again.
    Wait(u64),
}

struct Bench {
    now: u64,
    sitting: Sitting,
    rng: Rng,
    proxy: Proxy,
    parts: Vec<Truth>,
    /// Inputs, each at its time, µs.
    wire: VecDeque<(u64, Came)>,
    /// The meter says nothing before.
    off_until: u64,
    function: Quantity,
    /// When a meter that talks sends its next line.
    next_line: u64,
    touched: Option<usize>,
    in_hand: Option<usize>,
    hand: Hand,
    came: Vec<(u64, Came)>,
    said: Vec<Event>,
    rows: usize,
}

impl Bench {
    fn new(seed: u64) -> Self {
        let mut rng = Rng::with_seed(seed);
        let asked = rng.bool();
        let mut list = String::from("ref,kind,value,tolerance,role,rating\n");
        let parts = (1..=5).map(|number| {
            let capacitor = asked && rng.bool();
            let nominal = libm::pow(10.0, rng.f64() * 2.0) * if capacitor { 1e-8 } else { 2e3 };
            let value = nominal * (0.7 + 0.6 * rng.f64());
            let (designator, quantity) = if capacitor {
                let nanofarad = nominal * 1e9;
                writeln!(
                    list,
                    "C{number},capacitor,{nanofarad:.3}nF,10%,detector,16V"
                )
                .unwrap();
                (format!("C{number}"), Capacitance)
            } else {
                writeln!(list, "R{number},resistor,{nominal:.0},10%,,").unwrap();
                (format!("R{number}"), Resistance)
            };
            Truth {
                designator,
                quantity,
                value,
            }
        });
        let parts: Vec<Truth> = parts.collect();
        let profile = if asked { ASKED } else { TALKER };
        let plan = Plan::of(&Setup::of(list, "faulty", profile)).unwrap();
        Self {
            now: 0,
            sitting: Sitting::begin(plan),
            proxy: Proxy::new(seed, 0.08),
            parts,
            wire: [(0, Came::Up)].into(),
            off_until: 0,
            function: Resistance,
            next_line: if asked { u64::MAX } else { 100_000 },
            touched: None,
            in_hand: None,
            hand: Hand::Wait(u64::MAX),
            came: Vec::new(),
            said: Vec::new(),
            rows: 0,
            rng,
        }
    }

    /// Runs it to its end; how many values were judged.
    fn run(mut self) -> usize {
        while !self.sitting.ended() {
            let hand = match self.hand {
                Hand::Touch(at) | Hand::Hold(at) | Hand::Lift(at) | Hand::Wait(at) => at,
            };
            let wire = self.wire.front().map_or(u64::MAX, |(at, _)| *at);
            let due = self.sitting.deadline().map_or(u64::MAX, Stamp::micros);
            self.now = self
                .now
                .max([wire, hand, due, self.next_line].into_iter().min().unwrap());
            if self.now > LONGEST {
                self.take(Came::End);
            } else if self.now >= wire {
                let (_, came) = self.wire.pop_front().unwrap();
                self.take(came);
            } else if self.now >= self.next_line {
                self.next_line = self.now + 100_000;
                let line = self.reading();
                self.send(&line, 0);
            } else if self.now >= hand {
                self.move_hand();
            } else {
                let mut said = Vec::new();
                self.sitting
                    .handle(Stamp::from_micros(self.now), Input::Tick, &mut |event| {
                        said.push(event);
                    });
                self.hear(said);
            }
            self.answer();
        }
        self.is_computed_again();
        self.rows
    }

    fn take(&mut self, came: Came) {
        let mut said = Vec::new();
        came.hand_in(&mut self.sitting, self.now, &mut |event| said.push(event));
        self.came.push((self.now, came));
        self.hear(said);
    }

    fn hear(&mut self, said: Vec<Event>) {
        for event in said {
            match &event.what {
                What::InHand { entry, .. } => {
                    self.in_hand = self
                        .parts
                        .iter()
                        .position(|part| part.designator == entry.designator);
                    self.hand = Hand::Touch(self.now + self.rng.u64(300_000..1_500_000));
                }
                What::Judged(record) => {
                    let row = &record.row;
                    let truth = self
                        .parts
                        .iter()
                        .find(|part| part.designator == row.designator)
                        .unwrap();
                    let value = row
                        .value
                        .expect("no probes were in the air when it was judged")
                        .value;
                    let off = (value / truth.value - 1.0).abs();
                    assert!(off < 0.01, "{row:?} for {truth:?}");
                    self.rows += 1;
                    self.hand = Hand::Lift(self.now + self.rng.u64(200_000..800_000));
                }
                What::NothingLeft => self.wire.push_back((self.now + 1_000_000, Came::End)),
                _ => {}
            }
            self.said.push(event);
        }
    }

    fn move_hand(&mut self) {
        self.hand = match self.hand {
            Hand::Touch(_) => {
                self.touched = self.in_hand;
                Hand::Hold(self.now + 25_000_000)
            }
            Hand::Hold(_) | Hand::Lift(_) => {
                self.touched = None;
                Hand::Wait(self.now + 8_000_000)
            }
            Hand::Wait(_) => Hand::Touch(self.now),
        };
    }

    /// The meter answers what it was sent.
    fn answer(&mut self) {
        let mut asked = Vec::new();
        while let Some(bytes) = self.sitting.transmit() {
            asked.extend_from_slice(bytes);
        }
        for command in String::from_utf8(asked).unwrap().lines() {
            let line = match command {
                "CONF:RES" => {
                    self.function = Resistance;
                    continue;
                }
                "CONF:CAP" => {
                    self.function = Capacitance;
                    continue;
                }
                "*IDN?" => "FAULTY,METER,0,1\n".to_owned(),
                "SYST:ERR?" => "0,\"No error\"\n".to_owned(),
                _ => self.reading(),
            };
            self.send(&line, 20_000);
        }
    }

    /// Display of the meter now.
    fn reading(&mut self) -> String {
        let touched = self.touched.map(|part| &self.parts[part]);
        let noise = 1.0 + 2e-4 * (self.rng.f64() - 0.5);
        match touched.filter(|part| part.quantity == self.function) {
            Some(part) => format!("{:+.6E}\n", part.value * noise),
            None if self.function == Resistance => "9.9E37\n".to_owned(),
            None => format!("{:+.6E}\n", 3e-12 * noise),
        }
    }

    /// Sends a line through the proxy; what comes later never overtakes.
    fn send(&mut self, line: &str, after: u64) {
        if self.now < self.off_until {
            return;
        }
        let last = self.wire.back().map_or(0, |(at, _)| *at);
        let mut at = last.max(self.now + after);
        for passed in self.proxy.pass(line.as_bytes()) {
            match passed {
                Passed::Bytes(millis, bytes) => {
                    at += millis * 1000;
                    self.wire.push_back((at, Came::Bytes(bytes)));
                }
                Passed::Restarts(millis) => {
                    self.off_until = self.now + millis * 1000;
                    self.function = Resistance;
                }
                Passed::Pulled(millis) => {
                    // Bytes on their way are gone.
                    self.wire
                        .retain(|(_, came)| !matches!(came, Came::Bytes(_)));
                    self.off_until = self.now + millis * 1000;
                    self.wire.push_back((self.now, Came::Lost));
                    self.wire.push_back((self.off_until, Came::Up));
                }
            }
        }
        self.wire.make_contiguous().sort_by_key(|(at, _)| *at);
    }

    /// The same inputs alone say the same again.
    fn is_computed_again(&self) {
        let mut again = Sitting::begin(self.sitting.plan().clone());
        let mut said = Vec::new();
        for (at, came) in &self.came {
            came.hand_in(&mut again, *at, &mut |event| said.push(event));
            while again.transmit().is_some() {}
        }
        assert!(said == self.said);
    }
}

/// Fifty sittings; most parts get their value although something happens to every twelfth line.
fn fifty_from(seed: u64) {
    let rows: usize = (seed..seed + 50).map(|seed| Bench::new(seed).run()).sum();
    assert!((150..=270).contains(&rows), "{rows} rows of 250 parts");
}

#[test]
fn no_fault_on_the_line_makes_a_wrong_row_1() {
    fifty_from(0);
}

#[test]
fn no_fault_on_the_line_makes_a_wrong_row_2() {
    fifty_from(50);
}

#[test]
fn no_fault_on_the_line_makes_a_wrong_row_3() {
    fifty_from(100);
}

#[test]
fn no_fault_on_the_line_makes_a_wrong_row_4() {
    fifty_from(150);
}
