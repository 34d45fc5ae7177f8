//! A part that was fitted: is it what it says, and does it do its work? From the decision over the touch to the report.

use std::ffi::OsString;

use probewright::face::bench::simulator::Component;

use crate::program::{Finished, Job, Program, Row};
use crate::sit::{Bench, Sitting, Way};

fn run(job: &Job, words: &[&str]) -> Finished {
    let mut all: Vec<OsString> = vec![words[0].into(), job.root().into()];
    all.extend(words[1..].iter().map(OsString::from));
    Program::new(all).run()
}

fn fitted(job: &Job, part: &str, rest: &[&str]) {
    let words = [&["decide", part, "fitted"], rest].concat();
    let _ = run(job, &words).with_status(0);
}

fn ohm(value: f64) -> Component {
    Component::resistor(value)
}

fn farad(value: f64) -> Component {
    Component::capacitor(value)
}

/// Touches each part in the order of the list, one that reads otherwise than the one before, and ends.
fn measure(bench: &Bench, touches: &[(&str, Component, &[&str])]) -> Finished {
    let mut sitting = bench.sit();
    touch(&mut sitting, touches);
    let finished = sitting.end();
    bench.check_recording(&finished);
    finished
}

fn touch(sitting: &mut Sitting<'_>, touches: &[(&str, Component, &[&str])]) {
    for (place, (part, component, words)) in touches.iter().enumerate() {
        // The first is in hand before the sitting has its meter.
        if place > 0 {
            sitting.in_hand(part);
        }
        sitting.touch(*component, &[&[*part], *words].concat());
    }
}

#[test]
fn a_slip_at_the_drawer_fails_by_the_article_and_what_the_circuit_does_not_bear_by_the_circuit() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(
        "ref,kind,value,tolerance,material,role\nR1,resistor,47k,20%,carbon,anode load\nR2,resistor,47k,2%,,\n\
         R3,resistor,47k,20%,carbon,\nR4,resistor,47k,20%,carbon,\n",
    );
    fitted(&bench.job, "R1", &["--article", "47k 1% 0.6W film"]);
    fitted(&bench.job, "R2", &["--article", "47k 10%"]);
    fitted(&bench.job, "R3", &[]);
    fitted(&bench.job, "R4", &["--article", "47k 1% 0.6W film"]);
    let slip = "article: 47 kΩ 0.6 W ±1 % film is 46.53 kΩ to 47.47 kΩ: above its band";
    let unfit = "circuit: its place needs 46.06 kΩ to 47.94 kΩ: above its band";
    let _ = measure(
        &bench,
        &[
            ("R1", ohm(56e3), &[" FAIL ", slip]),
            ("R2", ohm(50e3), &[" FAIL ", unfit]),
            ("R3", ohm(56e3), &[" PASS "]),
            ("R4", ohm(47.1e3), &[" PASS "]),
        ],
    );
    let rows = bench.job.rows();
    let checks = rows[0].get("checks");
    assert!(
        checks.contains("circuit pass: its place needs 37.6 kΩ to 56.4 kΩ"),
        "{checks}"
    );
    assert_eq!(rows[0].get("reason"), slip);
    assert!(
        rows[1].get("checks").contains("article pass: "),
        "{}",
        rows[1].get("checks")
    );
    let why = run(&bench.job, &["why", "R1"]).with_status(0).out();
    assert!(why.contains("46.53 kΩ to 47.47 kΩ"), "{why}");
    let glance = Program::new([bench.job.root()]).run().out();
    assert!(glance.contains(slip), "{glance}");
    let _ = run(&bench.job, &["report"]).with_status(0);
    let report = std::fs::read_to_string(bench.job.root().join("report.html")).unwrap();
    // A number on the page stays with its unit.
    assert!(
        report
            .replace('\u{a0}', " ")
            .contains("46.53 kΩ to 47.47 kΩ")
    );
}

#[test]
fn another_value_that_the_decision_names_goes_before_the_circuit_but_for_what_a_rectifier_charges()
{
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(
        "ref,kind,value,tolerance,rating,material,role,largest\nC1,capacitor,8uF,20%,450V,electrolytic,smoothing,\n\
         C2,capacitor,8uF,20%,450V,electrolytic,reservoir,\nC3,capacitor,8uF,20%,450V,electrolytic,reservoir,32uF\n\
         C4,capacitor,8uF,20%,450V,electrolytic,reservoir,16uF\nC5,capacitor,8uF,20%,450V,electrolytic,,\n\
         C6,capacitor,8uF,20%,450V,electrolytic,smoothing,\n",
    );
    let named = "22 µF in place of the listed 8 µF, as the decision names it";
    let pays =
        "a rectifier may charge it, and neither the column `largest` nor the policy allows 22 µF";
    for (part, told) in [
        ("C1", named),
        ("C2", pays),
        ("C3", named),
        ("C4", pays),
        ("C5", pays),
    ] {
        let article = ["--article", "22uF 450V electrolytic"];
        let words = [&["decide", part, "fitted"], &article[..]].concat();
        let said = run(&bench.job, &words);
        assert!(said.err().contains(told), "{part}: {}", said.err());
        let _ = said.with_status(0);
    }
    fitted(&bench.job, "C6", &[]);
    let mut sitting = bench.sit();
    sitting
        .program
        .say("override all seen discharged with another meter");
    let circuit: &[&str] = &[" FAIL ", pays];
    touch(
        &mut sitting,
        &[
            ("C1", farad(22.0e-6), &[" PASS "]),
            ("C2", farad(24.0e-6), circuit),
            ("C3", farad(21.0e-6), &[" PASS "]),
            ("C4", farad(24.1e-6), circuit),
            ("C5", farad(21.1e-6), circuit),
            (
                "C6",
                farad(23.9e-6),
                &[" FAIL ", "above its band (6.4 µF to 9.6 µF)"],
            ),
        ],
    );
    let finished = sitting.end();
    bench.check_recording(&finished);
    let checks = bench.job.rows()[0].get("checks").to_owned();
    assert!(checks.contains(&format!("circuit: {named}")), "{checks}");
}

#[test]
fn a_value_that_no_part_is_given_on_purpose_wants_a_reason_and_never_passes_in_silence() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(
        "ref,kind,value,tolerance,rating,material\nR1,resistor,47k,20%,,carbon\nR2,resistor,47k,20%,,carbon\n\
         C1,capacitor,25uF,20%,12V,electrolytic\n",
    );
    let slip = "470 kΩ is 10 times the listed 47 kΩ";
    for (choice, article) in [
        ("fitted", "470k"),
        ("order", "470k"),
        ("replace", "470k film"),
    ] {
        let words = ["decide", "R1", choice, "--article", article];
        let refused = run(&bench.job, &words);
        assert!(refused.err().contains(slip), "{}", refused.err());
        assert!(refused.err().contains("--reason"), "{}", refused.err());
        let _ = refused.with_status(2);
    }
    fitted(&bench.job, "R2", &["--article", "82k 5%"]);
    fitted(&bench.job, "C1", &["--article", "100uF 25V electrolytic"]);
    let reason = ["--article", "470k 5%", "--reason", "the meter needs it"];
    fitted(&bench.job, "R1", &reason);
    let mut sitting = bench.sit();
    sitting.program.say("override all nothing holds a charge");
    sitting.in_hand("R1");
    let needs = "circuit: its place needs 37.6 kΩ to 56.4 kΩ: ";
    sitting.touch(ohm(470e3), &["R1 ", " CONDITIONAL PASS ", needs, slip]);
    sitting.in_hand("R2");
    sitting.touch(ohm(82e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.touch(farad(97e-6), &["C1 ", " PASS "]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    assert!(
        rows[0].get("reason").contains(slip),
        "{}",
        rows[0].get("reason")
    );
}

#[test]
fn the_class_at_the_mains_is_that_of_what_was_fitted() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new(
        "ref,kind,value,tolerance,rating,material,from,to\nC1,capacitor,10nF,20%,Y2 300V~,,L,chassis\n\
         C2,capacitor,10nF,20%,600V,paper,L,chassis\nC3,capacitor,10nF,20%,600V,paper,L,chassis\n\
         C4,capacitor,10nF,20%,600V,paper,L,chassis\nC5,capacitor,10nF,20%,Y2 300V~,,L,chassis\n\
         C6,capacitor,10nF,20%,Y2 300V~,,L,chassis\n",
    );
    std::fs::write(
        bench.job.root().join("job.toml"),
        "[mains]\nvolts = 230\nhertz = 50\n",
    )
    .unwrap();
    let why = ["--reason", "what lay there"];
    for (part, article) in [
        ("C1", "10nF 630V film"),
        ("C2", "10nF Y2 300V~ film"),
        ("C3", "10nF X2 300V~ film"),
        ("C6", "10nF Y2 film"),
    ] {
        fitted(
            &bench.job,
            part,
            &[&["--article", article][..], &why].concat(),
        );
    }
    fitted(&bench.job, "C4", &why);
    fitted(&bench.job, "C5", &why);
    let root = bench.job.root();
    let checked = Program::new(["parts".into(), "check".into(), root.into_os_string()]);
    let checked = checked.run().with_status(0).out();
    let fault = "no safety class marked, line to chassis needs Y1 or Y2";
    for (part, words) in [
        ("C1", fault),
        ("C2", "class Y2"),
        ("C3", "class X2"),
        ("C4", fault),
    ] {
        let start = format!("mains: {part}: ");
        let line = checked.lines().find(|line| line.starts_with(&start));
        assert!(line.unwrap().contains(words), "{part}: {checked}");
    }
    let no_class = "safety class: no safety class marked, line to chassis needs Y1 or Y2";
    let wrong = "safety class: class X2 marked, line to chassis needs Y1 or Y2";
    let finished = measure(
        &bench,
        &[
            ("C1", farad(9.9e-9), &[" FAIL ", no_class]),
            ("C2", farad(9.5e-9), &[" PASS "]),
            ("C3", farad(9.9e-9), &[" FAIL ", wrong]),
            ("C4", farad(9.5e-9), &[" FAIL ", no_class]),
            ("C5", farad(9.9e-9), &[" PASS "]),
            ("C6", farad(9.5e-9), &[" INCONCLUSIVE ", "safety class: "]),
        ],
    );
    assert!(
        finished.out().contains("2 pass, 3 fail, 1 inconclusive"),
        "{}",
        finished.out()
    );
    // The old ones are replaced whatever they read, the new ones are not.
    let by_policy = |row: &Row| row.get("policy").to_owned();
    assert!(bench.job.rows().iter().all(|row| by_policy(row).is_empty()));
    // A part that was fitted rightly may be kept; one that was not wants a reason, whatever the list has.
    let _ = run(&bench.job, &["decide", "C2", "keep"]).with_status(0);
    let refused = run(&bench.job, &["decide", "C1", "keep"]);
    assert!(
        refused.err().contains("needs a reason"),
        "{}",
        refused.err()
    );
    let _ = refused.with_status(2);
    let _ = run(&bench.job, &["report"]).with_status(0);
    let report = std::fs::read_to_string(bench.job.root().join("report.html")).unwrap();
    assert!(report.contains("class X2 marked, line to chassis needs Y1 or Y2"));
}

#[test]
fn what_came_from_a_bag_is_held_to_the_article_of_its_batch() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new("ref,kind,value,tolerance,material\nR1,resistor,47k,20%,carbon\n");
    let mut arguments = bench.arguments();
    arguments.extend(["--batch", "47k 1% film", "--count", "1"].map(OsString::from));
    let mut batch = bench.sit_as(Program::new(arguments));
    batch.touch(ohm(47e3), &["bag 1", " PASS "]);
    let _ = batch.end();
    fitted(&bench.job, "R1", &["--bag", "1"]);
    let slip = "article: 47 kΩ ±1 % film is 46.53 kΩ to 47.47 kΩ: above its band";
    let _ = measure(&bench, &[("R1", ohm(56e3), &[" FAIL ", slip])]);
}

#[test]
fn a_fuse_for_more_than_the_listed_current_fails_however_well_it_conducts() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job =
        Job::new("ref,kind,value,rating\nF1,fuse,T1A,250V\nF2,fuse,T1A,250V\nF3,fuse,T1A,250V\n");
    let why = ["--reason", "what lay there"];
    fitted(
        &bench.job,
        "F1",
        &[&["--article", "T3.15A 250V"][..], &why].concat(),
    );
    fitted(&bench.job, "F2", &["--article", "T1A 250V"]);
    let too_large = "article: 3.15 A is more than the listed 1 A";
    let finished = measure(
        &bench,
        &[
            ("F1", ohm(0.2), &[" FAIL ", too_large]),
            ("F2", ohm(0.5), &[" PASS "]),
            ("F3", ohm(0.8), &[" PASS "]),
        ],
    );
    bench.check_recording(&finished);
}
