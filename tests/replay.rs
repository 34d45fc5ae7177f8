//! The command `replay`: the same lines and the same rows again, and what it says of recordings that are not whole.

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use tempfile::TempDir;

use crate::program::{Finished, Program, files_in, replay};

/// The demonstration recordings: every job in `recordings/` with its recordings.
fn jobs() -> Vec<(PathBuf, Vec<PathBuf>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings");
    let mut jobs: Vec<_> = fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    jobs.sort();
    jobs.into_iter()
        .map(|job| (job.clone(), files_in(&job.join("sittings"), "rec")))
        .filter(|(_, recordings)| !recordings.is_empty())
        .collect()
}

#[test]
fn the_demonstration_recordings_replay_to_the_bytes_of_their_results() {
    let jobs = jobs();
    let count: usize = jobs.iter().map(|(_, recordings)| recordings.len()).sum();
    assert!(count >= 2, "{count} recordings");
    for (job, recordings) in jobs {
        let mut expected = Vec::new();
        for recording in &recordings {
            let (finished, csv) = replay(recording);
            assert_eq!(finished.with_status(0).err(), "");
            // The results of a job hold one header for all sittings.
            let header = csv.split_inclusive(|&byte| byte == b'\n').next().unwrap();
            let from = if expected.is_empty() { 0 } else { header.len() };
            expected.extend_from_slice(&csv[from..]);
        }
        let results = fs::read(job.join("results.csv")).unwrap();
        assert!(
            expected == results,
            "{}: replayed\n{}",
            job.display(),
            String::from_utf8_lossy(&expected)
        );
    }
}

/// A recording made by the demonstration, for damaging copies of it.
struct Sample {
    _folder: TempDir,
    recording: PathBuf,
    bytes: Vec<u8>,
}

fn sample() -> &'static Sample {
    static SAMPLE: OnceLock<Sample> = OnceLock::new();
    SAMPLE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let job = folder.path().join("job");
        Program::new(
            ["demo", "--fast", "--keep"]
                .map(OsStr::new)
                .into_iter()
                .chain([job.as_os_str()]),
        )
        .run()
        .with_status(0)
        .out();
        let recording = files_in(&job.join("sittings"), "rec").remove(0);
        let bytes = fs::read(&recording).unwrap();
        Sample {
            _folder: folder,
            recording,
            bytes,
        }
    })
}

fn replay_of(file: &Path, more: &[&str]) -> Finished {
    let arguments = [OsStr::new("replay"), file.as_os_str()];
    Program::new(arguments.into_iter().chain(more.iter().map(OsStr::new))).run()
}

/// Replays these bytes as a recording.
fn replay_bytes(bytes: &[u8]) -> Finished {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("copy.rec");
    fs::write(&file, bytes).unwrap();
    replay_of(&file, &[])
}

fn lines(bytes: &[u8]) -> Vec<&[u8]> {
    bytes.split_inclusive(|&byte| byte == b'\n').collect()
}

#[test]
fn one_digit_of_a_reading_altered_is_named_by_line_and_byte() {
    let lines = lines(&sample().bytes);
    // A reading in the middle of the sitting.
    let (index, line) = lines
        .iter()
        .enumerate()
        .skip(lines.len() / 2)
        .find(|(_, line)| String::from_utf8_lossy(line).contains("\tin\t0\t+"))
        .unwrap();
    let before: usize = lines[..index].iter().map(|line| line.len()).sum();
    let digit = before + line.iter().position(|&byte| byte == b'+').unwrap() + 1;
    let mut bytes = sample().bytes.clone();
    bytes[digit] = if bytes[digit] == b'5' { b'6' } else { b'5' };
    let place = format!("line {} (byte {before})", index + 1);
    let finished = replay_bytes(&bytes)
        .with_status(3)
        .complaining(&[&place, "was altered"]);
    // The lines before it are good, and are shown.
    let whole = replay_bytes(&sample().bytes).with_status(0).out();
    assert!(!finished.out().is_empty() && whole.starts_with(&finished.out()));
}

#[test]
fn a_copy_that_ends_within_a_line_is_read_up_to_there() {
    let all = lines(&sample().bytes);
    let half = all.len() / 2;
    let good: usize = all[..half].iter().map(|line| line.len()).sum();
    let finished = replay_bytes(&sample().bytes[..good + 7]).with_status(3);
    let says = format!("7 bytes of it are left; the {half} lines before it are good");
    assert!(
        !finished
            .complaining(&["ends within a line", &says])
            .out()
            .is_empty()
    );
}

#[test]
fn a_copy_without_its_seal_gives_the_same_lines_and_says_so() {
    let all = lines(&sample().bytes);
    let last = all.last().unwrap();
    assert!(String::from_utf8_lossy(last).contains("\tsealed\t"));
    let finished = replay_bytes(&sample().bytes[..sample().bytes.len() - last.len()])
        .with_status(3)
        .complaining(&[
            "has no seal",
            &format!("its {} lines are good", all.len() - 1),
        ]);
    assert_eq!(
        finished.out(),
        replay_bytes(&sample().bytes).with_status(0).out()
    );
}

#[test]
fn what_is_no_recording_is_a_bad_input() {
    let _ = replay_bytes(b"ref,kind,value\n")
        .with_status(2)
        .complaining(&["is no recording"]);
    let _ = replay_bytes(b"")
        .with_status(2)
        .complaining(&["holds no whole line"]);
    let _ = replay_of(Path::new("/nowhere/a.rec"), &[])
        .with_status(1)
        .complaining(&["cannot open the recording `/nowhere/a.rec`"]);
}

#[test]
fn speed_changes_how_long_it_takes_and_nothing_else() {
    // The demonstration is two and a half minutes of bench time: at a thousandth of that pace nobody waits long.
    let fast = replay_of(&sample().recording, &["--speed", "1000"]).with_status(0);
    let most = replay_of(&sample().recording, &["--speed", "max"]).with_status(0);
    assert_eq!(fast.out(), most.out());
    let _ = replay_of(&sample().recording, &["--speed", "0"])
        .with_status(2)
        .complaining(&["expected `max` or a number"]);
}

#[test]
fn ten_times_as_fast_takes_a_tenth_of_the_time() {
    // A recording that ends early: cut behind the first verdict, so that it is short.
    let all = lines(&sample().bytes);
    let at = |line: &[u8]| -> f64 {
        let text = String::from_utf8_lossy(line);
        text.split('\t')
            .next()
            .unwrap()
            .parse::<f64>()
            .unwrap_or(0.0)
            / 1e6
    };
    let count = all.iter().position(|line| at(line) > 6.0).unwrap();
    let length: usize = all[..count].iter().map(|line| line.len()).sum();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("copy.rec");
    fs::write(&file, &sample().bytes[..length]).unwrap();
    let start = std::time::Instant::now();
    let out = replay_of(&file, &["--speed", "10"]).with_status(3).out();
    let took = start.elapsed().as_secs_f64();
    // It never runs ahead; how late it is depends on the machine.
    assert!(took >= at(all[count - 1]) / 10.0, "{took} s");
    assert_eq!(out, replay_of(&file, &[]).with_status(3).out());
}

#[test]
fn a_fail_is_no_pass_where_a_pass_is_expected() {
    let finished = replay_of(&sample().recording, &["--expect-pass"]).with_status(3);
    assert!(finished.out().contains(" fail"));
}

#[test]
fn rows_never_go_over_a_file_that_exists() {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("mine.csv");
    fs::write(&csv, "mine").unwrap();
    let _ = replay_of(&sample().recording, &["--csv", csv.to_str().unwrap()])
        .with_status(2)
        .complaining(&["mine.csv` exists already; nothing was changed"]);
    assert_eq!(fs::read_to_string(&csv).unwrap(), "mine");
}

#[test]
fn a_stretch_of_the_list_is_shown_and_written_alone() {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("some.csv");
    let path = csv.to_str().unwrap();
    let stretch = ["--first", "r12", "--last", "C8", "--csv", path];
    let out = replay_of(&sample().recording, &stretch)
        .with_status(0)
        .out();
    let whole = replay_of(&sample().recording, &[]).with_status(0).out();
    // Every line is one of the whole, in the same order, and about one of these parts.
    let mut rest = whole.lines();
    for line in out.lines() {
        assert!(rest.any(|one| one == line), "{line}");
        assert!(
            ["R12", "R13", "C8"]
                .iter()
                .any(|part| line.trim_start().starts_with(part)),
            "{line}"
        );
    }
    assert_eq!(
        out.lines()
            .filter(|line| line.starts_with('R') || line.starts_with('C'))
            .count(),
        3
    );
    let (_, all) = replay(&sample().recording);
    let all = String::from_utf8(all).unwrap();
    let expected: String = all
        .split_inclusive('\n')
        .filter(|row| ["ref", "R12", "R13", "C8"].contains(&row.split(',').nth(3).unwrap()))
        .collect();
    assert_eq!(fs::read_to_string(&csv).unwrap(), expected);
}

#[test]
fn a_stretch_that_is_not_there_is_a_bad_input_that_names_the_parts() {
    let _ = replay_of(&sample().recording, &["--first", "R99"])
        .with_status(2)
        .complaining(&["no part `R99`", "expected one of R1, R2,"]);
    let _ = replay_of(&sample().recording, &["--first", "C8", "--last", "R12"])
        .with_status(2)
        .complaining(&["`C8` comes after `R12`"]);
}

#[test]
fn a_pass_is_expected_of_the_stretch_alone() {
    let expect = |part| {
        replay_of(
            &sample().recording,
            &["--first", part, "--last", part, "--expect-pass"],
        )
    };
    assert!(expect("R12").with_status(0).out().contains("PASS"));
    assert!(expect("R13").with_status(3).out().contains("FAIL"));
}

#[test]
fn the_rows_of_a_whole_job_are_made_anew_and_nothing_is_overwritten() {
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/versions/0.1.0");
    let folder = tempfile::tempdir().unwrap();
    let new = folder.path().join("new.csv");
    let words = [
        "replay",
        job.to_str().unwrap(),
        "--csv",
        new.to_str().unwrap(),
    ];
    let joined = Program::new(words)
        .run()
        .with_status(0)
        .complaining(&["recorded and judged by probewright 0.1.0"]);
    assert!(joined.out().contains("5 rows of 1 recordings in"));
    let text = fs::read(&new).unwrap();
    assert_eq!(
        probewright::face::books::ledger::read_measurements(&text)
            .unwrap()
            .len(),
        5
    );
    let old = fs::read(job.join("results.csv")).unwrap();
    let refused = probewright::face::books::ledger::read_measurements(&old).unwrap_err();
    assert!(
        refused
            .to_string()
            .contains("`probewright replay JOB --csv NEW`")
    );
    let again = Program::new(words).run().with_status(2);
    let _ = again.complaining(&["exists already"]);
    assert_eq!(fs::read(&new).unwrap(), text);
    let _ = Program::new(&words[..2]).run().with_status(2);
}
