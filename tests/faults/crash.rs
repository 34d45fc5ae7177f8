//! Fifty sittings on one job after the other, each killed at some moment: every verdict that was printed has its row.

use std::fs;
use std::time::Duration;

use fastrand::Rng;
use probewright::face::bench::recording::{Ending, survey};
use rustix::process::Signal;

use crate::program::replay;
use crate::sit::{Bench, Way, ohm};

fn kill_twenty_five(seed: u64) {
    let bench = Bench::new(Way::Socket);
    let mut rng = Rng::with_seed(seed);
    let mut rows_before = 0;
    for round in 1..=25 {
        let mut sitting = bench.sit();
        let measured = rng.usize(..=2);
        for (part, next, value) in [("R1", "R2", 4712.0), ("R2", "C1", 221e3)]
            .into_iter()
            .take(measured)
        {
            sitting.touch(ohm(value), &[part, " PASS "]);
            sitting.in_hand(next);
        }
        // With the probes in the air, at once on the next part, or in the middle of it.
        if rng.bool() {
            let value = [4712.0, 221e3, 1e6][measured];
            bench.probes.place(ohm(value), Duration::ZERO);
            for _ in 0..rng.usize(..4) {
                let before = recorded(&bench);
                sitting
                    .program
                    .until("nothing more was recorded", || recorded(&bench) > before);
            }
        }
        sitting.program.signal(Signal::KILL);
        let killed = sitting.program.end();
        bench.probes.lift();
        let printed = killed.out().matches(" PASS ").count();
        let rows = bench.job.rows();
        assert!(
            rows.len() - rows_before >= printed,
            "round {round}: {}",
            killed.out()
        );
        rows_before = rows.len();
        for row in &rows {
            let truth = if row.get("ref") == "R1" {
                4712.0
            } else {
                221e3
            };
            let value = row.number("value");
            assert!((value / truth - 1.0).abs() < 0.01, "{value} for {truth}");
        }
        assert_eq!(bench.job.recordings().len(), round);
    }
    // Every recording reads back and gives the rows of its sitting; one row at most was not written yet.
    let mut written = 0;
    for recording in bench.job.recordings() {
        let found = survey(&recording).unwrap();
        assert!(
            matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
            "{found:?}"
        );
        let (replayed, csv) = replay(&recording);
        replayed.with_status(3).out();
        let name = format!(",{},", recording.file_stem().unwrap().to_str().unwrap());
        let table = fs::read_to_string(bench.job.results()).unwrap();
        let of_sitting: Vec<&str> = table.lines().filter(|line| line.contains(&name)).collect();
        let csv = String::from_utf8(csv).unwrap();
        let computed: Vec<&str> = csv.lines().skip(1).collect();
        assert!(computed.starts_with(&of_sitting) && computed.len() <= of_sitting.len() + 1);
        written += of_sitting.len();
    }
    assert_eq!(written, bench.job.rows().len());
}

/// Bytes of all recordings.
fn recorded(bench: &Bench) -> u64 {
    let files = bench.job.recordings().into_iter();
    files
        .map(|file| fs::metadata(file).map_or(0, |there| there.len()))
        .sum()
}

#[test]
fn a_killed_sitting_loses_no_row_1() {
    kill_twenty_five(1);
}

#[test]
fn a_killed_sitting_loses_no_row_2() {
    kill_twenty_five(2);
}
