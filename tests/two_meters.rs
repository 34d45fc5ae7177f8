//! A sitting with two meters at once, a multimeter and an LCR meter: who measures what, and what becomes of the one without the other.

use std::ffi::OsString;
use std::fs;
use std::time::Duration;

use probewright::face::bench::recording::survey;
use probewright::face::bench::simulator::{
    BenchClock, Component, Options, Probes, RangeChange, Running, Scale, Serve,
};
use probewright::face::engine::meter::shipped_profile;
use probewright::face::engine::quantity::{Quantity, Stamp};
use probewright::face::engine::settings::BenchMeter;
use probewright::face::engine::sitting::{
    Command, Event, FIRST_METER, Input, MeterNews, Plan, Record, Setup, Sitting, What,
};
use tempfile::TempDir;

use crate::bench;
use crate::program::{Finished, Job, Program, Row, Started, at, replay};
use crate::talking::{Taken, has_taken};

/// A simulated meter and the probes on it.
struct Instrument {
    meter: Running,
    probes: Probes,
}

impl Instrument {
    fn multimeter(serve: Serve) -> Self {
        Self::start(Options {
            serve,
            readings_per_second: 50.0,
            range_change: RangeChange::Silent,
            ..Options::default()
        })
    }

    /// An LCR meter that answers with value, loss and status.
    fn bridge(serve: Serve) -> Self {
        Self::start(Options {
            serve,
            identity: "Probewright,Simulated LCR Meter,0,1".to_owned(),
            readings_per_second: 50.0,
            range_change: RangeChange::Silent,
            capacitance: Scale::new(100e-12, 9, 10_000),
            with_loss: true,
            with_status: true,
            ..Options::default()
        })
    }

    fn start(options: Options) -> Self {
        let (probes, meter) = bench::start(BenchClock::real_time(), options);
        Self { meter, probes }
    }
}

/// A job with both on the bench.
struct Bench {
    job: Job,
    multimeter: Instrument,
    bridge: Instrument,
    _terminals: [TempDir; 2],
}

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,loss,frequency,role
R1,resistor,4K7,10%,,,,,
C1,capacitor,47nF,20%,400V,paper,0.02,1 kHz,detector
R2,resistor,220k,10%,,,,,
C2,capacitor,100nF,20%,400V,paper,0.02,1 kHz,detector
R3,resistor,330R,5%,,,,,
";

impl Bench {
    fn new(parts: &str) -> Self {
        let ((one, first), (two, second)) = (bench::terminal(), bench::terminal());
        Self {
            job: Job::new(parts),
            multimeter: Instrument::multimeter(first),
            bridge: Instrument::bridge(second),
            _terminals: [one, two],
        }
    }

    fn beside(&self) -> String {
        format!("bridge=scpi-lcr-meter@{}", self.bridge.meter.address())
    }

    fn arguments(&self) -> Vec<OsString> {
        let root = self.job.root().into_os_string();
        let meter = at("scpi-multimeter", self.multimeter.meter.address());
        vec!["sit".into(), root, "--meter".into(), meter]
    }

    /// A sitting in which both have said who they are.
    fn sit(&self) -> Started {
        let mut arguments = self.arguments();
        arguments.extend(["--meter".into(), self.beside().into()]);
        Program::new(arguments).start()
    }

    /// Checks the recording: sealed, and the replay gives the same lines and the same rows.
    fn check_recording(&self, live: &Finished) {
        let recording = self.job.recording();
        assert!(survey(&recording).unwrap().is_whole());
        let (replayed, csv) = replay(&recording);
        let replayed = replayed.with_status(0).out();
        assert!(live.out().ends_with(&replayed), "{replayed}");
        assert_eq!(csv, fs::read(self.job.results()).unwrap());
    }
}

fn touch(on: &Instrument, part: Component, program: &mut Started, words: &[&str]) {
    on.probes.place(part, Duration::from_millis(40));
    program.sees(words);
    on.probes.lift();
}

fn ohm(value: f64) -> Component {
    Component::resistor(value)
}

fn paper(farad: f64) -> Component {
    Component::capacitor(farad).with_loss(0.012)
}

#[test]
fn each_part_goes_to_the_meter_for_it_and_all_into_one_recording() {
    let bench = Bench::new(PARTS);
    let mut program = bench.sit();
    program.sees(&[
        "5 parts, scpi-multimeter on ",
        "; bridge: scpi-lcr-meter on ",
    ]);
    // The other lies on something that would pass for the part in hand, and is not heard.
    bench.bridge.probes.place(ohm(4700.0), Duration::ZERO);
    program.sees(&["  R1 ", "(with meter)"]);
    touch(
        &bench.multimeter,
        ohm(4712.0),
        &mut program,
        &["R1 ", " PASS "],
    );
    bench.bridge.probes.lift();
    program.sees(&["  C1 ", "(with bridge)"]);
    // So does the multimeter while the bridge has its turn, though it measures capacitance as well.
    bench.multimeter.probes.place(paper(90e-9), Duration::ZERO);
    touch(
        &bench.bridge,
        paper(48e-9),
        &mut program,
        &["C1 ", " PASS "],
    );
    bench.multimeter.probes.lift();
    program.sees(&["  R2 ", "(with meter)"]);
    touch(
        &bench.multimeter,
        ohm(221e3),
        &mut program,
        &["R2 ", " PASS "],
    );
    program.sees(&["  C2 ", "(with bridge)"]);
    touch(
        &bench.bridge,
        paper(99e-9),
        &mut program,
        &["C2 ", " PASS "],
    );
    program.sees(&["  R3 "]);
    program.say("end");
    let finished = program.end().with_status(0);
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
    assert_eq!(
        short,
        [
            ("R1", "1", "pass"),
            ("C1", "1", "pass"),
            ("R2", "1", "pass"),
            ("C2", "1", "pass")
        ]
    );
    assert!((rows[0].number("value") / 4712.0 - 1.0).abs() < 1e-3);
    assert!((rows[1].number("value") / 48e-9 - 1.0).abs() < 1e-2);
    assert!(
        rows[1].get("checks").contains("loss"),
        "{}",
        rows[1].get("checks")
    );
    let text = fs::read_to_string(bench.job.recording()).unwrap();
    for words in [
        "\tmeter\t0\tmeter\t",
        "\tmeter\t1\tbridge\t",
        "\tin\t0\t",
        "\tin\t1\t",
        "\tout\t1\t",
    ] {
        assert!(text.contains(words), "{words}");
    }
    bench.check_recording(&finished);
    let why = |part: &str| {
        let words = ["why".into(), bench.job.root().into_os_string(), part.into()];
        Program::new(words).run().with_status(0).out()
    };
    assert!(
        why("R1").contains("with `scpi-multimeter`"),
        "{}",
        why("R1")
    );
    assert!(why("C1").contains("with `scpi-lcr-meter`"), "{}", why("C1"));
}

#[test]
fn a_capacitor_is_seen_discharged_with_one_and_measured_with_the_other() {
    let rows = "ref,kind,value,tolerance,rating,material,role\n\
        C1,capacitor,32uF,-20/+50%,450V,electrolytic,reservoir\n";
    let bench = Bench::new(rows);
    let mut program = bench.sit();
    program.sees(&["C1 ", "(with meter)"]);
    touch(
        &bench.multimeter,
        Component::live_point(1.5),
        &mut program,
        &["C1 ", "1.5 V", "discharged"],
    );
    program.sees(&["  C1 ", "(with bridge)"]);
    let electrolytic = Component::capacitor(34e-6).with_loss(0.05);
    touch(
        &bench.bridge,
        electrolytic,
        &mut program,
        &["C1 ", " PASS "],
    );
    program.say("end");
    let finished = program.end().with_status(0);
    assert_eq!(bench.job.rows().len(), 1);
    bench.check_recording(&finished);
}

#[test]
fn one_link_is_lost_while_the_other_goes_on() {
    let bench = Bench::new(PARTS);
    let mut program = bench.sit();
    program.sees(&["bridge: Probewright,Simulated LCR Meter"]);
    bench.bridge.meter.cut_cable().unwrap();
    program.sees(&["bridge: link lost: ", "; trying again"]);
    touch(
        &bench.multimeter,
        ohm(4712.0),
        &mut program,
        &["R1 ", " PASS "],
    );
    program.sees(&["  C1 ", "(with bridge)"]);
    bench.multimeter.meter.cut_cable().unwrap();
    program.sees(&["meter: link lost: "]);
    bench.bridge.meter.plug_in().unwrap();
    program.sees(&["bridge: link up"]);
    touch(
        &bench.bridge,
        paper(48e-9),
        &mut program,
        &["C1 ", " PASS "],
    );
    program.sees(&["  R2 ", "(with meter)"]);
    bench.multimeter.meter.plug_in().unwrap();
    program.sees(&["meter: link up"]);
    touch(
        &bench.multimeter,
        ohm(221e3),
        &mut program,
        &["R2 ", " PASS "],
    );
    program.say("end");
    let finished = program.end().with_status(0);
    let text = fs::read_to_string(bench.job.recording()).unwrap();
    for words in [
        "\tlink\t0\tlost\t",
        "\tlink\t1\tlost\t",
        "\tlink\t0\tup\t",
        "\tlink\t1\tup\t",
    ] {
        assert!(text.contains(words), "{words}");
    }
    assert_eq!(bench.job.rows().len(), 3);
    bench.check_recording(&finished);
}

#[test]
fn the_job_can_name_the_meters_and_the_command_line_goes_before_it() {
    let bench = Bench::new(PARTS);
    let job = bench.job.root().join("job.toml");
    let meters = "title = \"a test\"\n[[meters]]\nname = \"bridge\"\nprofile = \"scpi-lcr-meter\"\nport = \"/nowhere\"\n";
    fs::write(job, meters).unwrap();
    let refused = Program::new(bench.arguments()).run().with_status(1);
    assert!(refused.err().contains("/nowhere"), "{}", refused.err());
    let mut program = bench.sit();
    program.sees(&["bridge: Probewright,Simulated LCR Meter"]);
    program.say("end");
    let finished = program.end().with_status(0);
    bench.check_recording(&finished);
}

#[test]
fn a_name_for_two_meters_and_half_a_meter_are_wrong_usage() {
    let bench = Bench::new(PARTS);
    let with = |beside: &str| {
        let mut arguments = bench.arguments();
        arguments.extend(["--meter".into(), beside.into()]);
        Program::new(arguments).run().with_status(2)
    };
    for half in ["bridge=scpi-lcr-meter@", "bridge=@x", "=x@y", "x@", ""] {
        let _ = with(half).complaining(&["NAME=PROFILE@PORT"]);
    }
    // It is a port, and nothing says which profile.
    let _ = with("bridge=x").complaining(&["no profile for `bridge`"]);
    let _ = with("meter=scpi-lcr-meter@tcp:localhost:1")
        .complaining(&["two meters are called `meter`"]);
}

/// A multimeter and an LCR meter that send by themselves, with one line a turn each.
struct Lines {
    sitting: Sitting,
    micros: u64,
    said: Vec<What>,
}

const OWN_LINE: &str = "
format = 1
mode = \"talk\"
[line]
baud = 9600
[timing]
silent_after_s = 600.0
[number]
overload_words = [\"OL\"]
";

const MULTIMETER: &str = "
title = \"multimeter\"
[function.resistance]
idle = \"overload\"
range = [{ up_to = 1e6, resolution = 1e-3, percent_of_reading = 0.5 }]
[function.capacitance]
idle = { below = 1e-10 }
range = [{ up_to = 1e-3, resolution = 1e-10, percent_of_reading = 0.5 }]
[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000.0, resolution = 0.01, percent_of_reading = 0.1 }]
[function.current]
idle = { below = 1e-7 }
range = [{ up_to = 0.1, resolution = 1e-8, percent_of_reading = 0.5 }]
";

const BRIDGE: &str = "
title = \"bridge\"
[function.capacitance]
fields = [\"capacitance\", \"loss\"]
frequency_hz = 1000
second_limit = { absolute = 0.001 }
idle = { below = 1e-12 }
range = [{ up_to = 1e-3, resolution = 1e-14, percent_of_reading = 0.5 }]
";

fn profile(functions: &str) -> String {
    let (title, functions) = functions.trim().split_once('\n').unwrap();
    format!("{title}\n{}{functions}\n", OWN_LINE.trim_start())
}

const HEAD: &str = "ref,kind,value,tolerance,rating,material,leakage,loss,frequency,also,role\n";
const PAPER: &str = "C1,capacitor,0.1uF,20%,400V,paper,2 uA,0.02,1 kHz,leakage,detector\nR1,resistor,4k7,10%,,,,,,,\n";

/// A meter called bridge, of that profile.
fn bridge_by(profile: &str) -> BenchMeter {
    BenchMeter {
        name: "bridge".to_owned(),
        profile: profile.to_owned(),
        port: String::new(),
    }
}

const METER: usize = 0;
const OTHER: usize = 1;

impl Lines {
    fn new(rows: &str) -> Self {
        let (multimeter, bridge) = (profile(MULTIMETER), profile(BRIDGE));
        let parts = format!("{HEAD}{rows}");
        let setup = Setup::of(parts, "own-multimeter", &multimeter)
            .with_meter(bridge_by("own-bridge"), &bridge);
        let plan = Plan::of(&setup);
        let mut lines = Self {
            sitting: Sitting::begin(plan.unwrap()),
            micros: 0,
            said: Vec::new(),
        };
        lines.input(METER, Input::LinkUp);
        lines.input(OTHER, Input::LinkUp);
        lines
    }

    fn input(&mut self, meter: usize, input: Input<'_>) {
        let said = &mut self.said;
        self.micros += 250_000;
        let now = Stamp::from_micros(self.micros);
        let mut hear = |event: Event| said.push(event.what);
        self.sitting.handle_from(meter, now, input, &mut hear);
    }

    /// So many turns in which both send.
    fn show(&mut self, multimeter: &str, bridge: &str, times: usize) {
        for _ in 0..times {
            self.input(METER, Input::Bytes(format!("{multimeter}\n").as_bytes()));
            self.input(OTHER, Input::Bytes(format!("{bridge}\n").as_bytes()));
        }
    }

    fn say(&mut self, command: &str) {
        let command: Command = command.parse().unwrap();
        self.input(METER, Input::Command(&command));
    }

    fn records(&self) -> Vec<&Record> {
        fn record(what: &What) -> Option<&Record> {
            match what {
                What::Judged(record) => Some(&**record),
                _ => None,
            }
        }
        self.said.iter().filter_map(record).collect()
    }
}

#[test]
fn a_capacitor_has_value_and_loss_from_one_and_its_leakage_from_the_other() {
    let mut lines = Lines::new(PAPER);
    let apart = "0.0 F,0.0";
    lines.show("0.0 ADC", apart, 4);
    lines.show("0.0 ADC", "0.1e-6 F,0.012", 12);
    lines.show("0.0 ADC", apart, 4);
    assert!(has_taken(&lines.said, Taken::ToSoak(1)), "{:?}", lines.said);
    // The display of the bridge is no current, and nobody holds its probes.
    lines.show("0.6e-6 ADC", "0.2e-6 F,0.5", 130);
    let records = lines.records();
    let [value, leakage] = records[..] else {
        panic!("{:?}", lines.said)
    };
    assert_eq!(
        (value.part, value.settled.quantity),
        (0, Quantity::Capacitance)
    );
    assert!(
        value
            .settled
            .second
            .is_some_and(|loss| (loss.value - 0.012).abs() < 1e-9)
    );
    assert_eq!(
        (leakage.part, leakage.settled.quantity),
        (1, Quantity::Current)
    );
    let plan = lines.sitting.plan();
    let names =
        [value, leakage].map(|record| plan.profile_for(record.settled.quantity).name.as_str());
    assert_eq!(names, ["own-bridge", "own-multimeter"]);
}

#[test]
fn probes_that_were_left_on_a_part_count_for_nothing_when_their_meter_has_its_turn_again() {
    let rows = "R1,resistor,4k7,10%,,,,,,,\nC1,capacitor,1nF,20%,,paper,,,,,detector\nR2,resistor,4k7,10%,,,,,,,\n";
    let mut lines = Lines::new(rows);
    lines.show("OL OHM", "0.0 F,0.0", 4);
    lines.show("4700 OHM", "0.0 F,0.0", 12);
    lines.say("next");
    lines.show("4700 OHM", "0.0 F,0.0", 4);
    lines.show("4700 OHM", "1e-9 F,0.01", 12);
    lines.show("4700 OHM", "0.0 F,0.0", 4);
    assert!(has_taken(&lines.said, Taken::InHand(2)), "{:?}", lines.said);
    lines.show("4700 OHM", "0.0 F,0.0", 12);
    let parts = |lines: &Lines| {
        lines
            .records()
            .iter()
            .map(|record| record.part)
            .collect::<Vec<_>>()
    };
    assert_eq!(parts(&lines), [0, 1]);
    lines.show("OL OHM", "0.0 F,0.0", 4);
    lines.show("4710 OHM", "0.0 F,0.0", 12);
    assert_eq!(parts(&lines), [0, 1, 2]);
}

#[test]
fn a_knob_that_was_turned_meanwhile_is_told_when_its_meter_has_its_turn() {
    let rows = "R1,resistor,4k7,10%,,,,,,,\nC1,capacitor,1nF,20%,,paper,,,,,detector\nR2,resistor,4k7,10%,,,,,,,\n";
    let mut lines = Lines::new(rows);
    let told = |lines: &Lines| {
        let wrong = |what: &&What| {
            matches!(
                what,
                What::Meter {
                    meter: Some(name),
                    news: MeterNews::WrongQuantity { .. }
                } if name == FIRST_METER
            )
        };
        lines.said.iter().filter(wrong).count()
    };
    lines.show("OL OHM", "0.0 F,0.0", 4);
    lines.say("next");
    lines.show("1.00 VDC", "0.0 F,0.0", 4);
    assert_eq!(told(&lines), 0, "{:?}", lines.said);
    lines.say("next");
    assert_eq!(told(&lines), 1, "{:?}", lines.said);
    lines.show("1.00 VDC", "0.0 F,0.0", 4);
    assert_eq!(told(&lines), 1, "{:?}", lines.said);
}

#[test]
fn the_leads_of_one_say_nothing_about_those_of_the_other() {
    let rows = "R1,resistor,4.7,20%,,,,,,,\nC1,capacitor,1nF,20%,,paper,,,,,detector\n";
    let mut lines = Lines::new(rows);
    let apart = "0.0 F,0.0";
    lines.show("OL OHM", apart, 4);
    lines.say("zero");
    lines.show("0.4 OHM", apart, 30);
    lines.show("OL OHM", apart, 4);
    let zeroed =
        |what: &What| matches!(what, What::Zeroed { ohms, .. } if (ohms - 0.4).abs() < 1e-9);
    assert!(lines.said.iter().any(zeroed), "{:?}", lines.said);
    assert!(!lines.said.contains(&What::AwaitingApart));
    lines.show("5.1 OHM", apart, 12);
    lines.show("OL OHM", apart, 4);
    lines.show("OL OHM", "1e-9 F,0.01", 12);
    let judged = |record: &Record| record.row.value.unwrap().value;
    let judged: Vec<_> = lines.records().into_iter().map(judged).collect();
    approx::assert_relative_eq!(judged[..], [4.7, 1e-9], max_relative = 1e-9);
}

#[test]
fn what_no_meter_of_the_bench_measures_is_said_once_for_all() {
    let shipped = shipped_profile("scpi-lcr-meter").unwrap();
    let parts = "ref,kind,value,tolerance\nP1,point,250V,10%\n";
    let setup = Setup::of(parts, shipped.name, shipped.text)
        .with_meter(bridge_by(shipped.name), shipped.text);
    let plan = Plan::of(&setup);
    let mut sitting = Sitting::begin(plan.unwrap());
    let mut said = Vec::new();
    sitting.handle(Stamp::ZERO, Input::LinkUp, &mut |event| said.push(event));
    let lines = said
        .iter()
        .filter_map(|event| probewright::face::views::told::told(&event.what).line);
    let lines: Vec<_> = lines.map(|line| line.text).collect();
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("no meter here measures ")),
        "{lines:?}"
    );
}

#[test]
fn timers_of_both_fire_in_the_order_in_which_they_are_due() {
    let mut lines = Lines::new(PAPER);
    let meters = lines.sitting.plan().meters().iter();
    let names: Vec<String> = meters.map(|meter| meter.name().to_owned()).collect();
    let silent = |meter: usize| What::Meter {
        meter: Some(names[meter].clone()),
        news: MeterNews::Silent,
    };
    lines.said.clear();
    // The first lines are not taken: nobody knows whether their beginnings were missed.
    lines.show("OL OHM", "0.0 F,0.0", 2);
    lines.input(METER, Input::Bytes(b"OL OHM\n"));
    lines.micros += 601_000_000;
    lines.input(METER, Input::Tick);
    let heard: Vec<_> = lines
        .said
        .iter()
        .filter(|what| matches!(what, What::Meter { .. }))
        .collect();
    assert_eq!(heard, [&silent(OTHER), &silent(METER)]);
    assert_eq!(lines.sitting.deadline(), None);
}
