//! The glance: where a job stands, by its folder alone.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::program::{Finished, Job, Program, measured, results};

const PARTS: &str = "\
ref,kind,value,tolerance,also,role,rating,material
R1,resistor,4K7,10%,,,,
R2,resistor,220k,10%,,,,
R3,resistor,1k,10%,,,,
R4,resistor,1k,10%,,,,
R5,resistor,1k,10%,,,,
R6,resistor,1k,10%,,,,
C1,capacitor,47nF,20%,leakage,detector,400V,paper
";

/// A row of the results: designator, value, uncertainty and nominal value in ohm or farad, verdict.
fn row(part: &str, step: &str, quantity: &str, figures: [&str; 3], verdict: &str) -> String {
    measured(&[
        ("ref", part),
        ("step", step),
        ("quantity", quantity),
        ("value", figures[0]),
        ("uncertainty", figures[1]),
        ("nominal", figures[2]),
        ("lower", figures[2]),
        ("upper", ""),
        ("verdict", verdict),
        ("reason", "as it is"),
        ("readings", "1"),
    ])
}

/// A job in the middle of its weeks.
fn half_done() -> Job {
    let job = Job::new(PARTS);
    let rows = [
        row("R1", "value", "resistance", ["5311", "6", "4700"], "fail"),
        row(
            "R2",
            "value",
            "resistance",
            ["221000", "100", "220000"],
            "pass",
        ),
        row("R3", "value", "resistance", ["1300", "1", "1000"], "fail"),
        row("R9", "value", "resistance", ["1300", "1", "1000"], "fail"),
        row(
            "C1",
            "value",
            "capacitance",
            ["4.9e-8", "1e-10", "4.7e-8"],
            "pass",
        ),
    ];
    fs::write(job.results(), results(&rows)).unwrap();
    let decisions = "time,ref,decision,reason,article,bag\r\n\
        2056-11-01T20:00:00+01:00,R2,keep,,,\r\n\
        2056-11-04T20:00:00+01:00,R3,order,drifted,1k 1W film,\r\n\
        2056-11-04T20:00:00+01:00,R8,replace,,,\r\n\
        2056-11-04T20:00:00+01:00,R9,replace,,,\r\n";
    fs::write(job.root().join("decisions.csv"), decisions).unwrap();
    job
}

fn glance(job: &Job, more: &[&str]) -> Finished {
    let root = job.root().display().to_string();
    Program::new([root.as_str()].iter().chain(more)).run()
}

/// The program with these words, in that folder.
fn in_folder(folder: &Path, words: &[&str]) -> Finished {
    let folder = folder.display().to_string();
    let script = format!("cd '{folder}' && exec \"$@\"");
    let mut program = Program::by_shell(&script, words).start();
    program.close_stdin();
    program.end()
}

#[test]
fn a_new_job_reads_well() {
    let job = Job::new(PARTS);
    let root = job.root().display().to_string();
    assert_eq!(
        glance(&job, &[]).with_status(0).out(),
        format!(
            "a test\n\
             7 parts: 7 to do\n\
             no sitting yet\n\
             \n\
             not measured yet: 7\n\
             \x20 R1-R6, C1\n\
             \n\
             next\n\
             \x20 probewright sit {root}  # measure it\n"
        )
    );
}

#[test]
fn what_is_open_stands_in_groups_with_what_to_type_next() {
    let job = half_done();
    let root = job.root().display().to_string();
    let told = glance(&job, &[]).with_status(0).out();
    let (head, next) = told.split_once("\nnext\n").unwrap();
    assert_eq!(
        head,
        "a test\n\
         7 parts: 1 kept; 6 to do\n\
         no sitting yet\n\
         \n\
         not good, to be decided: 1\n\
         \x20 R1  fail  5.311 kΩ ± 0.012 kΩ  3 Nov 2056  +13.0 % of 4.7 kΩ\n\
         \n\
         not measured yet: 4\n\
         \x20 R4-R6\n\
         \x20 C1: leakage\n\
         \n\
         on order: 1\n\
         \x20 R3  since 4 Nov 2056  1k 1W film: drifted\n\
         \n\
         to be looked at\n\
         \x20 decisions.csv and results.csv name R9, which parts.csv does not have: renamed\n\
         \x20 or removed?\n\
         \x20 decisions.csv names R8, which parts.csv does not have: renamed or removed?\n"
    );
    assert!(next.starts_with(&format!("  cd {root}\n")), "{next}");
    for command in [
        "sit . --todo ",
        "decide . R1 replace ",
        "decide . R3 fitted ",
    ] {
        assert!(next.contains(&format!("  probewright {command}")), "{next}");
    }
}

#[test]
fn what_was_kept_and_measures_worse_since_is_told() {
    let job = Job::new(PARTS);
    let before = row(
        "R2",
        "value",
        "resistance",
        ["221000", "100", "220000"],
        "pass",
    );
    let since = row(
        "R2",
        "value",
        "resistance",
        ["290000", "100", "220000"],
        "fail",
    );
    let since = since.replace("2056-11-03", "2056-11-09");
    fs::write(job.results(), results(&[before, since])).unwrap();
    let decisions =
        "time,ref,decision,reason,article,bag\r\n2056-11-05T20:00:00+01:00,r2,keep,,,\r\n";
    fs::write(job.root().join("decisions.csv"), decisions).unwrap();
    let told = glance(&job, &[]).with_status(0).out();
    let words = "R2 is kept since 5 Nov 2056, but measures worse now: fail 290.00 kΩ ±";
    assert!(told.contains(words), "{told}");
}

#[test]
fn the_folder_of_a_job_needs_no_word_at_all() {
    let job = half_done();
    let told = in_folder(&job.root(), &[]).with_status(0).out();
    assert!(told.starts_with("a test\n7 parts: "), "{told}");
    assert!(
        told.contains("\nnext\n  probewright sit . --todo"),
        "{told}"
    );
    // A folder that is called as a command is.
    let demo = job.beside("demo");
    fs::rename(job.root(), &demo).unwrap();
    let told = in_folder(demo.parent().unwrap(), &["./demo"])
        .with_status(0)
        .out();
    let next = "  cd ./demo\n  probewright sit . --todo";
    assert!(told.contains(next), "{told}");
    // Without a title it is called as its folder.
    fs::write(demo.join("job.toml"), "").unwrap();
    let told = in_folder(&demo, &["."]).with_status(0).out();
    assert!(told.starts_with("demo\n7 parts: "), "{told}");
}

#[test]
fn elsewhere_there_is_help_and_a_wrong_word_gets_a_suggestion() {
    let folder = tempfile::tempdir().unwrap();
    let help = in_folder(folder.path(), &[]).with_status(2);
    assert!(
        help.err().contains("Usage: probewright <COMMAND>"),
        "{}",
        help.err()
    );
    in_folder(folder.path(), &["whi"])
        .with_status(2)
        .complaining(&["unrecognized subcommand 'whi'", "'why'"])
        .out();
    fs::create_dir(folder.path().join("whi")).unwrap();
    in_folder(folder.path(), &["whi"])
        .with_status(2)
        .complaining(&["`whi` is no job: it has no job.toml"])
        .out();
}

#[test]
fn a_script_gets_the_same_as_json() {
    let job = half_done();
    let json = glance(&job, &["--json"]).with_status(0).out();
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["version"], 2);
    assert_eq!(json["parts"].as_array().unwrap().len(), 7);
    let first = &json["parts"][0];
    assert_eq!(first["standing"], "not good, to be decided");
    assert_eq!(first["to_do"], true);
    assert_eq!(first["measured"]["value"], 5311.0);
    // The standard uncertainty, as the row has it; the words hold U = 2 u.
    assert_eq!(first["measured"]["uncertainty"], 6.0);
    assert_eq!(json["parts"][2]["decision"]["article"], "1k 1W film");
    assert_eq!(json["parts"][6]["missing"], serde_json::json!(["leakage"]));
    assert_eq!(json["decided_strangers"], serde_json::json!(["R8", "R9"]));
    // Every field is described.
    let manual = include_str!("../src/cli/manual/json.md");
    let of = |object: &Value| {
        object
            .as_object()
            .unwrap()
            .keys()
            .cloned()
            .collect::<Vec<_>>()
    };
    let third = &json["parts"][2];
    for field in [
        of(&json),
        of(first),
        of(&first["measured"]),
        of(&third["decision"]),
    ]
    .concat()
    {
        assert!(manual.contains(&format!("`{field}`")), "{field}");
    }
    // And what is described is there.
    let (tables, _) = manual.split_once("## The report as JSON").unwrap();
    let rows = tables.lines().filter_map(|row| row.strip_prefix("| `"));
    let cells = rows.filter_map(|row| row.split(" | ").next());
    let named = cells.flat_map(|cell| {
        cell.split(", ")
            .map(|name| name.trim_matches('`').to_owned())
    });
    let fields = [of(&json), of(first)].concat();
    assert!(named.clone().count() > 12);
    for name in named {
        assert!(fields.contains(&name), "{name}");
    }
}

#[test]
fn a_file_that_cannot_be_read_is_named() {
    let job = half_done();
    let mut text = fs::read_to_string(job.results()).unwrap();
    text.push_str(&row("R1", "value", "resistance", ["x", "1", "1"], "pass"));
    fs::write(job.results(), text).unwrap();
    glance(&job, &[])
        .with_status(2)
        .complaining(&["results.csv:7:read: found `x`, expected a number"])
        .out();
}
