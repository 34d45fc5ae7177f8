//! Addition of the leads to an impedance, measured at the start, and signals of the probes.

use approx::assert_relative_eq;
use probewright::face::engine::judge::{Aspect, Verdict};
use probewright::face::engine::probing::Signal;
use probewright::face::engine::sitting::{Record, What};

use crate::talking::{Taken, Talking, has_taken, plan, taken_last};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.001, percent_of_reading = 0.1, counts = 2 }]

[function.capacitance]
fields = ["capacitance", "loss"]
second_limit = { absolute = 0.001 }
frequency_hz = 1000
idle = { below = 20e-12 }
range = [{ up_to = 1e-3, resolution = 1e-15, percent_of_reading = 0.1, counts = 20 }]
"#;

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material
C1,capacitor,100pF,5%,500V,mica
R1,resistor,10k,10%,,
R2,resistor,22k,10%,,
R3,resistor,4R7,10%,,
";

/// A bench whose meter sends twenty lines a second.
struct Bench(Talking);

impl Bench {
    fn new(only: &str, job: &str) -> Self {
        Self(Talking::new(plan(FUNCTIONS, PARTS, only, job).unwrap(), 20))
    }

    fn shows(&mut self, line: &str, times: usize) {
        self.0.shows(line, times);
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }

    fn judged(&self) -> Vec<&Record> {
        self.0.records()
    }

    fn signals(&self) -> Vec<Signal> {
        let signals = self.0.said.iter().filter_map(|what| match what {
            What::Signalled { signal } => Some(*signal),
            _ => None,
        });
        signals.collect()
    }
}

const AIR: &str = "OL OHM";
const SHORT: &str = "0.150 OHM";

#[test]
fn short_and_open_leads_are_taken_off_a_small_capacitor() {
    let mut bench = Bench::new("C1", "");
    bench.shows("8.000e-12 F,0.0005", 6);
    bench.says("zero");
    bench.shows(AIR, 6);
    bench.shows("0.100 OHM", 30);
    bench.shows(AIR, 6);
    assert!(
        bench.0.said.contains(&What::AwaitingApart),
        "{:?}",
        bench.0.said
    );
    bench.shows("8.000e-12 F,0.0005", 30);
    let Some(What::Fixture {
        farads,
        ohms,
        hertz,
    }) = bench
        .0
        .said
        .iter()
        .find(|what| matches!(what, What::Fixture { .. }))
    else {
        panic!("{:?}", bench.0.said)
    };
    assert_relative_eq!(*farads, 8e-12, max_relative = 1e-4);
    assert_relative_eq!(*ohms, 0.1, max_relative = 1e-6);
    assert_relative_eq!(*hertz, 1000.0);
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(0)));
    // 110 pF would be beyond 100 pF ± 5 %; without the leads it is 102 pF.
    bench.shows("110.0e-12 F,0.0005", 30);
    let [record] = bench.judged()[..] else {
        panic!("{:?}", bench.0.said)
    };
    assert_relative_eq!(
        record.row.value.unwrap().value,
        102e-12,
        max_relative = 1e-3
    );
    assert_eq!(record.row.verdict, Verdict::Pass, "{record:?}");
    let fixture = |check: &probewright::face::engine::judge::Check| check.aspect == Aspect::Fixture;
    assert!(record.row.checks.iter().any(fixture));
}

/// Two counts of 1 mΩ are a standard uncertainty of 1.2 mΩ: 1.8 mΩ below zero are within the expanded one, 4 mΩ are not.
#[test]
fn leads_may_read_below_zero_by_their_expanded_uncertainty() {
    let zeroed = |shown: &str| {
        let mut bench = Bench::new("R1", "");
        bench.says("zero");
        bench.shows(AIR, 6);
        bench.shows(shown, 40);
        bench.shows(AIR, 6);
        let found = bench.0.said.iter().find_map(|what| match what {
            What::Zeroed { ohms, .. } => Some(Some(*ohms)),
            What::NotZeroed => Some(None),
            _ => None,
        });
        found.expect("an answer to `zero`")
    };
    let ohms = zeroed("-0.0018 OHM").expect("within its uncertainty of zero");
    assert_relative_eq!(ohms, -0.0018, max_relative = 1e-6);
    assert_eq!(zeroed("-0.0040 OHM"), None);
}

#[test]
fn open_leads_that_never_rest_are_given_up() {
    let mut bench = Bench::new("C1", "");
    bench.says("zero");
    bench.shows(AIR, 6);
    bench.shows("0.100 OHM", 30);
    bench.shows(AIR, 6);
    for _ in 0..200 {
        bench.shows("8.000e-12 F,0.0005", 3);
        bench.shows("900.0e-12 F,0.002", 1);
    }
    assert!(bench.0.said.contains(&What::NotZeroed));
    assert!(has_taken(&bench.0.said, Taken::InHand(0)));
    assert!(
        !bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Fixture { .. }))
    );
}

#[test]
fn probes_held_on_each_other_for_a_second_ask_for_the_last_part_again() {
    let mut bench = Bench::new("R*", "");
    bench.shows(AIR, 12);
    bench.shows("10.00e3 OHM", 30);
    bench.shows(AIR, 12);
    assert_eq!(taken_last(&bench.0.said), Some(Taken::InHand(1)));
    bench.shows(SHORT, 30);
    bench.shows(AIR, 12);
    assert_eq!(bench.signals(), [Signal::Redo]);
    assert_eq!(bench.judged().len(), 1, "the short is no touch of a part");
    bench.shows("10.10e3 OHM", 30);
    assert_eq!(bench.judged()[1].row.attempt, 2);
}

#[test]
fn two_short_taps_leave_the_part_out_and_are_no_touches() {
    let mut bench = Bench::new("R*", "");
    bench.shows(AIR, 12);
    for _ in 0..2 {
        bench.shows(SHORT, 5);
        bench.shows(AIR, 5);
    }
    bench.shows(AIR, 12);
    assert_eq!(bench.signals(), [Signal::Skip]);
    assert!(
        bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Skipped { title } if title == "R1"))
    );
    let unsettled = |what: &What| matches!(what, What::Unsettled { .. });
    assert!(!bench.0.said.iter().any(unsettled), "{:?}", bench.0.said);
}

#[test]
fn a_part_that_may_read_as_a_short_is_measured_and_never_taken_for_a_signal() {
    let mut bench = Bench::new("R3", "");
    bench.shows(AIR, 12);
    bench.shows(SHORT, 40);
    assert!(bench.signals().is_empty());
    assert_eq!(bench.judged()[0].row.verdict, Verdict::Fail);
}

#[test]
fn where_the_job_wants_no_signals_a_short_is_a_value() {
    let mut bench = Bench::new("R1", "[bench]\nprobe_signals = false\n");
    bench.shows(AIR, 12);
    bench.shows(SHORT, 40);
    assert!(bench.signals().is_empty());
    assert_eq!(bench.judged()[0].row.verdict, Verdict::Fail);
}
