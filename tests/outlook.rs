//! Needs of a sitting, checked before it: what no rule can judge is left out and named, what cannot be read stops it,
//! and `why` tells limits before anything was measured.

use std::fs;

use crate::bench;
use crate::program::{Job, Program};
use probewright::face::bench::simulator::{BenchClock, Component, Options, Serve};

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to,also
R1,resistor,4K7,10%,,,anode load,A1,HT2,
C1,capacitor,0.1uF,20%,400V,film,coupling,A1,G2,leakage
C2,capacitor,10 nF,20%,400V,,tone,A2,chassis,leakage
";

#[test]
fn a_sitting_goes_on_without_what_no_rule_can_judge_and_both_name_it() {
    let job = Job::new(PARTS);
    let root = job.root();
    let left_out = "C2 leakage, row 4, is left out, and all else is measured: cannot judge ";
    let checked = Program::new(["parts", "check", root.to_str().unwrap()]).run();
    let checked = checked.with_status(0).out();
    assert!(
        checked.contains(&format!("no rule: {left_out}")),
        "{checked}"
    );
    let options = Options {
        serve: Serve::Tcp,
        readings_per_second: 50.0,
        ..Options::default()
    };
    let (probes, meter) = bench::start(BenchClock::real_time(), options);
    let at = format!("scpi-multimeter@{}", meter.address());
    let arguments = ["sit", root.to_str().unwrap(), "--meter", &at];
    let mut program = Program::new(arguments).start();
    program.sees(&["  R1       resistor 4.7 kΩ"]);
    program.sees(&["meter: Probewright,Simulated Meter"]);
    probes.place(
        Component::resistor(4700.0),
        std::time::Duration::from_millis(40),
    );
    program.sees(&["R1 ", " PASS "]);
    probes.lift();
    program.sees(&["  C1 "]);
    program.say("goto C2");
    program.sees(&["  C2 "]);
    probes.place(
        Component::capacitor(10e-9),
        std::time::Duration::from_millis(40),
    );
    program.sees(&["C2 ", " PASS "]);
    probes.lift();
    program.say("end");
    let ended = program.end().with_status(0);
    assert!(ended.err().contains(left_out), "{}", ended.err());
    let counted = "1 not judged for want of a rule (C2)";
    assert!(ended.err().contains(counted), "{}", ended.err());
    let glance = |more: &[&str]| {
        let words = [root.to_str().unwrap()]
            .into_iter()
            .chain(more.iter().copied());
        Program::new(words).run().with_status(0).out()
    };
    let told = glance(&[]).replace("\n    ", " ");
    assert!(told.contains("3 parts: 1 good; 2 to do"), "{told}");
    let named = format!("not judged for want of a rule: 1\n  {left_out}");
    assert!(told.contains(&named), "{told}");
    assert!(told.contains("not measured yet: 1\n  C1\n"), "{told}");
    let json: serde_json::Value = serde_json::from_str(&glance(&["--json"])).unwrap();
    let said = json["parts"][2]["left_out"][0].as_str().unwrap();
    assert!(said.starts_with(left_out), "{said}");
    // C1 is still asked for, C2 never again.
    let todo = ["sit", root.to_str().unwrap(), "--todo", "--meter", &at];
    let mut program = Program::new(todo).start();
    program.sees(&["1 part"]);
    program.sees(&["  C1 "]);
    program.say("end");
    let again = program.end().with_status(0);
    assert!(!again.out().contains("  C2 "), "{}", again.out());
}

#[test]
fn a_row_that_cannot_be_read_stops_the_sitting_with_status_2() {
    let job = Job::new("ref,kind,value\nR1,resistor,4K7\nR2,resistor,many\n");
    let root = job.root();
    for arguments in [
        vec!["parts", "check", root.to_str().unwrap()],
        vec![
            "sit",
            root.to_str().unwrap(),
            "--meter",
            "scpi-multimeter@tcp:127.0.0.1:9",
        ],
    ] {
        let finished = Program::new(arguments).run().with_status(2);
        let said = finished.out() + finished.err();
        assert!(
            said.contains("parts.csv:3:") && said.contains("many"),
            "{said}"
        );
    }
    // A policy that cannot be read stops both alike.
    let job = Job::new(PARTS);
    fs::write(job.root().join("policy.toml"), "[[replace]]\nkind = 3\n").unwrap();
    let root = job.root();
    let checked = Program::new(["parts", "check", root.to_str().unwrap()]).run();
    assert!(checked.with_status(2).err().contains("policy.toml"));
}

#[test]
fn why_tells_the_limits_of_a_part_that_was_not_measured() {
    let job = Job::new(PARTS);
    let root = job.root();
    let why = |part: &str| Program::new(["why", root.to_str().unwrap(), part]).run();
    let said = why("R1").with_status(0).out();
    assert!(said.contains("R1 was not judged yet."), "{said}");
    assert!(said.contains("4.23 kΩ to 5.17 kΩ conforms"), "{said}");
    let said = why("C2").with_status(0).out();
    for words in [
        "7 nF to 13 nF conforms in its role",
        "Loss: cannot judge loss: no material in the list",
        "C2 leakage, row 4, is left out",
    ] {
        assert!(
            said.replace("\n    ", " ").contains(words),
            "{words}: {said}"
        );
    }
    assert_eq!(why("R9").with_status(2).out(), "");
}
