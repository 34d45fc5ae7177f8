//! Properties of the engine: what it says depends on what came in and when, and on nothing else.

use std::collections::VecDeque;
use std::time::Duration;

use probewright::face::engine::judge::Found;
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Command, Event, Input, Plan, Setup, Sitting, What};
use proptest::prelude::*;

const PARTS: &str = "\
ref,kind,value,tolerance,role
R1,resistor,4K7,10%,
R2,resistor,220k,10%,
C1,capacitor,47nF,20%,detector
R3,resistor,4K7,10%,
";

/// A meter that is asked.
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
[errors]
query = "SYST:ERR?"
[function.resistance]
setup = ["CONF:RES"]
query = "READ?"
idle = "overload"
range = [{ up_to = 1e6, resolution = 1, percent_of_reading = 0.1, counts = 5 }]
[function.capacitance]
setup = ["CONF:CAP"]
query = "READ?"
idle = { below = 1e-10 }
range = [{ up_to = 1e-6, resolution = 1e-11, percent_of_reading = 1.0, counts = 5 }]
"#;

/// A meter that sends by itself.
const TALKER: &str = r#"
format = 1
title = "talker"
mode = "talk"
[line]
baud = 2400
[timing]
silent_after_s = 2.0
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 1, percent_of_reading = 0.1, counts = 5 }]
[function.capacitance]
idle = { below = 1e-10 }
range = [{ up_to = 1e-6, resolution = 1e-11, percent_of_reading = 1.0, counts = 5 }]
"#;

/// As long as a stamp can tell, nearly.
const ABSURD: Stamp = Stamp::from_micros(u64::MAX / 4);

/// Words of an engine that is woken whenever it asks, or only at the end; and the engine as it is then.
fn silence(profile: &str, heard: &[&[u8]], until: Stamp, woken: bool) -> (Vec<Event>, String) {
    let mut sitting = Sitting::begin(plan(profile));
    let mut said = Vec::new();
    let mut say = |event| said.push(event);
    sitting.handle(Stamp::ZERO, Input::LinkUp, &mut say);
    for (millis, bytes) in (1..).zip(heard) {
        while sitting.transmit().is_some() {}
        let at = Stamp::from_micros(millis * 1000);
        sitting.handle(at, Input::Bytes(bytes), &mut say);
    }
    while woken && let Some(due) = sitting.deadline().filter(|due| *due <= until) {
        while sitting.transmit().is_some() {}
        sitting.handle(due, Input::Tick, &mut say);
    }
    sitting.handle(until, Input::Tick, &mut say);
    while sitting.transmit().is_some() {}
    (said, format!("{sitting:?}"))
}

#[test]
fn a_leap_in_time_ends_as_its_single_steps_would_and_takes_no_longer_than_a_moment() {
    let unknown = ASKED.replace("[identify]\nquery = \"*IDN?\"\n", "");
    let mute = unknown.replace("[errors]\nquery = \"SYST:ERR?\"\n", "");
    let wary = ASKED.replace("[errors]\n", "[errors]\nafter_timeout = true\n");
    let answered: [&[&[u8]]; 4] = [
        &[],
        &[b"test meter\n"],
        &[b"other\n", b"+1E+03\n"],
        &[
            b"test meter\n",
            b"0,\"No error\"\n",
            b"+4.7E+03\n",
            b"+4.7E+0",
        ],
    ];
    for profile in [ASKED, &unknown, &mute, &wary, TALKER] {
        for heard in answered {
            let minutes = Stamp::from_micros(613_700_000);
            let leapt = silence(profile, heard, minutes, false);
            assert_eq!(leapt, silence(profile, heard, minutes, true), "{profile}");
            // It would take hundreds of thousands of years of rounds.
            let (said, _) = silence(profile, heard, ABSURD, false);
            assert_eq!(said.len(), leapt.0.len());
        }
    }
}

fn plan(profile: &str) -> Plan {
    Plan::of(&Setup::of(PARTS, "test", profile)).unwrap()
}

/// An input that owns what it holds.
#[derive(Debug, Clone)]
enum Came {
    Bytes(Vec<u8>),
    Up,
    Lost,
    Command(Command),
    Tick,
}

impl Came {
    fn input(&self) -> Input<'_> {
        match self {
            Self::Bytes(bytes) => Input::Bytes(bytes),
            Self::Up => Input::LinkUp,
            Self::Lost => Input::LinkLost { reason: "pulled" },
            Self::Command(command) => Input::Command(command),
            Self::Tick => Input::Tick,
        }
    }
}

type Script = Vec<(Stamp, Came)>;

/// Events of the engine for a script, as live work, replay and tests drive it.
fn play(plan: &Plan, script: &Script) -> Vec<Event> {
    let mut sitting = Sitting::begin(plan.clone());
    let mut events = Vec::new();
    for (at, came) in script {
        sitting.handle(*at, came.input(), &mut |event| events.push(event));
        while sitting.transmit().is_some() {}
    }
    events
}

/// Deeds of a person, the parts and the line.
#[derive(Debug, Clone)]
enum Step {
    /// Holds the probes to a value, for so many readings.
    Hold(f64, u8),
    /// Holds them in the air, for so many readings.
    Air(u8),
    /// Something that is no answer of a meter.
    Garbage(Vec<u8>),
    Command(Command),
    /// The cable is pulled and plugged in again after so many milliseconds.
    Cut(u16),
    /// Nothing comes for so many milliseconds.
    Nothing(u16),
}

const VALUES: [f64; 5] = [4700.0, 4712.0, 300e3, 4.8e-8, 1e3];

/// The time from one reading to the next.
const PERIOD: Duration = Duration::from_millis(40);

fn commands() -> impl Strategy<Value = Command> {
    prop_oneof![
        Just(Command::Next),
        Just(Command::Back),
        Just(Command::Skip),
        Just(Command::Redo),
        Just(Command::On),
        Just(Command::On),
        Just(Command::Note("a remark".to_owned())),
        prop::sample::select(vec!["R1", "r3", "C1", "X9"])
            .prop_map(|part| Command::Goto(part.to_owned())),
    ]
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let step = prop_oneof![
        4 => (prop::sample::select(VALUES.to_vec()), 1..40_u8).prop_map(|(value, count)| Step::Hold(value, count)),
        4 => (1..15_u8).prop_map(Step::Air),
        1 => prop::collection::vec(any::<u8>(), 0..40).prop_map(Step::Garbage),
        3 => commands().prop_map(Step::Command),
        1 => (0..3000_u16).prop_map(Step::Cut),
        1 => (0..6000_u16).prop_map(Step::Nothing),
    ];
    prop::collection::vec(step, 0..30)
}

/// Writes a script: plays it while it is made, so that questions can be answered.
struct Maker {
    sitting: Sitting,
    now: Stamp,
    script: Script,
    /// Questions that wait for their answers; a talking meter has none.
    asked: VecDeque<String>,
    talks: bool,
    count: u32,
}

impl Maker {
    fn new(plan: &Plan, talks: bool) -> Self {
        let mut maker = Self {
            sitting: Sitting::begin(plan.clone()),
            now: Stamp::ZERO,
            script: Vec::new(),
            asked: VecDeque::new(),
            talks,
            count: 0,
        };
        maker.put(Came::Up);
        maker
    }

    fn put(&mut self, came: Came) {
        self.sitting.handle(self.now, came.input(), &mut |_| {});
        self.script.push((self.now, came));
        while let Some(bytes) = self.sitting.transmit() {
            let text = String::from_utf8(bytes.to_vec()).unwrap();
            let questions = text.lines().filter(|line| line.ends_with('?'));
            self.asked.extend(questions.map(str::to_owned));
        }
    }

    fn take(&mut self, step: &Step) {
        match step {
            Step::Hold(value, count) => self.readings(*count, Some(*value)),
            Step::Air(count) => self.readings(*count, None),
            Step::Garbage(bytes) => self.put(Came::Bytes(bytes.clone())),
            Step::Command(command) => self.put(Came::Command(command.clone())),
            Step::Cut(millis) => {
                self.put(Came::Lost);
                self.asked.clear();
                self.pass(*millis);
                self.put(Came::Up);
            }
            Step::Nothing(millis) => self.pass(*millis),
        }
    }

    fn readings(&mut self, count: u8, value: Option<f64>) {
        let mut left = count;
        // Identification and error queue are answered between readings.
        for _ in 0..4 * u32::from(count) {
            if left == 0 {
                return;
            }
            self.now = self.now.after(PERIOD);
            let question = if self.talks {
                "READ?".to_owned()
            } else if let Some(question) = self.asked.pop_front() {
                question
            } else {
                self.put(Came::Tick);
                continue;
            };
            let answer = match question.as_str() {
                "*IDN?" => "Example Works,Meter,0,0".to_owned(),
                "SYST:ERR?" => "0,\"No error\"".to_owned(),
                _ => {
                    left -= 1;
                    self.reading(value)
                }
            };
            self.put(Came::Bytes(format!("{answer}\n").into_bytes()));
        }
    }

    /// A reading that dances by a count of the meter.
    fn reading(&mut self, value: Option<f64>) -> String {
        self.count += 1;
        let dance = f64::from(self.count % 3) - 1.0;
        let (ohm, farad) = if self.talks { (" OHM", " F") } else { ("", "") };
        // A talking meter shows what its knob is at; open, this one is at ohms.
        value.map_or(format!("9.9E37{ohm}"), |value| {
            let (count, unit) = if value < 1.0 {
                (1e-11, farad)
            } else {
                (1.0, ohm)
            };
            format!("{:.6E}{unit}", value + dance * count)
        })
    }

    /// Lets time pass, with a tick at every deadline, as live work has it.
    fn pass(&mut self, millis: u16) {
        let end = self.now.after(Duration::from_millis(u64::from(millis)));
        for _ in 0..100 {
            let Some(due) = self.sitting.deadline().filter(|&due| due < end) else {
                break;
            };
            self.now = self.now.max(due);
            self.put(Came::Tick);
        }
        self.now = end;
    }
}

fn script(plan: &Plan, talks: bool, steps: &[Step]) -> Script {
    let mut maker = Maker::new(plan, talks);
    for step in steps {
        maker.take(step);
    }
    maker.put(Came::Command(Command::End));
    maker.script
}

/// Every portion of bytes cut into pieces of the given sizes, in turn.
fn split(script: &Script, sizes: &[usize]) -> Script {
    let mut sizes = sizes.iter().cycle();
    let mut pieces = Vec::new();
    for (at, came) in script {
        let Came::Bytes(bytes) = came else {
            pieces.push((*at, came.clone()));
            continue;
        };
        let mut rest = &bytes[..];
        while !rest.is_empty() {
            let size = sizes.next().copied().unwrap_or(1).clamp(1, rest.len());
            let (piece, after) = rest.split_at(size);
            pieces.push((*at, Came::Bytes(piece.to_vec())));
            rest = after;
        }
    }
    pieces
}

/// Ticks put in at these shares of the time from one input to the next.
fn with_ticks(script: &Script, shares: &[u8]) -> Script {
    let mut shares = shares.iter().cycle();
    let mut more = Script::new();
    for (at, came) in script {
        if let Some(before) = more.last().map(|(before, _)| *before) {
            let gap = at.since(before);
            for _ in 0..2 {
                let share = f64::from(*shares.next().unwrap()) / 255.0;
                let tick = more.last().map_or(before, |(last, _)| *last);
                let tick = tick.max(before.after(gap.mul_f64(share))).min(*at);
                more.push((tick, Came::Tick));
            }
        }
        more.push((*at, came.clone()));
    }
    more
}

/// The same without any tick, as a recording keeps it.
fn without_ticks(script: &Script) -> Script {
    let kept = script
        .iter()
        .filter(|(_, came)| !matches!(came, Came::Tick));
    kept.cloned().collect()
}

fn is_open(event: &Event) -> Option<usize> {
    match &event.what {
        What::Judged(record) if record.row.found == Found::Open => Some(record.part),
        _ => None,
    }
}

/// The steps that measure a list: so that the properties below are not kept by an engine that says nothing.
fn measured() -> Vec<Step> {
    vec![
        Step::Air(3),
        Step::Hold(4712.0, 30),
        Step::Air(8),
        Step::Command(Command::On),
        Step::Air(20),
        Step::Hold(4.8e-8, 60),
        Step::Air(8),
    ]
}

fn measures_a_list(profile: &str, talks: bool) {
    let plan = plan(profile);
    let events = play(&plan, &script(&plan, talks, &measured()));
    let judged: Vec<usize> = events
        .iter()
        .filter_map(|event| match &event.what {
            What::Judged(record) => Some(record.part),
            _ => None,
        })
        .collect();
    assert!(judged.starts_with(&[0, 1]), "{events:#?}");
    assert_eq!(events.iter().find_map(is_open), Some(1));
}

#[test]
fn an_asked_meter_gets_a_list_measured() {
    measures_a_list(ASKED, false);
}

#[test]
fn a_talking_meter_gets_a_list_measured() {
    measures_a_list(TALKER, true);
}

fn has_garbage(step: &Step) -> bool {
    matches!(step, Step::Garbage(_))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_same_inputs_give_the_same_events(steps in steps(), talks: bool) {
        let plan = plan(if talks { TALKER } else { ASKED });
        let script = script(&plan, talks, &steps);
        prop_assert_eq!(play(&plan, &script), play(&plan, &script));
    }

    #[test]
    fn how_bytes_are_portioned_does_not_matter(steps in steps(), talks: bool, sizes in prop::collection::vec(1..20_usize, 1..20)) {
        let plan = plan(if talks { TALKER } else { ASKED });
        // A meter that is asked sends one answer a question. What comes right behind an answer cannot be the answer to the next question,
        // and only a portion tells what came right behind; so for such a meter garbage is left out.
        let steps: Vec<Step> = steps.into_iter().filter(|step| talks || !has_garbage(step)).collect();
        let script = script(&plan, talks, &steps);
        prop_assert_eq!(play(&plan, &script), play(&plan, &split(&script, &sizes)));
    }

    #[test]
    fn ticks_change_nothing(steps in steps(), talks: bool, shares in prop::collection::vec(any::<u8>(), 1..20)) {
        let plan = plan(if talks { TALKER } else { ASKED });
        let script = script(&plan, talks, &steps);
        let events = play(&plan, &script);
        prop_assert_eq!(&events, &play(&plan, &with_ticks(&script, &shares)));
        prop_assert_eq!(&events, &play(&plan, &without_ticks(&script)));
    }

    #[test]
    fn nothing_is_judged_open_without_the_word(steps in steps(), talks: bool) {
        let plan = plan(if talks { TALKER } else { ASKED });
        let mut awaited = None;
        for event in play(&plan, &script(&plan, talks, &steps)) {
            match event.what {
                What::AwaitingOpen { ref title } => {
                    awaited = plan.parts().iter().position(|part| part.title() == *title);
                }
                What::InHand { .. } => awaited = None,
                _ => {}
            }
            if let Some(open) = is_open(&event) {
                prop_assert_eq!(awaited.take(), Some(open));
            }
        }
    }

    #[test]
    fn after_the_end_nothing_is_said(steps in steps(), talks: bool) {
        let plan = plan(if talks { TALKER } else { ASKED });
        let mut script = script(&plan, talks, &steps);
        let middle = script.len() / 2;
        let at = script[middle].0;
        script.insert(middle, (at, Came::Command(Command::End)));
        let events = play(&plan, &script);
        let ended = events.iter().position(|event| matches!(event.what, What::Ended(_)));
        prop_assert_eq!(ended, Some(events.len() - 1));
    }

    #[test]
    fn times_of_events_never_run_backwards(steps in steps(), talks: bool) {
        let plan = plan(if talks { TALKER } else { ASKED });
        let events = play(&plan, &script(&plan, talks, &steps));
        prop_assert!(events.is_sorted_by_key(|event| event.at));
    }
}
