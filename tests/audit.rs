//! The command `audit`: real recordings and results, tampered with in each way, and the cause that is named.

use std::ffi::OsStr;
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use probewright::face::bench::recording::{Event, Header, Reader, Writer, survey_of};
use probewright::face::books::audit::soundness;
use proptest::prelude::*;
use tempfile::TempDir;

use crate::program::{Finished, Program, files_in, replay};

const EDITED: &str = "the row was edited";

/// A copy of a demonstration job, recorded as by this version, to be tampered with.
struct Job {
    _folder: TempDir,
    root: PathBuf,
}

impl Job {
    fn copy() -> Self {
        Self::copy_of("recordings/cinema-multimeter", |from, to| {
            let program = ("probewright", env!("CARGO_PKG_VERSION"));
            record_anew(from, to, program, None);
        })
    }

    /// The job that was kept of a version, as it is.
    fn of_version(version: &str) -> Self {
        Self::copy_of(&format!("tests/versions/{version}"), |from, to| {
            fs::copy(from, to).unwrap();
        })
    }

    fn copy_of(from: &str, record: impl Fn(&Path, &Path)) -> Self {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(from);
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("job");
        fs::create_dir_all(root.join("sittings")).unwrap();
        for name in ["job.toml", "parts.csv", "results.csv"] {
            fs::copy(from.join(name), root.join(name)).unwrap();
        }
        // Where something was decided; the earliest jobs were kept without.
        let _ = fs::copy(from.join("decisions.csv"), root.join("decisions.csv"));
        for recording in files_in(&from.join("sittings"), "rec") {
            let name = recording.file_name().unwrap();
            record(&recording, &root.join("sittings").join(name));
        }
        Self {
            _folder: folder,
            root,
        }
    }

    fn recording(&self) -> PathBuf {
        files_in(&self.root.join("sittings"), "rec").remove(0)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.root.join(name), text).unwrap();
    }

    /// The lines of the results with their ends, the header first.
    fn lines(&self) -> Vec<String> {
        let text = fs::read_to_string(self.root.join("results.csv")).unwrap();
        text.split_inclusive('\n').map(str::to_owned).collect()
    }

    /// Changes the lines of the results.
    fn edit(&self, change: impl FnOnce(&mut Vec<String>)) {
        let mut lines = self.lines();
        change(&mut lines);
        self.write("results.csv", lines.concat());
    }

    /// Changes the bytes of the recording.
    fn tamper(&self, change: impl FnOnce(&mut Vec<u8>)) {
        let mut bytes = fs::read(self.recording()).unwrap();
        change(&mut bytes);
        fs::write(self.recording(), bytes).unwrap();
    }

    fn audit(&self, more: &[&str]) -> Finished {
        let arguments = [OsStr::new("audit"), self.root.as_os_str()];
        Program::new(arguments.into_iter().chain(more.iter().map(OsStr::new))).run()
    }

    /// Findings of an audit, each without the path in front; it ends with status 3 and their number.
    fn findings(&self) -> Vec<String> {
        let out = self.audit(&[]).with_status(3).out();
        let path = format!("{}, ", self.root.join("results.csv").display());
        let findings: Vec<String> = out
            .lines()
            .filter_map(|line| line.trim().strip_prefix("FINDING: "))
            .map(|finding| finding.strip_prefix(&path).unwrap_or(finding).to_owned())
            .collect();
        let count = findings.len();
        let total = format!(": {count} finding{}\n", if count == 1 { "" } else { "s" });
        assert!(count > 0 && out.ends_with(&total), "{out}");
        findings
    }

    /// The one thing that an audit finds.
    fn finding(&self) -> String {
        let mut findings = self.findings();
        assert_eq!(findings.len(), 1, "{findings:#?}");
        findings.remove(0)
    }
}

fn assert_says(text: &str, words: &[&str]) {
    for word in words {
        assert!(text.contains(word), "no `{word}` in:\n{text}");
    }
}

/// Replaces `from`, which must be there.
fn replace(line: &mut String, from: &str, to: &str) {
    assert!(line.contains(from), "no `{from}` in {line}");
    *line = line.replacen(from, to, 1);
}

#[test]
fn the_demonstration_recordings_are_found_sound_and_their_digests_told() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings");
    let jobs = ["cinema-multimeter", "cinema-lcr-meter"].map(|job| root.join(job));
    let out = Program::new([
        OsStr::new("audit"),
        jobs[0].as_os_str(),
        jobs[1].as_os_str(),
    ])
    .run()
    .with_status(0)
    .out();
    assert_says(
        &out,
        &[
            "audited 2 recordings, 5768 lines, ",
            " 94 rows compared: no findings\n",
        ],
    );
    for job in jobs {
        let recording = files_in(&job.join("sittings"), "rec").remove(0);
        let text = fs::read_to_string(recording).unwrap();
        // The seal is the last line, and the digest the last but one of its fields; `sha256sum` agrees, as tests/recording.rs shows.
        let seal = text.lines().last().unwrap();
        let digest = seal.split('\t').nth_back(1).unwrap();
        assert_says(&out, &[&format!("SHA-256 of all before it: {digest}\n")]);
    }
}

#[test]
fn a_recording_alone_is_compared_with_the_results_beside_its_folder() {
    let job = Job::copy();
    job.edit(|lines| replace(&mut lines[3], ",fail,above", ",pass,above"));
    let out = Program::new([OsStr::new("audit"), job.recording().as_os_str()])
        .run()
        .with_status(3)
        .out();
    assert_says(
        &out,
        &[
            "results.csv, line 4, R3 value, attempt 1: `verdict` says `pass`, the replay says `fail`",
            EDITED,
        ],
    );
    // Rows of other sittings are no concern of one recording.
    let job = Job::copy();
    job.edit(|lines| {
        let other = lines[1].replacen(",20261125T", ",19261125T", 1);
        lines.push(other);
    });
    let _ = Program::new([OsStr::new("audit"), job.recording().as_os_str()])
        .run()
        .with_status(0);
    assert_says(
        &job.finding(),
        &[
            "1 row, first line 49, of the sitting `19261125T142420`",
            "not there",
        ],
    );
}

#[test]
fn an_edited_cell_is_named_with_both_values() {
    let job = Job::copy();
    job.edit(|lines| {
        replace(
            &mut lines[1],
            ",1090229.0276692535,",
            ",1000229.0276692535,",
        );
    });
    let finding = job.finding();
    assert_says(
        &finding,
        &[
            "line 2, R1 value, attempt 1: `read` says `1000229.0276692535`, the replay says `1090229.0276692535`",
            EDITED,
        ],
    );
}

#[test]
fn an_edited_designator_is_one_finding_and_not_a_row_too_few_and_one_too_many() {
    let job = Job::copy();
    job.edit(|lines| replace(&mut lines[1], ",R1,", ",R2,"));
    let finding = job.finding();
    assert_says(
        &finding,
        &["line 2, R1 value, attempt 1: `ref` says `R2`, the replay says `R1`"],
    );
    let job = Job::copy();
    job.edit(|lines| replace(&mut lines[1], ",20261125T142420,", ",elsewhere,"));
    assert_says(
        &job.finding(),
        &["`sitting` says `elsewhere`", "`20261125T142420`"],
    );
}

#[test]
fn rows_that_are_missing_added_and_copied_are_told_apart() {
    let job = Job::copy();
    job.edit(|lines| drop(lines.remove(5)));
    assert_says(
        &job.finding(),
        &["no row for C2 value, attempt 1: the row was taken out"],
    );
    let job = Job::copy();
    job.edit(|lines| lines.push(lines[5].clone()));
    assert_says(
        &job.finding(),
        &["line 49, C2 value, attempt 1", "the row was copied"],
    );
    let job = Job::copy();
    job.edit(|lines| {
        let mut row = lines[5].clone();
        replace(&mut row, ",C2,", ",C77,");
        replace(&mut row, "2026-", "2027-");
        lines.push(row);
    });
    assert_says(
        &job.finding(),
        &["line 49, C77 value, attempt 1", "the row was put in"],
    );
    let job = Job::copy();
    job.edit(|lines| lines.truncate(1));
    assert_says(
        &job.finding(),
        &["none of the 47 rows of this sitting is there"],
    );
}

#[test]
fn sorted_and_moved_rows_are_one_finding() {
    let job = Job::copy();
    job.edit(|lines| {
        let moved = lines.remove(40);
        lines.insert(10, moved);
    });
    assert_says(&job.finding(), &["1 row in another place", "line 11"]);
    let job = Job::copy();
    job.edit(|lines| lines[1..].sort_by_key(|line| line.split(',').nth(3).unwrap().to_owned()));
    assert_says(
        &job.finding(),
        &["rows in another place", "the file was sorted"],
    );
}

#[test]
fn a_recording_that_was_removed_or_renamed_is_named() {
    let job = Job::copy();
    fs::rename(job.recording(), job.root.join("sittings/mine.rec")).unwrap();
    assert_says(
        &job.finding(),
        &[
            "47 rows stand under the sitting `20261125T142420`",
            "was renamed",
        ],
    );
    fs::remove_file(job.recording()).unwrap();
    let out = job.finding();
    assert_says(
        &out,
        &[
            "47 rows, first line 2, of the sitting `20261125T142420`",
            "is not there",
        ],
    );
}

#[test]
fn an_altered_line_of_a_recording_is_named_by_line_and_byte() {
    let job = Job::copy();
    let (mut line, mut byte) = (0, 0);
    job.tamper(|bytes| {
        let digit = memchr::memmem::find_iter(bytes, b"\tin\t0\t+")
            .nth(300)
            .unwrap()
            + 7;
        bytes[digit] = if bytes[digit] == b'1' { b'2' } else { b'1' };
        byte = memchr::memrchr(b'\n', &bytes[..digit]).unwrap() + 1;
        line = 1 + memchr::memchr_iter(b'\n', &bytes[..byte]).count();
    });
    let findings = job.findings();
    assert_says(
        &findings[0],
        &[&format!("line {line} (byte {byte}): this line was altered")],
    );
    assert_says(&findings[1], &["the seal is for 3105 lines"]);
    assert_eq!(findings.len(), 2, "{findings:#?}");
    let out = job.audit(&[]).out();
    assert_says(
        &out,
        &["rows of the results cannot be compared, coming from behind the flaw"],
    );
    assert!(!out.contains("seal fits"), "{out}");
}

#[test]
fn a_recording_without_its_end_is_told_from_one_that_was_killed() {
    // A sitting that was killed wrote no row that it did not record: cut behind the last row, nothing but the seal is missed.
    let job = Job::copy();
    job.tamper(|bytes| {
        let seal = memchr::memrchr(b'\n', &bytes[..bytes.len() - 1]).unwrap() + 1;
        bytes.truncate(seal);
    });
    assert_says(&job.finding(), &["no seal behind line 3105"]);
    // Killed before it could write its last row.
    job.edit(|lines| drop(lines.pop()));
    let findings = job.findings();
    assert_says(
        &findings[1],
        &["no row for C15 value, attempt 1: the sitting was stopped before"],
    );
    // With its end cut off there are rows that come from nothing.
    let job = Job::copy();
    job.tamper(|bytes| bytes.truncate(60_025));
    let findings = job.findings();
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert_says(
        &findings[0],
        &["line 1342 (byte 60001) is torn, 24 bytes of it are left"],
    );
    assert_says(
        &findings[1],
        &["33 rows, first line 16, can only come from behind the end"],
    );
}

#[test]
fn a_torn_row_is_named_and_its_value_missed() {
    let job = Job::copy();
    job.edit(|lines| {
        let last = lines.last_mut().unwrap();
        last.truncate(60);
    });
    let findings = job.findings();
    assert_says(&findings[0], &["no row for C15"]);
    assert_says(&findings[1], &["line 48 ends too early"]);
}

#[test]
fn what_a_spreadsheet_saved_is_read_and_compared_all_the_same() {
    let job = Job::copy();
    let text = fs::read(job.root.join("results.csv")).unwrap();
    let mut out = csv::WriterBuilder::new()
        .delimiter(b';')
        .from_writer(b"\xef\xbb\xbf".to_vec());
    let mut rows = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_slice());
    for (index, row) in rows.records().enumerate() {
        let cells = row.unwrap();
        let cells = cells
            .iter()
            .enumerate()
            .map(|(column, cell)| match (index, column) {
                // R2 gets a number with fewer figures, R3 another verdict.
                (2, 14) => "0,753".to_owned(),
                (3, 21) => "pass".to_owned(),
                (1.., 12..=19) => cell.replace('.', ","),
                _ => cell.to_owned(),
            });
        out.write_record(cells.collect::<Vec<_>>()).unwrap();
    }
    job.write("results.csv", out.into_inner().unwrap());
    let findings = job.findings();
    assert_eq!(findings.len(), 3, "{findings:#?}");
    assert_says(
        &findings[0],
        &[
            "line 3, R2 value, attempt 1: `uncertainty` says `0,753`, the replay says `0.7533177132958069`",
            "fewer figures",
        ],
    );
    assert_says(
        &findings[1],
        &["line 4, R3 value, attempt 1: `verdict` says `pass`", EDITED],
    );
    assert_says(
        &findings[2],
        &[
            "saved by another program",
            "byte order mark",
            "semicolons",
            "says the same",
        ],
    );
}

#[test]
fn other_columns_are_named_and_the_rest_compared() {
    let job = Job::copy();
    job.edit(|lines| {
        replace(&mut lines[0], ",reason,", ",why,");
        replace(&mut lines[3], ",fail,above", ",pass,above");
    });
    let findings = job.findings();
    assert_says(&findings[0], &["line 4, R3", "`verdict`"]);
    assert_says(&findings[1], &["it lacks `reason` and has besides `why`"]);
}

#[test]
fn a_row_judged_by_a_policy_of_today_is_explained_by_it() {
    let job = Job::copy();
    job.write(
        "policy.toml",
        "[[role]]\nwords = ['grid leak']\nwiden_to_percent = 40\nreason = 'it may drift'\nsource = 'own'\n",
    );
    let remark =
        "`policy.toml` of the job is new since then; the recording is judged by its own copy";
    assert_says(&job.audit(&[]).with_status(0).out(), &[remark]);
    // 1 MΩ ± 40 % is 600 kΩ to 1.4 MΩ.
    job.edit(|lines| {
        replace(&mut lines[1], ",800000,1200000,", ",600000,1400000,");
        let checks = ",inside its band,\"role: listed 800 kΩ to 1.2 MΩ, held to 600 kΩ to 1.4 MΩ in its role `grid leak`: it may drift\",other limits,";
        replace(&mut lines[1], ",inside its band,,,", checks);
    });
    let findings = job.findings();
    let columns = ["lower", "upper", "checks", "policy"];
    assert_eq!(findings.len(), columns.len(), "{findings:#?}");
    for (finding, column) in findings.iter().zip(columns) {
        assert_says(
            finding,
            &[
                column,
                "the row was judged by `policy.toml` as the job has it today",
            ],
        );
    }
    // One cell that the policy does not give either, and it was edited.
    job.edit(|lines| replace(&mut lines[1], ",600000,", ",500000,"));
    for finding in job.findings() {
        assert_says(&finding, &[EDITED]);
    }
}

#[test]
fn files_of_the_job_that_changed_are_remarked_and_no_finding() {
    let job = Job::copy();
    let parts = fs::read_to_string(job.root.join("parts.csv")).unwrap();
    job.write(
        "parts.csv",
        parts.replace("R1,resistor,1 Meg", "R1,resistor,2 Meg"),
    );
    job.write("loss.toml", "");
    let out = job.audit(&[]).with_status(0).out();
    assert_says(&out, &["remark: `parts.csv` of the job is different today"]);
    assert!(
        !out.contains("job.toml") && !out.contains("loss.toml"),
        "{out}"
    );
}

/// A command of an earlier edition as it is said today: since 1.2 `override` names its capacitor, or says `all`.
fn as_said_today(text: &str) -> String {
    match text.strip_prefix("override ") {
        Some(reason) if !reason.starts_with("all ") => format!("override all {reason}"),
        _ => text.to_owned(),
    }
}

/// A file of an earlier edition as it is today: capacitors that counted as discharged below 60 V count so below what a profile
/// says, and a meter that takes a few volts is one at which they did.
fn as_kept_today(name: &str, content: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(content);
    if !name.starts_with("profile") || text.contains("residual_v =") {
        return content.to_vec();
    }
    text.replacen("\n[line]", "\nresidual_v = 10\n[line]", 1)
        .into_bytes()
}

/// Writes the recording anew as that program and version would have, with the meter on another port if there is one, and a chain and a seal that fit.
fn record_anew(from: &Path, to: &Path, (program, version): (&str, &str), on: Option<&str>) {
    let mut reader = Reader::open(from).unwrap();
    let mut begun = None;
    while let Some(entry) = reader.next_entry().unwrap() {
        if let Event::Begun { wall } = entry.event {
            begun = Some(wall);
        }
    }
    let header = Header {
        program,
        version,
        begun: begun.unwrap(),
        setup: &[],
    };
    let out = fs::File::create(to).unwrap();
    let mut writer = Writer::onto(out, || Ok(()), to, &header).unwrap();
    let mut reader = Reader::open(from).unwrap();
    let mut last = None;
    let of_today = fs::read(from)
        .unwrap()
        .starts_with(b"probewright-recording\t1.2\t");
    while let Some(entry) = reader.next_entry().unwrap() {
        last = Some(entry.at);
        let mut said = String::new();
        let kept;
        let event = match entry.event {
            Event::Command { text } if !of_today => {
                said.push_str(&as_said_today(text));
                Event::Command { text: &said }
            }
            Event::Begun { .. } | Event::Program { .. } => continue,
            Event::File { name, content } if !of_today => {
                kept = as_kept_today(name, content);
                Event::File {
                    name,
                    content: &kept,
                }
            }
            Event::Meter {
                number,
                name,
                profile,
                port,
            } => Event::Meter {
                number,
                name,
                profile,
                port: on.unwrap_or(port),
            },
            other => other,
        };
        writer.record(entry.at, &event).unwrap();
    }
    writer.seal(last.unwrap(), "ended").unwrap();
}

#[test]
fn a_recording_of_another_version_is_remarked_and_blamed_only_for_differences() {
    let job = Job::copy();
    let copy = job.root.join("copy");
    record_anew(&job.recording(), &copy, ("probewright", "9.9.9"), None);
    fs::rename(&copy, job.recording()).unwrap();
    let out = job.audit(&[]).with_status(0).out();
    assert_says(
        &out,
        &["remark: probewright 9.9.9 made the recording and this is probewright"],
    );
    job.edit(|lines| replace(&mut lines[3], ",fail,above", ",pass,above"));
    let finding = job.finding();
    assert_says(
        &finding,
        &[
            "`verdict` says `pass`",
            "probewright 9.9.9 made the recording",
            "only that one can tell",
        ],
    );
}

/// The jobs that were kept of each version, in `tests/versions`.
fn versions() -> Vec<String> {
    let folder = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/versions"));
    let mut names: Vec<String> = folder
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// Keeps a job of this version beside the earlier ones: what the newest of them was told, recorded and judged by this one.
fn keep_this_version() {
    let this = env!("CARGO_PKG_VERSION");
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/versions");
    let earlier = versions().into_iter().rfind(|version| version != this);
    let earlier = folder.join(earlier.unwrap());
    let kept = folder.join(this);
    let _ = fs::remove_dir_all(&kept);
    fs::create_dir_all(kept.join("sittings")).unwrap();
    for name in ["job.toml", "parts.csv"] {
        fs::copy(earlier.join(name), kept.join(name)).unwrap();
    }
    let from = files_in(&earlier.join("sittings"), "rec").remove(0);
    let to = kept.join("sittings").join(from.file_name().unwrap());
    record_anew(&from, &to, ("probewright", this), None);
    let (finished, csv) = replay(&to);
    assert_eq!(finished.with_status(0).err(), "");
    fs::write(kept.join("results.csv"), csv).unwrap();
    let decide = [
        OsStr::new("decide"),
        kept.as_os_str(),
        OsStr::new("--recorded"),
    ];
    Program::new(decide).run().with_status(0).out();
}

#[test]
fn what_each_version_made_replays_and_no_row_of_it_is_called_edited() {
    if std::env::var_os("PROBEWRIGHT_WRITE_VERSION").is_some() {
        keep_this_version();
    }
    let versions = versions();
    assert!(versions.iter().any(|version| version == "0.1.0"));
    assert!(
        versions
            .iter()
            .any(|version| version == env!("CARGO_PKG_VERSION"))
    );
    for version in versions {
        let job = Job::of_version(&version);
        let (finished, csv) = replay(&job.recording());
        assert_eq!(finished.with_status(0).err(), "");
        let results = fs::read(job.root.join("results.csv")).unwrap();
        let rows = |bytes: &[u8]| String::from_utf8_lossy(bytes).lines().count();
        assert_eq!(rows(&csv), rows(&results), "{version}");
        let finished = job.audit(&[]);
        if version == env!("CARGO_PKG_VERSION") {
            assert!(csv == results, "{}", String::from_utf8_lossy(&csv));
            assert!(!finished.with_status(0).out().contains("FINDING"));
            continue;
        }
        let out = finished.out();
        let differences = out.lines().filter(|line| line.contains("results.csv, "));
        for difference in differences {
            assert_says(
                difference,
                &[&format!("made under earlier rules ({version})")],
            );
        }
    }
}

#[test]
fn a_difference_in_what_an_earlier_version_made_comes_from_its_rules() {
    let job = Job::of_version("0.1.0");
    job.edit(|lines| replace(&mut lines[2], ",fail,", ",pass,"));
    let out = job.audit(&[]).with_status(3).out();
    let why =
        "made under earlier rules (0.1.0); only that version can tell whether it was changed since";
    assert_says(&out, &["R2 value, attempt 1: `verdict` says `pass`", why]);
    let json = job.audit(&["--json"]).with_status(3).out();
    assert_says(
        &json,
        &["\"cause\":\"earlier-rules\",\"version\":\"0.1.0\""],
    );
}

#[test]
fn a_recording_that_was_rewritten_as_a_whole_shows_in_the_digest_alone() {
    let job = Job::copy();
    let digest = |out: String| {
        let (_, rest) = out.split_once("all before it: ").unwrap();
        rest.lines().next().unwrap().to_owned()
    };
    let before = digest(job.audit(&[]).with_status(0).out());
    let copy = job.root.join("copy");
    let program = ("probewright", env!("CARGO_PKG_VERSION"));
    record_anew(&job.recording(), &copy, program, Some("elsewhere"));
    fs::rename(&copy, job.recording()).unwrap();
    let after = digest(job.audit(&[]).with_status(0).out());
    assert_ne!(before, after);
}

#[test]
fn decisions_out_of_order_and_on_unknown_parts_are_remarked() {
    let job = Job::copy();
    job.write(
        "decisions.csv",
        "time,ref,decision,reason,article,bag\r\n\
         2056-11-03T19:25:30.000+01:00,R3,replace,,,\r\n\
         2056-11-03T19:25:29.000+01:00,R99,keep,,,\r\n",
    );
    let out = job.audit(&[]).with_status(0).out();
    assert_says(
        &out,
        &[
            "decision 2, on `R99`, is earlier",
            "decision 2 is on `R99`, which the parts list does not have",
        ],
    );
}

#[test]
fn checks_of_new_parts_are_audited_by_their_own_results() {
    let job = Job::copy();
    fs::create_dir(job.root.join("incoming")).unwrap();
    let name = job.recording().file_name().unwrap().to_owned();
    let incoming = job.root.join("incoming").join(name);
    fs::copy(job.recording(), &incoming).unwrap();
    let rows = job.lines().concat();
    job.write("incoming.csv", &rows);
    let out = job.audit(&[]).with_status(0).out();
    assert_says(&out, &["audited 2 recordings", "94 rows compared"]);
    job.write("incoming.csv", rows.replacen(",R1,", ",R9,", 1));
    let out = job.audit(&[]).with_status(3).out();
    assert_says(
        &out,
        &["incoming.csv, line 2, R1 value, attempt 1: `ref` says `R9`"],
    );
    let why = Program::new([OsStr::new("why"), incoming.as_os_str(), OsStr::new("R3")]);
    assert_says(&why.run().with_status(0).out(), &["R3: FAIL."]);
}

#[test]
fn another_file_of_results_can_be_named() {
    let job = Job::copy();
    let elsewhere = job.root.join("elsewhere.csv");
    fs::rename(job.root.join("results.csv"), &elsewhere).unwrap();
    assert_says(&job.finding(), &["none of the 47 rows"]);
    let path = elsewhere.to_str().unwrap();
    let out = job.audit(&["--results", path]).with_status(0).out();
    assert_says(&out, &["47 rows compared: no findings"]);
}

#[test]
fn what_holds_no_recording_is_a_bad_input() {
    let job = Job::copy();
    fs::remove_file(job.recording()).unwrap();
    fs::remove_file(job.root.join("results.csv")).unwrap();
    let _ = job
        .audit(&[])
        .with_status(2)
        .complaining(&["no recording in"]);
    let parts = job.root.join("parts.csv");
    let _ = Program::new([OsStr::new("audit"), parts.as_os_str()])
        .run()
        .with_status(2)
        .complaining(&["is no recording"]);
    let _ = Program::new(["audit"]).run().with_status(2);
    // In a job it is a finding, and does not keep the others from being audited.
    let job = Job::copy();
    job.write("sittings/20000101T000000.rec", "");
    assert_says(&job.finding(), &["holds no whole line"]);
}

#[test]
fn findings_come_as_json_with_the_same_words() {
    let job = Job::copy();
    job.edit(|lines| replace(&mut lines[3], ",fail,above", ",pass,above"));
    let out = job.audit(&["--json"]).with_status(3).out();
    // The shipped profile may be another since the recording was made, which is a remark.
    let lines: Vec<serde_json::Value> = out
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .filter(|line: &serde_json::Value| line["remark"].is_null())
        .collect();
    assert_eq!(lines.len(), 3, "{out}");
    assert_eq!(
        (&lines[0]["lines"], &lines[0]["rows"]),
        (&3106.into(), &47.into())
    );
    let found = |field: &str| lines[1][field].as_str().unwrap_or_default().to_owned();
    for (field, value) in [
        ("finding", "cell"),
        ("ref", "R3"),
        ("step", "value"),
        ("attempt", "1"),
        ("column", "verdict"),
        ("found", "pass"),
        ("expected", "fail"),
        ("cause", "edited"),
    ] {
        assert_eq!(found(field), value, "{out}");
    }
    assert!(found("in").ends_with("results.csv"));
    assert!(job.findings()[0].ends_with(&found("words")));
    assert_eq!(lines[2]["audited"]["findings"], 1);
}

#[test]
fn another_policy_and_rule_tell_what_would_change_and_why() {
    let job = Job::copy();
    job.write(
        "other.toml",
        "[[role]]\nwords = ['splitter']\nwiden_to_percent = 20\nreason = 'it may drift'\nsource = 'own experience'\n",
    );
    let policy = job.root.join("other.toml");
    let out = job
        .audit(&["--with-policy", policy.to_str().unwrap()])
        .with_status(0)
        .out();
    // R13 reads 51.61 kΩ, more than its listed 47 kΩ + 5 %, and less than 47 kΩ + 20 % = 56.4 kΩ.
    assert_says(
        &out,
        &[
            "R13 value: fail -> pass; limits 44.65 kΩ to 49.35 kΩ -> 37.6 kΩ to 56.4 kΩ\n",
            "role: no rule -> widened to ±20 % for `splitter`, it may drift (own experience)",
            "of 45 measurements would change",
            "1 fail -> pass",
        ],
    );
    assert!(!out.contains("R3 value"), "{out}");
    let out = job.audit(&["--with-rule", "simple"]).with_status(0).out();
    assert_says(
        &out,
        &[
            "C3 value: conditional pass -> pass\n",
            "decision rule: guard-band -> simple",
        ],
    );
    let same = job
        .audit(&["--with-rule", "guard-band"])
        .with_status(0)
        .out();
    assert_eq!(
        same,
        "0 of 45 measurements would change, 0 of them the verdict\n"
    );
    job.write("other.toml", "[[role]]\nwords = 3\n");
    let _ = job
        .audit(&["--with-policy", policy.to_str().unwrap()])
        .with_status(2)
        .complaining(&["other.toml", "policy.toml:2:9"]);
}

#[test]
fn a_disk_that_is_full_is_told() {
    let job = Job::copy();
    let _ = Program::by_shell(
        "exec \"$@\" > /dev/full",
        [OsStr::new("audit"), job.root.as_os_str()],
    )
    .run()
    .with_status(1)
    .complaining(&["No space left"]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn any_single_changed_byte_of_a_recording_is_found(place in any::<prop::sample::Index>(), to in any::<u8>()) {
        let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings/cinema-multimeter/sittings");
        let mut bytes = fs::read(&files_in(&job, "rec")[0]).unwrap();
        let place = place.index(bytes.len());
        prop_assume!(bytes[place] != to);
        bytes[place] = to;
        let length = bytes.len() as u64;
        // A file that is not even read is found, too: the program ends with the reason.
        if let Ok(survey) = survey_of(Cursor::new(bytes), "changed.rec") {
            let sound = soundness(&survey, length, false);
            prop_assert!(!sound.findings.is_empty() && sound.seal.is_none(), "byte {}", place);
        }
    }
}
