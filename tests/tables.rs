//! A job's own tables of limits: written for editing, used by its sittings, kept in their recordings.

use std::fs;
use std::time::Duration;

use probewright::face::bench::simulator::{
    BenchClock, Component, Options, RangeChange, Scale, Serve,
};

use crate::bench;
use crate::program::{Job, Program, replay};

/// A paper capacitor out of circuit; in service its loss may be up to 0.03 at 1 kHz by the table that comes with the program.
const PARTS: &str =
    "ref,kind,value,tolerance,rating,material,role\nC1,capacitor,100nF,20%,400V,paper,detector\n";

/// Has the tables written into the job.
fn write_tables(job: &Job) -> String {
    let root = job.root();
    Program::new(["tables", root.to_str().unwrap()])
        .run()
        .with_status(0)
        .out()
}

/// Gives paper in service another limit.
fn change_limit(job: &Job, limit: &str) {
    let path = job.root().join("loss.toml");
    let text = fs::read_to_string(&path).unwrap();
    let row = text
        .find("source = \"common practice, no source: suspect above 0.02 to 0.03")
        .unwrap();
    let from = text[..row].rfind("tan_delta = ").unwrap();
    let changed = format!("{}tan_delta = {limit}\n{}", &text[..from], &text[row..]);
    fs::write(&path, changed).unwrap();
}

/// A sitting in which the capacitor reads 100 nF with a loss of 0.02.
fn sit(job: &Job) -> String {
    let options = Options {
        serve: Serve::Tcp,
        readings_per_second: 50.0,
        range_change: RangeChange::Silent,
        capacitance: Scale::new(100e-12, 9, 10_000),
        noise_counts: 0.3,
        with_loss: true,
        with_status: true,
        ..Options::default()
    };
    let (probes, meter) = bench::start(BenchClock::real_time(), options);
    let root = job.root();
    let at = format!("scpi-lcr-meter@{}", meter.address());
    let arguments = ["sit", root.to_str().unwrap(), "--meter", &at];
    let mut program = Program::new(arguments).start();
    program.sees(&["meter: Probewright,Simulated Meter"]);
    let capacitor = Component::capacitor(100e-9).with_loss(0.02);
    probes.place(capacitor, Duration::from_millis(40));
    program.sees(&["C1 ", "inside its band"]);
    probes.lift();
    program.sees(&["every part of the list was taken in hand"]);
    program.say("end");
    program.end().with_status(0).out()
}

#[test]
fn a_changed_limit_changes_the_verdict_and_a_replay_keeps_to_the_limit_of_its_time() {
    let job = Job::new(PARTS);
    write_tables(&job);
    let shipped = sit(&job);
    assert!(shipped.contains(" PASS "), "{shipped}");
    fs::remove_file(job.recording()).unwrap();
    fs::remove_file(job.results()).unwrap();

    change_limit(&job, "0.01");
    let strict = sit(&job);
    assert!(strict.contains(" FAIL "), "{strict}");
    let results = fs::read(job.results()).unwrap();

    change_limit(&job, "0.5");
    let (replayed, rows) = replay(&job.recording());
    let replayed = replayed.with_status(0).out();
    assert!(strict.ends_with(&replayed), "{strict}\n{replayed}");
    assert_eq!(rows, results);
    let why = Program::new(["why", job.root().to_str().unwrap(), "C1"]);
    let why = why.run().with_status(0).out();
    assert!(
        why.contains("0.01") && why.contains("suspect above 0.02 to 0.03"),
        "{why}"
    );
}

#[test]
fn tables_are_written_for_editing_and_never_overwritten() {
    let job = Job::new(PARTS);
    let file = |name: &str| job.root().join(name);
    fs::write(file("leakage.toml"), "# mine\n").unwrap();
    let said = write_tables(&job);
    assert!(
        said.contains("made ") && said.contains("loss.toml"),
        "{said}"
    );
    assert!(said.contains("leakage.toml as it is"), "{said}");
    assert_eq!(
        fs::read_to_string(file("leakage.toml")).unwrap(),
        "# mine\n"
    );
    for name in ["loss.toml", "insulation.toml"] {
        let text = fs::read_to_string(file(name)).unwrap();
        assert!(
            text.starts_with('#') && text.contains("source = "),
            "{name}"
        );
    }
}

#[test]
fn a_row_without_a_source_stops_a_sitting_with_file_line_and_key() {
    let job = Job::new(PARTS);
    write_tables(&job);
    let path = job.root().join("insulation.toml");
    let text = fs::read_to_string(&path).unwrap();
    let place = text.find("source = \"unverified: moulded mica").unwrap();
    let end = place + text[place..].find('\n').unwrap();
    let line = 1 + text[..place].matches('\n').count();
    fs::write(
        &path,
        format!("{}source = \"\"{}", &text[..place], &text[end..]),
    )
    .unwrap();
    let root = job.root();
    let at = "scpi-lcr-meter@tcp:localhost:1";
    let arguments = ["sit", root.to_str().unwrap(), "--meter", at];
    let expected = format!("insulation.toml:{line}:");
    let _ = Program::new(arguments)
        .run()
        .with_status(2)
        .complaining(&[expected.as_str(), "found source = ``, expected a text"]);
    assert!(job.recordings().is_empty());
}

#[test]
fn a_folder_that_is_no_job_gets_no_tables() {
    let folder = tempfile::tempdir().unwrap();
    let _ = Program::new(["tables", folder.path().to_str().unwrap()])
        .run()
        .with_status(2)
        .complaining(&["is no job"]);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}
