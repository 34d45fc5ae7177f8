//! A general-purpose circuit simulator as peer: ngspice, where this machine has it.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::process::{Command, Stdio};

/// Runs the netlist, and gives back what its `print` lines said: name and number, in their order. Nothing, and a message, where
/// there is no simulator.
pub(crate) fn simulate(netlist: &str) -> Option<Vec<(String, f64)>> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("network.cir");
    fs::write(&file, netlist).unwrap();
    let run = Command::new("ngspice")
        .arg("-b")
        .arg(&file)
        .current_dir(folder.path())
        .stdin(Stdio::null())
        .output();
    let Ok(run) = run else {
        // Written past the harness, which keeps what tests that pass have printed.
        let words = "SKIPPED: this machine has no ngspice, so no network was held against it\n";
        std::io::stderr().write_all(words.as_bytes()).unwrap();
        return None;
    };
    let text = String::from_utf8_lossy(&run.stdout);
    let said = text.lines().filter_map(|line| {
        let (name, number) = line.split_once(" = ")?;
        Some((
            name.trim().to_owned(),
            number.split(',').next()?.trim().parse().ok()?,
        ))
    });
    Some(said.collect())
}

/// The netlist of one current of 1 A into node `into` and out at node `out`, through resistors with these ends and values, as a
/// network of its own among others; `print` it as `v(name of the network, node)`.
pub(crate) fn resistors(
    name: &str,
    ends_and_ohms: &[([usize; 2], f64)],
    [into, out]: [usize; 2],
) -> String {
    let node = |node: usize| {
        if node == out {
            "0".to_owned()
        } else {
            format!("{name}n{node}")
        }
    };
    let mut text = format!("i{name} 0 {} dc 1\n", node(into));
    for (place, ([a, b], ohms)) in ends_and_ohms.iter().enumerate() {
        let (a, b) = (node(*a), node(*b));
        writeln!(text, "r{name}x{place} {a} {b} {ohms:e}").unwrap();
    }
    text
}
