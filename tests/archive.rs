//! `archive`: all jobs in one database, made from their files, and questions to it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use probewright::face::books::archive::TABLES;
use rustix::process::Signal;
use tempfile::TempDir;

use crate::compare::{Measured, results};
use crate::program::{Finished, Program, rows};

const PARTS: &str = "ref,kind,value,tolerance,material\nR1,resistor,100,10%,carbon\nR2,resistor,100,10%,carbon\n\
    R3,resistor,100,10%,film\n";

/// A workshop with two jobs: one of two resistors measured and one ordered, and a demonstration with its recording.
struct Workshop(TempDir);

impl Workshop {
    fn new() -> Self {
        let workshop = Self(tempfile::tempdir().unwrap());
        let radio = workshop.path("radio");
        fs::create_dir(&radio).unwrap();
        fs::write(radio.join("job.toml"), "title = \"a radio\"\nmade = 1966\n").unwrap();
        fs::write(radio.join("parts.csv"), PARTS).unwrap();
        let day = "2026-11-03";
        let measured = [
            Measured::new(day, "r1", "104", "pass"),
            Measured::new(day, "R2", "150", "fail"),
        ];
        fs::write(radio.join("results.csv"), results(&measured)).unwrap();
        let decisions = "time,ref,decision,reason,article,bag\r\n\
            2026-11-20T10:00:00.000+01:00,R2,order,\"'=drifted\",100 Ω 0.5 W film,\r\n";
        fs::write(radio.join("decisions.csv"), decisions).unwrap();
        let cinema = workshop.path("hall/cinema");
        let recordings = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings");
        copy(&recordings.join("cinema-multimeter"), &cinema);
        workshop
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn database(&self) -> PathBuf {
        self.path("archive.sqlite")
    }

    fn program(&self, arguments: &[&str]) -> Program {
        let root = self.0.path().to_str().unwrap();
        Program::new(["archive", root].iter().chain(arguments))
    }

    fn run(&self, arguments: &[&str]) -> Finished {
        self.program(arguments).run()
    }

    /// The answer to a question, as CSV.
    fn ask(&self, question: &str) -> String {
        self.run(&["--query", question]).with_status(0).out()
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Every row of every table, as text.
fn dump(workshop: &Workshop) -> String {
    let table = |table: &probewright::face::books::archive::ArchiveTable| {
        workshop.ask(&format!(
            "select * from {} order by {}",
            table.name, table.key
        ))
    };
    TABLES.iter().map(table).collect()
}

#[test]
fn every_job_below_the_folder_goes_in_and_can_be_asked_for() {
    let workshop = Workshop::new();
    let out = workshop.run(&[]).with_status(0).out();
    assert!(
        out.contains("2 of 2 jobs, 1 sitting, 49 measurements"),
        "{out}"
    );
    let jobs = workshop.ask("select folder, title, made, mains_volt from job");
    let expected = "folder,title,made,mains_volt\r\n\
        hall/cinema,\"public-address amplifier of a village cinema, 1956\",,230\r\n\
        radio,a radio,1966,\r\n";
    assert_eq!(jobs, expected);
    let to_do = workshop.ask("select \"ref\", standing from to_do where folder = 'radio'");
    assert_eq!(
        to_do,
        "ref,standing\r\nR2,on order\r\nR3,not measured yet\r\n"
    );
    let drift =
        workshop.ask("select \"ref\", age, drift_percent, outside from drift where age = 60");
    assert_eq!(
        drift,
        "ref,age,drift_percent,outside\r\nR1,60,4,0\r\nR2,60,50,1\r\n"
    );
    let material = workshop.ask(
        "select parts, median_percent, outside_percent from drift_by_material where tens_of_years = 60",
    );
    assert_eq!(
        material,
        "parts,median_percent,outside_percent\r\n2,27,50\r\n"
    );
    let meters = workshop.ask("select profile, sittings, jobs from meters_used");
    assert_eq!(meters, "profile,sittings,jobs\r\nscpi-multimeter,1,1\r\n");
    let reason = workshop.ask("select reason from decision");
    assert_eq!(reason, "reason\r\n'=drifted\r\n");
}

#[test]
fn a_sitting_is_kept_with_its_state_and_the_digest_of_its_seal() {
    let workshop = Workshop::new();
    let folder = workshop.path("hall/cinema/sittings");
    let whole = crate::program::files_in(&folder, "rec").remove(0);
    let text = fs::read(&whole).unwrap();
    fs::write(folder.join("20270101T100000.rec"), &text[..text.len() / 2]).unwrap();
    let _ = workshop.run(&[]).with_status(0);
    let answer =
        workshop.ask("select name, state, lines, sha256, program from sitting order by name");
    let rows = rows(answer.as_bytes());
    assert_eq!(rows[0].get("state"), "sealed");
    let text = String::from_utf8(text).unwrap();
    assert_eq!(rows[0].get("lines"), text.lines().count().to_string());
    assert!(text.lines().last().unwrap().contains(rows[0].get("sha256")));
    assert!(rows[0].get("program").starts_with("probewright "));
    assert_eq!((rows[1].get("state"), rows[1].get("sha256")), ("torn", ""));
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_goes_in() {
    let workshop = Workshop::new();
    let bad = workshop.path("bad");
    fs::create_dir(&bad).unwrap();
    fs::write(bad.join("job.toml"), "made = 56\n").unwrap();
    fs::write(bad.join("parts.csv"), PARTS).unwrap();
    let folder = workshop.path("hall/cinema/sittings");
    let recording = crate::program::files_in(&folder, "rec").remove(0);
    let text = fs::read_to_string(&recording).unwrap();
    fs::write(&recording, text.replacen("\tin\t", "\tim\t", 1)).unwrap();
    let finished = workshop
        .run(&[])
        .with_status(3)
        .complaining(&["job.toml:1:8: found made = `56`", "a sitting is damaged"]);
    assert!(finished.out().contains("2 of 3 jobs"), "{}", finished.out());
    assert_eq!(
        workshop.ask("select state from sitting"),
        "state\r\ndamaged\r\n"
    );
}

#[test]
fn checks_of_new_parts_go_in_where_they_are() {
    let workshop = Workshop::new();
    let incoming = workshop.path("radio/incoming.csv");
    let measured = [Measured::new("2026-12-01", "R2", "100.2", "pass")];
    fs::write(&incoming, results(&measured)).unwrap();
    let _ = workshop.run(&[]).with_status(0);
    let answer =
        workshop.ask("select \"ref\", value, counts from measurement where source = 'incoming'");
    assert_eq!(answer, "ref,value,counts\r\nR2,100.2,0\r\n");
    fs::write(&incoming, "something,else\r\n1,2\r\n").unwrap();
    let _ = workshop.run(&[]).with_status(3).complaining(&[
        "radio",
        "what was measured of new parts was left out: incoming.csv:1: found no column",
    ]);
    assert_eq!(workshop.ask("select count(*) as n from job"), "n\r\n2\r\n");
}

#[test]
fn two_builds_of_the_same_files_hold_the_same() {
    let workshop = Workshop::new();
    let _ = workshop.run(&[]).with_status(0);
    let (first, bytes) = (dump(&workshop), fs::read(workshop.database()).unwrap());
    let _ = workshop.run(&[]).with_status(0);
    assert_eq!(dump(&workshop), first);
    assert_eq!(fs::read(workshop.database()).unwrap(), bytes);
    assert!(first.lines().count() > 90, "{first}");
}

#[test]
fn another_reader_of_sqlite_sees_the_same_rows() {
    let workshop = Workshop::new();
    let _ = workshop.run(&[]).with_status(0);
    let script = "import sqlite3, sys\n\
        c = sqlite3.connect('file:' + sys.argv[1] + '?mode=ro', uri=True)\n\
        print(c.execute('pragma integrity_check').fetchone()[0])\n\
        print(c.execute('pragma application_id').fetchone()[0], c.execute('pragma user_version').fetchone()[0])\n\
        print(c.execute('select count(*), sum(counts) from measurement').fetchone())\n\
        print(c.execute('select count(*) from to_do').fetchone()[0] > 0)\n";
    let python = Command::new("python3")
        .args(["-c", script])
        .arg(workshop.database())
        .output();
    let Ok(python) = python else {
        eprintln!("skipped: there is no python3");
        return;
    };
    let said = String::from_utf8_lossy(&python.stdout).into_owned();
    let complained = String::from_utf8_lossy(&python.stderr);
    if complained.contains("ModuleNotFoundError") {
        eprintln!("skipped: this python3 has no sqlite3");
        return;
    }
    let counts = workshop.ask("select count(*) as n, sum(counts) as c from measurement");
    let counts = counts.lines().nth(1).unwrap().replace(',', ", ");
    assert_eq!(
        said,
        format!("ok\n1346524993 3\n({counts})\nTrue\n"),
        "{complained}"
    );
}

#[test]
fn a_question_cannot_change_anything() {
    let workshop = Workshop::new();
    let _ = workshop
        .run(&["--query", "select 1"])
        .with_status(2)
        .complaining(&["make it with `probewright archive`"]);
    let _ = workshop.run(&[]).with_status(0);
    let before = fs::read(workshop.database()).unwrap();
    let copy = workshop.path("copy.sqlite");
    for question in [
        "delete from job".to_owned(),
        "drop view drift".to_owned(),
        "create temp table t (x)".to_owned(),
        format!("vacuum into '{}'", copy.display()),
        format!("attach '{}' as other", copy.display()),
        "select 1; delete from job".to_owned(),
        "selekt".to_owned(),
        "select * from nothing".to_owned(),
        String::new(),
    ] {
        let _ = workshop
            .run(&["--query", &question])
            .with_status(2)
            .complaining(&["--query: "]);
    }
    assert_eq!(fs::read(workshop.database()).unwrap(), before);
    assert!(!copy.exists());
}

#[test]
fn a_file_of_somebody_else_is_left_alone_without_force() {
    let workshop = Workshop::new();
    fs::write(workshop.database(), "mine").unwrap();
    let _ = workshop
        .run(&[])
        .with_status(2)
        .complaining(&["is no archive of this program", "--force"]);
    assert_eq!(fs::read(workshop.database()).unwrap(), b"mine");
    let _ = workshop.run(&["--force"]).with_status(0);
    assert!(
        fs::read(workshop.database())
            .unwrap()
            .starts_with(b"SQLite format 3")
    );
    let journal = workshop.path("archive.sqlite-wal");
    fs::write(&journal, "work").unwrap();
    let _ = workshop
        .run(&[])
        .with_status(2)
        .complaining(&["another program is at work"]);
    let _ = workshop
        .run(&["--database", "/dev/full"])
        .with_status(2)
        .complaining(&["/dev/full", "is no file"]);
}

#[test]
fn a_disk_that_takes_no_more_leaves_the_old_archive_and_nothing_beside_it() {
    let workshop = Workshop::new();
    let _ = workshop.run(&[]).with_status(0);
    let before = fs::read(workshop.database()).unwrap();
    // A file may have 16 KiB, and a write beyond that fails as on a full disk.
    let script = "trap '' XFSZ; ulimit -f 32; exec \"$@\"";
    let root = workshop.0.path().to_str().unwrap();
    let _ = Program::by_shell(script, ["archive", root])
        .run()
        .with_status(1)
        .complaining(&["archive.sqlite", "what was there is unchanged"]);
    assert_eq!(fs::read(workshop.database()).unwrap(), before);
    let names: Vec<_> = fs::read_dir(workshop.0.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert_eq!(names.len(), 3, "{names:?}");
    // A folder in which nobody can make a file.
    let _ = workshop
        .run(&["--database", "/proc/archive.sqlite"])
        .with_status(1)
        .complaining(&["/proc/archive.sqlite"]);
}

#[test]
fn a_build_that_is_killed_leaves_the_old_archive_whole() {
    let workshop = Workshop::new();
    let _ = workshop.run(&[]).with_status(0);
    let before = fs::read(workshop.database()).unwrap();
    // The second recording is a pipe, at which the build waits until it is killed.
    let pipe = workshop.path("hall/cinema/sittings/20270101T100000.rec");
    rustix::fs::mknodat(
        rustix::fs::CWD,
        &pipe,
        rustix::fs::FileType::Fifo,
        0o600.into(),
        0,
    )
    .unwrap();
    let mut started = workshop.program(&[]).start();
    let temporary = || {
        let entries = fs::read_dir(workshop.0.path()).unwrap();
        let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.starts_with(".archive-")).count()
    };
    started.until("no temporary file", || temporary() == 1);
    started.signal(Signal::KILL);
    assert!(!started.status().success());
    assert_eq!(fs::read(workshop.database()).unwrap(), before);
    assert_eq!(temporary(), 1);
    fs::remove_file(pipe).unwrap();
    let _ = workshop.run(&[]).with_status(0);
    assert_eq!(temporary(), 0, "what the killed one left is still there");
}

#[test]
fn a_folder_that_is_not_there_is_named_and_one_without_jobs_gives_an_empty_archive() {
    let _ = Program::new(["archive", "/nowhere/at/all"])
        .run()
        .with_status(1)
        .complaining(&["/nowhere/at/all"]);
    let empty = tempfile::tempdir().unwrap();
    let out = Program::new(["archive", empty.path().to_str().unwrap()]);
    let out = out.run().with_status(0).out();
    assert!(out.contains("0 of 0 jobs"), "{out}");
}

#[test]
fn the_questions_of_the_manual_have_answers() {
    let workshop = Workshop::new();
    let _ = workshop.run(&[]).with_status(0);
    let manual = include_str!("../src/cli/manual/archive.md");
    let questions: Vec<&str> = manual
        .split("```sql\n")
        .skip(1)
        .map(|block| block.split("```").next().unwrap())
        .collect();
    assert!(questions.len() >= 5, "{questions:?}");
    for question in questions {
        let answer = workshop.ask(question);
        assert!(answer.lines().count() > 1, "no rows for\n{question}");
    }
}
