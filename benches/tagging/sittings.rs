//! Seeded sittings of somebody who now and then misses a touch or takes the wrong part. The parts are drawn by another model of
//! age than the program's table: most values drift by a normal share, some far.
#![allow(
    clippy::disallowed_methods,
    reason = "no verdict rests on these digits"
)]
#![allow(clippy::struct_field_names, reason = "a false hint is the word")]

use fastrand::Rng;
use probewright::face::engine::judge::Verdict;
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Event, Input, Plan, Record, Setup, Sitting, What};

/// A meter that talks: 0.3 % and two counts of 20,000.
const PROFILE: &str = r#"
format = 1
title = "talks only"
mode = "talk"
[line]
baud = 9600
[timing]
silent_after_s = 600.0
[number]
overload_words = ["OL"]
[function.resistance]
idle = "overload"
range = [
    { up_to = 2e2, resolution = 0.01, percent_of_reading = 0.3, counts = 2 },
    { up_to = 2e3, resolution = 0.1, percent_of_reading = 0.3, counts = 2 },
    { up_to = 2e4, resolution = 1, percent_of_reading = 0.3, counts = 2 },
    { up_to = 2e5, resolution = 10, percent_of_reading = 0.3, counts = 2 },
    { up_to = 2e7, resolution = 100, percent_of_reading = 0.3, counts = 2 },
]
[function.capacitance]
idle = { below = 2e-12 }
range = [
    { up_to = 2e-8, resolution = 1e-12, percent_of_reading = 0.5, counts = 2 },
    { up_to = 2e-6, resolution = 1e-10, percent_of_reading = 0.5, counts = 2 },
    { up_to = 2e-3, resolution = 1e-8, percent_of_reading = 0.5, counts = 2 },
]
"#;

/// Time from one reading to the next, µs.
const STEP: u64 = 50_000;

/// The most readings for which the probes stay on a part.
const MOST: usize = 60;

/// A part as it lies on the bench.
#[derive(Debug, Clone)]
pub(crate) struct Lies {
    pub(crate) designator: String,
    row: String,
    pub(crate) nominal: f64,
    value: f64,
    ohms: bool,
}

const E12: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];

/// Normally distributed about 0.
fn normal(rng: &mut Rng) -> f64 {
    let (one, other) = (1.0 - rng.f64(), rng.f64());
    (-2.0 * libm::log(one)).sqrt() * libm::cos(std::f64::consts::TAU * other)
}

/// An E12 value between these powers of ten.
fn preferred(from: i32, to: i32, rng: &mut Rng) -> f64 {
    E12[rng.usize(..12)] * libm::exp10(f64::from(rng.i32(from..to)))
}

/// A resistor, potentiometer or winding of an old set.
fn of_ohms(number: usize, rng: &mut Rng) -> (String, String, f64, f64) {
    let far = rng.f64();
    let (kind, material, tolerance, nominal, off) = match rng.u32(..20) {
        0..=13 => {
            let common = [1e3, 2.2e3, 4.7e3, 1e4, 2.2e4, 4.7e4, 1e5, 2.2e5, 4.7e5, 1e6];
            let nominal = if rng.bool() {
                common[rng.usize(..10)]
            } else {
                preferred(2, 6, rng)
            };
            let off = if far < 0.06 {
                1.25 + 0.7 * rng.f64()
            } else if far < 0.08 {
                0.5 + 0.4 * rng.f64()
            } else {
                1.05 + 0.07 * normal(rng)
            };
            (
                "resistor",
                "carbon",
                if rng.bool() { "10%" } else { "20%" },
                nominal,
                off,
            )
        }
        14 | 15 => (
            "resistor",
            "film",
            "5%",
            preferred(2, 6, rng),
            1.0 + 0.012 * normal(rng),
        ),
        16 | 17 => (
            "resistor",
            "wirewound",
            "5%",
            preferred(1, 4, rng),
            1.0 + 0.012 * normal(rng),
        ),
        18 => {
            let nominal = [1e4, 5e4, 1e5, 5e5, 1e6][rng.usize(..5)];
            (
                "potentiometer",
                "carbon",
                "20%",
                nominal,
                1.0 + 0.1 * normal(rng),
            )
        }
        _ => (
            "winding",
            "",
            "20%",
            preferred(0, 3, rng),
            1.0 + 0.06 * normal(rng),
        ),
    };
    let designator = format!("R{number}");
    let row = format!("{designator},{kind},{nominal},{tolerance},{material}");
    (designator, row, nominal, nominal * off.clamp(0.1, 4.0))
}

fn of_farads(number: usize, rng: &mut Rng) -> (String, String, f64, f64) {
    let far = rng.f64();
    let (material, tolerance, nominal, off) = match rng.u32(..10) {
        0..=4 => {
            let off = if far < 0.03 {
                0.4 + 0.5 * rng.f64()
            } else {
                1.15 + 0.08 * normal(rng)
            };
            ("paper", "20%", preferred(-9, -6, rng), off)
        }
        5 | 6 => (
            "mica",
            "10%",
            preferred(-11, -9, rng) * 2.0,
            1.0 + 0.012 * normal(rng),
        ),
        7 => (
            "ceramic",
            "20%",
            preferred(-10, -8, rng),
            1.0 + 0.08 * normal(rng),
        ),
        _ => {
            let off = if far < 0.2 {
                0.2 + 0.4 * rng.f64()
            } else {
                1.05 + 0.2 * normal(rng)
            };
            let nominal = [8e-6, 1.6e-5, 2.5e-5, 3.2e-5, 5e-5][rng.usize(..5)];
            ("electrolytic", "50%", nominal, off)
        }
    };
    let designator = format!("C{number}");
    let picofarads = nominal * 1e12;
    let row = format!("{designator},capacitor,{picofarads:.0} pF,{tolerance},{material}");
    (designator, row, nominal, nominal * off.clamp(0.1, 3.0))
}

/// The parts of a set, in the order of its list.
pub(crate) fn set_of_parts(rng: &mut Rng) -> Vec<Lies> {
    let [resistors, capacitors] = [rng.usize(20..36), rng.usize(10..20)];
    let stages = rng.usize(4..7);
    let node = |place: usize, of: usize, rng: &mut Rng| {
        let stage = 1 + place * stages / of;
        let pins = ["grid", "anode", "cathode", "screen"];
        format!("V{stage} {}", pins[rng.usize(..4)])
    };
    let common = |rng: &mut Rng| ["chassis", "HT1", "HT2"][rng.usize(..3)];
    let mut parts = Vec::new();
    for (ohms, count) in [(true, resistors), (false, capacitors)] {
        for place in 0..count {
            let make = if ohms { of_ohms } else { of_farads };
            let (designator, row, nominal, value) = make(place + 1, rng);
            let (from, to) = (node(place, count, rng), common(rng));
            parts.push(Lies {
                designator,
                row: format!("{row},{from},{to}"),
                nominal,
                value,
                ohms,
            });
        }
    }
    parts
}

/// The parts list of such a set.
pub(crate) fn list(parts: &[Lies]) -> String {
    let rows = parts.iter().map(|part| part.row.as_str());
    let head = "ref,kind,value,tolerance,material,from,to";
    [head]
        .into_iter()
        .chain(rows)
        .collect::<Vec<_>>()
        .join("\n")
}

/// A sitting and the hands in it.
pub(crate) struct Hands {
    sitting: Sitting,
    micros: u64,
    said: Vec<What>,
    /// Whether a place is in hand.
    at_place: bool,
    rng: Rng,
}

impl Hands {
    pub(crate) fn at(parts: &[Lies], job: &str, seed: u64) -> Self {
        let setup = Setup::of(list(parts), "bench", PROFILE).with_file(Setup::JOB, job);
        let mut hands = Self {
            sitting: Sitting::begin(Plan::of(&setup).unwrap()),
            micros: 0,
            said: Vec::new(),
            at_place: false,
            rng: Rng::with_seed(seed),
        };
        hands.input(Input::LinkUp);
        hands.says("override all none of them was ever under power");
        hands
    }

    fn input(&mut self, input: Input<'_>) {
        let (said, at_place) = (&mut self.said, &mut self.at_place);
        self.micros += STEP;
        let now = Stamp::from_micros(self.micros);
        self.sitting.handle(now, input, &mut |event: Event| {
            match event.what {
                What::AtPlace { .. } => *at_place = true,
                What::InHand { .. } | What::NothingLeft => *at_place = false,
                _ => {}
            }
            if !matches!(event.what, What::Reading(_) | What::Progress(_)) {
                said.push(event.what);
            }
        });
    }

    pub(crate) fn says(&mut self, command: &str) {
        self.input(Input::Command(&command.parse().unwrap()));
    }

    fn shows(&mut self, line: &str) {
        self.input(Input::Bytes(format!("{line}\r\n").as_bytes()));
    }

    fn air(&mut self, ohms: bool) {
        let air = if ohms { "OL OHM" } else { "0.0E-12 F" };
        (0..4).for_each(|_| self.shows(air));
        self.micros += 2_000_000;
        self.shows(air);
    }

    /// Touches a part once, and tells what was said from the contact to the next in hand.
    pub(crate) fn touches(&mut self, part: &Lies) -> Vec<What> {
        self.said.clear();
        self.air(part.ohms);
        let unit = if part.ohms { "OHM" } else { "F" };
        for _ in 0..MOST {
            let value = part.value * (1.0 + 1e-4 * normal(&mut self.rng));
            self.shows(&format!("{value:.4E} {unit}"));
            if self.said.iter().any(is_answer) {
                break;
            }
        }
        self.air(part.ohms);
        std::mem::take(&mut self.said)
    }
}

/// Whether it tells the hands that the value is had.
const fn is_answer(what: &What) -> bool {
    matches!(
        what,
        What::Judged(_) | What::WhichPart { .. } | What::GrippedAgain { .. }
    )
}

/// Record of a touch.
pub(crate) fn record(said: &[What]) -> Option<&Record> {
    said.iter().find_map(|what| match what {
        What::Judged(record) => Some(&**record),
        _ => None,
    })
}

/// The parts that a hint named.
pub(crate) fn hint(said: &[What]) -> Option<&[String]> {
    said.iter().find_map(|what| match what {
        What::ReadsLike { candidates, .. } => Some(candidates.as_slice()),
        _ => None,
    })
}

/// How hints came out.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Hints {
    /// Values on the right part, and hints there.
    pub(crate) right: usize,
    pub(crate) mistaken: usize,
    /// False hints on values that pass.
    pub(crate) on_passing: usize,
    /// Missed touches, and those noticed at the next value and at one of the next three.
    pub(crate) missed: usize,
    pub(crate) at_next: usize,
    pub(crate) within_three: usize,
    /// Wrong parts of another value, and those noticed at once.
    pub(crate) other: usize,
    pub(crate) other_noticed: usize,
    /// Wrong parts of clearly other value, those noticed at once, and those whose right name was named.
    pub(crate) wrong: usize,
    pub(crate) noticed: usize,
    pub(crate) named: usize,
}

/// Chances of a missed touch and of a wrong part.
const MISSES: f64 = 1.0 / 30.0;
const WRONG: f64 = 1.0 / 50.0;

/// From this ratio on two nominal values are others, and from that on clearly so: beyond what any part of the table of ageing comes to.
const OTHER: f64 = 2.0;
const CLEARLY: f64 = 3.0;

impl Hints {
    pub(crate) fn add(&mut self, other: &Self) {
        let Self {
            right,
            mistaken,
            on_passing,
            missed,
            at_next,
            within_three,
            other: of_other,
            other_noticed,
            wrong,
            noticed,
            named,
        } = other;
        self.right += right;
        self.mistaken += mistaken;
        self.on_passing += on_passing;
        self.missed += missed;
        self.at_next += at_next;
        self.within_three += within_three;
        self.other += of_other;
        self.other_noticed += other_noticed;
        self.wrong += wrong;
        self.noticed += noticed;
        self.named += named;
    }

    /// One sitting of that seed.
    pub(crate) fn of_sitting(seed: u64) -> Self {
        let mut rng = Rng::with_seed(seed);
        let parts = set_of_parts(&mut rng);
        let mut hands = Hands::at(&parts, "", seed);
        let mut hints = Self::default();
        // Place in hand, and how far the hands are ahead of it since a touch was missed.
        let mut place = 0;
        let mut values_since_miss = None;
        while place < parts.len() {
            let ahead = usize::from(values_since_miss.is_some());
            if ahead == 0 && rng.f64() < MISSES {
                values_since_miss = Some(0);
                continue;
            }
            let wrong = ahead == 0 && rng.f64() < WRONG;
            let at = if wrong {
                stray(&parts, place, &mut rng)
            } else {
                Some(place + ahead)
            };
            let Some(lies) = at
                .and_then(|at| parts.get(at))
                .filter(|lies| lies.ohms == parts[place].ohms)
            else {
                // A touch on another quantity reads as nothing, and the hands are where they were.
                values_since_miss = None;
                place += usize::from(ahead == 1);
                hands.says(&format!(
                    "goto {}",
                    parts[place.min(parts.len() - 1)].designator
                ));
                if wrong || ahead > 0 {
                    continue;
                }
                break;
            };
            let said = hands.touches(lies);
            let Some(record) = record(&said) else {
                panic!(
                    "{} on {} settles: {said:?}",
                    lies.designator, parts[place].designator
                );
            };
            let hint = hint(&said);
            let names_it = hint.is_some_and(|like| like.contains(&lies.designator));
            match (values_since_miss, wrong) {
                (Some(values), _) => {
                    let values = values + 1;
                    hints.missed += usize::from(values == 1);
                    hints.at_next += usize::from(values == 1 && hint.is_some());
                    hints.within_three += usize::from(hint.is_some());
                    values_since_miss = (hint.is_none() && values < 3).then_some(values);
                    if values_since_miss.is_none() {
                        // The person sees it, by the hint or by the label, and goes on with the right one.
                        hands.says(&format!("goto {}", parts[place].designator));
                        let _ = hands.touches(&parts[place].clone());
                    }
                }
                (None, true) => {
                    let ratio = lies.nominal / parts[place].nominal;
                    let fails = record.row.value_verdict == Verdict::Fail;
                    let ratio = ratio.max(1.0 / ratio);
                    if ratio >= OTHER && fails {
                        hints.other += 1;
                        hints.other_noticed += usize::from(hint.is_some());
                    }
                    if ratio >= CLEARLY && fails {
                        hints.wrong += 1;
                        hints.noticed += usize::from(hint.is_some());
                        hints.named += usize::from(names_it);
                    }
                    hands.says(&format!("goto {}", parts[place].designator));
                    let _ = hands.touches(&parts[place].clone());
                }
                (None, false) => {
                    let passes = record.row.value_verdict == Verdict::Pass;
                    hints.right += 1;
                    hints.mistaken += usize::from(hint.is_some());
                    hints.on_passing += usize::from(hint.is_some() && passes);
                }
            }
            place += 1;
        }
        hints
    }
}

/// The wrong part that a hand comes to: near in the list, or at the same node.
fn stray(parts: &[Lies], place: usize, rng: &mut Rng) -> Option<usize> {
    let offset = [-2_isize, -1, 1, 2, 3][rng.usize(..5)];
    place
        .checked_add_signed(offset)
        .filter(|at| *at < parts.len())
}

/// How values at places were tagged.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Tags {
    /// Values.
    pub(crate) values: usize,
    /// Those that were asked about.
    pub(crate) asked: usize,
    /// Those that were tagged to another part without a question.
    pub(crate) wrong: usize,
    /// Those that were written down for a set.
    pub(crate) sets: usize,
}

/// How often a part is touched a second time.
const AGAIN: f64 = 1.0 / 50.0;

impl Tags {
    pub(crate) fn add(&mut self, other: &Self) {
        self.values += other.values;
        self.asked += other.asked;
        self.wrong += other.wrong;
        self.sets += other.sets;
    }

    /// One sitting of that seed, stage by stage; `sets`: what is alike is written down for a set.
    pub(crate) fn of_sitting(seed: u64, sets: bool) -> Self {
        let mut rng = Rng::with_seed(seed);
        let parts = set_of_parts(&mut rng);
        let job = format!("[bench]\nsets = {sets}\n");
        let mut hands = Hands::at(&parts, &job, seed);
        let mut tags = Self::default();
        for stage in 1.. {
            let here = |part: &&Lies| part.row.contains(&format!(",V{stage} "));
            let mut there: Vec<&Lies> = parts.iter().filter(here).collect();
            if there.is_empty() {
                return tags;
            }
            hands.says(&format!("at V{stage}"));
            rng.shuffle(&mut there);
            // First what is measured in ohms.
            there.sort_by_key(|part| !part.ohms);
            for part in there {
                let times = 1 + usize::from(rng.f64() < AGAIN);
                (0..times).for_each(|_| tags.touch(&mut hands, part));
            }
            // Parts written down for a set are measured one by one another day.
            hands.says("next");
        }
        tags
    }

    fn touch(&mut self, hands: &mut Hands, part: &Lies) {
        if !hands.at_place {
            // All of it was measured: what is touched once more is none of its values.
            return;
        }
        let said = hands.touches(part);
        self.values += 1;
        if said
            .iter()
            .any(|what| matches!(what, What::WhichPart { .. }))
        {
            self.asked += 1;
            hands.says(&format!("is {}", part.designator));
            // One that gave up its value is asked about again; here that is left.
            hands.says("answer 1");
            return;
        }
        match record(&said) {
            Some(record) if record.row.is_of_one_of() => self.sets += 1,
            Some(record) => self.wrong += usize::from(record.row.designator != part.designator),
            // A part of a quantity that was over when it was touched again.
            None => self.values -= 1,
        }
    }
}
