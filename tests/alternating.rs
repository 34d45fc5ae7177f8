//! Alternating voltage from a meter to the results: a heater as a test point, and the turns ratio of a transformer.

use std::time::Duration;

use probewright::face::bench::simulator::{
    BenchClock, Component, Options, Probes, RangeChange, Running, Serve,
};

use crate::bench;
use crate::program::{Finished, Job, Program, Started, replay};

const PARTS: &str = "\
ref,kind,value,tolerance,sheet_ohm_per_volt,sheet_range,load
TP1,point,6.3 V AC,10%,1000,10 V,
T2.ratio,ratio,38:1,5%,,,8
T3.ratio,ratio,20:1,,,,
";

/// A job, a multimeter on the bench, and a sitting at work.
struct Bench {
    job: Job,
    probes: Probes,
    _meter: Running,
    program: Started,
}

impl Bench {
    /// A sitting that takes `first` in hand.
    fn new(only: &str, first: &str) -> Self {
        let options = Options {
            serve: Serve::Tcp,
            readings_per_second: 50.0,
            range_change: RangeChange::Silent,
            ..Options::default()
        };
        let (probes, meter) = bench::start(BenchClock::real_time(), options);
        let job = Job::new(PARTS);
        let root = job.root();
        let at = format!("scpi-multimeter@{}", meter.address());
        let arguments = ["sit", root.to_str().unwrap(), "--meter", &at];
        let more = ["--only", only];
        let mut program = Program::new(arguments.into_iter().chain(more)).start();
        program.sees(&[first]);
        program.sees(&["meter: Probewright,Simulated Meter"]);
        Self {
            job,
            probes,
            _meter: meter,
            program,
        }
    }

    /// Holds the probes where an alternating voltage is until a line says all of `words`.
    fn touch(&mut self, volts: f64, words: &[&str]) {
        let component = Component::alternating(volts);
        self.probes.place(component, Duration::from_millis(40));
        self.program.sees(words);
        self.probes.lift();
    }

    /// Ends the sitting; its replay gives the same lines and rows.
    fn end(mut self) -> (Job, Finished) {
        self.program.say("end");
        let finished = self.program.end().with_status(0);
        let (replayed, rows) = replay(&self.job.recording());
        let replayed = replayed.with_status(0).out();
        assert!(finished.out().ends_with(&replayed), "{replayed}");
        assert_eq!(rows, std::fs::read(self.job.results()).unwrap());
        (self.job, finished)
    }
}

fn why(job: &Job, part: &str) -> String {
    Program::new(["why", job.root().to_str().unwrap(), part])
        .run()
        .with_status(0)
        .out()
}

#[test]
fn a_heater_is_a_point_of_alternating_voltage_and_judged_as_listed() {
    let mut bench = Bench::new("TP*", "  TP1      point 6.3 V AC");
    bench.program.say("live");
    bench.program.sees(&["  TP1      point 6.3 V AC"]);
    bench.touch(
        6.5,
        &["TP1 ", "V AC ± ", " PASS ", "of 6.3 V AC", "band as listed"],
    );
    let (job, _) = bench.end();
    let rows = job.rows();
    assert!((rows[0].number("value") / 6.5 - 1.0).abs() < 2e-3);
    assert_eq!(
        (rows[0].get("nominal"), rows[0].get("unit")),
        ("6.3", "volt_ac")
    );
    let why = why(&job, "TP1");
    assert!(
        why.contains(
            "(1 kΩ/V on 10 V) is not taken into account: an alternating voltage is judged as listed"
        ),
        "{why}"
    );
}

#[test]
fn two_touches_make_a_ratio_with_its_verdict() {
    let mut bench = Bench::new("T?.ratio", "  T2.ratio primary feed");
    bench.touch(8.0, &["T2.ratio primary", "V AC ± ", " PASS "]);
    bench.program.sees(&["  T2.ratio secondary", "(38:1)"]);
    // 8 V over 210 mV are 38.095.
    bench.touch(0.21, &["T2.ratio secondary", ":1 ± ", " PASS ", "of 38:1"]);
    bench.program.sees(&["  T3.ratio primary feed"]);
    bench.touch(8.0, &["T3.ratio primary", " PASS "]);
    bench.program.sees(&["  T3.ratio secondary probes"]);
    bench.touch(0.5, &["T3.ratio secondary", " FAIL ", "of 20:1"]);
    let (job, finished) = bench.end();
    assert!(
        finished
            .out()
            .contains("2 of 2 parts judged: 1 pass, 1 fail\n"),
        "{}",
        finished.out()
    );
    let rows = job.rows();
    let steps: Vec<_> = rows.iter().map(|row| row.get("step")).collect();
    assert_eq!(steps, ["primary", "secondary", "primary", "secondary"]);
    assert_eq!(
        (rows[0].get("unit"), rows[0].get("upper")),
        ("volt_ac", "50")
    );
    assert!((rows[1].number("value") / 38.095 - 1.0).abs() < 5e-3);
    assert!((rows[1].number("read") / 0.21 - 1.0).abs() < 5e-3);
    assert_eq!(
        ["nominal", "unit", "rests_on"].map(|column| rows[1].get(column)),
        ["38", "ratio", "1"]
    );
    // The specification of both voltages as rectangular half-widths, first order: (0.2 % · 8 V + 0.05 % · 10 V)/√3 is 0.152 % of
    // 8 V, (0.2 % · 210 mV + 0.05 % · 1 V)/√3 is 0.253 % of 210 mV; together 0.295 % (by hand). The scatter comes on top.
    let relative = rows[1].number("uncertainty") / rows[1].number("value");
    assert!((0.00294..0.0033).contains(&relative), "{relative}");

    let why = why(&job, "t2.ratio");
    assert!(
        why.contains("What is fed into the primary may be 50 V AC at most"),
        "{why}"
    );
    assert!(why.contains("Check of turns ratio: "), "{why}");
    assert!(
        why.contains("A load of 8 Ω on the secondary shows as 11.")
            && why.contains("instead of 11.6 kΩ with the listed ratio"),
        "{why}"
    );
    assert_eq!(why.matches("Impedance ratio, n²: ").count(), 1, "{why}");
}

#[test]
fn a_secondary_without_its_primary_is_not_judged_and_the_primary_can_be_taken_up() {
    let mut bench = Bench::new("T2*", "  T2.ratio primary feed");
    bench.program.say("next");
    bench.program.sees(&["  T2.ratio secondary"]);
    bench.touch(
        0.21,
        &["T2.ratio secondary", " INCONCLUSIVE ", "measure that first"],
    );
    bench.program.sees(&["  T2.ratio primary"]);
    bench.touch(60.0, &["T2.ratio primary", " FAIL ", "up to 50 V AC"]);
    bench
        .program
        .sees(&["every part of the list was taken in hand"]);
    bench.program.say("goto T2.ratio secondary");
    bench.program.sees(&["  T2.ratio secondary"]);
    bench.touch(1.57, &["T2.ratio secondary", ":1 ± ", " PASS "]);
    let (_, finished) = bench.end();
    assert!(
        finished.out().contains("1 of 1 parts judged: 1 fail\n"),
        "{}",
        finished.out()
    );
}

#[test]
fn a_list_shows_a_ratio_and_its_load() {
    let job =
        Job::new("ref,kind,value,tolerance,load\nT2.ratio,ratio,38:1,,8\nR1,resistor,1k,5%,\n");
    let parts = job.root().join("parts.csv");
    let out = Program::new(["parts", "check", parts.to_str().unwrap()])
        .run()
        .with_status(0)
        .out();
    assert!(
        out.contains("38:1") && out.contains("36.1:1 to 39.9:1"),
        "{out}"
    );
    assert!(
        out.contains("8 Ω") && out.contains("1 resistor, 1 ratio"),
        "{out}"
    );
    let out = Program::new(["value", "1:4", "5%"])
        .run()
        .with_status(0)
        .out();
    assert!(
        out.contains("0.25:1") && out.contains("0.2375:1 to 0.2625:1"),
        "{out}"
    );
    assert!(!out.contains("series"), "{out}");
}
