//! Recordings of a million lines, each with one reading of a meter: written, read and verified.

use chrono::DateTime;
use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use probewright::face::bench::recording::{Event, Header, Reader, Writer};
use probewright::face::engine::quantity::Stamp;
use std::io;
use tempfile::NamedTempFile;

const LINES: u32 = 1_000_000;

fn write(out: impl io::Write) {
    let begun = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
    let header = Header {
        program: "bench",
        version: "1",
        begun,
        setup: &[],
    };
    let mut writer = Writer::onto(out, || Ok(()), "bench.rec", &header).unwrap();
    for n in 0..u64::from(LINES) {
        let event = Event::In {
            meter: 1,
            bytes: b"+4.70312E+03,0,0\r\n",
        };
        writer
            .record(Stamp::from_micros(n * 100_000), &event)
            .unwrap();
    }
    writer
        .seal(Stamp::from_micros(u64::MAX), "finished")
        .unwrap();
}

fn file() -> NamedTempFile {
    let file = NamedTempFile::new().unwrap();
    write(io::BufWriter::new(file.as_file()));
    file
}

fn read(mut reader: Reader) {
    while let Some(entry) = reader.next_entry().unwrap() {
        black_box(entry);
    }
    assert!(reader.ending().is_some());
}

#[divan::bench(sample_count = 5)]
fn write_into_nothing(bencher: Bencher<'_, '_>) {
    bencher
        .counter(ItemsCount::new(LINES))
        .bench_local(|| write(io::sink()));
}

#[divan::bench(sample_count = 5)]
fn read_on_one_thread(bencher: Bencher<'_, '_>) {
    let file = file();
    bencher
        .counter(ItemsCount::new(LINES))
        .bench_local(|| read(Reader::open(file.path()).unwrap()));
}

#[divan::bench(sample_count = 5)]
fn read_ahead_on_another(bencher: Bencher<'_, '_>) {
    let file = file();
    bencher
        .counter(ItemsCount::new(LINES))
        .bench_local(|| read(Reader::read_ahead(file.path()).unwrap()));
}
