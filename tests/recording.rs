//! Recordings as whole files: written, cut, altered, killed, read back.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use chrono::{DateTime, FixedOffset};
use probewright::face::bench::recording::{
    Ending, Event, Flaw, Header, LONGEST_LINE, LinkState, Malformed, ReadError, Reader, Survey,
    WriteError, Writer, survey, survey_of,
};
use probewright::face::engine::quantity::Stamp;
use proptest::prelude::*;
use sha2::{Digest, Sha256};
use std::error::Error;
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, Cursor, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

/// Tells a re-executed test where its recording goes.
const CHILD: &str = "PROBEWRIGHT_TEST_RECORDING";

fn begun() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2056-11-03T19:25:30.250000+01:00").unwrap()
}

fn header<'a>(setup: &'a [Event<'a>]) -> Header<'a> {
    Header {
        program: "probewright",
        version: "9.9.9",
        begun: begun(),
        setup,
    }
}

fn at(micros: u64) -> Stamp {
    Stamp::from_micros(micros)
}

fn small_events() -> Vec<(u64, Event<'static>)> {
    vec![
        (
            0,
            Event::File {
                name: "parts.csv",
                content: "ref,value\nR1,4,7 kΩ\n".as_bytes(),
            },
        ),
        (
            0,
            Event::File {
                name: "note.txt",
                content: b"caf\xe9\0\\",
            },
        ),
        (
            0,
            Event::Setting {
                key: "mains",
                value: "",
            },
        ),
        (
            0,
            Event::Meter {
                number: 1,
                name: "bench",
                profile: "generic-scpi",
                port: "/dev/ttyUSB0",
            },
        ),
        (
            1_500,
            Event::Link {
                meter: 1,
                state: LinkState::Up,
                reason: "",
            },
        ),
        (
            2_000,
            Event::Out {
                meter: 1,
                bytes: b"READ?\n",
            },
        ),
        (
            2_000,
            Event::In {
                meter: 1,
                bytes: b"+4.70312E+03\r\n",
            },
        ),
        (
            9_000_000,
            Event::Command {
                text: "skip\tR1 – später",
            },
        ),
        (
            9_000_001,
            Event::Link {
                meter: 1,
                state: LinkState::Lost,
                reason: "cable pulled",
            },
        ),
    ]
}

/// The bytes of a recording of `events`, sealed at the time of the last one.
fn recorded(events: &[(u64, Event<'_>)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut writer = Writer::onto(&mut bytes, || Ok(()), "memory", &header(&[])).unwrap();
    for (micros, event) in events {
        writer.record(at(*micros), event).unwrap();
    }
    writer
        .seal(at(events.last().map_or(0, |last| last.0)), "finished")
        .unwrap();
    bytes
}

fn small() -> Vec<u8> {
    recorded(&small_events())
}

fn lines(recording: &[u8]) -> Vec<&[u8]> {
    recording.split_inclusive(|&byte| byte == b'\n').collect()
}

/// Every line as text that shows all of it, and how the reading ended.
fn read(mut reader: Reader) -> (Vec<String>, Result<Ending, ReadError>) {
    let mut entries = Vec::new();
    loop {
        match reader.next_entry() {
            Ok(Some(entry)) => entries.push(format!("{entry:?}")),
            Ok(None) => return (entries, Ok(reader.ending().unwrap().clone())),
            Err(error) => return (entries, Err(error)),
        }
    }
}

fn reader(bytes: &[u8]) -> Result<Reader, ReadError> {
    Reader::over(Cursor::new(bytes.to_vec()), "memory")
}

fn look(bytes: &[u8]) -> Result<Survey, ReadError> {
    survey_of(Cursor::new(bytes.to_vec()), "memory")
}

/// The numbers of the lines with problems, leaving out the seal's remark that it fits no longer.
fn flawed_lines(survey: &Survey) -> Vec<u64> {
    let flawed = survey
        .problems
        .iter()
        .filter(|problem| !matches!(problem.flaw, Flaw::Seal { .. }));
    flawed.map(|problem| problem.line).collect()
}

/// Lines with right tags, made without the program's own code.
fn tagged(bodies: &[&str]) -> Vec<u8> {
    let mut recording = String::new();
    let mut before = String::new();
    for body in bodies {
        let tag = hexadecimal(format!("{before}{body}\t").as_bytes())[..8].to_owned();
        recording.extend([*body, "\t", &tag, "\n"]);
        before = format!("{tag}\n");
    }
    recording.into_bytes()
}

fn hexadecimal(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest
        .iter()
        .fold(String::new(), |text, byte| text + &format!("{byte:02x}"))
}

/// How many lines end within `bytes`.
fn whole_lines(bytes: &[u8]) -> u64 {
    memchr::memchr_iter(b'\n', bytes).count() as u64
}

/// Output of a shell command.
fn shell(command: &str, file: &Path) -> String {
    let output = Command::new("sh")
        .args(["-c", command, "sh"])
        .arg(file)
        .env("LC_ALL", "C")
        .output()
        .unwrap();
    assert!(output.status.success(), "{command}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_tiny_recording_has_exactly_these_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("tiny.rec");
    let setup = [Event::File {
        name: "parts.csv",
        content: b"ref\tvalue\r\nR1\t4k7 \xce\xa9\n",
    }];
    let mut writer = Writer::create(&file, &header(&setup)).unwrap();
    writer
        .record(
            at(12),
            &Event::In {
                meter: 3,
                bytes: b"+4.7E3\r\n\xff",
            },
        )
        .unwrap();
    writer.seal(at(13), "finished").unwrap();
    // The tags and the digest were computed with `sha256sum` (GNU coreutils) from the rule in the module's documentation.
    let expected = "\
probewright-recording\t1.2\t668ea6cf
0\tprogram\tprobewright\t9.9.9\t4be23031
0\tbegun\t2056-11-03T19:25:30.250000+01:00\t9532ca9a
0\tfile\tparts.csv\tref\\tvalue\\r\\nR1\\t4k7 Ω\\n\t54160b28
12\tin\t3\t+4.7E3\\r\\n\\xff\tfe43dcdd
13\tsealed\tfinished\t5\t6b6d02ad6200f6e69ef4d33ace58e785d002f7171e2f2ae344586a7b8f31c69c\tde920eaf
";
    assert_eq!(fs::read_to_string(&file).unwrap(), expected);
}

#[test]
fn sha256sum_and_a_shell_prove_every_line_and_the_seal() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("small.rec");
    let bytes = small();
    fs::write(&file, &bytes).unwrap();
    let lines = lines(&bytes);
    for number in 1..=lines.len() {
        let before = if number == 1 {
            String::new()
        } else {
            format!("sed -n {}p \"$1\" | tail -c 9; ", number - 1)
        };
        let command =
            format!("{{ {before} sed -n {number}p \"$1\" | head -c -9; }} | sha256sum | head -c 8");
        let tag = String::from_utf8(lines[number - 1].trim_ascii_end().to_vec()).unwrap();
        assert_eq!(
            tag.rsplit('\t').next(),
            Some(shell(&command, &file).as_str()),
            "line {number}"
        );
    }
    let whole = shell("sed '$d' \"$1\" | sha256sum", &file);
    let seal = String::from_utf8(lines.last().unwrap().to_vec()).unwrap();
    assert_eq!(seal.split('\t').nth(4), whole.split(' ').next());
    assert_eq!(
        seal.split('\t').nth(3),
        Some((lines.len() - 1).to_string().as_str())
    );
}

#[test]
fn a_cut_anywhere_loses_only_the_torn_line() {
    let bytes = small();
    let all = read(reader(&bytes).unwrap()).0;
    for cut in 0..bytes.len() {
        let whole = whole_lines(&bytes[..cut]);
        let torn = cut
            - bytes[..cut]
                .iter()
                .rposition(|&byte| byte == b'\n')
                .map_or(0, |newline| newline + 1);
        let Ok(reader) = reader(&bytes[..cut]) else {
            assert_eq!(whole, 0, "cut at {cut}");
            continue;
        };
        let (entries, ending) = read(reader);
        assert_eq!(entries, all[..whole as usize - 1], "cut at {cut}");
        let expected = match torn {
            0 => Ending::Unsealed { lines: whole },
            bytes => Ending::Torn {
                lines: whole,
                bytes: bytes as u64,
            },
        };
        assert_eq!(ending.unwrap(), expected, "cut at {cut}");
    }
}

#[test]
fn any_altered_byte_is_noticed_at_its_line_and_the_lines_behind_stay_good() {
    let bytes = small();
    let count = lines(&bytes).len() as u64;
    for place in 0..bytes.len() {
        let line = whole_lines(&bytes[..place]) + 1;
        for altered in [bytes[place] ^ 1, bytes[place] ^ 0x80, b'\n', b'\t', 0, b'0'] {
            if altered == bytes[place] {
                continue;
            }
            let mut changed = bytes.clone();
            changed[place] = altered;
            let context = format!("byte {place} of line {line} became {altered:#x}");
            let Ok(survey) = look(&changed) else {
                assert_eq!(line, 1, "{context}");
                continue;
            };
            assert!(!survey.is_whole(), "{context}");
            if place == bytes.len() - 1 {
                assert!(
                    matches!(survey.ending, Ending::Torn { lines, .. } if lines == line - 1),
                    "{context}"
                );
                continue;
            }
            let behind = bytes.len() - place;
            let in_tag = bytes[place..]
                .iter()
                .position(|&byte| byte == b'\n')
                .is_some_and(|left| (1..=8).contains(&left));
            let seal = count + u64::from(altered == b'\n');
            let expected = match altered {
                // A newline in the middle makes two lines of one, and both are wrong. Within the tag, it leaves the next line nothing to follow.
                b'\n' if in_tag && behind > 9 => vec![line, line + 1, line + 2],
                b'\n' => vec![line, line + 1],
                _ => vec![line],
            };
            assert_eq!(flawed_lines(&survey), expected, "{context}: {survey:?}");
            let joined_to_seal = line == count - 1 && bytes[place] == b'\n';
            let remark = usize::from(!expected.contains(&seal) && !joined_to_seal);
            assert_eq!(survey.problems.len() - expected.len(), remark, "{context}");
            let start: usize = lines(&bytes)[..line as usize - 1]
                .iter()
                .map(|line| line.len())
                .sum();
            assert_eq!(survey.problems[0].offset, start as u64, "{context}");
        }
    }
}

#[test]
fn an_altered_line_stops_a_reader_and_its_message_says_where_and_what() {
    let bytes = String::from_utf8(small())
        .unwrap()
        .replace("+4.70312E+03", "+4.10312E+03")
        .into_bytes();
    let mut reader = reader(&bytes).unwrap();
    let mut good = 0;
    let error = loop {
        match reader.next_entry() {
            Ok(entry) => good += usize::from(entry.is_some()),
            Err(error) => break error,
        }
    };
    assert_eq!(good, 8);
    let message = error.to_string();
    assert!(
        message.starts_with("`memory` is damaged: line 10 (byte "),
        "{message}"
    );
    assert!(
        message.contains("2000 in 1 +4.10312E+03\\r\\n"),
        "{message}"
    );
    assert_eq!(reader.next_entry().unwrap_err().to_string(), message);
    assert_eq!(reader.ending(), None);
}

#[test]
fn a_line_whose_tag_alone_was_altered_is_told_apart() {
    let bytes = small();
    let mut split = lines(&bytes);
    let mut altered = split[4].to_vec();
    let last_digit = altered.len() - 2;
    altered[last_digit] ^= 1;
    split[4] = &altered;
    let survey = look(&split.concat()).unwrap();
    assert_eq!(flawed_lines(&survey), [5]);
    assert!(
        matches!(survey.problems[0].flaw, Flaw::TagAltered { .. }),
        "{survey:?}"
    );
}

#[test]
fn a_line_taken_out_is_noticed_at_the_line_behind_it() {
    let bytes = small();
    let count = lines(&bytes).len();
    for taken in 1..count - 1 {
        let mut left = lines(&bytes);
        left.remove(taken);
        let survey = look(&left.concat()).unwrap();
        assert_eq!(flawed_lines(&survey), [taken as u64 + 1], "{survey:?}");
        let seal_too = usize::from(taken + 1 < count - 1);
        assert_eq!(survey.problems.len(), 1 + seal_too, "{survey:?}");
    }
    let mut left = lines(&bytes);
    left.pop();
    assert_eq!(
        look(&left.concat()).unwrap().ending,
        Ending::Unsealed {
            lines: count as u64 - 1
        }
    );
}

#[test]
fn a_line_put_in_is_noticed_as_such() {
    let bytes = small();
    let count = lines(&bytes).len();
    for place in 1..count {
        for copied in 0..count - 1 {
            let mut more = lines(&bytes);
            more.insert(place, more[copied]);
            let survey = look(&more.concat()).unwrap();
            // Of two equal lines the second is the one too many.
            let place = place + usize::from(copied == place);
            assert_eq!(
                flawed_lines(&survey)[0],
                place as u64 + 1,
                "{copied} to {place}: {survey:?}"
            );
            assert!(
                matches!(survey.problems[0].flaw, Flaw::Inserted { .. }),
                "{copied} to {place}: {survey:?}"
            );
            assert_eq!(
                flawed_lines(&survey).len(),
                1,
                "{copied} to {place}: {survey:?}"
            );
        }
    }
}

#[test]
fn lines_that_changed_places_are_noticed_where_they_stand() {
    let bytes = small();
    let count = lines(&bytes).len();
    for first in 1..count - 2 {
        let mut moved = lines(&bytes);
        moved.swap(first, first + 1);
        let survey = look(&moved.concat()).unwrap();
        assert_eq!(
            flawed_lines(&survey),
            [first as u64 + 1, first as u64 + 3],
            "{survey:?}"
        );
    }
}

#[test]
fn something_behind_the_seal_is_reported_with_its_place() {
    for behind in ["x", "1\tin\t1\tx\t00000000\n", "\n"] {
        let bytes = [small(), behind.as_bytes().to_vec()].concat();
        let (entries, ending) = read(reader(&bytes).unwrap());
        assert_eq!(entries.len(), small_events().len() + 2);
        let Err(ReadError::Damaged { problem, .. }) = ending else {
            panic!("{ending:?}")
        };
        assert!(matches!(problem.flaw, Flaw::AfterSeal { .. }), "{problem}");
        assert_eq!((problem.line, problem.offset), (14, small().len() as u64));
    }
}

#[test]
fn a_seal_for_other_lines_is_refused_even_if_every_tag_is_right() {
    let first = "probewright-recording\t1.0";
    let digest = hexadecimal(&tagged(&[first]));
    let right = format!("5\tsealed\tdone\t1\t{digest}");
    assert!(look(&tagged(&[first, &right])).unwrap().is_whole());
    for wrong in [
        format!("5\tsealed\tdone\t2\t{digest}"),
        format!("5\tsealed\tdone\t1\t{}", digest.replace('a', "b")),
    ] {
        let (_, ending) = read(reader(&tagged(&[first, &wrong])).unwrap());
        let message = ending.unwrap_err().to_string();
        assert!(
            message.contains("line 2 (byte 35): the seal is for"),
            "{message}"
        );
    }
}

#[test]
fn times_that_run_backwards_are_an_error_at_their_line() {
    let bytes = tagged(&[
        "probewright-recording\t1.0",
        "7\tcommand\ta",
        "6\tcommand\tb",
        "7\tcommand\tc",
    ]);
    let survey = look(&bytes).unwrap();
    assert_eq!(survey.problems.len(), 1);
    assert_eq!(survey.problems[0].line, 3);
    assert_eq!(
        survey.problems[0].flaw,
        Flaw::Backwards {
            at: at(6),
            before: at(7)
        }
    );
}

#[test]
fn an_unknown_word_is_an_error_in_this_edition_and_skipped_in_a_newer_one() {
    let rest = [
        "0\ttemperature\t21.5",
        "0\tcommand\tnext\textra",
        "1\tcommand\tend",
    ];
    let same = look(&tagged(
        &[&["probewright-recording\t1.0"], &rest[..]].concat(),
    ))
    .unwrap();
    assert_eq!(
        same.problems[0].flaw,
        Flaw::UnknownWord {
            word: "temperature".into()
        }
    );
    let extra = Malformed::Extra {
        word: "command",
        found: "extra".into(),
    };
    assert_eq!(same.problems[1].flaw, Flaw::Malformed(extra));
    let newer = look(&tagged(
        &[&["probewright-recording\t1.9"], &rest[..]].concat(),
    ))
    .unwrap();
    assert_eq!((newer.problems.len(), newer.skipped), (0, 1));
}

#[test]
fn a_recording_of_another_major_version_is_refused() {
    let error = reader(&tagged(&["probewright-recording\t2.0"]))
        .err()
        .unwrap()
        .to_string();
    assert!(
        error.starts_with("`memory` is a recording of version 2.0, this program reads version 1.2"),
        "{error}"
    );
}

#[test]
fn a_file_that_is_no_recording_is_refused_with_what_it_says() {
    let error = reader(b"ref,kind,value\nR1,resistor,4k7\n")
        .err()
        .unwrap()
        .to_string();
    assert!(
        error.starts_with("`memory` is no recording: its first line says `ref,k"),
        "{error}"
    );
    assert!(matches!(reader(b""), Err(ReadError::Empty { .. })));
    assert!(matches!(
        Reader::open("/nowhere/at all.rec"),
        Err(ReadError::Open { .. })
    ));
}

#[test]
fn lines_that_cannot_be_understood_are_errors_although_their_tags_are_right() {
    let cases = [
        ("0", "does not begin with microseconds and a word"),
        (
            "x\tcommand\ta",
            "does not begin with microseconds and a word",
        ),
        (
            "+1\tcommand\ta",
            "does not begin with microseconds and a word",
        ),
        (
            "18446744073709551616\tcommand\ta",
            "does not begin with microseconds and a word",
        ),
        ("0\tcommand", "`command` lacks its first field"),
        ("0\tsetting\ta", "`setting` lacks its value"),
        ("0\tin\t65536\ta", "the meter number of `in` is `65536`"),
        ("0\tin\t1\t\\q", "expected only the escapes"),
        (
            "0\tlink\t1\tdown\t",
            "the state of `link` is `down`, expected `up` or `lost`",
        ),
        (
            "0\tbegun\tyesterday",
            "expected date and time with offset (RFC 3339)",
        ),
        ("0\tcommand\t\\xff", "expected UTF-8"),
        ("0\tsealed\tdone\t1\tabc", "the digest of `sealed` is `abc`"),
    ];
    for (line, expected) in cases {
        let (_, ending) = read(reader(&tagged(&["probewright-recording\t1.0", line])).unwrap());
        let message = ending.unwrap_err().to_string();
        assert!(
            message.contains("line 2 (byte 35): ") && message.contains(expected),
            "{line}: {message}"
        );
    }
}

#[test]
fn reading_ahead_gives_the_same_lines_and_the_same_errors() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.rec");
    let events: Vec<_> = (0..40_000)
        .map(|n| {
            (
                n,
                Event::In {
                    meter: 1,
                    bytes: b"+4.70312E+03\r\n",
                },
            )
        })
        .collect();
    let mut bytes = recorded(&events);
    for altered in [false, true] {
        if altered {
            let middle = bytes.len() / 2;
            bytes[middle] ^= 1;
        }
        fs::write(&file, &bytes).unwrap();
        let (entries, ending) = read(Reader::open(&file).unwrap());
        let (ahead, ahead_ending) = read(Reader::read_ahead(&file).unwrap());
        assert!(entries == ahead);
        assert_eq!(format!("{ending:?}"), format!("{ahead_ending:?}"));
        assert_eq!(ending.is_err(), altered);
        assert_eq!(entries.len() == events.len() + 2, !altered);
    }
}

#[test]
fn a_reader_that_is_dropped_early_lets_its_thread_go() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.rec");
    let events: Vec<_> = (0..40_000)
        .map(|n| (n, Event::Command { text: "next" }))
        .collect();
    fs::write(&file, recorded(&events)).unwrap();
    let mut reader = Reader::read_ahead(&file).unwrap();
    assert!(reader.next_entry().unwrap().is_some());
    drop(reader);
}

#[test]
fn a_file_longer_than_a_block_survives_as_one_line() {
    let content: Vec<u8> = (0..2_000_000_u32).map(|n| (n % 251) as u8).collect();
    let bytes = recorded(&[
        (
            0,
            Event::File {
                name: "big",
                content: &content,
            },
        ),
        (1, Event::Command { text: "next" }),
    ]);
    let mut reader = reader(&bytes).unwrap();
    let mut found = false;
    while let Some(entry) = reader.next_entry().unwrap() {
        found |=
            matches!(entry.event, Event::File { name: "big", content: read } if read == content);
    }
    assert!(found && matches!(reader.ending(), Some(Ending::Sealed(_))));
}

#[test]
fn an_existing_file_is_never_touched_and_the_next_free_name_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let names: Vec<PathBuf> = (0..3)
        .map(|_| {
            Writer::create_in(folder.path(), &header(&[]))
                .unwrap()
                .file()
                .strip_prefix(folder.path())
                .unwrap()
                .into()
        })
        .collect();
    assert_eq!(
        names,
        [
            "20561103T192530.rec",
            "20561103T192530_02.rec",
            "20561103T192530_03.rec"
        ]
        .map(PathBuf::from)
    );
    let error = Writer::create(folder.path().join(&names[0]), &header(&[]))
        .err()
        .unwrap();
    assert!(
        matches!(&error, WriteError::Create { source, .. } if source.kind() == io::ErrorKind::AlreadyExists)
    );
}

#[test]
fn an_event_of_the_past_and_an_event_too_long_are_refused_and_leave_no_trace() {
    let mut bytes = Vec::new();
    let mut writer = Writer::onto(&mut bytes, || Ok(()), "memory", &header(&[])).unwrap();
    writer.record(at(5), &Event::Command { text: "a" }).unwrap();
    let error = writer
        .record(at(4), &Event::Command { text: "b" })
        .unwrap_err();
    assert!(matches!(error, WriteError::Backwards { .. }), "{error}");
    let error = writer
        .record(
            at(5),
            &Event::File {
                name: "huge",
                content: &vec![b'x'; LONGEST_LINE],
            },
        )
        .unwrap_err();
    assert!(
        matches!(error, WriteError::TooLong { what: "file", .. }),
        "{error}"
    );
    writer.record(at(5), &Event::Command { text: "c" }).unwrap();
    let seal = writer.seal(at(6), "finished").unwrap();
    let (entries, ending) = read(reader(&bytes).unwrap());
    assert_eq!(ending.unwrap(), Ending::Sealed(seal));
    assert_eq!(entries.len(), 4);
}

/// Takes a number of bytes and then has no room left.
struct Full<'a> {
    taken: &'a mut Vec<u8>,
    room: usize,
}

impl Write for Full<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = bytes.len().min(self.room - self.taken.len());
        self.taken.extend_from_slice(&bytes[..taken]);
        if taken == 0 {
            Err(io::ErrorKind::StorageFull.into())
        } else {
            Ok(taken)
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_sink_that_fills_up_after_any_number_of_bytes_closes_the_recording_and_keeps_all_before() {
    let whole = small();
    for room in 0..whole.len() {
        let mut taken = Vec::new();
        let outcome = Writer::onto(
            Full {
                taken: &mut taken,
                room,
            },
            || Ok(()),
            "full.rec",
            &header(&[]),
        )
        .and_then(|mut writer| {
            for (micros, event) in small_events() {
                let outcome = writer.record(at(micros), &event);
                if outcome.is_err() {
                    let again = writer.record(at(micros), &event).unwrap_err();
                    assert!(matches!(again, WriteError::Poisoned { .. }), "{again}");
                    return outcome;
                }
            }
            writer.seal(at(9_000_001), "finished").map(drop)
        });
        let error = outcome.unwrap_err();
        let line = whole_lines(&whole[..room]) + 1;
        assert!(
            error.to_string().starts_with(&format!("line {line} (`")),
            "{error}"
        );
        assert!(error.to_string().contains("`full.rec`"), "{error}");
        assert_eq!(taken, whole[..room]);
    }
}

#[test]
fn a_full_device_is_an_error_that_names_the_line() {
    let device = File::options().write(true).open("/dev/full").unwrap();
    let error = Writer::onto(device, || Ok(()), "full.rec", &header(&[]))
        .err()
        .unwrap();
    assert!(
        matches!(&error, WriteError::Write { line: 1, source, .. } if source.kind() == io::ErrorKind::StorageFull)
    );
}

#[test]
fn a_disk_that_refuses_is_reported_at_the_latest_by_the_seal() {
    let mut bytes = Vec::new();
    let refusing = || Err(io::Error::other("medium error"));
    let writer = Writer::onto(&mut bytes, refusing, "bad.rec", &header(&[])).unwrap();
    let error = writer.seal(at(1), "finished").unwrap_err();
    assert!(
        matches!(&error, WriteError::Sync { source, .. } if source.to_string() == "medium error"),
        "{error}"
    );
}

#[test]
fn links_and_whoever_asks_reach_the_disk_without_the_usual_wait() {
    let (told, heard) = channel();
    let sync = move || told.send(()).map_err(io::Error::other);
    let mut writer = Writer::onto(io::sink(), sync, "memory", &header(&[])).unwrap();
    heard.recv().unwrap();
    let begun = Instant::now();
    for n in 0..5 {
        let (meter, state) = (1, LinkState::Lost);
        let event = Event::Link {
            meter,
            state,
            reason: "",
        };
        writer.record(at(n), &event).unwrap();
        heard.recv().unwrap();
        writer
            .record(at(n), &Event::Command { text: "next" })
            .unwrap();
        writer.request_sync();
        heard.recv().unwrap();
    }
    // Unasked, each of the ten would have waited a second.
    assert!(begun.elapsed() < Duration::from_secs(5));
}

/// Runs another test of this program in a process of its own, in the manner that `shell` says.
fn child(shell: &str, test: &str, file: &Path) -> Command {
    let mut command = Command::new("sh");
    command
        .args(["-c", &format!("{shell} exec \"$0\" \"$@\"")])
        .arg(std::env::current_exe().unwrap());
    command
        .args(["--exact", test, "--nocapture"])
        .env(CHILD, file)
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

/// Records until something fails, and says after every line that it is recorded. No test of its own: others run it in a
/// process of its own, and name the file in the environment.
#[test]
fn records_until_it_is_stopped() {
    let Some(file) = std::env::var_os(CHILD).map(PathBuf::from) else {
        return;
    };
    let mut writer = Writer::create(file, &header(&[])).unwrap();
    let error = loop {
        let micros = at(writer.lines());
        match writer.record(
            micros,
            &Event::In {
                meter: 1,
                bytes: b"+4.70312E+03,OHM\r\n",
            },
        ) {
            Ok(()) => println!("\nrecorded {}", writer.lines()),
            Err(error) => break error,
        }
    };
    println!("\nfailed {error}: {}", error.source().unwrap());
    println!(
        "\nfailed {}",
        writer
            .record(at(u64::MAX), &Event::Command { text: "again" })
            .unwrap_err()
    );
}

#[test]
fn whatever_a_killed_program_said_it_had_recorded_reads_back() {
    let folder = tempfile::tempdir().unwrap();
    for enough in [1, 50, 500, 2000] {
        let file = folder.path().join(format!("{enough}.rec"));
        let mut child = child("", "recording::records_until_it_is_stopped", &file)
            .spawn()
            .unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let mut recorded = 0;
        let mut line = String::new();
        while recorded < enough {
            line.clear();
            assert!(
                said.read_line(&mut line).unwrap() > 0,
                "the child ended by itself"
            );
            recorded = line
                .strip_prefix("recorded ")
                .map_or(recorded, |count| count.trim().parse().unwrap());
        }
        // On Unix this is SIGKILL.
        child.kill().unwrap();
        child.wait().unwrap();
        let mut rest = String::new();
        said.read_to_string(&mut rest).unwrap();
        let complete = rest.rsplit_once('\n').map_or("", |(complete, _)| complete);
        let last = complete
            .lines()
            .filter_map(|line| line.strip_prefix("recorded ")?.parse().ok())
            .next_back();
        let promised: u64 = last.unwrap_or(recorded);
        let survey = survey(&file).unwrap();
        assert_eq!(survey.problems, []);
        assert!(
            survey.lines >= promised,
            "{} lines of {promised}",
            survey.lines
        );
        assert!(!survey.is_whole());
    }
}

#[test]
fn a_file_that_may_not_grow_further_closes_the_recording_and_reads_back() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("limited.rec");
    let output = child(
        "trap '' XFSZ; ulimit -f 8;",
        "recording::records_until_it_is_stopped",
        &file,
    )
    .output()
    .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let recorded = said
        .lines()
        .filter_map(|line| line.strip_prefix("recorded "))
        .next_back()
        .unwrap();
    let failures: Vec<_> = said
        .lines()
        .filter_map(|line| line.strip_prefix("failed "))
        .collect();
    let recorded: u64 = recorded.parse().unwrap();
    assert!(
        failures[0].starts_with(&format!(
            "line {} (`in`) could not be written to `",
            recorded + 1
        )),
        "{failures:?}"
    );
    assert!(
        failures[0].contains("limited.rec") && failures[0].contains("File too large"),
        "{failures:?}"
    );
    assert!(failures[1].contains("takes nothing more"), "{failures:?}");
    let size = fs::metadata(&file).unwrap().len();
    assert!(size == 4096 || size == 8192, "{size}");
    let (entries, ending) = read(Reader::open(&file).unwrap());
    assert_eq!(entries.len() as u64, recorded - 1);
    assert!(
        matches!(ending.unwrap(), Ending::Torn { lines, .. } | Ending::Unsealed { lines } if lines == recorded)
    );
}

/// An event whose fields live as long as the test case.
#[derive(Debug, Clone)]
struct Owned {
    kind: u8,
    number: u16,
    up: bool,
    texts: [String; 3],
    bytes: Vec<u8>,
    wall: DateTime<FixedOffset>,
}

impl Owned {
    fn event(&self) -> Event<'_> {
        let Self {
            number,
            bytes,
            wall,
            ..
        } = self;
        let [a, b, c] = &self.texts;
        match self.kind {
            0 => Event::Program {
                name: a,
                version: b,
            },
            1 => Event::Begun { wall: *wall },
            2 => Event::File {
                name: a,
                content: bytes,
            },
            3 => Event::Setting { key: a, value: b },
            4 => Event::Meter {
                number: *number,
                name: a,
                profile: b,
                port: c,
            },
            5 => Event::In {
                meter: *number,
                bytes,
            },
            6 => Event::Out {
                meter: *number,
                bytes,
            },
            7 => Event::Link {
                meter: *number,
                state: if self.up {
                    LinkState::Up
                } else {
                    LinkState::Lost
                },
                reason: a,
            },
            _ => Event::Command { text: a },
        }
    }
}

fn any_event() -> impl Strategy<Value = Owned> {
    let bytes = proptest::collection::vec(any::<u8>(), 0..60);
    // Any microsecond of the years 1970 to 9999, any offset of whole minutes.
    let wall = (0..250_000_000_000_000_000_i64, -1439..1440_i32).prop_map(|(micros, minutes)| {
        let offset = FixedOffset::east_opt(minutes * 60).unwrap();
        DateTime::from_timestamp_micros(micros)
            .unwrap()
            .with_timezone(&offset)
    });
    (
        0..9_u8,
        any::<u16>(),
        any::<bool>(),
        any::<[String; 3]>(),
        bytes,
        wall,
    )
        .prop_map(|(kind, number, up, texts, bytes, wall)| Owned {
            kind,
            number,
            up,
            texts,
            bytes,
            wall,
        })
}

proptest! {
    #[test]
    fn any_events_come_back_as_they_were(events in proptest::collection::vec((any_event(), 0..u64::from(u32::MAX)), 0..20)) {
        let mut now = 0;
        let events: Vec<_> = events.iter().map(|(owned, later)| { now += later; (now, owned.event()) }).collect();
        let bytes = recorded(&events);
        let mut reader = reader(&bytes).unwrap();
        for _ in 0..2 {
            prop_assert!(reader.next_entry().unwrap().is_some());
        }
        for (index, (micros, event)) in events.iter().enumerate() {
            let entry = reader.next_entry().unwrap().unwrap();
            prop_assert_eq!((entry.line, entry.at, entry.event), (index as u64 + 4, at(*micros), *event));
        }
        prop_assert!(reader.next_entry().unwrap().is_none());
        prop_assert!(matches!(reader.ending(), Some(Ending::Sealed(_))));
    }

    #[test]
    fn no_garbage_makes_a_reader_panic(garbage in proptest::collection::vec(any::<u8>(), 0..400), place in any::<prop::sample::Index>()) {
        let mut bytes = small();
        let place = place.index(bytes.len());
        bytes.splice(place..place, garbage.iter().copied());
        let whole = look(&bytes).is_ok_and(|survey| survey.is_whole());
        prop_assert_eq!(whole, garbage.is_empty());
        let _ = look(&garbage);
    }
}
