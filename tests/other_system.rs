//! The program for Windows under Wine: what one system made, the other reads to the same bytes; and a sitting over a COM port.
//!
//! `.ci/other-systems` builds it; without `PROBEWRIGHT_WINDOWS` these tests say that they are skipped.
#![allow(clippy::print_stderr, reason = "a test that is skipped says so")]

use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use probewright::face::bench::simulator::{Component, Fault};
use rustix::process::Signal;

use crate::program::{Finished, Job, Program, Row, at, files_in, replay};
use crate::sit::{Bench, Sitting, Way, held, ohm};

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

/// Wine's one COM port that no port of the machine has.
static COM9: Mutex<()> = Mutex::new(());

/// A bench whose pseudo-terminal is COM9; nobody else's meanwhile.
struct Com9<'a> {
    windows: &'a Windows,
    bench: Bench,
    _alone: MutexGuard<'static, ()>,
}

impl<'a> Com9<'a> {
    fn of(windows: &'a Windows) -> Self {
        // A test that failed leaves nothing behind that the next one would mind.
        let alone = COM9.lock().unwrap_or_else(PoisonError::into_inner);
        let com9 = Self {
            windows,
            bench: Bench::new(Way::Terminal),
            _alone: alone,
        };
        com9.plug_in();
        com9
    }

    /// Makes the pseudo-terminal that there is now the port.
    fn plug_in(&self) {
        let link = self.windows.prefix().join("dosdevices/com9");
        let _ = fs::remove_file(&link);
        let terminal = fs::canonicalize(self.bench.meter.path().unwrap()).unwrap();
        std::os::unix::fs::symlink(terminal, link).unwrap();
    }

    fn program(&self, more: &[&str]) -> Program {
        let mut words = vec![
            OsString::from("sit"),
            self.bench.job.root().into_os_string(),
        ];
        words.extend(["--meter".into(), at("scpi-multimeter", "COM9")]);
        words.extend(more.iter().map(OsString::from));
        self.windows.program(words)
    }

    fn sit(&self, more: &[&str]) -> Sitting<'_> {
        self.bench.sit_as(self.program(more))
    }

    /// The rows of the sitting that was ended with `finished`, of a recording that replays here to the same.
    fn rows(&self, finished: &Finished) -> Vec<Row> {
        self.bench.check_recording(finished);
        self.bench.job.rows()
    }
}

#[test]
fn a_list_is_measured_on_windows_over_a_com_port_whatever_the_line_does() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let com9 = Com9::of(&windows);
    let faults = com9.bench.meter.faults();
    let mut sitting = com9.sit(&[]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    faults.order(Fault::GarbageFirst(b"\xff\x80\x01\n".to_vec()));
    sitting.touch(ohm(301e3), &["R2 ", " FAIL "]);
    sitting.in_hand("C1");
    faults.order(Fault::OverlongLine(5000));
    sitting.touch(Component::capacitor(50e-9), &["C1 ", " PASS "]);
    sitting.in_hand("R3");
    faults.order(Fault::HalfLine(Duration::from_millis(300)));
    faults.order(Fault::DropAnswer);
    sitting.touch(ohm(331.0), &["R3 ", " PASS "]);
    sitting.in_hand("R4");
    sitting.program.say("on");
    sitting.program.sees(&["R4 ", "open", " FAIL "]);
    let finished = sitting.end();
    let verdicts = ["pass", "fail", "pass", "pass", "fail"];
    let found: Vec<_> = com9.rows(&finished);
    assert!(found.iter().map(|row| row.get("verdict")).eq(verdicts));
    for (row, value) in found.iter().zip([4712.0, 301e3, 50e-9, 331.0]) {
        assert!((row.number("value") / value - 1.0).abs() < 2e-2, "{value}");
    }
}

#[test]
fn a_cable_that_is_pulled_on_windows_spoils_nothing() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let com9 = Com9::of(&windows);
    let mut sitting = com9.sit(&[]);
    held(&mut sitting);
    com9.bench.meter.cut_cable().unwrap();
    sitting.program.sees(&["link lost: ", "; trying again"]);
    com9.bench.meter.plug_in().unwrap();
    com9.plug_in();
    sitting.program.sees(&["link up"]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    let rows = com9.rows(&finished);
    assert_eq!(
        rows.iter().map(Row::short).collect::<Vec<_>>(),
        [("R1", "1", "pass")]
    );
}

#[test]
fn what_was_measured_on_windows_outlives_a_killed_program() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let com9 = Com9::of(&windows);
    let mut sitting = com9.sit(&[]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.program.signal(Signal::KILL);
    let _ = sitting.program.end();
    let rows = com9.bench.job.rows();
    assert_eq!(
        rows.iter().map(Row::short).collect::<Vec<_>>(),
        [("R1", "1", "pass")]
    );
    // The lock went with the program: the next sitting goes on.
    let again = com9.sit(&["--todo"]).end().out();
    assert!(
        again.starts_with("4 parts, ") && again.contains("  R2 "),
        "{again}"
    );
    let here = Program::new([OsStr::new("audit"), com9.bench.job.root().as_os_str()]).run();
    assert!(here.out().contains("no seal behind line"), "{}", here.out());
    assert!(!here.out().contains("edited"), "{}", here.out());
}

#[test]
fn a_sitting_on_windows_is_watched_and_commanded_by_another_program_there() {
    let Some(windows) = Windows::find() else {
        return;
    };
    let com9 = Com9::of(&windows);
    let mut sitting = com9.sit(&["--serve"]);
    let root = com9.bench.job.root();
    let mut attached = windows
        .program([OsStr::new("attach"), root.as_os_str()])
        .start();
    attached.sees(&["a test, since "]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    attached.sees(&["R1 ", " PASS "]);
    attached.say("goto R3");
    sitting.in_hand("R3");
    attached.sees(&["  R3 "]);
    let _ = sitting.end();
    let _ = attached.end().with_status(0);
}
