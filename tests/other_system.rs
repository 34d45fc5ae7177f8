//! The program for Windows under Wine: what one system made, the other reads to the same bytes; and a sitting over a COM port.
//!
//! `.ci/other-systems` builds it; without `PROBEWRIGHT_WINDOWS` these tests say that they are skipped.
#![allow(clippy::print_stderr, reason = "a test that is skipped says so")]

use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use probewright::face::bench::simulator::Component;

use crate::program::{Finished, Job, Program, Row, Started, at, files_in, replay};
use crate::sit::{Bench, Way, ohm};

/// The program for Windows.
struct Windows(PathBuf);

impl Windows {
    /// Where it was built; otherwise it is said that the test is skipped.
    fn find() -> Option<Self> {
        let program = std::env::var_os("PROBEWRIGHT_WINDOWS").map(Self::at);
        if program.is_none() {
            eprintln!("skipped: no program for Windows (.ci/other-systems makes it)");
        }
        program
    }

    fn at(path: OsString) -> Self {
        let path = PathBuf::from(path);
        assert!(path.is_file(), "{}", path.display());
        Self(path)
    }

    fn prefix(&self) -> PathBuf {
        self.0.with_file_name("prefix")
    }

    /// The program with these arguments; a path of this system is one of Wine's drive for it.
    fn program<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Program {
        let mut words = vec![self.0.clone().into_os_string()];
        words.extend(
            arguments
                .into_iter()
                .map(|argument| argument.as_ref().to_owned()),
        );
        Program::by("wine", words)
            .with("WINEPREFIX", self.prefix())
            .with("WINEDEBUG", "-all")
            .with(
                "WINEDLLOVERRIDES",
                "bcryptprimitives=n;winemenubuilder.exe=d",
            )
    }

    fn run<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Finished {
        self.program(arguments).run()
    }
}

fn own(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Every recording that is kept.
fn recordings() -> Vec<PathBuf> {
    ["recordings", "tests/versions"]
        .iter()
        .flat_map(|folder| fs::read_dir(own(folder)).unwrap())
        .flat_map(|job| files_in(&job.unwrap().path().join("sittings"), "rec"))
        .collect()
}

fn copy_of(job: &str) -> Job {
    let from = own(job);
    let copy = Job::new(&fs::read_to_string(from.join("parts.csv")).unwrap());
    fs::copy(from.join("job.toml"), copy.root().join("job.toml")).unwrap();
    fs::copy(from.join("results.csv"), copy.results()).unwrap();
    fs::create_dir_all(copy.root().join("sittings")).unwrap();
    for recording in files_in(&from.join("sittings"), "rec") {
        let name = recording.file_name().unwrap().to_owned();
        fs::copy(&recording, copy.root().join("sittings").join(name)).unwrap();
    }
    copy
}

#[test]
fn every_recording_replays_to_the_same_bytes_on_windows() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let recordings = recordings();
    assert!(recordings.len() >= 5, "{recordings:?}");
    for (number, recording) in recordings.iter().enumerate() {
        let (here, rows) = replay(recording);
        let csv = folder.path().join(format!("{number}.csv"));
        let there = windows.run([
            OsStr::new("replay"),
            recording.as_os_str(),
            OsStr::new("--csv"),
            csv.as_os_str(),
        ]);
        assert_eq!(
            there.with_status(0).out(),
            here.with_status(0).out(),
            "{recording:?}"
        );
        assert!(fs::read(&csv).unwrap() == rows, "{recording:?}");
    }
}

#[test]
fn a_job_of_one_system_is_audited_and_archived_on_the_other() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let job = copy_of("recordings/cinema-multimeter");
    let root = job.root();
    let here = Program::new([OsStr::new("audit"), root.as_os_str()]).run();
    let there = windows.run([OsStr::new("audit"), root.as_os_str()]);
    let words = |finished: &Finished| finished.out().replace('\\', "/").replace("Z:", "");
    assert_eq!(words(&there), words(&here));
    let _ = there.with_status(0);
    let question = "select ref, value, verdict from measurement order by place";
    let answer = |program: &dyn Fn(&[&OsStr]) -> Finished, name: &str| {
        let to = root.with_file_name(name);
        let made = [
            OsStr::new("archive"),
            root.parent().unwrap().as_os_str(),
            OsStr::new("--database"),
            to.as_os_str(),
        ];
        let _ = program(&made).with_status(0);
        let asked = [
            OsStr::new("archive"),
            root.parent().unwrap().as_os_str(),
            OsStr::new("--query"),
            OsStr::new(question),
            OsStr::new("--database"),
            to.as_os_str(),
        ];
        program(&asked).with_status(0).out()
    };
    let of_windows = answer(&|words| windows.run(words), "there.sqlite");
    assert_eq!(
        of_windows,
        answer(&|words| Program::new(words).run(), "here.sqlite")
    );
    assert!(of_windows.contains("R13"), "{of_windows}");
}

#[test]
fn a_decision_on_windows_cuts_off_a_torn_row() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let job = copy_of("recordings/cinema-multimeter");
    let root = job.root();
    let decide = |words: &[&str]| {
        let mut all = vec![OsStr::new("decide"), root.as_os_str()];
        all.extend(words.iter().map(OsStr::new));
        windows.run(all).with_status(0)
    };
    let _ = decide(&["R13", "replace", "--reason", "drifted"]);
    let decisions = root.join("decisions.csv");
    let whole = fs::read(&decisions).unwrap();
    fs::write(&decisions, [&whole[..], b"2056-11-03T19:2"].concat()).unwrap();
    let said = decide(&["R3", "replace", "--reason", "open"]);
    assert!(said.err().contains("torn"), "{}", said.err());
    let text = fs::read_to_string(&decisions).unwrap();
    assert!(
        text.as_bytes().starts_with(&whole) && text.lines().count() == 3,
        "{text}"
    );
}

/// A pseudo-terminal as a COM port of Wine.
fn as_com_port(windows: &Windows, bench: &Bench) -> &'static str {
    let link = windows.prefix().join("dosdevices/com9");
    let _ = fs::remove_file(&link);
    std::os::unix::fs::symlink(fs::canonicalize(bench.meter.path().unwrap()).unwrap(), link)
        .unwrap();
    "COM9"
}

fn sees_and_lifts(bench: &Bench, program: &mut Started, component: Component, words: &[&str]) {
    bench.probes.place(component, Duration::from_millis(40));
    program.sees(words);
    bench.probes.lift();
}

#[test]
fn a_sitting_on_windows_goes_over_a_com_port_and_replays_here_to_the_same_bytes() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let bench = Bench::new(Way::Terminal);
    let port = as_com_port(&windows, &bench);
    let root = bench.job.root();
    let mut program = windows
        .program([
            OsStr::new("sit"),
            root.as_os_str(),
            OsStr::new("--meter"),
            &at("scpi-multimeter", port),
        ])
        .start();
    program.sees(&["meter: Probewright,Simulated Meter"]);
    sees_and_lifts(&bench, &mut program, ohm(4712.0), &["R1 ", " PASS "]);
    program.sees(&["  R2 "]);
    sees_and_lifts(&bench, &mut program, ohm(301e3), &["R2 ", " FAIL "]);
    program.sees(&["  C1 "]);
    sees_and_lifts(
        &bench,
        &mut program,
        Component::capacitor(50e-9),
        &["C1 ", " PASS "],
    );
    program.sees(&["  R3 "]);
    program.say("end");
    let _ = program.end().with_status(0);
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
    assert_eq!(
        short,
        [
            ("R1", "1", "pass"),
            ("R2", "1", "fail"),
            ("C1", "1", "pass")
        ]
    );
    let (replayed, csv) = replay(&bench.job.recording());
    let _ = replayed.with_status(0);
    assert_eq!(csv, fs::read(bench.job.results()).unwrap());
}
