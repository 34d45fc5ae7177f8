//! The right part: a part that is gripped again, remarks, and what a value is tagged to.

use std::ffi::OsStr;
use std::fs;

use probewright::face::engine::sitting::{Plan, Setup, What};

use crate::program::Program;
use crate::sit::{Bench, Way, ohm};
use crate::talking::{Talking, plan, profile};

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.5, counts = 2 }]
[function.voltage]
idle = { below = 0.5 }
range = [{ up_to = 1000, resolution = 0.1, percent_of_reading = 0.5, counts = 2 }]
"#;

const PARTS: &str = "ref,kind,value\nR14,resistor,4K7\nR15,resistor,4K7\nR16,resistor,4K7\n";

/// Readings in a second.
const RATE: usize = 100;

/// A meter whose last digit is restless.
struct Hand(Talking, usize);

impl Hand {
    fn at(plan: Plan) -> Self {
        let mut hand = Self(Talking::new(plan, RATE as u64), 0);
        hand.air(2.0);
        hand
    }

    fn with(parts: &str) -> Self {
        Self::at(plan(FUNCTIONS, parts, "", "").unwrap())
    }

    fn air(&mut self, seconds: f64) {
        self.0.shows("OL OHM", (seconds * RATE as f64) as usize);
    }

    fn holds(&mut self, ohms: f64, seconds: f64) {
        for _ in 0..(seconds * RATE as f64) as usize {
            self.1 += 1;
            let flicker = [0.0, 0.1, 0.0, -0.1, 0.1, 0.0, -0.1][self.1 % 7];
            self.0.shows(&format!("{:.1} OHM", ohms + flicker), 1);
        }
    }

    fn tagged(&self) -> Vec<(String, u32)> {
        let records = self.0.records().into_iter();
        records
            .map(|record| (record.row.designator.clone(), record.row.attempt))
            .collect()
    }

    fn gripped(&self) -> Vec<(&str, &str, bool)> {
        let told = self.0.said.iter().filter_map(|what| match what {
            What::GrippedAgain { title, next, asked } => Some((&**title, &**next, *asked)),
            _ => None,
        });
        told.collect()
    }

    fn says(&mut self, command: &str) {
        self.0.says(command);
    }
}

fn once(designators: &[&str]) -> Vec<(String, u32)> {
    let once = designators.iter();
    once.map(|designator| ((*designator).to_owned(), 1))
        .collect()
}

#[test]
fn a_part_gripped_again_gives_its_value_to_no_other() {
    for gap in [0.2, 0.3, 0.6, 0.95] {
        let mut hand = Hand::with(PARTS);
        hand.holds(4712.3, 0.5);
        hand.air(gap);
        hand.holds(4712.3, 1.0);
        assert_eq!(hand.tagged(), once(&["R14"]), "{gap} s");
        assert_eq!(hand.gripped(), [("R14", "R15", false)]);
        // R15 still waits, however often the same part is gripped.
        hand.air(gap);
        hand.holds(4712.3, 1.0);
        hand.air(1.5);
        hand.holds(4688.8, 1.0);
        assert_eq!(hand.tagged(), once(&["R14", "R15"]), "{gap} s");
        assert_eq!(hand.gripped().len(), 2);
    }
}

#[test]
fn another_value_or_a_second_of_air_is_the_next_part() {
    for (gap, ohms) in [(0.3, 4688.8), (1.05, 4712.3)] {
        let mut hand = Hand::with(PARTS);
        hand.holds(4712.3, 0.7);
        hand.air(gap);
        hand.holds(ohms, 0.7);
        assert_eq!(hand.tagged(), once(&["R14", "R15"]), "{gap} s, {ohms} Ω");
        assert!(hand.gripped().is_empty());
    }
}

#[test]
fn next_says_that_it_was_the_next_part_after_all() {
    for lifts_first in [false, true] {
        let mut hand = Hand::with(PARTS);
        hand.holds(4712.3, 0.7);
        hand.air(0.3);
        hand.holds(4712.3, 0.7);
        if lifts_first {
            hand.air(0.4);
        }
        hand.says("next");
        assert_eq!(hand.tagged(), once(&["R14", "R15"]));
        hand.air(1.5);
        hand.holds(4701.0, 0.7);
        assert_eq!(hand.tagged(), once(&["R14", "R15", "R16"]));
        assert_eq!(hand.gripped().len(), 1);
    }
}

#[test]
fn who_says_what_is_in_hand_is_believed() {
    for (command, expected) in [
        ("redo", ("R14", 2)),
        ("next", ("R15", 1)),
        ("goto R16", ("R16", 1)),
    ] {
        let mut hand = Hand::with(PARTS);
        hand.holds(4712.3, 0.7);
        hand.says(command);
        hand.air(0.3);
        hand.holds(4712.3, 0.7);
        let (designator, attempt) = expected;
        assert_eq!(hand.tagged()[1..], [(designator.to_owned(), attempt)]);
        assert!(hand.gripped().is_empty(), "{command}");
    }
}

#[test]
fn the_steps_of_one_part_may_all_read_the_same() {
    let mut hand = Hand::with("ref,kind,value,also\nSW1,switch,10 Ω,3 makes\nSW2,switch,10 Ω,\n");
    for _ in 0..3 {
        hand.holds(5.0, 0.7);
        hand.air(0.3);
    }
    assert_eq!(hand.tagged().len(), 3);
    assert!(hand.gripped().is_empty());
    hand.holds(5.0, 0.7);
    assert_eq!(hand.gripped().len(), 1);
    assert_eq!(hand.tagged().len(), 3);
}

#[test]
fn new_parts_that_are_equal_are_asked_about() {
    let setup = Setup::of(PARTS, "test", &profile(FUNCTIONS)).with_setting(Setup::CONDITION, "new");
    let mut hand = Hand::at(Plan::of(&setup).unwrap());
    hand.holds(4712.3, 0.7);
    hand.air(0.3);
    hand.holds(4712.3, 0.7);
    assert_eq!(hand.gripped(), [("R14", "R15", true)]);
    hand.says("next");
    assert_eq!(hand.tagged(), once(&["R14", "R15"]));
}

#[test]
fn a_capacitor_gripped_again_does_not_make_the_next_one_discharged() {
    let mut hand = Hand::with(
        "ref,kind,value,material,rating,role\nC1,capacitor,47µF,electrolytic,450V,reservoir\nC2,capacitor,47µF,electrolytic,450V,reservoir\nR1,resistor,1k,,,\n",
    );
    let volts = |hand: &mut Hand, volts: &str, seconds: f64| {
        hand.0
            .shows(&format!("{volts} VDC"), (seconds * RATE as f64) as usize);
    };
    volts(&mut hand, "0.0", 1.5);
    volts(&mut hand, "1.23", 1.0);
    volts(&mut hand, "0.0", 0.3);
    volts(&mut hand, "1.23", 1.0);
    let across = |hand: &Hand| {
        let across = hand.0.said.iter();
        across
            .filter(|what| matches!(what, What::AcrossCapacitor { .. }))
            .count()
    };
    assert_eq!(across(&hand), 1);
    assert_eq!(hand.gripped(), [("C1", "C2", false)]);
    volts(&mut hand, "0.0", 1.5);
    volts(&mut hand, "1.23", 1.0);
    assert_eq!(across(&hand), 2);
}

#[test]
fn in_a_recording_of_an_earlier_edition_nothing_is_gripped_again_and_a_remark_goes_to_what_is_in_hand()
 {
    let setup = Setup::of(PARTS, "test", &profile(FUNCTIONS)).with_setting(Setup::EDITION, "1.1");
    let mut hand = Hand::at(Plan::of(&setup).unwrap());
    hand.holds(4712.3, 0.7);
    hand.air(0.3);
    hand.says("note R14 looks burnt");
    hand.holds(4712.3, 0.7);
    assert_eq!(hand.tagged(), once(&["R14", "R15"]));
    assert!(hand.gripped().is_empty());
    assert_eq!(noted(&hand), [(Some("R15"), "R14 looks burnt")]);
}

fn noted(hand: &Hand) -> Vec<(Option<&str>, &str)> {
    let noted = hand.0.said.iter().filter_map(|what| match what {
        What::Noted { title, text } => Some((title.as_deref(), &**text)),
        _ => None,
    });
    noted.collect()
}

#[test]
fn a_remark_goes_to_the_part_just_judged_until_the_probes_touch_the_next() {
    let mut hand = Hand::with(PARTS);
    hand.says("note nothing is judged yet");
    hand.holds(4712.3, 0.7);
    hand.says("note cracked");
    hand.air(1.5);
    hand.says("note and brown");
    hand.holds(4688.8, 0.1);
    hand.says("note a lead is loose");
    hand.says("note r16 is missing");
    hand.says("note R99 is unknown");
    assert_eq!(
        noted(&hand),
        [
            (Some("R14"), "nothing is judged yet"),
            (Some("R14"), "cracked"),
            (Some("R14"), "and brown"),
            (Some("R15"), "a lead is loose"),
            (Some("R16"), "is missing"),
            (Some("R15"), "R99 is unknown"),
        ]
    );
}

#[test]
fn a_sitting_says_that_a_part_was_gripped_again_and_its_replay_says_the_same() {
    let bench = Bench::new(Way::Terminal);
    let parts = "ref,kind,value\nR1,resistor,4K7\nR2,resistor,4K7\n";
    fs::write(bench.job.root().join("parts.csv"), parts).unwrap();
    let mut sitting = bench.sit();
    sitting.touch(ohm(4700.0), &["R1 ", "PASS"]);
    sitting.in_hand("R2");
    sitting.touch(
        ohm(4700.0),
        &["R1 ", "gripped again", "R2 is still to be touched"],
    );
    sitting.program.say("next");
    sitting.program.sees(&["R2 ", "PASS"]);
    sitting.program.say("note R1 cracked");
    sitting.program.sees(&["R1 ", "note: cracked"]);
    let finished = sitting.end();
    assert_eq!(bench.job.rows().len(), 2);
    bench.check_recording(&finished);
}

/// A list with a sub-assembly, in a job.
const PLACES: &str = "\
ref,kind,value,from,to,role,note,group
R1,resistor,1k,V1 grid,chassis,grid leak,,
R2,resistor,2k2,V2 grid,HT1,,,tone board
R3,resistor,3k3,V21 grid,HT1,,browned,
R4,resistor,4k7,V2 anode,HT1,anode load,,tone board
";

#[test]
fn parts_are_selected_and_taken_in_hand_by_their_place() {
    let taken = |only: &str, commands: &[&str]| {
        let plan = plan(FUNCTIONS, PLACES, only, "").unwrap();
        let mut hand = Hand::at(plan);
        for command in commands {
            hand.says(command);
        }
        let titles = hand.0.said.iter().filter_map(|what| match what {
            What::InHand { entry, .. } => Some(entry.title.clone()),
            What::Refused { .. } => Some("refused".to_owned()),
            _ => None,
        });
        titles.collect::<Vec<_>>().join(" ")
    };
    assert_eq!(taken("at V2", &["skip"]), "R2 R4");
    assert_eq!(taken("tone board", &["next", "next"]), "R2 R4 refused");
    assert_eq!(taken("", &["goto V2", "skip", "goto at V2"]), "R1 R2 R3 R4");
    assert_eq!(
        taken("", &["goto browned", "goto r1", "goto V9"]),
        "R1 R3 R1 refused"
    );
    assert!(plan(FUNCTIONS, PLACES, "at R1", "").is_err());
}

#[test]
fn a_sub_assembly_is_a_heading_in_list_glance_and_report() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), PLACES).unwrap();
    let command = |arguments: &[&OsStr]| Program::new(arguments).run().with_status(0).out();
    let root = bench.job.root();
    let list = command(&["parts".as_ref(), "check".as_ref(), root.as_os_str()]);
    let place = |words: &str| {
        list.find(words)
            .unwrap_or_else(|| panic!("no {words}: {list}"))
    };
    assert!(place("\nR3") < place("\ntone board:\nR2"), "{list}");
    let mut arguments = bench.arguments();
    arguments.extend(["--only".into(), "at V2".into()]);
    let mut sitting = bench.sit_as(Program::new(arguments));
    sitting.touch(ohm(9000.0), &["R2 ", "FAIL"]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let glance = command(&[root.as_os_str()]);
    assert!(glance.contains("\n  tone board:\n  R2  fail"), "{glance}");
    assert!(
        glance.contains("\n  R1, R3\n  tone board: R4\n"),
        "{glance}"
    );
    let _ = command(&["report".as_ref(), root.as_os_str()]);
    let report = fs::read_to_string(root.join("report.html")).unwrap();
    let heading = report
        .split("<h3>")
        .any(|text| text.contains("tone board") && text.find("</h3>") < text.find("R2"));
    assert!(heading, "no heading");
    let json = command(&[
        "report".as_ref(),
        root.as_os_str(),
        "--format".as_ref(),
        "json".as_ref(),
    ]);
    assert!(json.contains("\"group\": \"tone board\""), "{json}");
}
