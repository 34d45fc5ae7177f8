//! The command `demo`: the whole job, without a meter and without a terminal.

use std::collections::HashMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use probewright::face::books::results::COLUMNS;
use tempfile::TempDir;

use crate::program::{Program, Row, files_in, replay, rows};
use crate::weeks::type_hints;

/// A demonstration that has run to its end. All tests of this file look at the same one.
struct Shown {
    folder: TempDir,
    out: String,
}

impl Shown {
    fn job(&self) -> PathBuf {
        self.folder.path().join("job")
    }

    fn recording(&self) -> PathBuf {
        let mut recordings = files_in(&self.job().join("sittings"), "rec");
        assert_eq!(recordings.len(), 1, "{recordings:?}");
        recordings.remove(0)
    }

    fn csv(&self) -> Vec<u8> {
        fs::read(self.job().join("results.csv")).unwrap()
    }

    /// The last row of every part.
    fn last_rows(&self) -> HashMap<String, Row> {
        rows(&self.csv())
            .into_iter()
            .map(|row| (row.get("ref").to_owned(), row))
            .collect()
    }
}

fn demo(keep: &Path) -> Program {
    let arguments = ["demo", "--fast", "--keep"].map(OsStr::new);
    Program::new(arguments.into_iter().chain([keep.as_os_str()]))
}

fn shown() -> &'static Shown {
    static SHOWN: OnceLock<Shown> = OnceLock::new();
    SHOWN.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let out = demo(&folder.path().join("job")).run().with_status(0).out();
        Shown { folder, out }
    })
}

#[test]
fn the_faults_of_the_chassis_are_found_and_nothing_else() {
    let rows = shown().last_rows();
    let with = |verdict: &str| {
        let mut found: Vec<&str> = rows
            .values()
            .filter(|row| row.get("verdict") == verdict)
            .map(|row| row.get("ref"))
            .collect();
        found.sort_unstable();
        found
    };
    assert_eq!(with("fail"), ["C14", "C4", "C9", "R13", "R14", "R3", "R5"]);
    assert_eq!(with("inconclusive"), ["R21"]);
    assert_eq!(rows["R14"].get("found"), "open");
    assert_eq!(rows["R14"].get("value"), "");
    assert!(rows["R21"].get("reason").contains("in circuit"));
}

#[test]
fn a_part_that_never_settles_is_left_out_without_a_row() {
    assert!(!shown().last_rows().contains_key("C5"));
    let out = &shown().out;
    assert!(out.contains("C5       did not settle in "), "{out}");
    assert!(out.contains("C5       skipped\n"), "{out}");
}

#[test]
fn a_wrong_part_touched_is_corrected_by_a_second_attempt() {
    let all = rows(&shown().csv());
    for (part, first) in [("R4", "fail"), ("R22", "fail")] {
        let attempts: Vec<_> = all
            .iter()
            .filter(|row| row.get("ref") == part)
            .map(|row| (row.get("attempt"), row.get("verdict")))
            .collect();
        assert_eq!(attempts, [("1", first), ("2", "pass")], "{part}");
    }
}

#[test]
fn every_part_is_measured_and_the_end_says_how_it_went() {
    let parts = fs::read_to_string(shown().job().join("parts.csv")).unwrap();
    let listed = parts
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .count()
        - 1;
    assert!(listed >= 40, "{listed} parts");
    // All but C5.
    assert_eq!(shown().last_rows().len(), listed - 1);
    let out = &shown().out;
    let summary = format!("{} of {listed} parts judged: ", listed - 1);
    assert!(out.contains(&summary), "{out}");
    assert!(
        out.contains("7 fail, 1 inconclusive, 1 did not settle\n"),
        "{out}"
    );
}

#[test]
fn without_a_terminal_there_is_no_colour() {
    assert!(!shown().out.contains('\x1b'));
}

/// RFC 4180, section 2: each record ends with CRLF (1), the first may be a header (3), and every line has as many fields as the others (4).
#[test]
fn the_results_are_csv_as_rfc_4180_wants_it() {
    let csv = shown().csv();
    let text = std::str::from_utf8(&csv).unwrap();
    assert!(text.ends_with("\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(&csv[..]);
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(records[0].iter().eq(COLUMNS.iter().map(|(name, ..)| *name)));
    assert!(records.len() > 40);
    assert!(records.iter().all(|record| record.len() == COLUMNS.len()));
}

#[test]
fn rows_carry_times_with_offset_in_order_and_the_name_of_the_recording() {
    let all = rows(&shown().csv());
    let recording = shown().recording();
    let times: Vec<_> = all
        .iter()
        .map(|row| chrono::DateTime::parse_from_rfc3339(row.get("time")).unwrap())
        .collect();
    assert!(times.is_sorted());
    let name = recording.file_stem().unwrap().to_str().unwrap();
    assert!(all.iter().all(|row| row.get("sitting") == name));
}

#[test]
fn a_replay_prints_the_same_lines_and_writes_the_same_bytes() {
    let (finished, csv) = replay(&shown().recording());
    let replayed = finished.with_status(0).out();
    let live = &shown().out;
    assert!(replayed.lines().count() > 80, "{replayed}");
    let Some((introduction, rest)) = live.split_once(&replayed) else {
        panic!("live:\n{live}\nreplay:\n{replayed}")
    };
    // Nothing of the sitting stands around it: one blank line before, one behind.
    assert!(introduction.ends_with("\n\n"), "{introduction}");
    assert!(rest.starts_with("\nresults "), "{rest}");
    assert_eq!(csv, shown().csv());
}

#[test]
fn what_the_end_says_can_be_typed_and_works() {
    let (_, hints) = shown().out.split_once("\nnow try\n").unwrap();
    let (hints, weeks) = hints.split_once("\n\n").unwrap();
    assert!(hints.lines().count() >= 6, "{hints}");
    type_hints(hints);
    // That one has tests of its own.
    assert!(weeks.ends_with(": probewright demo --weeks\n"), "{weeks}");
}

#[test]
fn a_job_that_is_there_is_not_touched() {
    let folder = tempfile::tempdir().unwrap();
    let job = folder.path().join("job");
    fs::create_dir(&job).unwrap();
    fs::write(job.join("parts.csv"), "mine").unwrap();
    let finished = demo(&job).run().with_status(2);
    assert_eq!(finished.out(), "");
    assert!(
        finished
            .complaining(&["parts.csv` exists already"])
            .err()
            .lines()
            .count()
            == 1
    );
    let names: Vec<_> = fs::read_dir(&job)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert_eq!(names, ["parts.csv"]);
    assert_eq!(fs::read_to_string(job.join("parts.csv")).unwrap(), "mine");
}

#[test]
fn a_reader_that_goes_away_ends_it_quietly() {
    let mut demo = Program::new(["demo", "--fast"]).start();
    demo.sees(&["in hand"]);
    demo.close_stdout();
    let finished = demo.end().with_status(0);
    assert!(!finished.err().contains("panicked"), "{}", finished.err());
}
