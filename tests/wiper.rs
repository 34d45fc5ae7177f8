//! Potentiometers beyond their value: the wiper at its stop, at half its travel, and dragged from stop to stop.

use std::path::Path;

use proptest::prelude::*;

use probewright::face::bench::recording::{self, Header, LinkState, Writer};
use probewright::face::engine::judge::{Aspect, Reason, Verdict};
use probewright::face::engine::quantity::Stamp;
use probewright::face::engine::sitting::{Input, Record, Refusal, What};

use crate::program::Program;
use crate::talking::{self, Taken, Talking, plan, taken_last};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.3, counts = 2 }]
"#;

const HEAD: &str = "ref,kind,value,tolerance,in_circuit,law,also\n";
const VOLUME: &str =
    "VR1,potentiometer,500k,20%,no,audio,stop middle sweep\nR1,resistor,1k,10%,,,\n";
const TONE: &str = "VR1,potentiometer,100k,20%,no,linear,sweep middle\nR1,resistor,1k,10%,,,\n";

/// A bench whose meter sends ten lines a second.
struct Bench(Talking);

impl Bench {
    fn new(rows: &str) -> Self {
        let plan = plan(FUNCTIONS, &format!("{HEAD}{rows}"), "", "").unwrap();
        let mut bench = Self(Talking::new(plan, 10));
        bench.air(5);
        bench
    }

    fn shows(&mut self, line: &str) {
        self.0.shows(line, 1);
    }

    fn air(&mut self, times: usize) {
        (0..times).for_each(|_| self.shows("OL OHM"));
    }

    fn on(&mut self, ohms: f64, times: usize) {
        (0..times).for_each(|_| self.shows(&format!("{ohms:.1} OHM")));
    }

    /// A touch that is long enough, and its lift.
    fn touches(&mut self, ohms: f64) {
        self.on(ohms, 25);
        self.air(15);
    }

    /// The wiper over these shares of a track of `ohms`, ten seconds, at rest before and after.
    fn drags(&mut self, ohms: f64, from: f64, to: f64) {
        self.on(from * ohms, 10);
        for i in 0..=100 {
            self.on((from + (to - from) * f64::from(i) / 100.0) * ohms, 1);
        }
        self.on(to * ohms, 10);
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }

    fn records(&self) -> Vec<&Record> {
        self.0.records()
    }

    fn last(&self) -> (usize, Verdict, &str) {
        let record = *self.records().last().expect("something was judged");
        (record.part, record.row.verdict, &record.row.reason)
    }

    fn words(&self, aspect: Aspect) -> String {
        let record = *self.records().last().expect("something was judged");
        let check = record
            .row
            .checks
            .iter()
            .find(|check| check.aspect == aspect);
        check.expect("the aspect was looked at").words.clone()
    }
}

#[test]
fn each_measurement_is_an_entry_with_a_title_of_its_own() {
    let plan = plan(FUNCTIONS, &format!("{HEAD}{VOLUME}"), "", "").unwrap();
    let titles: Vec<_> = plan
        .parts()
        .iter()
        .map(probewright::face::engine::parts::Part::title)
        .collect();
    assert_eq!(titles, ["VR1", "VR1 stop", "VR1 middle", "VR1 sweep", "R1"]);
    let bands: Vec<(f64, f64)> = plan.parts()[1..4]
        .iter()
        .map(|part| (part.band.lower(), part.band.upper()))
        .collect();
    assert_eq!(bands[0], (f64::NEG_INFINITY, 10e3));
    assert_eq!(bands[1], (25e3, 150e3));
    assert_eq!(bands[2], (400e3, f64::INFINITY));
}

#[test]
fn a_sound_control_passes_one_after_the_other_without_a_key() {
    let mut bench = Bench::new(VOLUME);
    bench.touches(480e3);
    bench.touches(120.0);
    assert_eq!(
        bench.last(),
        (
            1,
            Verdict::Pass,
            Reason::Value(probewright::face::engine::judge::Side::Inside).words()
        )
    );
    bench.touches(75e3);
    assert_eq!(bench.last().1, Verdict::Pass);
    assert_eq!(
        bench.words(Aspect::Law),
        "16 % of the track at half its travel, audio: 5 % to 30 % (480 kΩ as measured; that a hand finds the middle within 5 % of \
         the travel is taken into account)"
    );
    bench.drags(480e3, 0.0, 1.0);
    assert_eq!(bench.records().len(), 3, "judged at the lift");
    bench.air(15);
    assert_eq!(bench.last(), (3, Verdict::Pass, Reason::Smooth.words()));
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(4)));
    let summary = bench.0.sitting.summary();
    assert_eq!((summary.parts, summary.count(Verdict::Pass)), (2, 1));
}

#[test]
fn a_worn_stop_fails_and_a_track_of_the_wrong_law_too() {
    let mut bench = Bench::new(VOLUME);
    bench.touches(500e3);
    bench.touches(12e3);
    assert_eq!(bench.last().1, Verdict::Fail);
    bench.touches(250e3);
    assert_eq!((bench.last().0, bench.last().1), (2, Verdict::Fail));
}

#[test]
fn the_middle_follows_the_track_as_it_was_measured_and_is_less_sure_without() {
    // Half of the nominal track, but 42.4 % of the one that is there: the hand alone may have done that.
    let mut bench = Bench::new(TONE);
    bench.touches(118e3);
    bench.says("goto VR1 middle");
    bench.touches(50e3);
    let band = bench.records()[1].row.band;
    assert!((band.lower() - 47.2e3).abs() < 1.0 && (band.upper() - 70.8e3).abs() < 1.0);
    assert_eq!(bench.last().1, Verdict::ConditionalPass);
    bench.says("redo");
    bench.touches(59e3);
    assert_eq!(bench.last().1, Verdict::Pass);
    let mut bench = Bench::new(TONE);
    bench.says("goto VR1 middle");
    bench.touches(50e3);
    assert_eq!(
        bench.last().1,
        Verdict::ConditionalPass,
        "only the nominal track is known"
    );
    assert!(bench.words(Aspect::Law).contains("measure its value first"));
}

#[test]
fn a_wiper_that_loses_the_track_fails_with_the_numbers() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.on(0.0, 10);
    for i in 0..=100 {
        match i {
            40..44 => bench.air(1),
            70 => bench.on(95e3, 1),
            _ => bench.on(f64::from(i) * 1e3, 1),
        }
    }
    bench.on(100e3, 10);
    bench.air(15);
    assert_eq!((bench.last().0, bench.last().1), (1, Verdict::Fail));
    assert!(
        bench
            .last()
            .2
            .starts_with("sweep: the wiper loses contact or jumps")
    );
    let words = bench.words(Aspect::Sweep);
    assert!(
        words.starts_with("the wiper loses contact or jumps: 1 dropout of 0.40 s, 1 jump of 26 kΩ on 100 % of the track of 100 kΩ"),
        "{words}"
    );
}

#[test]
fn too_little_of_the_track_is_inconclusive_and_the_same_stays_in_hand() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.0.said.clear();
    bench.drags(100e3, 0.0, 0.6);
    bench.air(12);
    assert_eq!(
        bench.last(),
        (1, Verdict::Inconclusive, Reason::SweptTooLittle.words())
    );
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(1)));
    bench.drags(100e3, 0.0, 1.0);
    bench.air(12);
    assert_eq!(bench.last(), (1, Verdict::Pass, Reason::Smooth.words()));
    assert_eq!(bench.records().last().unwrap().row.attempt, 2);
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(2)));
}

#[test]
fn a_sweep_in_circuit_is_never_more_than_a_conditional_pass() {
    let mut bench = Bench::new("VR1,potentiometer,100k,20%,yes,,sweep\n");
    bench.touches(100e3);
    bench.drags(100e3, 0.0, 1.0);
    bench.air(12);
    assert_eq!(
        bench.last(),
        (
            1,
            Verdict::ConditionalPass,
            Reason::ParallelPathMayHide.words()
        )
    );
}

#[test]
fn a_wiper_that_never_conducts_is_open_upon_the_word() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.air(40);
    assert_eq!(bench.records().len(), 1);
    bench.says("on");
    bench.air(15);
    assert_eq!(bench.last(), (1, Verdict::Fail, Reason::Open.words()));
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(2)));
    bench.says("goto vr1 SWEEP");
    bench.on(10e3, 3);
    bench.says("on");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            obstacle: Refusal::ContactSeen,
            ..
        })
    ));
}

#[test]
fn redo_sweeps_again_and_a_part_left_under_the_probes_counts_for_nothing() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.drags(100e3, 0.0, 1.0);
    bench.air(12);
    bench.says("redo");
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(1)));
    // The person goes on to the resistor half way: what the probes are still on is not the resistor.
    bench.on(1e3, 20);
    bench.says("goto R1");
    bench.on(1e3, 40);
    assert_eq!(bench.records().len(), 2);
    bench.air(5);
    bench.touches(1e3);
    assert_eq!((bench.last().0, bench.last().1), (3, Verdict::Pass));
    // And from a resistor under the probes to a sweep.
    bench.says("goto R1");
    bench.on(1e3, 2);
    bench.says("goto VR1 sweep");
    bench.drags(100e3, 0.0, 1.0);
    bench.air(15);
    assert_eq!(bench.records().len(), 3);
}

#[test]
fn a_link_that_is_lost_on_the_way_forgets_the_sweep() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.on(0.0, 20);
    bench.0.input(Input::LinkLost {
        reason: "unplugged",
    });
    bench.0.input(Input::LinkUp);
    bench.drags(100e3, 0.5, 1.0);
    bench.air(12);
    assert_eq!(bench.records().len(), 1);
    bench.drags(100e3, 0.0, 1.0);
    bench.air(12);
    assert_eq!(bench.last(), (1, Verdict::Pass, Reason::Smooth.words()));
}

#[test]
fn zero_on_the_way_is_measured_and_the_sweep_comes_again() {
    let mut bench = Bench::new(TONE);
    bench.touches(100e3);
    bench.says("zero");
    bench.touches(0.3);
    assert!(
        bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Zeroed { .. }))
    );
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(1)));
    bench.drags(100e3, 0.0, 1.0);
    bench.air(12);
    assert_eq!(bench.last(), (1, Verdict::Pass, Reason::Smooth.words()));
}

/// Writes down a bench's bytes as a sitting's recording.
fn record(path: &Path) {
    let file = |name, content| recording::Event::File { name, content };
    let parts = format!("{HEAD}{TONE}");
    let profile = talking::profile(FUNCTIONS);
    let setup = [
        file("job.toml", b"".as_slice()),
        file("parts.csv", parts.as_bytes()),
        file("profile.toml", profile.as_bytes()),
        recording::Event::Setting {
            key: "only",
            value: "",
        },
        recording::Event::Setting {
            key: "rule",
            value: "guard-band",
        },
        recording::Event::Setting {
            key: "profile",
            value: "knob",
        },
    ];
    let header = Header {
        program: "test",
        version: "1",
        begun: "2056-11-03T19:25:30+01:00".parse().unwrap(),
        setup: &setup,
    };
    let out = std::fs::File::create(path).unwrap();
    let mut writer = Writer::onto(out, || Ok(()), path, &header).unwrap();
    let up = recording::Event::Link {
        meter: 0,
        state: LinkState::Up,
        reason: "",
    };
    writer.record(Stamp::ZERO, &up).unwrap();
    let mut at = 0;
    let mut send = |line: &str| {
        at += 100_000;
        let bytes = format!("{line} OHM\r\n");
        let event = recording::Event::In {
            meter: 0,
            bytes: bytes.as_bytes(),
        };
        writer.record(Stamp::from_micros(at), &event).unwrap();
    };
    let on = |ohms: u32| format!("{ohms}.0");
    (0..25).for_each(|_| send(&on(100_000)));
    (0..5).for_each(|_| send("OL"));
    (0..10).for_each(|_| send(&on(0)));
    for i in 0..=100 {
        send(&if i == 50 {
            "OL".to_owned()
        } else {
            on(i * 1000)
        });
    }
    (0..10).for_each(|_| send(&on(100_000)));
    (0..15).for_each(|_| send("OL"));
    (0..25).for_each(|_| send(&on(50_000)));
    (0..5).for_each(|_| send("OL"));
    let ended = recording::Event::Command { text: "end" };
    writer.record(Stamp::from_micros(at), &ended).unwrap();
    writer.seal(Stamp::from_micros(at), "ended").unwrap();
}

#[test]
fn lines_rows_and_the_explanation_tell_what_was_found() {
    let folder = tempfile::tempdir().unwrap();
    let (rec, csv) = (folder.path().join("a.rec"), folder.path().join("out.csv"));
    record(&rec);
    let out = Program::new([
        "replay",
        rec.to_str().unwrap(),
        "--csv",
        csv.to_str().unwrap(),
    ])
    .run()
    .with_status(0)
    .out();
    let line = out
        .lines()
        .find(|line| line.starts_with("VR1 sweep") && line.contains("FAIL"));
    let line = line.unwrap_or_else(|| panic!("{out}"));
    assert!(
        line.contains("1 dropout of 0.10 s, no jump on 100 % of the track of 100 kΩ"),
        "{line}"
    );
    assert!(line.contains("the wiper loses contact or jumps"), "{line}");
    assert!(out.contains("turn evenly to the other stop"), "{out}");
    let rows = std::fs::read_to_string(&csv).unwrap();
    let steps: Vec<&str> = rows
        .lines()
        .skip(1)
        .filter_map(|row| row.split(',').nth(4))
        .collect();
    assert_eq!(steps, ["value", "sweep", "middle"]);
    assert!(
        rows.contains("sweep: the wiper loses contact or jumps: 1 dropout"),
        "{rows}"
    );
    let why = Program::new(["why", rec.to_str().unwrap(), "VR1"])
        .run()
        .with_status(0)
        .out();
    assert!(why.contains("VR1 sweep: FAIL."), "{why}");
    assert!(
        why.contains("no dropout and no jump may show on most of it"),
        "{why}"
    );
    assert!(why.contains("followed the wiper for"), "{why}");
    assert!(why.contains("VR1 middle: PASS."), "{why}");
    assert!(
        why.contains("Check of law: 50 % of the track at half its travel, linear"),
        "{why}"
    );
}

/// Something that a bench may see: readings, nothing for a while, a command.
fn happening() -> impl Strategy<Value = (u8, f64, usize)> {
    (0..12_u8, 0.0..1.2e5_f64, 1..40_usize)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn whatever_happens_is_survived_and_happens_the_same_again(happenings in prop::collection::vec(happening(), 1..40)) {
        let run = || {
            let mut bench = Bench::new(TONE);
            for (what, ohms, times) in &happenings {
                match what {
                    0..4 => bench.on(*ohms, *times),
                    4..7 => bench.air(*times),
                    7 => bench.drags(1e5, 0.0, ohms / 1e5),
                    8 => bench.says(["next", "back", "skip", "redo", "on", "zero"][times % 6]),
                    9 => bench.says("goto VR1 sweep"),
                    10 => bench.0.input(Input::LinkLost { reason: "unplugged" }),
                    _ => bench.0.input(Input::LinkUp),
                }
            }
            bench.0.said
        };
        prop_assert_eq!(run(), run());
    }
}
