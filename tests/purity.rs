//! The engine imports nothing that opens, waits, prints or reads a clock, no wing uses one that stands above it, and what the
//! operating system does differently stands in one of them.

use std::fs;
use std::path::{Path, PathBuf};

/// The engine, and those rooms of other wings that are as pure.
const PURE: [&str; 9] = [
    "engine",
    "books/audit",
    "books/comparison",
    "books/ordering",
    "books/substitute",
    "views/report/diagram",
    "views/screen",
    "views/state",
    "views/told",
];

/// The wings, the lowest first.
const WINGS: [&str; 5] = ["engine", "bench", "books", "views", "cli"];

/// Words that have no place in the engine's code. Tests at the end of a file may use what they like.
const FORBIDDEN: [&str; 15] = [
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
    "crate::platform",
];

/// Words of the operating system, which stand in `src/platform` alone.
const OF_THE_SYSTEM: [&str; 10] = [
    "std::os",
    "rustix",
    "tokio::signal",
    "process_wrap",
    "socket2",
    "libc::",
    "\"/proc",
    "(unix",
    "(windows",
    "target_os",
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
    for room in PURE {
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

#[test]
fn no_wing_uses_one_above_it() {
    let mut offences = Vec::new();
    for (height, wing) in WINGS.iter().enumerate() {
        let mut files = Vec::new();
        sources(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(wing),
            &mut files,
        );
        assert!(!files.is_empty(), "no sources in {wing}");
        for file in files {
            let text = fs::read_to_string(&file).unwrap();
            for above in &WINGS[height + 1..] {
                if text.contains(&format!("crate::{above}::")) {
                    offences.push(format!("{}: {above}", file.display()));
                }
            }
        }
    }
    assert!(offences.is_empty(), "{offences:#?}");
}

#[test]
fn what_the_operating_system_does_differently_stands_in_one_wing_that_uses_no_other() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let platform = src.join("platform");
    let mut files = Vec::new();
    sources(&src, &mut files);
    let mut offences = Vec::new();
    let mut used = false;
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        let is_platform = file.starts_with(&platform);
        let words: &[&str] = if is_platform { &WINGS } else { &OF_THE_SYSTEM };
        for word in words {
            let word = if is_platform {
                format!("crate::{word}")
            } else {
                (*word).to_owned()
            };
            if code.contains(&word) {
                offences.push(format!("{}: {word}", file.display()));
            }
        }
        used |= is_platform && code.contains("rustix");
    }
    assert!(used, "no sources in {}", platform.display());
    assert!(offences.is_empty(), "{offences:#?}");
}
