//! Decisions: with the command `decide`, and at the bench.

use std::ffi::OsStr;
use std::fs;
use std::path::PathBuf;

use probewright::face::books::ledger::{Choice, DECISION_COLUMNS, Decision};
use rustix::process::Signal;

use crate::daemon::{attach, serve};
use crate::program::{Finished, Job, Program, replay};
use crate::sit::{Bench, Way, ohm};

const PARTS: &str = "\
ref,kind,value,tolerance,also,role
R1,resistor,4K7,10%,,
R2,resistor,220k,10%,,
R12,resistor,1k,10%,,
C4,capacitor,47nF,20%,leakage,detector
RV1,potentiometer,1M,,,
";

fn file(job: &Job) -> PathBuf {
    job.root().join("decisions.csv")
}

fn decisions(job: &Job) -> Vec<Decision> {
    Decision::read_all(&fs::read(file(job)).unwrap_or_default()).unwrap()
}

/// Designator, choice and reason of each.
fn short(job: &Job) -> Vec<(String, Choice, String)> {
    let all = decisions(job).into_iter();
    all.map(|one| (one.designator, one.choice, one.reason))
        .collect()
}

fn expected(all: &[(&str, Choice, &str)]) -> Vec<(String, Choice, String)> {
    let owned = |(part, choice, reason): &(&str, Choice, &str)| {
        ((*part).to_owned(), *choice, (*reason).to_owned())
    };
    all.iter().map(owned).collect()
}

fn arguments<'a>(job: &'a Job, words: &[&'a str]) -> Vec<std::ffi::OsString> {
    let root = job.root().into_os_string();
    let words = words.iter().map(|word| OsStr::new(word).to_owned());
    ["decide".into(), root].into_iter().chain(words).collect()
}

fn decide(job: &Job, words: &[&str]) -> Finished {
    Program::new(arguments(job, words)).run()
}

#[test]
fn a_decision_is_written_and_told_with_where_the_part_stands_now() {
    let job = Job::new(PARTS);
    let told = decide(&job, &["r1,C4", "order", "--reason", "none in the drawer"])
        .with_status(0)
        .out();
    assert_eq!(
        told,
        "R1       decided: order: none in the drawer. Now on order.\n\
         C4       decided: order: none in the drawer. Now on order.\n"
    );
    let article = ["C4", "fitted", "--article", "47nF 630V film", "--bag", "3"];
    let told = decide(&job, &article).with_status(0).out();
    assert_eq!(
        told,
        "C4       decided: fitted (47nF 630V film, bag 3). Now fitted, to be measured.\n"
    );
    let all = decisions(&job);
    assert_eq!(all.len(), 3);
    assert_eq!(
        (all[2].article.as_str(), all[2].bag),
        ("47nF 630V film", Some(3))
    );
    let text = fs::read_to_string(file(&job)).unwrap();
    let header = DECISION_COLUMNS.map(|(name, _)| name).join(",");
    assert!(text.starts_with(&format!("{header}\r\n")), "{text}");
    assert_eq!(text.matches("\r\n").count(), 4);
}

#[test]
fn the_history_of_a_part_is_told_in_the_order_of_time() {
    let job = Job::new(PARTS);
    let told = decide(&job, &["R1"]).with_status(0).out();
    assert_eq!(
        told,
        "R1  resistor 4.7 kΩ ±10 %\n  nothing was measured and nothing decided\nnow: not measured yet\n"
    );
    decide(&job, &["R1", "replace", "--reason", "brittle"])
        .with_status(0)
        .out();
    decide(&job, &["R1", "keep"]).with_status(0).out();
    let told = decide(&job, &["R1,R2"]).with_status(0).out();
    let lines: Vec<&str> = told.lines().collect();
    assert!(lines[1].ends_with("  decided: replace: brittle"), "{told}");
    assert!(lines[2].ends_with("  decided: keep"), "{told}");
    assert_eq!(lines[3..5], ["now: kept", ""]);
    assert!(lines[5].starts_with("R2  resistor 220 kΩ"), "{told}");
}

#[test]
fn a_fuse_for_more_than_the_listed_current_is_refused_as_a_wrong_class_is() {
    let job = Job::new("ref,kind,value,rating\nF1,fuse,T1A,250V\nF2,fuse,,\n");
    for (choice, article, why) in [
        ("replace", "T2A 250V", "2 A is more than the listed 1 A"),
        ("order", "fuse 1.25 A", "1.25 A is more than the listed 1 A"),
        ("fitted", "3.15A", "3.15 A is more than the listed 1 A"),
        ("replace", "slow fuse", "`slow fuse` tells no current"),
        ("replace", "T1A 125V", "125 V is less than the listed 250 V"),
        ("order", "500mA + 500mA", "one fuse goes in"),
    ] {
        let words = ["F1", choice, "--article", article];
        let refused = decide(&job, &words).with_status(2).complaining(&[why]);
        assert_eq!(refused.out(), "", "{words:?}");
    }
    assert!(!file(&job).exists());
    // Only what is in already can be said, with a reason and a warning; what is to be bought never.
    let reason = ["--reason", "found it so"];
    let words = |choice| [&["F1", choice, "--article", "T2A"], &reason[..]].concat();
    let _ = decide(&job, &words("replace")).with_status(2);
    let _ = decide(&job, &words("fitted"))
        .with_status(0)
        .complaining(&["F1, T2A: 2 A is more than the listed 1 A"]);
    let glance = Program::new([job.root()]).run().out().replace("\n  ", " ");
    assert!(
        glance.contains("F1 may not stay: 2 A is more than the listed 1 A"),
        "{glance}"
    );
    let refused = decide(&job, &["F1", "keep"]).with_status(2);
    let _ = refused.complaining(&["needs a reason", "2 A is more than the listed 1 A"]);
    let reason = ["F1", "keep", "--reason", "until Monday"];
    let _ = decide(&job, &reason)
        .complaining(&["it can kill", "2 A is more"])
        .with_status(0);
    for (part, article) in [("F1", "T1A 250V"), ("F1", "fuse 1000 mA"), ("F2", "5A")] {
        let _ = decide(&job, &[part, "replace", "--article", article]).with_status(0);
    }
    // Written by hand or by an earlier version: it is not bought.
    let row = "2156-11-03T19:25:30.000+01:00,F1,replace,,T2A,\r\n";
    let all = fs::read_to_string(file(&job)).unwrap() + row;
    fs::write(file(&job), all).unwrap();
    let order = Program::new(["order".into(), job.root()]).run();
    assert!(
        order.out().contains("2 A is more than the listed 1 A"),
        "{}",
        order.out()
    );
}

#[test]
fn what_does_not_fit_together_is_refused_and_nothing_is_written() {
    let job = Job::new(PARTS);
    for (words, said) in [
        (
            &["R13", "keep"][..],
            "parts.csv has no part `R13`; did you mean R1 or R12?",
        ),
        (&["R1,L*", "keep"], "no part of parts.csv fits `L*`"),
        (&["R1", "accept"], "`accept` needs a reason"),
        (
            &["R1", "accept", "--reason", "  "],
            "`accept` needs a reason",
        ),
        (
            &["R1", "perhaps"],
            "found `perhaps`, expected keep, replace",
        ),
        (&["R1", "--reason", "x"], "DECISION"),
        (
            &["R1", "keep", "--article", "4K7"],
            "`--article` goes with replace, order and fitted",
        ),
        (&["R1", "order", "--bag", "3"], "`--bag` goes with `fitted`"),
        (
            &["R1", "order", "--article", "47nF"],
            "is a capacitor, expected a resistor",
        ),
        (
            &["R1", "order", "--article", "something"],
            "--article for R1: found `something`",
        ),
    ] {
        let refused = decide(&job, words).with_status(2).complaining(&[said]);
        assert_eq!(refused.out(), "", "{words:?}");
    }
    assert!(!file(&job).exists());
    decide(&job, &["RV1", "order", "--article", "1M carbon"])
        .with_status(0)
        .out();
}

/// The program where no file grows beyond half a KiB, or one in other shells.
fn on_a_full_disk(job: &Job, words: &[&str]) -> Finished {
    let script = "trap '' XFSZ; ulimit -f 1; exec \"$@\"";
    let mut program = Program::by_shell(script, arguments(job, words)).start();
    program.close_stdin();
    program.end()
}

#[test]
fn a_full_disk_loses_nothing_and_says_what_was_not_decided() {
    let job = Job::new(PARTS);
    let reason = "x".repeat(300);
    decide(&job, &["R1", "replace", "--reason", &reason])
        .with_status(0)
        .out();
    let before = fs::read(file(&job)).unwrap();
    let long = "y".repeat(800);
    let told = on_a_full_disk(&job, &["R2,R12", "keep", "--reason", &long])
        .with_status(1)
        .complaining(&[
            "nothing was decided about R2, R12",
            "decisions.csv`, nothing was added to it",
        ]);
    assert_eq!(told.out(), "");
    assert_eq!(told.err().matches("os error").count(), 1, "{}", told.err());
    assert_eq!(fs::read(file(&job)).unwrap(), before);
    decide(&job, &["R2", "keep"]).with_status(0).out();
    assert_eq!(decisions(&job).len(), 2);
}

#[test]
fn what_stands_in_the_way_of_the_file_is_named() {
    let job = Job::new(PARTS);
    fs::create_dir(file(&job)).unwrap();
    decide(&job, &["R1", "keep"])
        .with_status(1)
        .complaining(&["decisions.csv`"])
        .out();
    fs::remove_dir(file(&job)).unwrap();
    fs::write(file(&job), "part,what\r\nR1,keep\r\n").unwrap();
    decide(&job, &["R1", "keep"])
        .with_status(2)
        .complaining(&["decisions.csv", ":1: found no column `time`"])
        .out();
    assert_eq!(
        fs::read_to_string(file(&job)).unwrap(),
        "part,what\r\nR1,keep\r\n"
    );
}

#[test]
fn a_torn_row_is_cut_off_and_said() {
    let job = Job::new(PARTS);
    decide(&job, &["R1,R2", "replace"]).with_status(0).out();
    let text = fs::read(file(&job)).unwrap();
    fs::write(file(&job), &text[..text.len() - 5]).unwrap();
    let told = decide(&job, &["R2"]).with_status(0).out();
    assert!(told.contains("nothing decided"), "{told}");
    decide(&job, &["R12", "keep"])
        .with_status(0)
        .complaining(&["the last row of decisions.csv was torn and is cut off"])
        .out();
    assert_eq!(
        short(&job),
        expected(&[("R1", Choice::Replace, ""), ("R12", Choice::Keep, "")])
    );
}

#[test]
fn a_decide_that_is_killed_leaves_whole_rows_and_at_most_a_torn_last_one() {
    let job = Job::new(PARTS);
    for _ in 0..20 {
        let program =
            Program::new(arguments(&job, &["*", "replace", "--reason", "killed"])).start();
        program.until("no decision was written", || {
            fs::metadata(file(&job)).is_ok_and(|file| file.len() > 0)
        });
        program.signal(Signal::KILL);
        // It may have been done already.
        let mut program = program;
        program.status();
    }
    let all = decisions(&job);
    assert!(!all.is_empty() && all.iter().all(|one| one.reason == "killed"));
    let before = all.len();
    decide(&job, &["R1", "keep"]).with_status(0).out();
    assert_eq!(decisions(&job).len(), before + 1);
}

#[test]
fn a_part_is_replaced_fitted_and_closed_over_three_sittings() {
    let bench = Bench::new(Way::Terminal);
    let job = &bench.job;
    let mut sitting = bench.sit();
    let say = |sitting: &mut crate::sit::Sitting<'_>, words: &str, answer: &[&str]| {
        sitting.program.say(words);
        sitting.program.sees(answer);
    };
    say(
        &mut sitting,
        "decide keep",
        &["`decide keep`: no part was judged yet: say which one"],
    );
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.touch(ohm(301e3), &["R2 ", " FAIL "]);
    sitting.in_hand("C1");
    say(
        &mut sitting,
        "decide replace drifted, as they all do",
        &["R2 ", "decided: replace: drifted, as they all do"],
    );
    say(&mut sitting, "decide accept", &["`decide accept`: say why"]);
    say(
        &mut sitting,
        "decide X9 keep",
        &["`decide X9 keep`: this sitting has no part of that designator"],
    );
    say(
        &mut sitting,
        "decide r4 accept it hums",
        &["R4 ", "decided: accept: it hums"],
    );
    let finished = sitting.end();
    assert!(
        finished.err().contains(
            "still to do: 2 not measured yet (C1, R3); 1 to be replaced (R2)\nmore: probewright "
        ),
        "{}",
        finished.err()
    );
    let decided = expected(&[
        ("R2", Choice::Replace, "drifted, as they all do"),
        ("R4", Choice::Accept, "it hums"),
    ]);
    assert_eq!(short(job), decided);
    bench.check_recording(&finished);
    // A replay says it again and decides nothing.
    let (replayed, _) = replay(&job.recording());
    assert!(replayed.with_status(0).out().contains("decided: replace"));
    assert_eq!(short(job), decided);

    decide(job, &["R2", "fitted", "--article", "220k 1W film"])
        .with_status(0)
        .out();
    let mut arguments = bench.arguments();
    arguments.push("--todo".into());
    let mut sitting = bench.sit_as(Program::new(&arguments));
    sitting.program.say("goto R2");
    sitting.in_hand("R2");
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.program.complains("R2 fitted ");
    sitting.program.complains(", now measured: pass");
    say(
        &mut sitting,
        "goto R1",
        &["this sitting has no part of that designator"],
    );
    let finished = sitting.end();
    assert!(
        finished.out().contains("1 of 3 parts judged"),
        "{}",
        finished.out()
    );
    assert!(
        finished
            .err()
            .contains("this sitting closed: R2\nstill to do: 2 not measured yet (C1, R3)\n"),
        "{}",
        finished.err()
    );

    let mut sitting = bench.sit_as(Program::new(&arguments));
    for part in ["C1", "R3"] {
        say(
            &mut sitting,
            &format!("decide {part} keep"),
            &[part, "decided: keep"],
        );
    }
    let finished = sitting.end();
    assert!(
        finished.err().contains("nothing is left to do\n"),
        "{}",
        finished.err()
    );
    let told = Program::new(&arguments).run().with_status(0);
    assert!(told.err().contains("nothing is left to be measured"));
    assert_eq!(job.recordings().len(), 3);
}

fn audited(job: &Job) -> Finished {
    Program::new([OsStr::new("audit"), job.root().as_os_str()]).run()
}

#[test]
fn a_decision_that_cannot_be_written_is_told_and_can_be_written_from_the_recording() {
    let bench = Bench::new(Way::Terminal);
    let mut sitting = bench.sit();
    fs::create_dir(file(&bench.job)).unwrap();
    sitting.program.say("decide R1 accept it's fine");
    sitting
        .program
        .sees(&["R1 ", "NOT WRITTEN DOWN: accept: it's fine: cannot write `"]);
    sitting.program.say("decide R2 keep");
    sitting.program.sees(&["R2 ", "NOT WRITTEN DOWN: keep: "]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    fs::remove_dir(file(&bench.job)).unwrap();
    // The second is said once more, in other words, and so the first time needs no writing any more.
    sitting.program.say("decide R2 keep it will do");
    sitting.program.sees(&["R2 ", "decided: keep: it will do"]);
    sitting.program.say("end");
    let finished = sitting.program.end().with_status(1);
    let err = finished.err();
    assert!(
        err.contains("not in decisions.csv: R1 accept\nwrite it down with `probewright decide "),
        "{err}"
    );
    assert!(bench.recorded("\tdecision\tunwritten\tcannot write `"));
    assert!(!finished.out().contains("decided: accept"));
    bench.check_recording(&finished);

    let job = &bench.job;
    let told = audited(job).with_status(3).out();
    assert!(
        told.contains("FINDING: no row for `R1` accept: it's fine, said in the sitting `"),
        "{told}"
    );
    assert!(told.contains("it could not be written then"), "{told}");
    assert!(
        told.contains("remark: a decision on `R2` of the sitting `"),
        "{told}"
    );
    let sitting = bench.sit();
    sitting.program.complains(
        "decided at the bench, and not in decisions.csv: R1 accept: it's fine (sitting ",
    );
    sitting.program.complains("--recorded`");
    sitting.end().out();

    let told = decide(job, &["--recorded"]).with_status(0).out();
    assert!(
        told.contains("left out, a later decision about the part is there: R2 keep (sitting"),
        "{told}"
    );
    assert!(
        told.contains("written down: R1 accept: it's fine (sitting "),
        "{told}"
    );
    assert_eq!(
        short(job),
        expected(&[
            ("R2", Choice::Keep, "it will do"),
            ("R1", Choice::Accept, "it's fine")
        ])
    );
    let [later, earlier] = &decisions(job)[..] else {
        panic!()
    };
    assert!(earlier.time < later.time);
    audited(job).with_status(0).out();

    // A decision that was written and is gone was taken out, whatever was decided later.
    decide(job, &["R2", "replace"]).with_status(0).out();
    let text = fs::read_to_string(file(job)).unwrap();
    let kept: String = text
        .split_inclusive('\n')
        .filter(|line| !line.contains("it will do"))
        .collect();
    fs::write(file(job), kept).unwrap();
    let told = audited(job).with_status(3).out();
    assert!(
        told.contains("it was written, so the row was edited or taken out"),
        "{told}"
    );
}

#[test]
fn a_sitting_that_is_killed_while_it_writes_a_decision_has_not_said_that_it_is_decided() {
    let bench = Bench::new(Way::Terminal);
    let sitting = bench.sit();
    let mut program = sitting.program;
    // A pipe with nobody at its other end: whoever wants to know what is in it waits.
    rustix::fs::mkfifoat(rustix::fs::CWD, file(&bench.job), rustix::fs::Mode::RWXU).unwrap();
    program.say("decide R1 replace");
    program.until("the command was not recorded", || {
        bench.recorded("\tcommand\tdecide R1 replace\t")
    });
    program.signal(Signal::KILL);
    let killed = program.end();
    assert!(!killed.out().contains("decided"), "{}", killed.out());
    fs::remove_file(file(&bench.job)).unwrap();
    let told = audited(&bench.job).with_status(3).out();
    assert!(
        told.contains("FINDING: no row for `R1` replace, said in the sitting `"),
        "{told}"
    );
    assert!(
        told.contains("the sitting was stopped before it was written"),
        "{told}"
    );
    let sitting = bench.sit();
    sitting
        .program
        .complains("decided at the bench, and not in decisions.csv: R1 replace (sitting ");
    sitting.end().out();
    decide(&bench.job, &["--recorded"]).with_status(0).out();
    assert_eq!(short(&bench.job), expected(&[("R1", Choice::Replace, "")]));
    let told = decide(&bench.job, &["--recorded"]).with_status(0).out();
    assert_eq!(told, "decisions.csv has every decision of the recordings\n");
}

#[test]
fn what_was_said_to_be_decided_is_written_however_soon_the_sitting_is_killed() {
    let bench = Bench::new(Way::Socket);
    for round in 1..=10 {
        let mut program = bench.sit().program;
        program.say(format!("decide R1 keep round {round}"));
        program.sees(&["R1 ", "decided: keep: round "]);
        program.signal(Signal::KILL);
        let _ = program.end();
        assert_eq!(decisions(&bench.job).len(), round);
    }
}

#[test]
fn who_watches_from_another_terminal_decides_too() {
    let bench = Bench::new(Way::Terminal);
    let mut sitting = serve(&bench);
    let mut viewer = attach(&bench, &["--plain"]).start();
    viewer.sees(&["  R1       resistor 4.7 kΩ"]);
    viewer.say("decide R2 replace heard from afar");
    viewer.sees(&["R2 ", "decided: replace: heard from afar"]);
    sitting
        .program
        .sees(&["R2 ", "decided: replace: heard from afar"]);
    sitting.end().out();
    assert_eq!(
        short(&bench.job),
        expected(&[("R2", Choice::Replace, "heard from afar")])
    );
}

#[test]
fn a_file_that_is_not_utf_8_is_read_and_not_added_to() {
    let job = Job::new(PARTS);
    let text = b"time,ref,decision,reason,article,bag\r\n2056-11-03T19:25:30+01:00,R1,keep,gr\xf6\xdfer,,\r\n";
    fs::write(file(&job), text).unwrap();
    let history = decide(&job, &["R1"]).with_status(0);
    assert!(history.out().contains("keep: größer"), "{}", history.out());
    decide(&job, &["R1", "replace"])
        .with_status(2)
        .complaining(&[
            "decisions.csv:1: found a table that a spreadsheet has saved",
            "UTF-8",
        ])
        .out();
    assert_eq!(fs::read(file(&job)).unwrap(), text);
}
