//! The screen of a sitting on a real terminal, seen through a terminal emulator.

use std::ffi::{OsStr, OsString};
use std::fs::File;
use std::io::Write as _;
use std::time::Duration;

use probewright::face::bench::recording::survey;
use probewright::face::bench::simulator::Component;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::process::Signal;
use rustix::termios::{LocalModes, Termios, tcgetattr};

use crate::program::{Program, Size, Started, Terminal};
use crate::sit::{Bench, Way};

const SMALL: Size = Size {
    columns: 80,
    rows: 24,
};

const LARGE: Size = Size {
    columns: 130,
    rows: 42,
};

/// A sitting on a terminal.
struct OnScreen {
    bench: Bench,
    terminal: Terminal,
    before: Termios,
    program: Started,
}

impl OnScreen {
    /// Begins; `screen` is where what is shown is read from.
    fn begin(size: Size, screen: impl FnOnce(&Terminal) -> File) -> Self {
        let bench = Bench::new(Way::Socket);
        let terminal = Terminal::open();
        size.set(&terminal);
        let before = tcgetattr(&terminal.end).unwrap();
        let arguments = bench.arguments();
        let arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
        let screen = screen(&terminal);
        let program = Program::start_on_terminal(&arguments, &terminal.end, screen);
        Self {
            bench,
            terminal,
            before,
            program,
        }
    }

    fn seen() -> Self {
        Self::begin(SMALL, |terminal| terminal.far.try_clone().unwrap())
    }

    fn press(&self, keys: &str) {
        (&self.terminal.far).write_all(keys.as_bytes()).unwrap();
    }

    fn touch(&self, ohms: f64) {
        let component = Component::resistor(ohms);
        self.bench
            .probes
            .place(component, Duration::from_millis(40));
    }

    /// Checks the end: everything is written, and the terminal is as it was.
    fn check_end(mut self, lines: &[&str]) {
        assert_eq!(self.program.status().code(), Some(0));
        let whole = self.program.shows(SMALL, 0, lines);
        assert!(!whole.screen().alternate_screen());
        assert!(!whole.screen().hide_cursor());
        // The text from before is there again.
        assert!(
            whole
                .screen()
                .contents()
                .contains("Before you touch anything")
        );
        self.check_modes();
        assert!(survey(self.bench.job.recording()).unwrap().is_whole());
    }

    fn check_modes(&self) {
        let after = tcgetattr(&self.terminal.end).unwrap();
        assert_eq!(after.local_modes, self.before.local_modes);
        assert_eq!(after.input_modes, self.before.input_modes);
        assert_eq!(after.output_modes, self.before.output_modes);
        assert_eq!(
            format!("{:?}", after.special_codes),
            format!("{:?}", self.before.special_codes)
        );
    }
}

#[test]
fn a_sitting_is_seen_on_the_screen_and_the_terminal_is_left_as_it_was() {
    let sitting = OnScreen::seen();
    let program = &sitting.program;
    let terminal = program.shows(
        SMALL,
        0,
        &[
            "resistor 4.7 kΩ ±10 %",
            "● Probewright",
            "n next  b back",
            "0 of 5",
        ],
    );
    assert!(terminal.screen().alternate_screen() && terminal.screen().hide_cursor());
    let modes = tcgetattr(&sitting.terminal.end).unwrap().local_modes;
    assert!(!modes.intersects(LocalModes::ICANON | LocalModes::ECHO));
    sitting.touch(4712.0);
    program.shows(
        SMALL,
        0,
        &["PASS  4.7", "settled: lift the probes", "1 of 5"],
    );
    sitting.bench.probes.lift();
    program.shows(
        SMALL,
        0,
        &["resistor 220 kΩ ±10 %", "before: R1", "●✓ PASS"],
    );
    // An arrow is no command, an unknown key names those that are known.
    sitting.press("\x1b[Bwcracked");
    program.shows(SMALL, 0, &["note: cracked_"]);
    sitting.press("\r");
    program.shows(SMALL, 0, &["R1       note: cracked"]);
    sitting.press("x");
    program.shows(SMALL, 0, &["keys: n next, b back"]);
    sitting.press("s");
    program.shows(SMALL, 0, &["capacitor 47 nF", "2 of 5"]);
    let from = program.written();
    LARGE.set(&sitting.terminal);
    program.shows(LARGE, from, &["so far", "●✓ R1", "capacitor 47 nF"]);
    sitting.press("e");
    sitting.check_end(&[
        "1 of 5 parts judged: 1 pass, 1 skipped, 3 not reached",
        "results ",
        "recording ",
    ]);
}

#[test]
fn a_signal_ends_a_sitting_on_the_screen_and_the_terminal_is_left_as_it_was() {
    for signal in [Signal::TERM, Signal::INT, Signal::QUIT] {
        let sitting = OnScreen::seen();
        sitting
            .program
            .shows(SMALL, 0, &["resistor 4.7 kΩ", "● Probewright"]);
        sitting.program.signal(signal);
        sitting.check_end(&["0 of 5 parts judged: 5 not reached", "results "]);
    }
}

#[test]
fn a_terminal_that_is_stopped_holds_up_no_sitting() {
    let sitting = OnScreen::seen();
    sitting
        .program
        .shows(SMALL, 0, &["resistor 4.7 kΩ", "● Probewright"]);
    // Ctrl-S, as it is pressed by mistake.
    sitting.press("\x13");
    sitting.touch(4712.0);
    let rows = || sitting.bench.job.rows().len();
    sitting.program.until("nothing was judged", || rows() == 1);
    sitting.program.signal(Signal::TERM);
    sitting.check_end(&["1 of 5 parts judged: 1 pass, 4 not reached", "results "]);
}

#[test]
fn a_terminal_that_nobody_reads_holds_up_no_sitting_and_no_end() {
    let mut sitting = OnScreen::begin(LARGE, |_| File::open("/dev/null").unwrap());
    let full = || {
        let mut asked = [PollFd::new(&sitting.terminal.end, PollFlags::OUT)];
        let at_once = Timespec {
            tv_sec: 0,
            tv_nsec: 0,
        };
        poll(&mut asked, Some(&at_once)).unwrap() == 0
    };
    let mut columns = 100;
    sitting.program.until("the terminal never filled up", || {
        // Each size is drawn anew.
        columns = 100 + (columns + 1) % 100;
        let size = Size { columns, rows: 60 };
        size.set(&sitting.terminal);
        full()
    });
    sitting.touch(4712.0);
    let rows = || sitting.bench.job.rows().len();
    sitting.program.until("nothing was judged", || rows() == 1);
    sitting.program.signal(Signal::TERM);
    assert_eq!(sitting.program.status().code(), Some(0));
    sitting.check_modes();
    assert!(survey(sitting.bench.job.recording()).unwrap().is_whole());
}
