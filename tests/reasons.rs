//! Corrections of a value and rules of the policy, from the touch over line, row and `why` to the report.

use std::fs;

use probewright::face::bench::simulator::Component;

use crate::program::{Job, Program};
use crate::sit::{Bench, Sitting, Way};

/// Takes off leads of that resistance.
fn zero(sitting: &mut Sitting<'_>, ohms: f64) {
    sitting.program.say("zero");
    sitting
        .program
        .sees(&["zero: hold the probes on each other"]);
    sitting.touch(
        Component::resistor(ohms),
        &["leads ", "taken off every resistance"],
    );
}

/// Texts of `why` and of the report.
fn told(job: &Job, part: &str) -> [String; 2] {
    let root = job.root();
    let words = ["why".into(), root.clone().into_os_string(), part.into()];
    let why = Program::new(words).run().with_status(0).out();
    let _ = Program::new(["report".into(), root.clone(), "--force".into()])
        .run()
        .with_status(0);
    [why, fs::read_to_string(root.join("report.html")).unwrap()]
}

#[test]
fn the_leads_that_are_taken_off_decide_and_are_told_everywhere() {
    let list = "ref,kind,value,tolerance\nR1,resistor,4R7,5%\n";
    let read = Component::resistor(4.99);
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(list);
    let mut sitting = bench.sit();
    sitting.touch(read, &["R1 ", "4.99", " FAIL ", "above its band"]);
    let _ = sitting.end();
    assert_eq!(bench.job.rows()[0].get("checks"), "");
    bench.job = Job::new(list);
    let mut sitting = bench.sit();
    zero(&mut sitting, 0.25);
    sitting.in_hand("R1");
    sitting.touch(read, &["R1 ", "4.7", " PASS "]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let row = &bench.job.rows()[0];
    let words = "of the leads is 4.7";
    assert!(row.get("checks").contains(words), "{}", row.get("checks"));
    assert!(
        (row.number("read") - 4.99).abs() < 0.005,
        "{}",
        row.get("read")
    );
    assert!(
        (row.number("value") - 4.74).abs() < 0.005,
        "{}",
        row.get("value")
    );
    let [why, report] = told(&bench.job, "R1");
    assert!(why.contains("of the leads"), "{why}");
    assert!(report.contains(words));
}

#[test]
fn the_capacitance_of_the_open_leads_decides_and_is_told_everywhere() {
    let list = "ref,kind,value,tolerance,rating,material\nC1,capacitor,100pF,5%,500V,mica\n";
    let read = Component::capacitor(106.8e-12);
    let mut bench = Bench::with_loss();
    bench.job = Job::new(list);
    let mut sitting = bench.sit();
    sitting.touch(read, &["C1 ", "106.8", " FAIL ", "above its band"]);
    let _ = sitting.end();
    assert!(!bench.job.rows()[0].get("checks").contains("fixture"));
    bench.job = Job::new(list);
    let mut sitting = bench.sit();
    zero(&mut sitting, 0.1);
    sitting
        .program
        .sees(&["zero: now hold the probes apart, near each other and touching nothing"]);
    sitting.program.sees(&[
        "leads    ",
        " pF across",
        "taken off every impedance at 1000 Hz",
    ]);
    sitting.in_hand("C1");
    sitting.touch(
        read,
        &["C1 ", "103.8 pF", " CONDITIONAL PASS ", "inside its band"],
    );
    let finished = sitting.end();
    bench.check_recording(&finished);
    let row = &bench.job.rows()[0];
    let checks = row.get("checks");
    let (words, _) = checks.split_once(" | ").unwrap();
    let words = words.strip_prefix("fixture: ").unwrap();
    let taken_off = "of the leads taken off: 106.";
    assert!(words.contains(taken_off), "{checks}");
    assert!((row.number("read") - 106.8e-12).abs() < 0.06e-12);
    assert!((row.number("value") - 103.8e-12).abs() < 0.06e-12);
    // The meter shows no loss in the air, so of the loss of the part nothing is taken off.
    assert!(checks.contains("tan δ 0.0010 "), "{checks}");
    let [why, report] = told(&bench.job, "C1");
    assert!(why.contains(&format!("Check of fixture: {words}")), "{why}");
    assert!(report.replace('\u{a0}', " ").contains(words));
}

#[test]
fn a_rule_of_the_policy_is_told_with_its_reason_everywhere() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(
        "ref,kind,value,tolerance,rating,material,role\nC1,capacitor,47nF,20%,400V,paper,detector\n\
         R1,resistor,1k,20%,,carbon,cathode bias\n",
    );
    let mut sitting = bench.sit();
    sitting.touch(
        Component::capacitor(47e-9),
        &["C1 ", " PASS ", "policy: replace"],
    );
    sitting.in_hand("R1");
    sitting.touch(
        Component::resistor(1150.0),
        &["R1 ", " FAIL ", "900 Ω to 1.1 kΩ"],
    );
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    let replaced = "policy: replaced whatever it reads: ";
    let held = "role: listed 800 Ω to 1.2 kΩ, held to 900 Ω to 1.1 kΩ in its role `cathode bias`: ";
    for (row, policy, words) in [(0, "replace", replaced), (1, "other limits", held)] {
        assert_eq!(rows[row].get("policy"), policy);
        let checks = rows[row].get("checks");
        assert!(checks.contains(words), "{checks}");
    }
    for (part, why_says, report_says) in [
        (
            "C1",
            "replaced whatever it reads",
            "replaced whatever it reads",
        ),
        (
            "R1",
            "900 Ω to 1.1 kΩ",
            "it sets an operating point or a gain",
        ),
    ] {
        let [why, report] = told(&bench.job, part);
        assert!(why.contains(why_says), "{why}");
        assert!(report.contains(report_says), "{part}");
    }
}
