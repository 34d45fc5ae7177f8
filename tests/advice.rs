//! Advice of the policy arrives: from a touch that passes to the glance, the end of the sitting and the order list, with one
//! command for all of it; and a person overrules it with a reason.

use std::fs;
use std::time::Duration;

use probewright::face::bench::simulator::{BenchClock, Component, Options, Serve};

use crate::bench;
use crate::program::{Job, Program};

const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to
C1,capacitor,47nF,20%,400V,paper,coupling,A1,G2
C2,capacitor,10nF,20%,400V,paper,tone,A2,chassis
C3,capacitor,22nF,20%,400V,film,tone,A3,chassis
";

/// The three capacitors, each measured and good.
fn measured() -> (Job, String) {
    let job = Job::new(PARTS);
    let root = job.root();
    let options = Options {
        serve: Serve::Tcp,
        readings_per_second: 50.0,
        ..Options::default()
    };
    let (probes, meter) = bench::start(BenchClock::real_time(), options);
    let at = format!("scpi-multimeter@{}", meter.address());
    let arguments = ["sit", root.to_str().unwrap(), "--meter", &at];
    let mut program = Program::new(arguments).start();
    program.sees(&["  C1       capacitor"]);
    program.sees(&["meter: Probewright,Simulated Meter"]);
    for (part, farads, next) in [
        ("C1", 47e-9, "  C2       capacitor"),
        ("C2", 10e-9, "  C3       capacitor"),
        ("C3", 22e-9, "every part of the list"),
    ] {
        probes.place(Component::capacitor(farads), Duration::from_millis(40));
        program.sees(&[part, " PASS "]);
        probes.lift();
        program.sees(&[next]);
    }
    program.say("decide C1 keep");
    program.sees(&["to be replaced by policy, whatever it reads"]);
    program.say("end");
    let ended = program.end().with_status(0);
    (job, ended.err().to_owned())
}

fn run(job: &Job, words: &[&str]) -> crate::program::Finished {
    let root = job.root();
    let mut arguments = vec![words[0].to_owned()];
    arguments.push(root.to_str().unwrap().to_owned());
    arguments.extend(words[1..].iter().map(|word| (*word).to_owned()));
    Program::new(arguments).run()
}

#[test]
fn what_the_policy_replaces_is_a_group_of_its_own_from_the_touch_to_the_order() {
    let (job, ended) = measured();
    assert!(
        ended.contains("2 to be replaced by policy (C1, C2)"),
        "{ended}"
    );
    let glance = |job: &Job| Program::new([job.root()]).run().with_status(0).out();
    let said = glance(&job);
    assert!(said.contains("to be replaced by policy: C1 C2\n"), "{said}");
    assert!(said.contains("3 parts: 1 good; 2 to do"), "{said}");
    let command = said.lines().find(|line| line.contains("--reason policy"));
    let command = command.unwrap().split('#').next().unwrap().trim();
    assert!(
        command.ends_with("C1,C2 replace --reason policy"),
        "{command}"
    );
    let order = run(&job, &["order"]).with_status(0).out();
    assert!(
        order.contains("to be replaced by policy and not decided"),
        "{order}"
    );
    assert!(order.contains(command), "{order}");
    let page = run(&job, &["order", "--page", "-"]).with_status(0).out();
    let words = "to be replaced by policy and not decided: ";
    let behind = page.split(words).nth(1).unwrap();
    let behind = behind.split("</li>").next().unwrap();
    assert!(behind.contains("C1") && behind.contains("C2"), "{page}");
    let file = job.root().join("facts.json");
    let to = [
        "report",
        "--format",
        "json",
        "--output",
        file.to_str().unwrap(),
    ];
    let _ = run(&job, &to).with_status(0);
    let facts = fs::read_to_string(&file).unwrap();
    assert!(facts.contains("\"to be replaced by policy\""), "{facts}");
    // A reason overrules it; nothing does without.
    assert!(
        run(&job, &["decide", "C2", "keep"])
            .with_status(2)
            .err()
            .contains("--reason")
    );
    let kept = run(
        &job,
        &["decide", "C2", "keep", "--reason", "renewed in 1990"],
    );
    assert!(kept.with_status(0).out().contains("Now kept."));
    let decided = run(&job, &["decide", "C1", "replace", "--reason", "policy"]);
    assert!(decided.with_status(0).out().contains("Now to be replaced."));
    assert!(!glance(&job).contains("by policy"), "{}", glance(&job));
    let order = run(&job, &["order", "--spares", "10%"])
        .with_status(0)
        .out();
    assert!(
        order.contains("C1") && !order.contains("by policy"),
        "{order}"
    );
    assert!(
        order.contains("spares: 10 % of the total of like values"),
        "{order}"
    );
}

#[test]
fn an_ordinary_resistor_goes_before_one_for_thousands_of_volts_and_a_fuse_keeps_its_rating() {
    let substitute = |words: &[&str]| {
        let words = ["substitute"].iter().chain(words);
        Program::new(words.copied()).run().with_status(0).out()
    };
    let leak = substitute(&["1M 1/2W carbon", "--role", "grid leak"]);
    assert!(leak.contains("  1. 1 MΩ 350 V 0.5 W"), "{leak}");
    assert!(
        !leak.contains("3500 V") && !leak.contains("--volts"),
        "{leak}"
    );
    // Where much may stand across it, it is asked.
    let bleeder = substitute(&["1M 1/2W carbon", "--role", "bleeder"]);
    assert!(bleeder.contains("  1. 1 MΩ 3500 V"), "{bleeder}");
    let unknown = substitute(&["1M 1/2W carbon"]);
    for words in ["  1. 1 MΩ 350 V 0.5 W", "--volts", "3500 V"] {
        assert!(unknown.contains(words), "{words}: {unknown}");
    }
    let job = Job::new("ref,kind,value\nF1,fuse,T1.6A 250V\n");
    let _ = run(&job, &["decide", "F1", "replace"]).with_status(0);
    let order = run(&job, &["order"]).with_status(0).out();
    assert!(order.contains("fuse T1.6A 250V"), "{order}");
}
