//! Whole replays by the real program.

use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use chrono::DateTime;
use divan::Bencher;
use divan::counter::ItemsCount;
use probewright::face::bench::recording::{Event, Header, LinkState, Writer};
use probewright::face::engine::quantity::Stamp;
use tempfile::TempDir;

use crate::workload::{Lines, PER_PART, profile_text};

/// The most memory that a replay may take, MB, whatever its length.
const MOST_MEMORY: u64 = 50;

/// A recording of that many readings, one a line.
fn record(folder: &Path, readings: u64) -> PathBuf {
    let rows = (0..=readings / PER_PART).map(|i| format!("R{i},resistor,4K7,10%\n"));
    let parts = format!("ref,kind,value,tolerance\n{}", rows.collect::<String>());
    let (name, profile) = profile_text();
    let setup = [
        Event::File {
            name: "job.toml",
            content: b"",
        },
        Event::File {
            name: "parts.csv",
            content: parts.as_bytes(),
        },
        Event::File {
            name: "profile.toml",
            content: profile.as_bytes(),
        },
        Event::Setting {
            key: "m_is_thousand",
            value: "no",
        },
        Event::Setting {
            key: "only",
            value: "",
        },
        Event::Setting {
            key: "rule",
            value: "guard-band",
        },
        Event::Setting {
            key: "profile",
            value: name,
        },
        Event::Meter {
            number: 0,
            name: "meter",
            profile: name,
            port: "bench",
        },
    ];
    let begun = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
    let header = Header {
        program: "bench",
        version: "1",
        begun,
        setup: &setup,
    };
    let path = folder.join("long.rec");
    let out = BufWriter::new(File::create(&path).unwrap());
    let mut writer = Writer::onto(out, || Ok(()), &path, &header).unwrap();
    writer
        .record(
            Stamp::ZERO,
            &Event::Link {
                meter: 0,
                state: LinkState::Up,
                reason: "",
            },
        )
        .unwrap();
    let mut lines = Lines::new();
    for i in 1..=readings {
        writer
            .record(
                Stamp::from_micros(i * 1000),
                &Event::In {
                    meter: 0,
                    bytes: lines.next(),
                },
            )
            .unwrap();
    }
    let end = Stamp::from_micros((readings + 1) * 1000);
    writer.record(end, &Event::Command { text: "end" }).unwrap();
    writer.seal(end, "ended").unwrap();
    path
}

/// Replays, and gives the most memory that was seen in use, in MB.
fn replay(recording: &Path, csv: &Path) -> u64 {
    let mut child = Command::new(env!("CARGO_BIN_EXE_probewright"))
        .arg("replay")
        .arg(recording)
        .arg("--csv")
        .arg(csv)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let mut most = 0;
    loop {
        if let Some(ended) = child.try_wait().unwrap() {
            assert!(ended.success(), "{ended}");
            return most;
        }
        most = most.max(memory(&status).unwrap_or(0));
        thread::sleep(Duration::from_millis(5));
    }
}

/// Peak resident memory of a process, MB.
fn memory(status: &Path) -> Option<u64> {
    let status = fs::read_to_string(status).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<u64>()
        .ok()
        .map(|kilobytes| kilobytes / 1024)
}

#[divan::bench(sample_count = 3, sample_size = 1, args = [100_000, 1_000_000, 10_000_000])]
fn readings(bencher: Bencher<'_, '_>, readings: u64) {
    let folder = TempDir::new().unwrap();
    let recording = record(folder.path(), readings);
    let csv = folder.path().join("out.csv");
    let mut most = 0;
    bencher.counter(ItemsCount::new(readings)).bench_local(|| {
        let _ = fs::remove_file(&csv);
        most = most.max(replay(&recording, &csv));
    });
    let rows = fs::read_to_string(&csv).unwrap().lines().count() as u64 - 1;
    assert_eq!(rows, readings.div_ceil(PER_PART));
    eprintln!("{readings} readings: at most {most} MB, {rows} rows");
    assert!(most < MOST_MEMORY, "{most} MB");
}
