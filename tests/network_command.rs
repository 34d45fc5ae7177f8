//! The command `network`: structure, what to expect, what to read, own values.

use std::ffi::OsStr;
use std::fs;

use serde_json::Value;

use crate::program::{Finished, Job, Program, Size, Terminal};

/// A supply chain in no loop, a loop of three, two resistors side by side, a capacitor beside one.
pub(crate) const PARTS: &str = "\
ref,kind,value,tolerance,from,to,in_circuit
R1,resistor,100k,10%,HT1,V1 anode,yes
R2,resistor,1k,10%,V1 cathode,chassis,yes
C1,capacitor,25uF,20%,V1 cathode,chassis,yes
R3,resistor,220k,10%,tone top,tone foot,yes
R4,resistor,100k,10%,tone foot,chassis,yes
R5,resistor,470k,10%,tone top,chassis,yes
R6,resistor,2k2,10%,bias,chassis,yes
R7,resistor,4k7,10%,bias,chassis,yes
";

fn ask(job: &Job, words: &[&str]) -> Finished {
    let root = job.root();
    let first = ["network", root.to_str().unwrap()];
    Program::new(first.iter().chain(words)).run()
}

fn holds(text: &str, words: &[&str]) {
    let one = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in words {
        assert!(one.contains(word), "no `{word}` in:\n{text}");
    }
}

#[test]
fn the_structure_says_what_reads_as_its_own_and_which_lead_to_lift() {
    let said = ask(&Job::new(PARTS), &[]).with_status(0).out();
    holds(
        &said,
        &[
            "in no loop, reads as its own: R1 R2",
            "loops, 3 parts: R3 R4 R5",
            "side by side, 2 parts: R6 R7",
            "beside a capacitor: R2, unless C1 leaks",
            "lift a lead of R6: settles 2 (R6 R7)",
        ],
    );
    assert!(!said.contains("lift a lead of R3"), "{said}");
}

/// 220 kΩ beside 100 kΩ and 470 kΩ in series, worked out by hand: 220 · 570 / 790 kΩ; by Rayleigh's law the limits are where all parts are.
#[test]
fn between_two_nodes_the_limits_are_those_of_the_parts() {
    let job = Job::new(PARTS);
    let words = ["between", "tone  TOP", "tone foot", "--json"];
    let json = |job: &Job| -> Value {
        serde_json::from_str(&ask(job, &words).with_status(0).out()).unwrap()
    };
    let said = json(&job);
    let near = |value: &Value, expected: f64| {
        let found = value.as_f64().unwrap();
        assert!((found / expected - 1.0).abs() < 1e-9, "{found}, {expected}");
    };
    let expected = 220e3 * 570e3 / 790e3;
    near(&said["expected_ohm"], expected);
    near(&said["upper_ohm"], 1.1 * expected);
    assert!(
        said["lower_ohm"].is_null(),
        "the list is not declared complete"
    );
    fs::write(job.root().join("job.toml"), "[network]\ncomplete = true\n").unwrap();
    near(&json(&job)["lower_ohm"], 0.9 * expected);
    let apart = ask(&job, &["between", "HT1", "chassis", "--json"]);
    let apart: Value = serde_json::from_str(&apart.with_status(0).out()).unwrap();
    assert!(apart["expected_ohm"].is_null() && apart["upper_ohm"].is_null());
}

#[test]
fn names_that_are_no_nodes_and_one_node_twice_are_told() {
    let job = Job::new(PARTS);
    let wrong = ask(&job, &["between", "V1 anod", "chassis"]).with_status(2);
    holds(
        wrong.err(),
        &["no node `V1 anod`", "did you mean V1 anode?"],
    );
    let same = ask(&job, &["between", "chassis", "Chassis"]).with_status(2);
    holds(same.err(), &["are one node"]);
}

#[test]
fn the_plan_has_every_part_and_pairs_that_no_part_joins() {
    let said = ask(&Job::new(PARTS), &["plan"]).with_status(0).out();
    holds(
        &said,
        &[
            "pull V1; a heater and a diode conduct",
            "HT1 V1 anode R1 100 kΩ",
            "V1 cathode chassis R2 C1 1 kΩ",
            "no part",
        ],
    );
}

/// Readings of the loop with R3 at 300 kΩ, R4 at 100 kΩ and R5 at 480 kΩ, worked out by hand, and a check from HT1 that shows nothing.
fn readings(job: &Job, further: &str) -> String {
    let file = job.beside("readings.csv");
    let (r3, r4, r5) = (300e3, 100e3, 480e3);
    let sum = r3 + r4 + r5;
    let across = |own: f64| own * (sum - own) / sum;
    let text = format!(
        "from,to,ohm,uncertainty\nHT1,V1 anode,104e3,50\nV1 cathode,chassis,1250,0.6\ntone top,tone foot,{},50\n\
         tone foot,chassis,{},30\ntone top,chassis,{},60\nbias,chassis,1500,0.8\n{further}",
        across(r3),
        across(r4),
        across(r5)
    );
    fs::write(&file, text).unwrap();
    file.to_str().unwrap().to_owned()
}

fn solved(job: &Job, file: &str) -> Value {
    let said = ask(job, &["solve", "--read", file, "--json"]);
    serde_json::from_str(&said.with_status(0).out()).unwrap()
}

fn part<'a>(solved: &'a Value, name: &str) -> &'a Value {
    let parts = solved["parts"].as_array().unwrap();
    parts.iter().find(|one| one["ref"] == name).unwrap()
}

#[test]
fn own_values_follow_from_all_readings_and_only_a_high_reading_fails() {
    let job = Job::new(PARTS);
    let file = readings(&job, "");
    let found = solved(&job, &file);
    let own = |name: &str| {
        let one = part(&found, name);
        [&one["own_lower_ohm"], &one["own_upper_ohm"]].map(|ohm| ohm.as_f64().unwrap())
    };
    for (name, true_ohms) in [("R3", 300e3), ("R4", 100e3), ("R5", 480e3)] {
        let [from, to] = own(name);
        assert!(
            from < true_ohms && true_ohms < to && to / from < 1.02,
            "{name}"
        );
    }
    // 300 kΩ is above 242 kΩ, but reads 198 kΩ in its loop, and a list that lacks parts may do much.
    assert_eq!(part(&found, "R3")["verdict"], "inconclusive");
    assert_eq!(part(&found, "R3")["lift"], true);
    assert_eq!(part(&found, "R2")["verdict"], "fail");
    for name in ["R1", "R4", "R5"] {
        assert_eq!(part(&found, name)["verdict"], "conditional pass", "{name}");
    }
    assert_eq!(part(&found, "R6")["verdict"], "inconclusive");
    let words = ask(&job, &["solve", "--read", &file]).with_status(0).out();
    holds(&words, &["lift a lead of R3", "settles 2 (R6 R7)"]);
}

#[test]
fn a_plain_pass_needs_a_complete_list_and_readings_that_agree() {
    let job = Job::new(PARTS);
    fs::write(job.root().join("job.toml"), "[network]\ncomplete = true\n").unwrap();
    let without = solved(&job, &readings(&job, ""));
    assert_eq!(part(&without, "R1")["verdict"], "conditional pass");
    let open = readings(&job, "HT1,chassis,over 20e6,\n");
    let agreeing = solved(&job, &open);
    assert_eq!(agreeing["checks"], 1);
    assert_eq!(part(&agreeing, "R1")["verdict"], "pass");
    let joined = readings(&job, "HT1,chassis,3.1e6,900\n");
    let contradicting = solved(&job, &joined);
    let words = contradicting["contradiction"].as_str().unwrap();
    holds(
        words,
        &["HT1 to chassis reads too low", "something joins them"],
    );
    for one in contradicting["parts"].as_array().unwrap() {
        let verdict = one["verdict"].as_str().unwrap();
        assert!(!verdict.contains("pass"), "{one}");
    }
}

#[test]
fn bad_readings_are_named_with_their_line_and_column() {
    let job = Job::new(PARTS);
    let file = job.beside("readings.csv");
    for (row, words) in [
        ("HT1,nowhere,100,1", "no node `nowhere`"),
        ("HT1,HT1,100,1", "one node twice"),
        (
            "HT1,chassis,NaN,1",
            "expected a resistance in ohm over zero",
        ),
        ("HT1,chassis,-5,1", "expected a resistance in ohm over zero"),
        ("HT1,chassis,100,0", "over zero"),
        (
            "HT1,chassis,1e999,1",
            "expected a resistance in ohm over zero",
        ),
    ] {
        fs::write(&file, format!("from,to,ohm,uncertainty\n{row}\n")).unwrap();
        let said = ask(&job, &["solve", "--read", file.to_str().unwrap()]);
        let said = said.with_status(2);
        holds(said.err(), &["readings.csv:2", words]);
    }
    let none = ask(&job, &["solve"]).with_status(2);
    holds(none.err(), &["nothing was read in circuit"]);
}

/// A ring of contacts of no ohm, ends on one node, absurd values, two pieces: words, no panic, and no NaN.
#[test]
fn odd_lists_and_readings_that_contradict_each_other_give_words() {
    let job = Job::new(
        "ref,kind,value,tolerance,from,to,in_circuit\nS1,switch,,,a,b,yes\nS2,switch,,,b,c,yes\nS3,switch,,,c,a,yes\n\
         R1,resistor,1k,10%,a,a,yes\nR2,resistor,1e12,10%,a,d,yes\nR3,resistor,0.001,10%,d,a,yes\nR4,resistor,1k,10%,x,y,yes\n",
    );
    let file = job.beside("readings.csv");
    let text = "from,to,ohm,uncertainty\na,b,1e-9,0.1\nb,c,1e6,1\nc,a,1e-3,0.05\na,d,1e9,1\nx,y,1e-300,1e-300\n";
    fs::write(&file, text).unwrap();
    let file = file.to_str().unwrap();
    for words in [
        &[][..],
        &["plan"],
        &["solve", "--read", file],
        &["solve", "--read", file, "--json"],
        &["between", "a", "y"],
    ] {
        let said = ask(&job, words).with_status(0).out();
        assert!(!said.contains("NaN") && !said.contains("inf"), "{said}");
    }
    holds(
        &ask(&job, &[]).out(),
        &["R1, both its ends are on one node"],
    );
}

#[test]
fn parts_check_asks_about_ends_that_name_a_part() {
    let job = Job::new(
        "ref,kind,value,from,to\nC5,capacitor,47n,V2 anode,R8\nR8,resistor,100k,C5,P3\nC6,capacitor,250 pF,R8,P3\nP3,potentiometer,1M,C6,HT 1\nR9,resistor,1k,HT1,V2 anode\n",
    );
    let root = job.root();
    let said = Program::new(["parts", "check", root.to_str().unwrap()]).run();
    holds(
        &said.with_status(0).out(),
        &[
            "node C5/R8: C5 R8",
            "may be one node: `HT 1` and `HT1`",
            "named once, so that nothing else of the list is there: HT 1, HT1",
            "where is R8? its `to` names P3, whose own ends are `C6` and `HT 1`",
            "where is C6? its `from` names R8",
        ],
    );
}

/// The list of the demonstration says where every end is.
#[test]
fn the_demonstration_names_every_node() {
    let list = include_str!("../src/cli/demo/parts.csv");
    let job = Job::new(list);
    let root = job.root();
    let said = Program::new(["parts", "check", root.to_str().unwrap()]).run();
    let said = said.with_status(0).out();
    assert!(!said.contains("where is"), "{said}");
}

/// 1 kΩ beside 25 µF at 100 Hz, by definition: the capacitance of two elements side by side is the capacitor's own.
#[test]
fn between_two_nodes_a_bridge_finds_the_capacitor() {
    let job = Job::new(PARTS);
    let words = ["between", "V1 cathode", "chassis", "--hertz", "100"];
    let said = ask(&job, &[&words[..], &["--json"]].concat())
        .with_status(0)
        .out();
    let said: Value = serde_json::from_str(&said).unwrap();
    let farads = said["bridge"]["parallel_farad"].as_f64().unwrap();
    assert!((farads / 25e-6 - 1.0).abs() < 1e-9, "{farads}");
    holds(
        &ask(&job, &words).with_status(0).out(),
        &["a bridge at 100 Hz", "25 µF"],
    );
    let apart = ask(&job, &["between", "HT1", "chassis", "--hertz", "100"]);
    holds(
        &apart.with_status(0).out(),
        &["not told, nothing on the list joins them"],
    );
    let _ = ask(&job, &["between", "HT1", "chassis", "--hertz", "0"]).with_status(2);
}

#[test]
fn a_list_without_nodes_is_told() {
    let job = Job::new("ref,kind,value\nR1,resistor,1k\n");
    let said = ask(&job, &["plan"]).with_status(0).out();
    holds(
        &said,
        &["of no part does the list say where both its ends are"],
    );
    holds(
        &ask(&job, &[]).with_status(0).out(),
        &["not in the network: R1"],
    );
}

/// Lines break between words at the width of the terminal; the rows of a table do not.
#[test]
fn lines_break_at_the_width_of_the_terminal_and_tables_do_not() {
    const NARROW: Size = Size {
        columns: 60,
        rows: 80,
    };
    /// So wide that it breaks nothing itself.
    const WIDE: Size = Size {
        columns: 300,
        rows: 80,
    };
    let job = Job::new(PARTS);
    let file = readings(&job, "");
    let root = job.root();
    for (words, last) in [
        (&["between", "tone top", "tone foot"][..], "job.toml)"),
        (&["plan"], "settles 2 (R6 R7)"),
        (&["solve", "--read", &file], "settles 1 (R3)"),
    ] {
        let terminal = Terminal::open();
        NARROW.set(&terminal);
        let arguments = ["network", root.to_str().unwrap()];
        let arguments = arguments.iter().chain(words).map(OsStr::new);
        let arguments: Vec<&OsStr> = arguments.collect();
        let screen = terminal.far.try_clone().unwrap();
        let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
        let shown = program.shows(WIDE, 0, &[last]).screen().contents();
        assert_eq!(program.status().code(), Some(0));
        let is_long = |line: &&str| line.chars().count() > 60;
        let long: Vec<&str> = shown.lines().filter(is_long).collect();
        let is_row = |line: &&str| line.starts_with("ref ") || line.starts_with('R');
        assert!(long.iter().all(is_row), "{shown}");
        assert_eq!(long.is_empty(), words[0] != "solve", "{shown}");
        assert!(shown.contains("\n  "), "something was broken:\n{shown}");
    }
}
