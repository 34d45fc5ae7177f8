//! The corpora of the fuzz targets, as ordinary tests.

use std::fs;
use std::path::Path;

#[path = "fuzz/targets.rs"]
mod targets;

/// Gives every file of a corpus to its target, and every beginning of a small one.
fn each(corpus: &str, target: fn(&[u8])) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(corpus);
    let mut count = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let bytes = fs::read(entry.unwrap().path()).unwrap();
        target(&bytes);
        for end in (0..bytes.len().min(400)).step_by(7) {
            target(&bytes[..end]);
        }
        count += 1;
    }
    assert!(count > 2, "{corpus}");
}

#[test]
fn every_table_is_read_or_refused() {
    each("table", targets::table);
}

#[test]
fn every_recording_is_sound_or_not() {
    each("recording", targets::recording);
}

#[test]
fn every_line_of_a_meter_is_survived() {
    each("line", targets::line);
}

#[test]
fn every_profile_is_read_or_refused() {
    each("profile", targets::profile);
}
