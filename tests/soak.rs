//! The leakage of a capacitor: time runs from the voltage, judged when its limit says, discharged afterwards.

use probewright::face::engine::judge::Verdict;
use probewright::face::engine::parts::{Step, Title};
use probewright::face::engine::sitting::{Plan, PlanError, Record, Refusal, Setup, What};

use crate::talking::{self, Taken, Talking, has_taken, taken_last};

const FUNCTIONS: &str = "
[function.capacitance]
idle = { below = 1e-10 }
range = [{ up_to = 1e-3, resolution = 1e-10, percent_of_reading = 0.5, counts = 2 }]

[function.voltage]
idle = { below = 0.2 }
range = [{ up_to = 1000.0, resolution = 0.01, percent_of_reading = 0.1, counts = 2 }]

[function.current]
idle = { below = 1e-7 }
range = [{ up_to = 0.1, resolution = 1e-8, percent_of_reading = 0.5, counts = 2 }]
";

const HEAD: &str = "ref,kind,value,tolerance,rating,material,leakage,also,role\n";

fn plan(rows: &str) -> Result<Plan, PlanError> {
    talking::plan(FUNCTIONS, &format!("{HEAD}{rows}"), "", "")
}

/// As a sitting begins since 0.2.0: the cautions are to be agreed to.
fn cautious(rows: &str) -> Plan {
    let setup = Setup::of(
        format!("{HEAD}{rows}"),
        "test",
        &talking::profile(FUNCTIONS),
    );
    Plan::of(&setup.with_setting(Setup::CAUTIONS, "asked")).unwrap()
}

/// A bench whose meter sends two lines a second.
struct Bench(Talking);

impl Bench {
    /// After the discharge stage and the value of the first part, with its leakage in hand.
    fn new(rows: &str) -> Self {
        Self::of(plan(rows).unwrap())
    }

    fn of(plan: Plan) -> Self {
        let mut bench = Self(Talking::new(plan, 2));
        bench.shows("0.0 F", 4);
        bench.shows("0.1e-6 F", 12);
        bench.shows("0.0 F", 4);
        assert!(
            has_taken(&bench.0.said, Taken::ToSoak(1)),
            "{:?}",
            bench.0.said
        );
        bench
    }

    fn shows(&mut self, line: &str, times: usize) {
        self.0.shows(line, times);
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }

    /// A current of `micro` microampere after ten seconds that falls with the power `n` of time, for so many seconds.
    fn falls(&mut self, micro: f64, n: f64, seconds: u32) {
        for half in 1..=2 * seconds {
            let amperes = 1e-6 * micro * libm::pow(f64::from(half) / 20.0, -n);
            self.shows(&format!("{amperes:.8} ADC"), 1);
        }
    }

    /// The caution that is shown, by its number.
    fn caution(&self) -> Option<usize> {
        let number = |what: &What| match what {
            What::SoakCaution { number, of: 8, .. } => Some(*number),
            _ => None,
        };
        self.0.said.iter().rev().find_map(number)
    }

    fn refused_last(&self) -> Option<Refusal> {
        match self.0.said.last()? {
            What::Refused { obstacle, .. } => Some(*obstacle),
            _ => None,
        }
    }

    fn leakages(&self) -> Vec<&Record> {
        fn leakage(what: &What) -> Option<&Record> {
            match what {
                What::Judged(record) if record.part == 1 => Some(&**record),
                _ => None,
            }
        }
        self.0.said.iter().filter_map(leakage).collect()
    }

    fn to_discharge(&self) -> bool {
        self.0
            .said
            .iter()
            .any(|what| matches!(what, What::ToDischarge { .. }))
    }
}

const PAPER: &str = "C1,capacitor,0.1uF,20%,400V,paper,2 uA,leakage,detector\nR1,capacitor,0.1uF,20%,400V,,,,detector\n";

#[test]
fn insulation_is_read_one_minute_after_the_first_current() {
    let mut bench = Bench::new(PAPER);
    bench.falls(3.0, 0.9, 59);
    assert_eq!(bench.leakages().len(), 0);
    bench.falls(0.6, 0.0, 3);
    let [record] = bench.leakages()[..] else {
        panic!("{:?}", bench.0.said)
    };
    assert_eq!(record.row.verdict, Verdict::Pass);
    let seconds = record
        .settled
        .at
        .since(record.settled.contact)
        .as_secs_f64();
    assert!((60.0..61.5).contains(&seconds), "{seconds}");
    let begun = |what: &What| matches!(what, What::SoakBegun { title, volts, .. } if title == "C1 leakage" && *volts == 400.0);
    assert!(bench.0.said.iter().any(begun));
}

#[test]
fn what_stood_under_voltage_is_discharged_before_anything_else() {
    let mut bench = Bench::new(PAPER);
    bench.0.said.clear();
    bench.falls(50.0, 0.0, 62);
    assert_eq!(bench.leakages()[0].row.verdict, Verdict::Fail);
    assert!(
        has_taken(&bench.0.said, Taken::ToDischarge(0)),
        "{:?}",
        bench.0.said
    );
    bench.says("next");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            obstacle: Refusal::DischargeFirst,
            ..
        })
    ));
    bench.shows("0.00 VDC", 4);
    bench.shows("1.00 VDC", 12);
    bench.shows("0.00 VDC", 4);
    assert!(
        has_taken(&bench.0.said, Taken::InHand(2)),
        "{:?}",
        bench.0.said
    );
}

#[test]
fn a_soak_that_is_given_up_leaves_a_charged_part_and_one_that_never_began_does_not() {
    let mut bench = Bench::new(PAPER);
    bench.0.said.clear();
    bench.falls(50.0, 0.0, 10);
    bench.says("skip");
    assert!(bench.to_discharge());
    let mut bench = Bench::new(PAPER);
    bench.0.said.clear();
    bench.shows("0.0 ADC", 20);
    bench.says("skip");
    assert!(!bench.to_discharge());
}

#[test]
fn an_electrolytic_waits_for_its_five_minutes_and_says_how_it_goes() {
    let rows = "C1,capacitor,0.1uF,-20/+80%,450V,electrolytic,0.1 mA,leakage,\n";
    let mut bench = Bench::new(rows);
    bench.falls(900.0, 0.8, 299);
    assert_eq!(bench.leakages().len(), 0);
    let told = bench
        .0
        .said
        .iter()
        .filter(|what| matches!(what, What::Soaking { .. }));
    assert_eq!(told.count(), 6, "10, 30, 60, 120, 180 and 240 s");
    bench.falls(50.0, 0.0, 3);
    assert_eq!(bench.leakages()[0].row.verdict, Verdict::Pass);
}

/// Whoever stands by has to hear of it while the voltage is on, not at the next of the times that are told anyway.
#[test]
fn a_current_that_rises_above_its_limit_is_told_at_once_and_once() {
    let rows = "C1,capacitor,0.1uF,-20/+80%,450V,electrolytic,0.1 mA,leakage,\n";
    let mut bench = Bench::new(rows);
    bench.falls(90.0, 0.0, 5);
    for half in 0..106 {
        let amperes = 1e-6 * (150.0 + f64::from(half));
        bench.shows(&format!("{amperes:.8} ADC"), 1);
    }
    let reports = bench.0.said.iter().filter_map(|what| match what {
        What::Soaking(soaking) => Some((soaking.elapsed_s, soaking.verdict)),
        _ => None,
    });
    let reports: Vec<(f64, Option<Verdict>)> = reports.collect();
    let [(_, None), (_, None), (elapsed, Some(Verdict::Fail))] = reports[..] else {
        panic!("10 s, 30 s and at once: {reports:?}");
    };
    assert!((31.0..50.0).contains(&elapsed), "{elapsed}");
}

#[test]
fn time_runs_anew_from_the_word_and_less_voltage_proves_nothing_good() {
    let mut bench = Bench::new(PAPER);
    bench.falls(0.5, 0.0, 40);
    bench.says("soak 250");
    bench.falls(0.5, 0.0, 59);
    assert_eq!(bench.leakages().len(), 0);
    bench.falls(0.5, 0.0, 4);
    let judgement = &bench.leakages()[0].row;
    assert_eq!(judgement.verdict, Verdict::Inconclusive);
    assert!(
        judgement.reason.contains("too little voltage"),
        "{}",
        judgement.reason
    );
}

#[test]
fn a_gap_at_the_time_that_counts_is_said_and_nothing_is_judged() {
    let mut bench = Bench::new(PAPER);
    bench.falls(0.5, 0.0, 40);
    bench.0.pauses(60);
    bench.falls(0.5, 0.0, 4);
    assert!(
        bench.0.said.contains(&What::SoakMissed {
            title: Title::of("C1", Step::Leakage)
        }),
        "{:?}",
        bench.0.said
    );
    assert_eq!(bench.leakages().len(), 0);
}

#[test]
fn no_voltage_is_applied_where_no_leakage_is_in_hand() {
    let mut bench = Bench::new(PAPER);
    bench.says("goto R1");
    bench.says("soak");
    assert!(matches!(
        bench.0.said.last(),
        Some(What::Refused {
            obstacle: Refusal::NothingToSoak,
            ..
        })
    ));
    bench.says("goto c1 leakage");
    assert_eq!(taken_last(&bench.0.said), Some(Taken::ToSoak(1)));
}

#[test]
fn a_leakage_that_no_rule_can_judge_is_left_out_and_its_part_stays() {
    let plan = plan("C1,capacitor,0.1uF,20%,,paper,,leakage,\n").unwrap();
    let said: Vec<String> = plan.left_out().iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "C1 leakage, row 2, is left out, and all else is measured: cannot judge leakage current: no rated voltage in the list, \
             expected one in `rating`, such as `400V`"
        ]
    );
    assert_eq!(plan.parts().len(), 1);
}

/// The peak of a sine of 250 V is 353.55 V (definition of the root mean square).
#[test]
fn a_rating_for_alternating_voltage_is_tested_at_its_peak() {
    let plan = plan("C1,capacitor,0.1uF,20%,250V~,paper,,leakage,\n").unwrap();
    assert!(plan.left_out().is_empty());
    let test = plan.leakage(1).unwrap();
    assert!((test.volts - 353.553).abs() < 1e-3, "{}", test.volts);
}

#[test]
fn no_voltage_is_accepted_before_each_caution_was_agreed_to() {
    let mut bench = Bench::of(cautious(PAPER));
    assert_eq!(bench.caution(), Some(1), "{:?}", bench.0.said);
    for word in ["soak", "soak 400", "on"] {
        bench.says(word);
        assert_eq!(bench.refused_last(), Some(Refusal::HeedFirst), "{word}");
    }
    for number in 2..=8 {
        bench.says("heed");
        assert_eq!(bench.caution(), Some(number));
        bench.says("soak");
        assert_eq!(bench.refused_last(), Some(Refusal::HeedFirst));
    }
    bench.says("heed");
    assert_eq!(bench.0.said.last(), Some(&What::Heeded));
    bench.says("heed");
    assert_eq!(bench.refused_last(), Some(Refusal::NothingToHeed));
    bench.falls(0.5, 0.0, 62);
    assert_eq!(bench.leakages()[0].row.verdict, Verdict::Pass);
    assert!(
        !bench
            .0
            .said
            .iter()
            .any(|what| matches!(what, What::Unheeded { .. }))
    );
}

#[test]
fn a_current_that_nobody_agreed_to_is_warned_of_and_proves_nothing_good() {
    let mut bench = Bench::of(cautious(PAPER));
    bench.falls(0.5, 0.0, 2);
    assert!(matches!(bench.0.said.last(), Some(What::Unheeded { title }) if title == "C1 leakage"));
    // Agreeing while it flows does not tell since when the voltage stood there.
    for _ in 0..8 {
        bench.says("heed");
    }
    bench.falls(0.5, 0.0, 60);
    let row = &bench.leakages()[0].row;
    assert_eq!(row.verdict, Verdict::Inconclusive);
    assert!(bench.to_discharge());
}

#[test]
fn after_the_cautions_time_runs_anew_from_the_word() {
    let mut bench = Bench::of(cautious(PAPER));
    bench.falls(0.5, 0.0, 2);
    for _ in 0..8 {
        bench.says("heed");
    }
    bench.says("soak");
    bench.falls(0.5, 0.0, 62);
    assert_eq!(bench.leakages()[0].row.verdict, Verdict::Pass);
}

#[test]
fn a_recording_that_is_older_asks_for_nothing() {
    let mut bench = Bench::new(PAPER);
    assert_eq!(bench.caution(), None);
    bench.says("heed");
    assert_eq!(bench.refused_last(), Some(Refusal::NothingToHeed));
    bench.says("soak");
    assert!(matches!(bench.0.said.last(), Some(What::SoakBegun { .. })));
}
