//! Keys at a real terminal during a sitting.

use std::ffi::{OsStr, OsString};
use std::io::Write as _;

use probewright::face::bench::recording::survey;
use rustix::termios::{LocalModes, Termios, tcgetattr};

use crate::program::{Program, Terminal};
use crate::sit::{Bench, Way};

/// The modes of a terminal.
fn modes(terminal: &Terminal) -> Termios {
    tcgetattr(&terminal.end).unwrap()
}

#[test]
fn keys_command_a_sitting_and_the_terminal_is_left_as_it_was() {
    for last in ["e", "\x03"] {
        let bench = Bench::new(Way::Terminal);
        let terminal = Terminal::open();
        let before = modes(&terminal);
        let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
        let arguments = bench.arguments();
        let mut arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
        arguments.push(OsStr::new("--plain"));
        let screen = terminal.far.try_clone().unwrap();
        let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
        program.sees(&["keys: n next, b back, s skip"]);
        program.sees(&["meter: Probewright"]);
        let during = modes(&terminal).local_modes;
        assert!(!during.intersects(LocalModes::ICANON | LocalModes::ECHO));
        press("s");
        program.sees(&["R1 ", "skipped"]);
        press("gr5\x7f4\r");
        program.sees(&["  R4 "]);
        press("o");
        program.sees(&["R4 ", "probes on it: no reading from now on means open"]);
        program.sees(&["R4 ", "open", "FAIL"]);
        press("dr cracked\r");
        program.sees(&["R4 ", "decided: replace: cracked"]);
        press("x");
        program.sees(&["keys: n next"]);
        press(last);
        program.sees(&["1 of 5 parts judged"]);
        let status = program.status();
        assert_eq!(status.code(), Some(0), "{last:?}");
        let after = modes(&terminal);
        assert_eq!(after.local_modes, before.local_modes);
        assert_eq!(after.input_modes, before.input_modes);
        assert_eq!(after.output_modes, before.output_modes);
        assert_eq!(
            format!("{:?}", after.special_codes),
            format!("{:?}", before.special_codes)
        );
        assert_eq!(bench.job.rows().len(), 1);
        assert!(survey(bench.job.recording()).unwrap().is_whole());
    }
}

#[test]
fn a_foot_switch_that_types_a_key_says_what_the_job_wants() {
    let bench = Bench::new(Way::Terminal);
    let settings = "title = \"a test\"\n[keys]\nspace = \"skip\"\n";
    std::fs::write(bench.job.root().join("job.toml"), settings).unwrap();
    let terminal = Terminal::open();
    let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
    let arguments = bench.arguments();
    let mut arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
    arguments.push(OsStr::new("--plain"));
    let screen = terminal.far.try_clone().unwrap();
    let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
    program.sees(&["meter: Probewright"]);
    press(" ");
    program.sees(&["R1 ", "skipped"]);
    press("e");
    program.sees(&["0 of 5 parts judged"]);
    assert_eq!(program.status().code(), Some(0));
}
