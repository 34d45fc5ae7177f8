//! The engine's rooms import nothing that opens, waits, prints or reads a clock.

use std::fs;
use std::path::{Path, PathBuf};

const ENGINE: [&str; 12] = [
    "quantity",
    "impedance",
    "parts",
    "meter",
    "probing",
    "judge",
    "sitting",
    "feed",
    "audit",
    "ordering",
    "substitute",
    "comparison",
];

/// Words that have no place in the engine's code. Tests at the end of a file may use what they like.
const FORBIDDEN: [&str; 14] = [
    "std::fs",
    "std::io::stdin",
    "std::io::stdout",
    "std::net",
    "std::thread",
    "std::env",
    "std::process",
    "Instant::now",
    "SystemTime",
    "Local::now",
    "Utc::now",
    "serialport",
    "println!",
    "crate::cli",
];

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
}

#[test]
fn the_engine_opens_nothing_and_reads_no_clock() {
    let mut offences = Vec::new();
    for room in ENGINE {
        let mut files = Vec::new();
        sources(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room),
            &mut files,
        );
        assert!(!files.is_empty(), "no sources in {room}");
        for file in files {
            let text = fs::read_to_string(&file).unwrap();
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            for word in FORBIDDEN.iter().filter(|word| code.contains(**word)) {
                offences.push(format!("{}: {word}", file.display()));
            }
        }
    }
    assert!(offences.is_empty(), "{offences:#?}");
}
