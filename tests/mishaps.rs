//! The command `sit` when something goes wrong: on the line, at the meter, on the disk, or with the program itself.

use std::fs;
use std::io::Write as _;
use std::net::TcpListener;
use std::thread;
use std::time::Duration;

use probewright::face::bench::recording::{Ending, survey};
use probewright::face::bench::simulator::{Component, Fault, Options};
use rustix::process::Signal;

use crate::program::{Program, Row, at, replay, rows};
use crate::sit::{Bench, Way, held, ohm};

fn survives_a_cut_cable(way: Way) {
    let bench = Bench::new(way);
    let mut sitting = bench.sit();
    held(&mut sitting);
    bench.meter.cut_cable().unwrap();
    sitting.program.sees(&["link lost: ", "; trying again"]);
    bench.meter.plug_in().unwrap();
    sitting.program.sees(&["link up"]);
    // The same touch goes on, and only what came since counts.
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    // Cut once more, with the probes in the air.
    bench.meter.cut_cable().unwrap();
    sitting.program.sees(&["link lost: "]);
    bench.meter.plug_in().unwrap();
    sitting.program.sees(&["link up"]);
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    let finished = sitting.end();
    for words in ["\tlink\t0\tlost\t", "\tlink\t0\tup\t"] {
        assert!(bench.recorded(words), "{words}");
    }
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
    assert_eq!(short, [("R1", "1", "pass"), ("R2", "1", "pass")]);
    assert!((rows[0].number("value") - 4712.0).abs() < 2.0);
    bench.check_recording(&finished);
}

#[test]
fn a_cable_cut_in_the_middle_of_a_touch_spoils_nothing_over_a_terminal() {
    survives_a_cut_cable(Way::Terminal);
}

#[test]
fn a_cable_cut_in_the_middle_of_a_touch_spoils_nothing_over_a_socket() {
    survives_a_cut_cable(Way::Socket);
}

#[test]
fn a_meter_that_goes_silent_is_told_and_taken_up_again() {
    let bench = Bench::new(Way::Terminal).impatient();
    let mut sitting = bench.sit();
    held(&mut sitting);
    bench.meter.faults().set_silent(true);
    sitting
        .program
        .sees(&["the meter is silent; check that it is on"]);
    bench.meter.faults().set_silent(false);
    sitting.program.sees(&["the meter answers again"]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    assert_eq!(bench.job.rows().len(), 1);
    bench.check_recording(&finished);
}

#[test]
fn late_answers_never_make_a_wrong_value() {
    let bench = Bench::new(Way::Socket).impatient();
    let mut sitting = bench.sit();
    let late = || {
        bench
            .meter
            .faults()
            .order(Fault::DelayAnswer(Duration::from_millis(900)));
    };
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    // An answer about nothing comes late, while the probes are on the part already.
    late();
    sitting.program.sees(&["the meter is silent"]);
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.touch(Component::capacitor(48e-9), &["C1 ", " PASS "]);
    sitting.in_hand("R3");
    // A resistance comes late, when a capacitance is wanted: 331 ohm are not 331 farad.
    sitting.hold(ohm(331.0), &["R3 ", " PASS "]);
    late();
    late();
    sitting.program.say("goto C1");
    sitting.in_hand("C1");
    bench.probes.lift();
    sitting.program.sees(&["the meter is silent"]);
    sitting.program.sees(&["the meter answers again"]);
    // Stray picofarads: now the lift was seen.
    sitting.reads("E-12");
    sitting.touch(Component::capacitor(49e-9), &["C1 ", " PASS ", "attempt 2"]);
    let finished = sitting.end();
    let rows = bench.job.rows();
    let found: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.number("value")))
        .collect();
    let expected = [
        ("R1", 4712.0),
        ("R2", 221e3),
        ("C1", 48e-9),
        ("R3", 331.0),
        ("C1", 49e-9),
    ];
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for ((part, value), (expected_part, expected)) in found.into_iter().zip(expected) {
        assert_eq!(part, expected_part);
        assert!((value / expected - 1.0).abs() < 0.02, "{part}: {value}");
    }
    bench.check_recording(&finished);
}

#[test]
fn garbage_on_the_line_is_told_and_passed_over() {
    let bench = Bench::new(Way::Terminal);
    let mut sitting = bench.sit();
    let faults = bench.meter.faults();
    held(&mut sitting);
    faults.order(Fault::GarbageFirst(b"\xff\x80\x01\n".to_vec()));
    sitting.program.sees(&["not understood: `\\xff\\x80\\x01`"]);
    // Garbage is told once, until a good reading comes.
    sitting.reads("E+04");
    faults.order(Fault::OverlongLine(5000));
    sitting
        .program
        .sees(&["not understood: a line longer than the profile allows"]);
    sitting.reads("E+04");
    faults.order(Fault::GarbageFirst(b"4711 4712\n".to_vec()));
    sitting.program.sees(&["not understood: `4711 4712`"]);
    faults.order(Fault::HalfLine(Duration::from_millis(300)));
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    let rows = bench.job.rows();
    assert_eq!(rows.len(), 1);
    assert!((rows[0].number("value") - 4712.0).abs() < 2.0);
    bench.check_recording(&finished);
}

#[test]
fn a_sitting_that_was_killed_reads_back_and_the_job_goes_on() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.program.signal(Signal::KILL);
    let killed = sitting.program.end();
    let recording = bench.job.recording();
    let found = survey(&recording).unwrap();
    assert!(
        matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
        "{found:?}"
    );
    let (replayed, csv) = replay(&recording);
    let replayed = replayed.with_status(3);
    let results = fs::read(bench.job.results()).unwrap();
    assert!(csv.starts_with(&results));
    assert_eq!(rows(&results).len(), 2);
    assert!(killed.out().lines().count() > 4 && replayed.out().contains("R2 "));

    // As if the last row had been torn as well.
    fs::write(bench.job.results(), &results[..results.len() - 20]).unwrap();
    let mut again = bench.sit();
    again
        .program
        .complains("the last row of results.csv was torn and is cut off");
    again.touch(ohm(4713.0), &["R1 ", " PASS "]);
    again.in_hand("R2");
    again.end().out();
    let recordings = bench.job.recordings();
    assert_eq!(recordings.len(), 2);
    assert!(survey(&recordings[1]).unwrap().is_whole());
    let rows = bench.job.rows();
    let values: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.number("value").round()))
        .collect();
    assert_eq!(values.len(), 2, "{values:?}");
    assert!(rows[0].get("sitting") < rows[1].get("sitting"));
    assert_eq!((values[0].0, values[1].0), ("R1", "R1"));
    let csv = fs::read(bench.job.results()).unwrap();
    assert!(csv.starts_with(&results[..results.len() / 2]));
}

#[test]
fn a_full_disk_stops_the_sitting_and_what_is_there_reads_back() {
    let bench = Bench::with(Way::Socket, |options| Options {
        readings_per_second: 500.0,
        ..options
    });
    // Files may grow to 32 KiB (in units of 512 bytes in POSIX, of 1024 in other shells: to 64 KiB at the most).
    let script = "trap '' XFSZ; ulimit -f 64; exec \"$@\"";
    let finished = Program::by_shell(script, bench.arguments())
        .start()
        .end()
        .with_status(1)
        .complaining(&[
            "could not be written to `",
            "what comes before it is safe",
            "too large",
        ]);
    let found = survey(bench.job.recording()).unwrap();
    assert!(
        matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
        "{found:?}"
    );
    let (replayed, csv) = replay(&bench.job.recording());
    let replayed = replayed.with_status(3).out();
    assert!(replayed.contains("meter: Probewright"), "{replayed}");
    assert!(finished.out().contains("meter: Probewright"));
    assert_eq!(csv, fs::read(bench.job.results()).unwrap());
}

#[test]
fn a_sitting_that_cannot_be_recorded_does_not_begin() {
    let bench = Bench::new(Way::Socket);
    let place = bench.job.root().join("sittings");
    fs::write(&place, "in the way").unwrap();
    let finished = Program::new(bench.arguments())
        .run()
        .with_status(1)
        .complaining(&["sittings`"]);
    assert_eq!(finished.out(), "");
    assert_eq!(fs::read_to_string(&place).unwrap(), "in the way");
}

#[test]
fn a_reader_that_goes_away_ends_a_sitting_quietly() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.program.close_stdout();
    sitting.program.say("next");
    sitting.program.until_unread();
    sitting.program.say("back");
    let finished = sitting.program.end().with_status(0);
    assert!(!finished.err().contains("panicked"), "{}", finished.err());
    assert!(
        !finished.err().contains("cannot print"),
        "{}",
        finished.err()
    );
    let (replayed, csv) = replay(&bench.job.recording());
    let replayed = replayed.with_status(0);
    assert!(!replayed.out().is_empty());
    assert_eq!(csv, fs::read(bench.job.results()).unwrap());
    let found = probewright::face::bench::recording::survey(bench.job.recording()).unwrap();
    assert!(
        matches!(found.ending, Ending::Sealed(_)),
        "{:?}",
        found.ending
    );
}

#[test]
fn a_sitting_goes_on_when_nobody_reads_its_remarks() {
    let bench = Bench::new(Way::Socket);
    let mut program = Program::by_shell("exec \"$@\" 2>&-", bench.arguments()).start();
    program.sees(&["meter: Probewright"]);
    program.say("no such command");
    program.say("next");
    program.sees(&["  R2 "]);
    program.say("end");
    program.end().with_status(0).out();
    // The same with a reader that has gone.
    let mut program =
        Program::by_shell("{ \"$@\" 2>&1 >&3 | true; } 3>&1", bench.arguments()).start();
    program.sees(&["meter: Probewright"]);
    program.say("no such command");
    program.say("next");
    program.sees(&["  R2 "]);
    program.say("end");
    program.end().with_status(0).out();
    for recording in bench.job.recordings() {
        assert!(survey(&recording).unwrap().is_whole());
    }
}

/// Sends one line over and over, to whoever connects, until nobody reads any more.
fn flood(line: &'static [u8]) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("tcp:{}", listener.local_addr().unwrap());
    thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        let lines = line.repeat(5000);
        while stream.write_all(&lines).is_ok() {}
    });
    address
}

#[test]
fn a_peer_without_pace_fills_no_memory_and_the_end_is_heard() {
    let bench = Bench::new(Way::Socket).talking();
    let mut arguments = bench.arguments();
    let meter = arguments.iter().position(|word| word == "--meter").unwrap();
    arguments[meter + 1] = at(&bench.profile, flood(b"+4.7123E+03 OHM\r\n"));
    let mut program = Program::new(arguments).start();
    program.sees(&[
        "the meter sends faster than it is read: ",
        " bytes were passed over",
    ]);
    program.say("note heard");
    program.sees(&["note: heard"]);
    let status = fs::read_to_string(format!("/proc/{}/status", program.id())).unwrap();
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    let kilobytes: u64 = peak.trim().trim_end_matches(" kB").parse().unwrap();
    assert!(kilobytes < 200_000, "{peak}");
    program.say("end");
    let finished = program.end().with_status(0);
    assert!(bench.recorded("\tmissed\t0\t"));
    // No two halves of a line made another one.
    assert!(
        !finished.out().contains("not understood"),
        "{}",
        finished.out()
    );
    bench.check_recording(&finished);
}

#[test]
fn results_that_are_deleted_during_a_sitting_are_missed_at_the_next_row() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    fs::remove_file(bench.job.results()).unwrap();
    bench.probes.place(ohm(221e3), Duration::ZERO);
    let finished = sitting.program.end().with_status(1);
    assert!(
        finished.err().contains("deleted while it was written"),
        "{}",
        finished.err()
    );
    // The recording has both.
    let (_, csv) = replay(&bench.job.recording());
    assert_eq!(rows(&csv).len(), 2);
}

#[test]
fn a_recording_that_is_deleted_during_a_sitting_ends_it() {
    let bench = Bench::new(Way::Socket);
    let sitting = bench.sit();
    fs::remove_file(bench.job.recording()).unwrap();
    sitting
        .program
        .end()
        .with_status(1)
        .complaining(&["could not be written to `", "deleted while it was written"])
        .out();
}

#[test]
fn a_second_sitting_is_refused_although_the_file_of_the_lock_is_gone() {
    let bench = Bench::new(Way::Socket);
    let sitting = bench.sit();
    for _ in 0..2 {
        fs::remove_file(bench.job.root().join(".sitting.lock")).unwrap();
        Program::new(bench.arguments())
            .run()
            .with_status(1)
            .complaining(&["has a sitting already"])
            .out();
    }
    sitting.end().out();
    bench.sit().end().out();
}

#[test]
fn a_recording_without_one_line_is_removed() {
    let bench = Bench::new(Way::Socket);
    // The disk is full before the first line.
    let script = "trap '' XFSZ; ulimit -f 0; exec \"$@\"";
    let finished = Program::by_shell(script, bench.arguments())
        .run()
        .with_status(1);
    assert!(
        finished.err().contains("could not be written to `"),
        "{}",
        finished.err()
    );
    assert_eq!(bench.job.recordings().len(), 0);
    // As if the program had been killed when it had made the file.
    let left = bench.job.root().join("sittings/20260101T000000.rec");
    fs::write(&left, "").unwrap();
    let sitting = bench.sit();
    sitting.program.complains("had no line and is removed");
    sitting.end().out();
    assert!(!left.exists());
    assert_eq!(bench.job.recordings().len(), 1);
}
