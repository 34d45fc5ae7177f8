//! The right part: a part that is gripped again, remarks, and what a value is tagged to.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::Write as _;
use std::time::Duration;

use probewright::face::books::ledger::Choice;
use probewright::face::engine::judge::Verdict;
use probewright::face::engine::sitting::{Plan, Refusal, Setup, What};
use sittings::{Hints, Tags};

use crate::program::{Program, Terminal, replay};
use crate::sit::{Bench, Way, ohm};
use crate::talking::{Talking, plan, profile};

#[path = "../benches/tagging/sittings.rs"]
mod sittings;

const FUNCTIONS: &str = r#"
[function.resistance]
idle = "overload"
range = [{ up_to = 1e6, resolution = 0.1, percent_of_reading = 0.5, counts = 2 }]
[function.capacitance]
idle = { below = 2e-12 }
range = [{ up_to = 1e-3, resolution = 1e-12, percent_of_reading = 1.0, counts = 2 }]
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
            What::GrippedAgain {
                title,
                in_hand,
                asked,
            } => Some((&**title, &**in_hand, *asked)),
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
            What::InHand { entry, .. } => Some(entry.title().into()),
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

/// Values far enough apart that one part does not pass for the other.
const RUN: &str = "\
ref,kind,value,tolerance,from,to
R1,resistor,10k,10%,V1 grid,chassis
R2,resistor,22k,10%,V1 anode,HT1
R3,resistor,47k,10%,V2 grid,chassis
R4,resistor,100,10%,V2 cathode,chassis
R5,resistor,1k,10%,V2 anode,HT1
R6,resistor,220,10%,V3 anode,HT1
R7,resistor,330,10%,V3 grid,V1 anode
F1,fuse,,,HT1,HT2
C1,capacitor,47 nF,20%,V1 anode,V2 grid
";

fn like(hand: &Hand) -> Vec<(&str, Vec<&str>)> {
    let told = hand.0.said.iter().filter_map(|what| match what {
        What::ReadsLike { title, candidates } => {
            Some((&**title, candidates.iter().map(String::as_str).collect()))
        }
        _ => None,
    });
    told.collect()
}

fn refused(hand: &Hand) -> Option<Refusal> {
    hand.0.said.iter().rev().find_map(|what| match what {
        What::Refused { obstacle, .. } => Some(*obstacle),
        _ => None,
    })
}

/// Touches a part as a person does, a while after the one before.
fn touch(hand: &mut Hand, ohms: f64) {
    hand.holds(ohms, 0.8);
    hand.air(1.2);
}

#[test]
fn a_missed_touch_is_noticed_and_was_gives_the_value_to_its_part() {
    let mut hand = Hand::with(RUN);
    touch(&mut hand, 10_100.0);
    // R2 was missed: the probes are on R3.
    touch(&mut hand, 50_500.0);
    assert_eq!(like(&hand), [("R2", vec!["R3"])]);
    hand.says("decide replace drifted");
    hand.says("was R3");
    let records = hand.0.records();
    let [.., moved] = records.as_slice() else {
        panic!()
    };
    assert_eq!(
        (moved.row.designator.as_str(), moved.row.attempt),
        ("R3", 1)
    );
    assert_eq!(
        (moved.row.withdraws.as_slice(), moved.row.row),
        ([2].as_slice(), 3)
    );
    assert_eq!(moved.row.verdict, Verdict::Pass);
    let told = hand.0.said.iter().find_map(|what| match what {
        What::Moved {
            title,
            belongs_to,
            choice,
            reason,
            check_from,
        } => Some((
            &**title,
            &**belongs_to,
            *choice,
            &**reason,
            check_from.clone(),
        )),
        _ => None,
    });
    // The decision on R2 stood on the value that was R3's.
    let expected = ("R2", "R3", Some(Choice::Replace), "drifted", None);
    assert_eq!(told, Some(expected));
    // R2 is in hand again, then comes what is still to be done.
    touch(&mut hand, 22_100.0);
    touch(&mut hand, 101.0);
    let tagged: Vec<String> = hand
        .tagged()
        .into_iter()
        .map(|(designator, _)| designator)
        .collect();
    assert_eq!(tagged, ["R1", "R2", "R3", "R2", "R4"]);
    assert_eq!(hand.0.sitting.summary().judged(), 4);
    assert_eq!(hand.0.sitting.summary().count(Verdict::Pass), 4);
}

#[test]
fn a_part_touched_twice_is_found_by_what_was_read_before() {
    let mut hand = Hand::with(RUN);
    // Out of its band, and so no part of the list by its nominal value.
    touch(&mut hand, 14_200.0);
    touch(&mut hand, 14_200.0);
    assert_eq!(like(&hand), [("R2", vec!["R1"])]);
}

#[test]
fn the_same_value_once_more_is_accepted_and_a_passing_one_is_silent() {
    let mut hand = Hand::with(RUN);
    touch(&mut hand, 10_100.0);
    touch(&mut hand, 50_500.0);
    hand.says("redo");
    touch(&mut hand, 50_500.0);
    assert_eq!(like(&hand).len(), 1);
    assert_eq!(
        hand.tagged()[1..],
        [("R2".to_owned(), 1), ("R2".to_owned(), 2)]
    );
    touch(&mut hand, 46_000.0);
    assert_eq!(like(&hand).len(), 1);
}

#[test]
fn a_run_of_shifted_values_is_to_be_checked_from_its_beginning() {
    let mut hand = Hand::with(RUN);
    touch(&mut hand, 10_100.0);
    for ohms in [47_300.0, 99.0, 1_010.0] {
        touch(&mut hand, ohms);
    }
    hand.says("was R5");
    let check = hand.0.said.iter().find_map(|what| match what {
        What::Moved { check_from, .. } => check_from.clone(),
        _ => None,
    });
    assert_eq!(check.as_deref(), Some("R2"));
}

#[test]
fn no_value_goes_to_a_part_of_another_quantity_or_to_none() {
    let mut hand = Hand::with(RUN);
    hand.says("was R2");
    assert_eq!(refused(&hand), Some(Refusal::NothingToMove));
    touch(&mut hand, 10_100.0);
    for (command, why) in [
        ("was C1", Refusal::OtherValue),
        ("was R1", Refusal::SamePart),
        ("was R99", Refusal::NoSuchPart),
        ("was", Refusal::WhichPart),
    ] {
        hand.says(command);
        assert_eq!(refused(&hand), Some(why), "{command}");
    }
    assert_eq!(hand.tagged(), once(&["R1"]));
}

#[test]
fn who_sits_at_keys_moves_a_value_with_one_and_the_recording_names_the_part() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), RUN).unwrap();
    let terminal = Terminal::open();
    let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
    let arguments = bench.arguments();
    let mut arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
    arguments.push(OsStr::new("--plain"));
    let screen = terminal.far.try_clone().unwrap();
    let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
    program.sees(&["meter: Probewright"]);
    let mut touch = |ohms: f64, words: &[&str]| {
        bench.probes.place(ohm(ohms), Duration::from_millis(40));
        program.sees(words);
        bench.probes.lift();
    };
    touch(
        50_500.0,
        &[
            "R1 ",
            "reads like R3: `was R3` if it was; or touch R1 once more",
        ],
    );
    press("m");
    program.sees(&["R3 ", "PASS"]);
    program.sees(&["R1 ", "its value belongs to R3 and is withdrawn"]);
    program.sees(&["  R1 "]);
    press("e");
    program.sees(&["1 of 9 parts judged"]);
    assert_eq!(program.status().code(), Some(0));
    assert!(bench.recorded("was R3"));
    // The glance takes the value for R3's, and R1 is still to do.
    let root = bench.job.root();
    let glance = Program::new([root.as_os_str()]).run().with_status(0).out();
    assert!(glance.contains("9 parts: 1 good; 8 to do"), "{glance}");
    let rows = bench.job.rows();
    assert_eq!(rows[1].get("withdraws"), "1");
    let audit = Program::new(["audit".as_ref(), root.as_os_str()]).run();
    let _ = audit.with_status(0);
}

#[test]
fn what_an_earlier_sitting_has_read_tells_parts_apart_and_stands_in_the_recording() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), RUN).unwrap();
    let mut sitting = bench.sit();
    sitting.touch(ohm(14_200.0), &["R1 ", "FAIL"]);
    let _ = sitting.end();
    let mut sitting = bench.sit();
    sitting.program.say("goto R2");
    sitting.touch(ohm(14_210.0), &["R2 ", "reads like R1"]);
    let finished = sitting.end();
    let newest = bench.job.recordings().pop().unwrap();
    let text = fs::read_to_string(&newest).unwrap();
    assert!(text.contains("earlier.csv"), "{text}");
    let replayed = replay(&newest).0.with_status(0).out();
    assert!(finished.out().ends_with(&replayed), "{replayed}");
}

/// Two hundred of the sittings of `cargo bench --bench tagging`.
#[test]
fn missed_touches_and_wrong_parts_are_noticed_and_right_values_are_left_alone() {
    let mut hints = Hints::default();
    (1..=200).for_each(|seed| hints.add(&Hints::of_sitting(seed)));
    let share = |part: usize, of: usize| part as f64 / of as f64;
    assert!(
        hints.right > 7000 && hints.missed > 200 && hints.wrong > 100,
        "{hints:?}"
    );
    assert_eq!(hints.on_passing, 0, "{hints:?}");
    assert!(share(hints.mistaken, hints.right) <= 0.001, "{hints:?}");
    assert!(share(hints.at_next, hints.missed) >= 0.7, "{hints:?}");
    assert!(share(hints.within_three, hints.missed) >= 0.95, "{hints:?}");
    assert!(share(hints.noticed, hints.wrong) >= 0.9, "{hints:?}");
    assert!(share(hints.other_noticed, hints.other) >= 0.85, "{hints:?}");
}

/// A place with two resistors alike, one that is another, and a capacitor.
const PLACE: &str = "\
ref,kind,value,tolerance,material,from,to
R1,resistor,1k,10%,film,V1 grid,chassis
R4,resistor,47k,10%,film,V2 grid,chassis
R5,resistor,47k,10%,film,V2 anode,HT1
R6,resistor,220,10%,film,V2 cathode,chassis
C1,capacitor,47 nF,20%,mica,V2 anode,V3 grid
R7,resistor,3k3,10%,film,V3 anode,HT1
";

fn asked(hand: &Hand) -> Vec<Vec<&str>> {
    let asked = hand.0.said.iter().filter_map(|what| match what {
        What::WhichPart { candidates, .. } => Some(candidates.iter().map(String::as_str).collect()),
        _ => None,
    });
    asked.collect()
}

fn places(hand: &Hand) -> Vec<String> {
    let places = hand.0.said.iter().filter_map(|what| match what {
        What::AtPlace { parts, .. } => Some(parts.join(" ")),
        What::InHand { entry, .. } => Some(format!("in hand {}", entry.title())),
        _ => None,
    });
    places.collect()
}

#[test]
fn at_a_place_a_value_goes_to_the_one_part_that_it_must_be_of_and_else_is_asked_about() {
    let mut hand = Hand::with(PLACE);
    hand.says("at V2");
    touch(&mut hand, 220.4);
    assert_eq!(hand.tagged(), once(&["R6"]));
    touch(&mut hand, 47_120.0);
    assert_eq!(hand.tagged(), once(&["R6"]));
    assert_eq!(asked(&hand).last().unwrap(), &["R4", "R5"]);
    hand.says("is R5");
    assert_eq!(hand.tagged(), once(&["R6", "R5"]));
    // The rest is known by earlier readings: only R4 can be another one.
    touch(&mut hand, 45_980.0);
    assert_eq!(hand.tagged(), once(&["R6", "R5", "R4"]));
    let said = places(&hand);
    assert_eq!(said[1..4], ["R4 R5 R6", "R4 R5", "R4"], "{said:?}");
    // Then comes what else is to be measured there, and then the list.
    assert_eq!(said[4], "C1", "{said:?}");
    hand.says("next");
    assert_eq!(places(&hand).last().unwrap(), "in hand R7");
}

#[test]
fn an_answer_that_names_a_tagged_part_reopens_that_tag() {
    let mut hand = Hand::with(PLACE);
    hand.says("at V2");
    touch(&mut hand, 47_120.0);
    hand.says("is R4");
    touch(&mut hand, 220.4);
    touch(&mut hand, 47_180.0);
    let questions = asked(&hand).len();
    // The first was R5 after all.
    hand.says("is R4");
    let records = hand.0.records();
    let last = &records.last().unwrap().row;
    assert_eq!(
        (last.designator.as_str(), last.withdraws.as_slice()),
        ("R4", [1].as_slice())
    );
    assert_eq!(asked(&hand).len(), questions + 1);
    assert_eq!(asked(&hand).last().unwrap(), &["R5"]);
    hand.says("is R5");
    let tagged: Vec<String> = hand.tagged().into_iter().map(|(name, _)| name).collect();
    assert_eq!(tagged, ["R4", "R6", "R4", "R5"]);
    assert_eq!(hand.0.sitting.summary().judged(), 3);
}

#[test]
fn parts_alike_may_be_written_down_together_and_both_stay_to_do() {
    let mut hand = Hand::with(PLACE);
    hand.says("one of");
    assert_eq!(refused(&hand), Some(Refusal::NothingAsked));
    hand.says("at V2");
    touch(&mut hand, 47_120.0);
    hand.says("one of R4, R6");
    assert_eq!(refused(&hand), Some(Refusal::NotAlike));
    hand.says("one of R4, R5");
    let row = &hand.0.records()[0].row;
    assert_eq!(
        (row.designator.as_str(), row.verdict),
        ("one of R4, R5", Verdict::Pass)
    );
    assert_eq!(hand.0.sitting.summary().judged(), 0);
    assert_eq!(places(&hand).last().unwrap(), "R4 R5 R6");
    // A value that does not pass is of neither, and asked about.
    touch(&mut hand, 62_000.0);
    hand.says("one of R4, R5");
    assert_eq!(refused(&hand), Some(Refusal::NotAlike));
    hand.says("skip");
    // With both written down and the third measured, nothing is left there in ohms.
    touch(&mut hand, 220.4);
    touch(&mut hand, 46_500.0);
    hand.says("one of R4, R5");
    assert_eq!(places(&hand).last().unwrap(), "C1");
}

#[test]
fn the_probes_answer_and_what_cannot_be_answered_is_refused() {
    for (taps, expected) in [(1, "R4"), (2, "R5")] {
        let mut hand = Hand::with(PLACE);
        hand.says("is R4");
        assert_eq!(refused(&hand), Some(Refusal::NothingAsked));
        hand.says("at V9");
        assert_eq!(refused(&hand), Some(Refusal::NothingThere));
        hand.says("at V2");
        hand.says("on");
        assert_eq!(refused(&hand), Some(Refusal::NothingInHand));
        // The smaller resistor would itself nearly be a short; it is measured first.
        touch(&mut hand, 220.4);
        touch(&mut hand, 47_120.0);
        hand.says("is R1");
        assert_eq!(refused(&hand), Some(Refusal::NotThere));
        if taps == 1 {
            hand.holds(0.2, 1.4);
        } else {
            hand.holds(0.2, 0.15);
            hand.air(0.2);
            hand.holds(0.2, 0.15);
        }
        hand.air(1.5);
        assert_eq!(hand.tagged(), once(&["R6", expected]), "{taps} taps");
    }
}

#[test]
fn at_the_keys_a_place_is_worked_through_and_the_recording_names_each_answer() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), PLACE).unwrap();
    let terminal = Terminal::open();
    let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
    let arguments = bench.arguments();
    let mut arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
    arguments.push(OsStr::new("--plain"));
    let screen = terminal.far.try_clone().unwrap();
    let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
    program.sees(&["meter: Probewright"]);
    press("pV2\r");
    program.sees(&["  V2 ", "R4, R5, R6, in any order"]);
    let touch = |ohms: f64| bench.probes.place(ohm(ohms), Duration::from_millis(40));
    touch(47_100.0);
    program.sees(&["R4 or R5? 1 is R4, 2 is R5; or say which, as in `is R4`"]);
    bench.probes.lift();
    press("2");
    program.sees(&["R5 ", "PASS"]);
    program.sees(&["  V2 ", "R4, R6, in any order"]);
    touch(46_000.0);
    program.sees(&["R4 ", "PASS"]);
    bench.probes.lift();
    press("e");
    program.sees(&["2 of 6 parts judged"]);
    assert_eq!(program.status().code(), Some(0));
    assert!(bench.recorded("at V2") && bench.recorded("is R5") && !bench.recorded("answer 2"));
    let root = bench.job.root();
    let audit = Program::new(["audit".as_ref(), root.as_os_str()]).run();
    let _ = audit.with_status(0);
}

#[test]
fn a_row_of_a_set_is_no_part_that_the_list_does_not_have() {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), PLACE).unwrap();
    let mut sitting = bench.sit();
    sitting.program.say("at V2");
    sitting.touch(ohm(47_100.0), &["R4 or R5?", "`=` writes it down"]);
    sitting.program.say("one of");
    sitting.program.sees(&["one of R4, R5", "PASS"]);
    let finished = sitting.end();
    bench.check_recording(&finished);
    let glance = Program::new([bench.job.root()]).run().with_status(0).out();
    assert!(glance.contains("6 parts: 6 to do"), "{glance}");
    assert!(!glance.contains("does not have"), "{glance}");
}

/// A hundred of the sittings of `cargo bench --bench tagging`.
#[test]
fn within_places_little_is_asked_and_next_to_nothing_goes_wrong() {
    for (sets, most) in [(false, 0.35), (true, 0.2)] {
        let mut tags = Tags::default();
        (1..=100).for_each(|seed| tags.add(&Tags::of_sitting(seed, sets)));
        assert!(tags.values > 3500, "{tags:?}");
        assert!(tags.asked as f64 <= most * tags.values as f64, "{tags:?}");
        assert!(tags.wrong as f64 <= 0.001 * tags.values as f64, "{tags:?}");
    }
}
