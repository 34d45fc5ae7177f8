//! Danger to life, from the touch to everything that is printed, written and bought: capacitors at the mains.

use std::fs;

use probewright::face::bench::simulator::{Behaviour, Component};
use probewright::face::engine::quantity::Quantity;

use crate::program::{Finished, Job, Program, Row};
use crate::sit::{Bench, Way};

/// No role anywhere: C6 and C9 go from the mains to the chassis, C10 lies across it, C7 is somewhere else, C8 might be anywhere.
const PARTS: &str = "\
ref,kind,value,tolerance,rating,material,role,from,to
C6,capacitor,.01,20%,600V,paper,,L,chassis
C7,capacitor,.01,20%,600V,paper,,V1 anode,V2 grid
C8,capacitor,.01,20%,600V,paper,,,
C9,capacitor,10nF,20%,X2 275V~,film,,N,chassis
C10,capacitor,10nF,20%,X2 275V~,film,,L,N
";

const MAINS: &str = "[mains]\nvolts = 230\nhertz = 50\n";

fn job(toml: &str) -> Job {
    let job = Job::new(PARTS);
    fs::write(job.root().join("job.toml"), toml).unwrap();
    job
}

fn run(job: &Job, words: &[&str]) -> Finished {
    let root = job.root();
    let first = [words[0], root.to_str().unwrap()];
    Program::new(first.iter().chain(&words[1..])).run()
}

/// The text of a file of the job; nothing if it is not there.
fn text(job: &Job, name: &str) -> String {
    fs::read_to_string(job.root().join(name)).unwrap_or_default()
}

#[test]
fn a_capacitor_at_the_mains_is_found_from_where_it_is_from_the_touch_to_the_order() {
    for toml in ["", MAINS] {
        let mut bench = Bench::new(Way::Terminal);
        bench.job = job(toml);
        let mut sitting = bench.sit();
        // Each another one than the one before, as capacitors are.
        let mut farads = [10.2e-9, 9.5e-9].into_iter().cycle();
        let mut good = || Component::capacitor(farads.next().unwrap());
        let no_class = "safety class: no safety class marked, line to chassis needs Y1 or Y2";
        let line = sitting.touch_and_see(good(), &["C6 ", " FAIL "]);
        assert!(
            line.contains(&format!("  {no_class}")),
            "the class comes first: {line}"
        );
        sitting.in_hand("C7");
        sitting.touch(good(), &["C7 ", " PASS "]);
        sitting.in_hand("C8");
        sitting.touch(good(), &["C8 ", " INCONCLUSIVE ", "its place is unknown"]);
        sitting.in_hand("C9");
        sitting.touch(
            good(),
            &[
                "C9 ",
                " FAIL ",
                "class X2 marked, line to chassis needs Y1 or Y2",
            ],
        );
        let across = if toml.is_empty() {
            "INCONCLUSIVE"
        } else {
            "PASS"
        };
        sitting.in_hand("C10");
        sitting.touch(good(), &["C10 ", &format!(" {across} ")]);
        sitting.program.say("decide C6 keep");
        sitting
            .program
            .sees(&["then it can kill: say why it may stay"]);
        sitting
            .program
            .say("decide C8 keep it is a coupling capacitor");
        sitting
            .program
            .sees(&["C8 ", "decided: keep", "It can kill: C8: place unknown"]);
        sitting.program.say("decide C6 accept it hangs on one lead");
        sitting.program.sees(&[
            "C6 ",
            "decided: accept",
            "It can kill: C6: taken for line to chassis",
        ]);
        let finished = sitting.end();
        bench.check_recording(&finished);
        let rows = bench.job.rows();
        let verdicts: Vec<&str> = rows.iter().map(|row| row.get("verdict")).collect();
        let across = across.to_lowercase();
        assert_eq!(verdicts, ["fail", "pass", "inconclusive", "fail", &across]);
        let class = |row: &Row, words: &str| {
            assert!(row.get("checks").contains(words), "{:?}", row.get("checks"));
            assert!(row.get("reason").contains(words), "{:?}", row.get("reason"));
        };
        class(&rows[0], "no safety class marked");
        class(&rows[2], "its place is unknown");
        class(&rows[3], "class X2 marked");
        let why = run(&bench.job, &["why", "C6"]).with_status(0).out();
        assert!(why.contains("its nodes `L` and `chassis`"), "{why}");
        let glance = Program::new([bench.job.root()]).run().out();
        assert!(glance.contains("class X2 marked"), "{glance}");
        let _ = run(&bench.job, &["report"]).with_status(0);
        let report = text(&bench.job, "report.html");
        assert!(report.contains("no safety class marked"));
    }
}

#[test]
fn nothing_without_the_class_that_its_place_needs_is_proposed() {
    let job = job(MAINS);
    let choices = |part: &str, status| {
        let out = run(&job, &["substitute", part, "--most", "20"])
            .with_status(status)
            .out();
        let lines = out.lines().filter(|line| {
            line.starts_with("  ")
                && !line.starts_with("  !")
                && line.contains(". ")
                && !line.starts_with("   ")
        });
        lines.map(str::to_owned).collect::<Vec<String>>()
    };
    for (part, class) in [("C6", "Y"), ("C9", "Y"), ("C10", "2")] {
        let lines = choices(part, 0);
        assert!(!lines.is_empty());
        assert!(
            lines
                .iter()
                .all(|line| line.contains(class) && line.contains("V~")),
            "{part}: {lines:?}"
        );
    }
    assert!(
        choices("C7", 0)
            .iter()
            .any(|line| line.ends_with("630 V ±10 % film")),
        "{:?}",
        choices("C7", 0)
    );
    assert!(choices("C8", 3).is_empty());
    let out = run(&job, &["substitute", "C8"]).out();
    assert!(out.contains("place unknown"), "{out}");
}

#[test]
fn nothing_without_the_class_that_its_place_needs_is_bought() {
    let job = job(MAINS);
    for part in ["C6", "C7", "C8", "C9"] {
        let _ = run(&job, &["decide", part, "replace", "--reason", "old"]).with_status(0);
    }
    let out = run(&job, &["order"]).with_status(0).out();
    let bought: Vec<&str> = out.lines().filter(|line| line.contains("job C")).collect();
    let line = |part: &str| {
        *bought
            .iter()
            .find(|line| line.contains(part))
            .unwrap_or_else(|| panic!("{part}: {out}"))
    };
    assert!(
        line("C6").contains('Y') && line("C9").contains('Y'),
        "{out}"
    );
    assert!(
        line("C7").contains("film") && !line("C7").contains('Y'),
        "{out}"
    );
    assert!(
        line("C8").contains("not known what to buy: place unknown"),
        "{out}"
    );
    // An article that somebody names is bought no more than one that is proposed.
    let before = text(&job, "decisions.csv");
    for (part, choice, article) in [
        ("C6", "order", "10nF 630V film"),
        ("C6", "replace", "10nF X2 275V~ film"),
        ("C6", "fitted", "10nF 630V film"),
        ("C8", "order", "10nF 630V film"),
        (
            "C6",
            "order",
            "22nF Y2 250V~ ceramic + 22nF Y2 250V~ ceramic",
        ),
    ] {
        let refused = run(&job, &["decide", part, choice, "--article", article]).with_status(2);
        assert!(refused.err().contains(part), "{}", refused.err());
    }
    let _ = run(&job, &["decide", "C6", "order"])
        .with_status(2)
        .complaining(&["no safety class marked"]);
    assert_eq!(text(&job, "decisions.csv"), before, "nothing was written");
    let rows = "2056-11-03T19:25:30.000+01:00,C6,replace,old,10nF 630V film,\r\n\
        2056-11-03T19:25:30.000+01:00,C8,replace,old,10nF 630V film,\r\n\
        2056-11-03T19:25:30.000+01:00,C9,order,old,10nF 630V film,\r\n";
    fs::write(job.root().join("decisions.csv"), format!("{before}{rows}")).unwrap();
    fs::write(
        job.root().join("stock.csv"),
        "article,count,place\n10nF 630V film,5,drawer\n",
    )
    .unwrap();
    let out = run(&job, &["order", "--placed"]).with_status(0).out();
    for words in [
        "C6, not known what to buy: 10 nF 630 V film may not go in there",
        "C8, not known what to buy: place unknown",
    ] {
        assert!(out.replace("\n  ", " ").contains(words), "{out}");
    }
    assert!(out.contains("on order as 10 nF 630 V film"), "{out}");
    let placed = text(&job, "decisions.csv");
    let placed = placed.strip_prefix(&format!("{before}{rows}")).unwrap();
    assert!(
        !placed.contains("C6") && !placed.contains("C8") && !placed.contains("C9"),
        "{placed}"
    );
    let _ = run(
        &job,
        &[
            "decide",
            "C6",
            "order",
            "--article",
            "10nF Y2 250V~ ceramic",
        ],
    )
    .with_status(0);
}

#[test]
fn keeping_such_a_part_wants_a_reason_and_is_warned_of() {
    let job = job("");
    for (part, choice) in [
        ("C6", "keep"),
        ("C6", "accept"),
        ("C8", "keep"),
        ("C9", "keep"),
    ] {
        let _ = run(&job, &["decide", part, choice])
            .with_status(2)
            .complaining(&["needs a reason"]);
        let _ = run(
            &job,
            &["decide", part, choice, "--reason", "it hangs on one lead"],
        )
        .with_status(0)
        .complaining(&["it can kill", part, "Mains parts can kill"]);
    }
    let quiet = run(&job, &["decide", "C7", "keep"]).with_status(0);
    assert_eq!(quiet.err(), "");
    assert!(!text(&job, "decisions.csv").is_empty());
}

#[test]
fn the_check_of_a_list_says_what_each_was_taken_for_and_asks_where_it_cannot_tell() {
    let check = |job: &Job| {
        let file = job.root().join("parts.csv");
        let out = Program::new(["parts", "check", file.to_str().unwrap()])
            .run()
            .with_status(0)
            .out();
        out.lines()
            .filter(|line| line.starts_with("mains: "))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let told = check(&job(MAINS));
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told[0].starts_with("mains: C6: taken for line to chassis, from its nodes `L` and `chassis`: no safety class marked"), "{told:?}");
    assert!(
        told[1].contains("C8: place unknown, from a row that does not say between what it sits"),
        "{told:?}"
    );
    assert!(told[1].contains("fill in `from` and `to`"), "{told:?}");
    assert!(
        told[2].contains("C9: taken for line to chassis")
            && told[2].contains("class X2; class X2 marked"),
        "{told:?}"
    );
    assert_eq!(
        told[3],
        "mains: C10: taken for across the line, from its nodes `L` and `N`: class X2"
    );
}

#[test]
fn a_live_chassis_makes_aerial_and_sockets_places_at_the_mains() {
    let parts = "ref,kind,value,rating,material,from,to\nC1,capacitor,.001,1kV,paper,aerial,V1 grid\nC2,capacitor,.1,600V,paper,L,chassis\nR1,resistor,1k,,,V1 cathode,chassis\n";
    let check = |toml: &str| {
        let job = Job::new(parts);
        fs::write(job.root().join("job.toml"), toml).unwrap();
        let file = job.root().join("parts.csv");
        Program::new(["parts", "check", file.to_str().unwrap()]).run()
    };
    let out = check("").with_status(0).out();
    assert!(out.contains("mains: C1: taken for line to chassis, from its nodes `aerial` and `V1 grid`, and the chassis counts as live"), "{out}");
    assert!(
        out.contains("mains: C2: taken for line to chassis"),
        "{out}"
    );
    let out = check("[mains]\nchassis = \"live\"\n").with_status(0).out();
    assert!(
        out.contains("mains: C1: taken for line to chassis")
            && out.contains("mains: C2: taken for across the line"),
        "{out}"
    );
    let out = check("[mains]\nvolts = 240\nhertz = 50\nchassis = \"isolated\"\n")
        .with_status(0)
        .out();
    assert!(
        !out.contains("mains: C1") && out.contains("mains: C2: taken for line to chassis"),
        "{out}"
    );
    for toml in [
        "[mains]\nchassis = \"hot\"\n",
        "[mains]\nvolts = 230\n",
        "[mains]\n",
    ] {
        let refused = check(toml);
        assert!(refused.err().contains("[mains]"), "{}", refused.err());
        let _ = refused.with_status(2);
    }
}

#[test]
fn a_negative_reading_of_a_switch_or_a_fuse_is_told_and_never_passes() {
    let mut bench = Bench::new(Way::Terminal);
    bench.job = Job::new("ref,kind,value\nS1,switch,1 Ω\nF1,fuse,1A\n");
    let mut sitting = bench.sit();
    let charged = Component::open().with(Quantity::Resistance, Behaviour::Steady(-25.0));
    for part in ["S1", "F1"] {
        let words = "negative: look for a charge or a voltage";
        sitting.touch(charged, &[part, " INCONCLUSIVE ", words]);
        let check = "discharged? voltmeter across it";
        sitting.program.sees(&[&format!("  {part:<8} "), check]);
        sitting.program.say("next");
        sitting
            .program
            .sees(&["first see every capacitor discharged"]);
        sitting.touch(Component::live_point(1.2), &[part, "discharged"]);
        sitting.in_hand(part);
        sitting.touch(Component::resistor(0.05), &[part, " PASS "]);
        if part == "S1" {
            sitting.in_hand("F1");
        }
    }
    let finished = sitting.end();
    bench.check_recording(&finished);
    let rows = bench.job.rows();
    let verdicts: Vec<&str> = rows.iter().map(|row| row.get("verdict")).collect();
    assert_eq!(verdicts, ["inconclusive", "pass", "inconclusive", "pass"]);
    assert_eq!(
        rows[0].get("reason"),
        "negative: look for a charge or a voltage"
    );
    assert_eq!(rows[0].get("probability"), "");
}
