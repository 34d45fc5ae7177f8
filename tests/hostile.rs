//! Texts that no well-meaning person writes into a file or says: cells of any length, and signs that command a terminal.

use std::ffi::{OsStr, OsString};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use crate::program::{Finished, Job, Program};
use crate::sit::{Bench, Way, ohm};

/// Commands on a job, with the archive that the last but one makes beside it.
const COMMANDS: [&[&str]; 19] = [
    &["parts", "check", "JOB"],
    &["JOB"],
    &["JOB", "--json"],
    &["decide", "JOB", "*"],
    &["decide", "JOB", "R1", "keep"],
    &["decide", "JOB", "--recorded"],
    &["order", "JOB"],
    &["substitute", "JOB", "C1"],
    &["report", "JOB", "--format", "csv", "--output", "-"],
    &["report", "JOB", "--format", "json", "--output", "-"],
    &["compare", "JOB"],
    &["network", "JOB"],
    &["network", "JOB", "plan"],
    &["why", "JOB", "R1"],
    &["batch", "JOB"],
    &["audit", "JOB"],
    &["replay", "RECORDING"],
    &["archive", "JOB", "--database", "ARCHIVE", "--force"],
    &[
        "archive",
        "JOB",
        "--database",
        "ARCHIVE",
        "--query",
        "select * from part",
    ],
];

/// Everything that a job could hold, from a real sitting.
fn measured() -> Job {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.program.say("redo");
    sitting.in_hand("R1");
    sitting.touch(ohm(4730.0), &["R1 ", " PASS ", "attempt 2"]);
    sitting.program.say("decide R1 replace because");
    sitting.program.sees(&["decided: replace"]);
    sitting.end().out();
    let Bench { job, .. } = bench;
    fs::copy(job.results(), job.root().join("incoming.csv")).unwrap();
    job
}

/// With that in the place of words of the lists and files.
fn spoilt(job: &Job, text: &str) {
    let root = job.root();
    for (file, word) in [
        ("parts.csv", "detector"),
        ("results.csv", "resistor"),
        ("results.csv", "inside its band"),
        ("incoming.csv", "4K7"),
        ("decisions.csv", "because"),
    ] {
        let path = root.join(file);
        let before = fs::read_to_string(&path).unwrap();
        assert!(before.contains(word), "{file}: {before}");
        fs::write(&path, before.replacen(word, text, 1)).unwrap();
    }
    // TOML has such signs as their numbers.
    let mut title = String::new();
    for sign in text.chars() {
        write!(title, "\\u{:04x}", u32::from(sign)).unwrap();
    }
    fs::write(root.join("job.toml"), format!("title = \"{title}\"\n")).unwrap();
}

fn run(job: &Job, words: &[&str]) -> Finished {
    let recording = job.recording();
    let words = words.iter().map(|word| match *word {
        "JOB" => job.root().into_os_string(),
        "RECORDING" => recording.clone().into_os_string(),
        "ARCHIVE" => job.beside("archive.sqlite").into_os_string(),
        word => OsString::from(word),
    });
    Program::new(words).run()
}

/// The file of a job with that text in it, for every command, and what each printed.
fn each_command(text: &str, mut look: impl FnMut(&[&str], &Finished)) {
    let job = measured();
    spoilt(&job, text);
    for words in COMMANDS {
        look(words, &run(&job, words));
    }
    // A cell that cannot be read is told as it is found.
    let parts = job.root().join("parts.csv");
    for cells in [
        "R1,TEXT,4K7,10%",
        "R1,resistor,TEXT,10%",
        "TEXT,resistor,4K7,TEXT",
    ] {
        let list = format!("ref,kind,value,tolerance\n{cells}\n");
        fs::write(&parts, list.replace("TEXT", text)).unwrap();
        for words in &COMMANDS[..10] {
            look(words, &run(&job, words));
        }
    }
    fs::write(
        job.root().join("job.toml"),
        format!("title = \"x\" {text} = 3\n"),
    )
    .unwrap();
    look(COMMANDS[1], &run(&job, COMMANDS[1]));
}

/// It came to an end of its own, and nothing that it printed commands a terminal.
fn is_harmless(words: &[&str], finished: &Finished) {
    let said = finished.err();
    assert!(
        finished.code().is_some_and(|code| code <= 3),
        "{words:?}: {said}"
    );
    for printed in [&finished.out(), said] {
        let commands = |sign: char| sign.is_control() && !matches!(sign, '\n' | '\t' | '\r');
        assert!(!printed.contains(commands), "{words:?}: {printed:?}");
        assert!(
            !printed.replace("\r\n", "").contains('\r'),
            "{words:?}: {printed:?}"
        );
        assert!(!printed.contains("panicked"), "{words:?}: {printed}");
    }
}

#[test]
fn a_cell_of_any_length_ends_no_command() {
    each_command(&"x".repeat(70_000), is_harmless);
}

#[test]
fn no_text_of_a_file_commands_the_terminal() {
    let mut told = 0;
    each_command(
        "\u{1b}]0;a title\u{7}\u{9b}31m\u{8}\u{7f}",
        |words, finished| {
            is_harmless(words, finished);
            told += usize::from((finished.out() + finished.err()).contains('\u{fffd}'));
        },
    );
    assert!(told > 30, "{told}");
}

#[test]
fn what_a_person_says_commands_no_terminal() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.program.say("note \u{1b}[2J\u{9b}1m\u{7}gone");
    sitting
        .program
        .sees(&["note: \u{fffd}[2J\u{fffd}1m\u{fffd}gone"]);
    sitting.program.say("goto \u{1b}c");
    sitting.program.sees(&["`goto \u{fffd}c`"]);
    sitting.program.say("\u{1b}c");
    sitting.program.complains("unknown command `\u{fffd}c`");
    let finished = sitting.end();
    is_harmless(&["sit"], &finished);
    assert!(bench.recorded("note \\x1b[2J"));
    let replayed = Program::new([OsStr::new("replay"), bench.job.recording().as_os_str()]).run();
    is_harmless(&["replay"], &replayed);
    assert!(replayed.with_status(0).out().contains("\u{fffd}[2J"));
    is_harmless(&["usage"], &Program::new(["--\u{1b}[2J"]).run());
    is_harmless(&["job"], &Program::new(["decide", "\u{1b}[2J", "R1"]).run());
    assert!(!Path::new("\u{1b}[2J").exists());
}

#[test]
fn bytes_that_are_no_text_end_every_command_that_reads_them_with_status_2() {
    let job = measured();
    let beside = |name: &str| job.beside(name).into_os_string().into_string().unwrap();
    let stock = beside("stock.csv");
    let profile = beside("profile.toml");
    let of_job: [(&str, &[&[&str]]); 9] = [
        (
            "parts.csv",
            &[&["JOB"], &["parts", "check", "JOB"], &["order", "JOB"]],
        ),
        (
            "job.toml",
            &[
                &["JOB"],
                &["parts", "check", "JOB"],
                &["decide", "JOB", "R1"],
                &["compare", "JOB"],
            ],
        ),
        (
            "policy.toml",
            &[&["sit", "JOB", "--meter", "scpi-multimeter@x"]],
        ),
        (
            "loss.toml",
            &[&["sit", "JOB", "--meter", "scpi-multimeter@x"]],
        ),
        (
            "results.csv",
            &[&["JOB"], &["compare", "JOB"], &["report", "JOB"]],
        ),
        (
            "decisions.csv",
            &[&["JOB"], &["decide", "JOB", "R1", "keep"]],
        ),
        ("incoming.csv", &[&["batch", "JOB"]]),
        ("goods.toml", &[&["substitute", "JOB", "C1"]]),
        (
            "sittings",
            &[&["replay", "RECORDING"], &["audit", "RECORDING"]],
        ),
    ];
    let elsewhere: [(&str, &[&str]); 3] = [
        (&stock, &["order", "JOB", "--stock", &stock]),
        (&profile, &["meter", "check", &profile]),
        (
            &profile,
            &["sit", "JOB", "--meter", &format!("{profile}@x")],
        ),
    ];
    let rubbish = b"\xff\xfe\x00no text\x80\r\n\xc3(";
    for (file, commands) in of_job {
        let path = match file {
            "sittings" => job.recording(),
            file => job.root().join(file),
        };
        let before = fs::read(&path).ok();
        fs::write(&path, rubbish).unwrap();
        for words in commands {
            let finished = run(&job, words);
            assert_eq!(
                finished.code(),
                Some(2),
                "{file} {words:?}: {}",
                finished.err()
            );
        }
        match before {
            Some(before) => fs::write(&path, before).unwrap(),
            None => fs::remove_file(&path).unwrap(),
        }
    }
    for (file, words) in elsewhere {
        fs::write(file, rubbish).unwrap();
        let finished = run(&job, words);
        assert_eq!(finished.code(), Some(2), "{words:?}: {}", finished.err());
    }
    for words in [
        &["sit", "JOB", "--meter", "none@x"],
        &["meter", "try", "scpi-multimeter@x", "--function", "smell"][..],
    ] {
        assert_eq!(run(&job, words).code(), Some(2), "{words:?}");
    }
}

#[test]
fn a_full_disk_is_status_1_and_leaves_nothing_behind() {
    let job = measured();
    let made = job.beside("made");
    fs::create_dir(&made).unwrap();
    let at = |name: &str| made.join(name).into_os_string().into_string().unwrap();
    let (file, deep) = (at("file"), at("a/b/job"));
    let root = job.root().into_os_string().into_string().unwrap();
    let recording = job.recording().into_os_string().into_string().unwrap();
    let before = fs::read(job.root().join("decisions.csv")).unwrap();
    for words in [
        &["new", &deep][..],
        &["order", &root, "--csv", &file],
        &["order", &root, "--page", &file],
        &["report", &root, "--output", &file],
        &["report", &root, "--format", "csv", "--output", &file],
        &["replay", &recording, "--csv", &file],
        &["replay", &root, "--csv", &file],
        &["archive", &root, "--database", &file],
        &["decide", &root, "R2", "keep"],
        &["tables", &root],
    ] {
        let script = "trap '' XFSZ; ulimit -f 0; exec \"$@\"";
        let finished = Program::by_shell(script, words).run();
        assert_eq!(finished.code(), Some(1), "{words:?}: {}", finished.err());
        let left: Vec<_> = fs::read_dir(&made).unwrap().collect();
        assert!(left.is_empty(), "{words:?}: {left:?}");
    }
    assert_eq!(fs::read(job.root().join("decisions.csv")).unwrap(), before);
}

#[test]
fn a_dash_is_standard_output_and_nothing_else_goes_there() {
    let job = measured();
    let recording = job.recording().into_os_string().into_string().unwrap();
    let header = |text: &str| text.lines().next().unwrap_or_default().to_owned();
    let csv = |words: &[&str]| run(&job, words).with_status(0).out();
    let results = fs::read_to_string(job.results()).unwrap();
    assert_eq!(csv(&["replay", &recording, "--csv", "-"]), results);
    assert_eq!(csv(&["replay", "JOB", "--csv", "-"]), results);
    assert!(header(&csv(&["order", "JOB", "--csv", "-"])).contains(','));
    assert!(csv(&["order", "JOB", "--page", "-"]).starts_with("<!DOCTYPE html>"));
    assert!(!Path::new("-").exists());
    // Whole or not at all, and nobody's place is taken.
    let there = job.beside("there.csv");
    fs::write(&there, "mine").unwrap();
    let words = ["replay", &recording, "--csv", there.to_str().unwrap()];
    run(&job, &words)
        .with_status(2)
        .complaining(&["exists already"])
        .out();
    assert_eq!(fs::read_to_string(&there).unwrap(), "mine");
}
