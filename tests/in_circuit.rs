//! A sitting in which nothing is unsoldered: pairs of places are read, and the own values follow.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;

use probewright::face::engine::judge::Verdict;
use probewright::face::engine::network::{Branch, resistances};

use crate::network_command::PARTS;
use crate::page::fetch;
use crate::program::{Program, Row, replay};
use crate::sit::{Bench, Sitting, Way, ohm};
use crate::talking::{self, Talking};

/// True values of the parts, Ω: R3 has drifted up, R2 far up.
const TRUTH: [(&str, f64, [&str; 2]); 7] = [
    ("R1", 104e3, ["HT1", "V1 anode"]),
    ("R2", 1250.0, ["V1 cathode", "chassis"]),
    ("R3", 300e3, ["tone top", "tone foot"]),
    ("R4", 100e3, ["tone foot", "chassis"]),
    ("R5", 480e3, ["tone top", "chassis"]),
    ("R6", 2250.0, ["bias", "chassis"]),
    ("R7", 4800.0, ["bias", "chassis"]),
];

/// R9, which joins two places and is not on the list.
const MISSING: (&str, f64, [&str; 2]) = ("R9", 22e3, ["tone foot", "bias"]);

fn truth(name: &str) -> f64 {
    let mut parts = TRUTH.iter();
    parts.find(|(part, ..)| *part == name).unwrap().1
}

/// Resistance between two places; `None` where nothing conducts. The network of the program is held against closed forms elsewhere.
fn between<'a>(
    pair: &str,
    parts: impl Iterator<Item = &'a (&'a str, f64, [&'a str; 2])>,
) -> Option<f64> {
    const NODES: [&str; 7] = [
        "HT1",
        "V1 anode",
        "V1 cathode",
        "chassis",
        "tone top",
        "tone foot",
        "bias",
    ];
    let node = |name: &str| NODES.iter().position(|node| *node == name).unwrap();
    let branches = parts.map(|(_, ohms, ends)| Branch {
        ends: ends.map(node),
        siemens: 1.0 / ohms,
    });
    let branches: Vec<Branch> = branches.collect();
    let (from, to) = pair.split_once(" to ").unwrap();
    resistances(NODES.len(), &branches, &[[node(from), node(to)]])[0]
}

fn without<'a>(lifted: &'a [&'a str]) -> impl Fn(&str) -> Option<f64> + 'a {
    move |pair| {
        let parts = TRUTH.iter();
        between(pair, parts.filter(|(name, ..)| !lifted.contains(name)))
    }
}

fn bench(job: &str) -> Bench {
    let bench = Bench::new(Way::Terminal);
    fs::write(bench.job.root().join("parts.csv"), PARTS).unwrap();
    fs::write(bench.job.root().join("job.toml"), job).unwrap();
    bench
}

fn begin(bench: &Bench) -> Sitting<'_> {
    begin_with(bench, &[])
}

fn begin_with<'a>(bench: &'a Bench, options: &[&str]) -> Sitting<'a> {
    let mut arguments = bench.arguments();
    arguments.push("--in-circuit".into());
    arguments.extend(options.iter().map(OsString::from));
    let mut sitting = bench.sit_unheard(Program::new(arguments));
    sitting
        .program
        .sees(&["C1 ", "discharged? voltmeter across it"]);
    sitting
}

/// Begins with every capacitor said to be seen discharged.
fn begin_discharged(bench: &Bench) -> Sitting<'_> {
    let mut sitting = begin(bench);
    sitting.program.say("override all they are out");
    sitting
}

/// The pair that is asked for in a line.
fn asked(line: &str) -> String {
    line.trim()
        .split(" probes on")
        .next()
        .unwrap()
        .trim()
        .to_owned()
}

/// Reads what is asked for until no pair is left; `read` says what is there. The line of the leads to lift.
fn follow(sitting: &mut Sitting<'_>, read: impl Fn(&str) -> Option<f64>) -> String {
    loop {
        let line = sitting
            .program
            .sees_either(&["probes on these two places"], &["all is read; "]);
        if !line.contains("probes on these two places") {
            return line;
        }
        let pair = asked(&line);
        if let Some(ohms) = read(&pair) {
            let read = [pair.as_str(), " READ "];
            let line = sitting.touch_until(ohm(ohms), &read, &["gripped again"]);
            // Two pairs that read alike, one right after the other.
            if line.contains("gripped again") {
                sitting.program.say("next");
                sitting.program.sees(&read);
            }
        } else {
            sitting.program.say("on");
            sitting.program.sees(&[&pair, " READ "]);
        }
    }
}

/// The last row of the own value of each part: verdict and value.
fn own(rows: &[Row]) -> BTreeMap<String, (String, String)> {
    let own = rows.iter().filter(|row| row.get("step") == "own");
    own.map(|row| {
        let found = (row.get("verdict").to_owned(), row.get("value").to_owned());
        (row.get("ref").to_owned(), found)
    })
    .collect()
}

#[test]
fn the_plan_is_followed_hands_free_and_ends_with_the_leads_to_lift() {
    let bench = bench("title = \"Evening set\"\n[network]\ncomplete = true\n");
    let mut sitting = begin_with(&bench, &["--page", "0"]);
    let url = sitting.program.remarks("page ");
    sitting.program.say("override all they are out");
    let leads = follow(&mut sitting, without(&[]));
    assert!(
        leads.contains("lift a lead of R6: settles 2 (R6 R7)")
            && leads.contains("lift a lead of R3"),
        "{leads}"
    );
    // The page draws the loops with the leads to lift; R1 is in no loop, and passes.
    let drawn = fetch(&url, "/loops.svg");
    for words in [
        ">R3<",
        "suspect: lift a lead",
        ">R6 R7<",
        "lift a lead of R6",
    ] {
        assert!(drawn.contains(words), "no `{words}` in {drawn}");
    }
    assert!(!drawn.contains(">R1<"), "{drawn}");
    // The lead that settles most is lifted: R6 by itself, then R7, which nothing is beside any more.
    sitting.program.say("lifted R6");
    sitting.program.sees(&["  R6 "]);
    sitting.touch(ohm(truth("R6")), &["R6 ", " PASS "]);
    let leads = follow(&mut sitting, without(&["R6"]));
    assert!(!leads.contains("R7") && leads.contains("R3"), "{leads}");
    sitting.program.say("lifted R3");
    sitting.program.sees(&["  R3 "]);
    sitting.touch(ohm(truth("R3")), &["R3 ", " FAIL "]);
    // What was measured by itself is no more in doubt.
    let drawn = fetch(&url, "/loops.svg");
    assert!(!drawn.contains("R6 R7"), "{drawn}");
    let finished = sitting.end();
    let out = finished.out();
    assert!(out.contains("still lifted: R3 R6"), "{out}");
    let rows = bench.job.rows();
    let found = own(&rows);
    let verdict = |name: &str| found[name].0.as_str();
    assert_eq!(verdict("R1"), "pass", "{out}");
    assert_eq!(verdict("R2"), "fail");
    assert_eq!((verdict("R4"), verdict("R5")), ("pass", "pass"));
    assert_eq!(verdict("R7"), "pass");
    assert_eq!(verdict("R3"), "inconclusive");
    let near = |name: &str| {
        let value: f64 = found[name].1.parse().unwrap();
        let off = value / truth(name) - 1.0;
        assert!(off.abs() < 0.01, "{name}: {value}");
    };
    ["R1", "R2", "R3", "R4", "R5", "R7"]
        .into_iter()
        .for_each(near);
    // Each own value rests on readings that are there before it.
    for row in rows.iter().filter(|row| row.get("step") == "own") {
        let on: Vec<usize> = row
            .get("rests_on")
            .split(' ')
            .map(|one| one.parse().unwrap())
            .collect();
        assert!(!on.is_empty());
        for one in on {
            assert_eq!(rows[one - 1].get("step"), "between", "{}", row.get("ref"));
        }
    }
    bench.check_recording(&finished);
    let root = bench.job.root();
    let root = root.to_str().unwrap();
    let why = Program::new(["why", root, "R4"]).run().with_status(0).out();
    let why = why.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "R4 own: PASS",
        "of the ",
        " read, R4 carries ",
        "by all readings of its loop",
        "No tolerance of a neighbour",
    ] {
        assert!(why.contains(words), "no `{words}` in {why}");
    }
    let glance = Program::new([root]).run().out();
    assert!(glance.contains("R2"), "{glance}");
    assert!(
        !glance.contains("to bias") && !glance.contains("does not have"),
        "{glance}"
    );
    let solved = Program::new(["network", root, "solve"])
        .run()
        .with_status(0)
        .out();
    assert!(
        solved.contains("R4") && solved.contains("readings between nodes that no part joins agree"),
        "{solved}"
    );
    // What was measured by itself since counts in the picture: R2 and R3 fail, and no lead is left to lift.
    let drawn = Program::new(["network", root, "draw", "--output", "-"]).run();
    let drawn = drawn.with_status(0).out();
    assert_eq!(drawn.matches("part fail").count(), 2, "{drawn}");
    assert!(!drawn.contains("lift a lead"), "{drawn}");
    let report = Program::new(["report", root, "--output", "-"]).run();
    let report = report.with_status(0).out();
    assert!(report.contains("What was read where it sits"), "{report}");
    let audit = Program::new(["audit", root]).run();
    assert_eq!(audit.code(), Some(0), "{}", audit.out());
}

#[test]
fn a_part_that_the_list_lacks_takes_every_pass_back_and_what_is_low_never_fails() {
    let bench = bench("[network]\ncomplete = true\n");
    let mut sitting = begin_discharged(&bench);
    follow(&mut sitting, |pair| {
        between(pair, TRUTH.iter().chain([&MISSING]))
    });
    let finished = sitting.end();
    let out = finished.out();
    let rows = bench.job.rows();
    for row in rows.iter().filter(|row| row.get("step") == "own") {
        assert_ne!(row.get("verdict"), "pass", "{out}");
    }
    for (name, (verdict, _)) in own(&rows) {
        let expected = if name == "R2" { "fail" } else { "inconclusive" };
        assert_eq!(verdict, expected, "{name}\n{out}");
    }
    assert!(
        out.contains("something joins them that the list does not have"),
        "{out}"
    );
    bench.check_recording(&finished);
}

#[test]
fn a_kill_loses_no_reading_and_the_recording_gives_the_rows() {
    let bench = bench("");
    let mut sitting = begin_discharged(&bench);
    for _ in 0..3 {
        let line = sitting.program.sees(&["probes on these two places"]);
        let pair = asked(&line);
        sitting.touch(ohm(without(&[])(&pair).unwrap()), &[&pair, " READ "]);
    }
    sitting.program.sees(&["probes on these two places"]);
    sitting.program.signal(rustix::process::Signal::KILL);
    drop(sitting);
    let before = fs::read(bench.job.results()).unwrap();
    let (_, csv) = replay(&bench.job.recording());
    assert_eq!(
        String::from_utf8(csv).unwrap(),
        String::from_utf8(before).unwrap()
    );
}

#[test]
fn capacitors_are_seen_discharged_first_as_in_any_sitting() {
    let bench = bench("");
    let mut sitting = begin(&bench);
    sitting.program.say("lifted R6");
    sitting.program.sees(&["R6 ", "a lead is lifted"]);
    sitting.program.say("next");
    sitting
        .program
        .sees(&["`next`: first see every capacitor discharged"]);
    sitting.program.say("override C1 it was taken out");
    sitting.program.sees(&["  R6 "]);
    let _ = sitting.end();
}

#[test]
fn a_list_without_nodes_and_a_selection_are_refused() {
    let bench = Bench::new(Way::Terminal);
    let mut arguments = bench.arguments();
    arguments.push("--in-circuit".into());
    let _ = Program::new(arguments.clone())
        .run()
        .with_status(2)
        .complaining(&["nothing to read in circuit"]);
    arguments.extend(["--only".into(), "R1".into()]);
    let _ = Program::new(arguments)
        .run()
        .with_status(2)
        .complaining(&["--in-circuit is for the whole list"]);
}

/// Three contacts in a ring, which is a loop of next to no ohm, a resistor with both ends on one node, and one by itself.
const ODD: &str = "\
ref,kind,value,tolerance,from,to,in_circuit
S1,switch,,,a,b,yes
S2,switch,,,b,c,yes
S3,switch,,,c,a,yes
R1,resistor,1k,10%,a,a,yes
R4,resistor,1k,10%,x,y,yes
";

#[test]
fn a_loop_of_no_ohm_and_a_part_with_both_ends_on_one_node_give_words() {
    for shorted in [0.0, 1e-4] {
        let bench = bench("");
        fs::write(bench.job.root().join("parts.csv"), ODD).unwrap();
        let mut arguments = bench.arguments();
        arguments.push("--in-circuit".into());
        let mut sitting = bench.sit_unheard(Program::new(arguments));
        let leads = follow(&mut sitting, |pair| match pair {
            "x to y" => Some(1005.0),
            _ if pair.contains('x') || pair.contains('y') => None,
            _ => Some(shorted),
        });
        let finished = sitting.end();
        let out = finished.out();
        // Each contact may be open with the two others around it.
        assert!(leads.contains("lift a lead of S1: settles 3"), "{leads}");
        let rows = bench.job.rows();
        let found = own(&rows);
        for contact in ["S1", "S2", "S3"] {
            assert_eq!(found[contact].0, "inconclusive", "{out}");
        }
        assert_eq!(found["R4"].0, "conditional pass", "{out}");
        assert!(!found.contains_key("R1"), "{out}");
        let said = finished.err();
        assert!(
            said.contains("nothing is read of R1, since both ends are on one node"),
            "{said}"
        );
        for text in [
            &out,
            said,
            &fs::read_to_string(bench.job.results()).unwrap(),
        ] {
            let words = text.split(|sign: char| !sign.is_alphanumeric());
            for word in words {
                assert!(
                    !["nan", "inf"].contains(&word.to_lowercase().as_str()),
                    "{text}"
                );
            }
        }
        bench.check_recording(&finished);
    }
}

/// What lies beside a capacitor only adds to it, but for a coil.
#[test]
fn a_low_capacitor_fails_in_circuit_where_the_list_has_everything_and_no_coil_is_in_its_loop() {
    const FUNCTIONS: &str = "
[function.capacitance]
idle = { below = 1e-10 }
range = [{ up_to = 1e-3, resolution = 1e-10, percent_of_reading = 0.5, counts = 2 }]
";
    let verdict = |more: &str, job: &str| {
        let list = format!(
            "ref,kind,value,tolerance,rating,material,from,to,in_circuit\n\
             C1,capacitor,.1uF,20%,400V,film,V1 anode,V2 grid,yes\nR1,resistor,470k,10%,,,V1 anode,V2 grid,yes\n{more}"
        );
        let plan = talking::plan(FUNCTIONS, &list, "C1", job).unwrap();
        let mut bench = Talking::new(plan, 2);
        bench.shows("0.0 F", 4);
        bench.shows("50e-9 F", 12);
        let row = &bench.records()[0].row;
        (row.verdict, row.reason.clone())
    };
    let complete = "[network]\ncomplete = true\n";
    let (found, reason) = verdict("", complete);
    assert_eq!(found, Verdict::Fail, "{reason}");
    assert!(
        reason.contains("no coil or winding in a loop with it"),
        "{reason}"
    );
    let coil = "T1.pri,winding,450,20%,,,V1 anode,V2 grid,yes\n";
    assert_eq!(verdict(coil, complete).0, Verdict::Inconclusive);
    assert_eq!(verdict("", "").0, Verdict::Inconclusive);
}
