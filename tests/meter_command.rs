//! The commands `meter list`, `meter check` and `meter try`.

use std::ffi::OsStr;
use std::fs;
use std::time::Duration;

use probewright::face::bench::simulator::{Component, Serve};
use probewright::face::engine::meter::shipped_profiles;

use crate::bench;
use crate::program::{Finished, Program};

fn meter<A: AsRef<OsStr> + ?Sized>(arguments: &[&A]) -> Program {
    let words = arguments.iter().map(AsRef::as_ref);
    Program::new([OsStr::new("meter")].into_iter().chain(words))
}

#[test]
fn the_list_names_every_profile_and_how_to_reach_a_network() {
    let out = meter(&["list"]).run().with_status(0).out();
    assert!(out.starts_with("ports\n"), "{out}");
    assert!(out.contains("tcp:HOST:PORT"), "{out}");
    let profiles = out.split_once("\nprofiles\n").unwrap().1;
    for shipped in shipped_profiles() {
        let line = format!("  {:<24} ", shipped.name);
        assert_eq!(profiles.matches(&line).count(), 1, "{profiles}");
    }
    assert_eq!(profiles.lines().count(), shipped_profiles().len());
}

#[test]
fn every_shipped_profile_is_good_by_name_and_by_path() {
    for shipped in shipped_profiles() {
        let by_name = meter(&["check", shipped.name]).run().with_status(0).out();
        let file = format!(
            "{}/device-profiles/{}.toml",
            env!("CARGO_MANIFEST_DIR"),
            shipped.name
        );
        let by_path = meter(&["check", &file]).run().with_status(0).out();
        assert!(by_name.starts_with(&format!("{}: good\n", shipped.name)));
        assert!(by_path.starts_with(&format!("{file}: good\n")));
        let rest = |text: &str| text.split_once('\n').unwrap().1.to_owned();
        assert_eq!(rest(&by_name), rest(&by_path));
    }
}

fn check(text: &str) -> (String, Finished) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("my-meter.toml");
    fs::write(&file, text).unwrap();
    let finished = meter(&[OsStr::new("check"), file.as_os_str()]).run();
    (file.display().to_string(), finished)
}

#[test]
fn a_broken_profile_is_shown_with_line_and_caret() {
    let good = shipped_profiles()[0].text;
    let bad = good.replacen("baud = 9600", "baud = \"fast\"", 1);
    let line = 1 + bad
        .lines()
        .position(|line| line.contains("\"fast\""))
        .unwrap();
    let (file, finished) = check(&bad);
    let finished = finished
        .with_status(2)
        .complaining(&[&format!("{file}:{line}:8"), "baud = \"fast\""]);
    assert_eq!(finished.out(), "");
    let caret = finished
        .err()
        .lines()
        .find(|line| line.contains("^^^^^^"))
        .unwrap_or_else(|| panic!("no caret\n{}", finished.err()));
    let shown = finished
        .err()
        .lines()
        .find(|line| line.contains("baud = \"fast\""))
        .unwrap();
    let column = |line: &str, what: &str| line[..line.find(what).unwrap()].chars().count();
    assert_eq!(column(caret, "^"), column(shown, "\"fast\""));
}

#[test]
fn an_unknown_key_and_a_missing_file_are_told_apart() {
    let (file, finished) = check(&format!("colour = \"red\"\n{}", shipped_profiles()[0].text));
    let _ = finished
        .with_status(2)
        .complaining(&[&format!("{file}:1:1"), "colour"]);
    let _ = meter(&["check", "/nowhere/my-meter.toml"])
        .run()
        .with_status(1)
        .complaining(&["cannot read `/nowhere/my-meter.toml`"]);
}

/// A multimeter at that port.
fn at_port(port: &str) -> String {
    format!("scpi-multimeter@{port}")
}

fn tries(serve: Serve) {
    let (probes, meter_on) = bench::meter(serve);
    probes.place(Component::resistor(4700.0), Duration::ZERO);
    let out = meter(&["try", &at_port(meter_on.address()), "--seconds", "1.5"])
        .run()
        .with_status(0)
        .out();
    for words in [
        "  link up\n",
        "  -> *IDN?\\n\n",
        "  <- Probewright,Simulated Meter,0,1\\n\n",
        "     the meter is `Probewright,Simulated Meter,0,1`\n",
        "  -> CONF:RES\\nSYST:ERR?\\n\n",
        "  -> READ?\\n\n",
        "E+03\\n\n",
    ] {
        assert!(out.contains(words), "no {words:?} in:\n{out}");
    }
    // Half a per mille is more than the profile allows its meter here.
    let understood: Vec<f64> = out
        .lines()
        .filter_map(|line| line.split_once("resistance ")?.1.strip_suffix(" kΩ"))
        .map(|value| value.parse().unwrap())
        .collect();
    assert!(!understood.is_empty());
    assert!(
        understood.iter().all(|value| (value - 4.7).abs() < 0.0025),
        "{understood:?}"
    );
    let last = out.lines().last().unwrap();
    assert_eq!(last, format!("{} readings in 1.5 s", understood.len()));
}

#[test]
fn an_attempt_shows_bytes_and_what_they_mean_over_a_socket() {
    tries(Serve::Tcp);
}

#[test]
fn an_attempt_shows_bytes_and_what_they_mean_over_a_terminal() {
    let (_directory, serve) = bench::terminal();
    tries(serve);
}

#[test]
fn an_attempt_measures_what_was_asked_for() {
    let (probes, meter_on) = bench::meter(Serve::Tcp);
    probes.place(Component::capacitor(47e-9), Duration::ZERO);
    let arguments = [
        "try",
        &at_port(meter_on.address()),
        "--seconds",
        "1.5",
        "--function",
        "capacitance",
    ];
    let out = meter(&arguments).run().with_status(0).out();
    assert!(out.contains("  -> CONF:CAP\\nSYST:ERR?\\n\n"), "{out}");
    assert!(out.contains("     capacitance 4"), "{out}");
    assert!(!out.contains("     resistance"), "{out}");
}

#[test]
fn an_attempt_without_a_reading_has_failed() {
    let (_probes, meter_on) = bench::meter(Serve::Tcp);
    meter_on.faults().set_silent(true);
    let out = meter(&["try", &at_port(meter_on.address()), "--seconds", "2.5"])
        .run()
        .with_status(3)
        .out();
    assert!(
        out.contains("     silent: is it on, is the cable right"),
        "{out}"
    );
    assert!(out.ends_with("\n0 readings in 2.5 s\n"), "{out}");
}

#[test]
fn a_port_that_is_not_there_is_named() {
    let _ = meter(&["try", "scpi-multimeter@/dev/no-such-port"])
        .run()
        .with_status(1)
        .complaining(&[
            "there is no port `/dev/no-such-port`",
            "probewright meter list",
        ]);
    // A port that was free a moment ago: bound, looked up, and given back.
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = free.local_addr().unwrap().port();
    drop(free);
    let _ = meter(&["try", &at_port(&format!("tcp:127.0.0.1:{port}"))])
        .run()
        .with_status(1)
        .complaining(&["no connection to `127.0.0.1`", &port.to_string()]);
    let _ = meter(&["try", "scpi-multimeter@tcp:127.0.0.1"])
        .run()
        .with_status(2);
    let _ = meter(&["try", "no-such-profile@/dev/null"])
        .run()
        .with_status(2)
        .complaining(&["no profile `no-such-profile`", "scpi-multimeter"]);
}
