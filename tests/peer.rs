//! The real program at an instrument that somebody else programmed: the public library `scpi` with `scpi-contrib` on a real terminal.

use std::ffi::OsStr;
use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};

use crate::independent_instrument::Instrument;
use crate::program::{Job, Program, Row, Started, Terminal, at};

/// The instrument at work on a thread, and what its probes are on: so many ohm, infinitely many in the air.
struct Peer {
    terminal: Terminal,
    ohm: Arc<Mutex<f64>>,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Peer {
    fn start() -> Self {
        let terminal = Terminal::open();
        let mut raw = tcgetattr(&terminal.end).unwrap();
        raw.make_raw();
        tcsetattr(&terminal.end, OptionalActions::Now, &raw).unwrap();
        let (ohm, stop) = (
            Arc::new(Mutex::new(f64::INFINITY)),
            Arc::new(AtomicBool::new(false)),
        );
        let line = terminal.far.try_clone().unwrap();
        let (probes, over) = (Arc::clone(&ohm), Arc::clone(&stop));
        let thread = thread::spawn(move || serve(line, &probes, &over));
        Self {
            terminal,
            ohm,
            stop,
            thread: Some(thread),
        }
    }

    fn place(&self, ohm: f64) {
        *self.ohm.lock().unwrap() = ohm;
    }

    fn lift(&self) {
        self.place(f64::INFINITY);
    }
}

impl Drop for Peer {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        // A thread that panicked has said so already.
        let _ = self.thread.take().map(JoinHandle::join);
    }
}

/// Answers line by line, a reading in 20 ms.
fn serve(mut line: std::fs::File, probes: &Mutex<f64>, over: &AtomicBool) {
    const CONVERSION: Duration = Duration::from_millis(20);
    let mut instrument = Instrument::default();
    let (mut heard, mut portion) = (Vec::new(), [0; 256]);
    let patience = Timespec::try_from(Duration::from_millis(100)).unwrap();
    while !over.load(Ordering::Relaxed) {
        let mut waiting = [PollFd::new(&line, PollFlags::IN)];
        if poll(&mut waiting, Some(&patience)).unwrap_or(0) == 0 {
            continue;
        }
        let Ok(count @ 1..) = line.read(&mut portion) else {
            return;
        };
        heard.extend_from_slice(&portion[..count]);
        while let Some(end) = heard.iter().position(|&byte| byte == b'\n') {
            let command: Vec<u8> = heard.drain(..=end).collect();
            if command.starts_with(b"READ?") {
                thread::sleep(CONVERSION);
                instrument.values = [*probes.lock().unwrap()].into();
            }
            let answer = instrument.take(&command);
            if line.write_all(&answer).is_err() {
                return;
            }
        }
    }
}

fn sit(job: &Job, peer: &Peer) -> Started {
    let root = job.root();
    let arguments = [
        OsStr::new("sit"),
        root.as_os_str(),
        OsStr::new("--meter"),
        &at("scpi-multimeter", &peer.terminal.path),
    ];
    let mut program = Program::new(arguments).start();
    program.sees(&["meter: Example Works,Ohmmeter,0,0"]);
    program
}

#[test]
fn parts_are_judged_at_an_independent_instrument() {
    let job = Job::new(
        "ref,kind,value,tolerance\nR1,resistor,4K7,10%\nR2,resistor,1 Meg,20%\nR3,winding,180R,15%\n",
    );
    let peer = Peer::start();
    let mut program = sit(&job, &peer);
    for (part, ohm, verdict) in [
        ("R1", 4712.3, " PASS "),
        ("R2", 1.41e6, " FAIL "),
        ("R3", 187.5, " PASS "),
    ] {
        program.until("the part before was not lifted", || {
            peer.ohm.lock().unwrap().is_infinite()
        });
        peer.place(ohm);
        program.sees(&[&format!("{part} "), verdict]);
        peer.lift();
        match part {
            "R1" => program.sees(&["  R2 "]),
            "R2" => program.sees(&["  R3 "]),
            _ => program.sees(&["every part of the list was taken in hand"]),
        };
    }
    program.say("end");
    program.end().with_status(0).out();
    let rows = job.rows();
    let found: Vec<_> = rows
        .iter()
        .map(|row| (row.short(), row.get("value")))
        .collect();
    assert_eq!(
        found,
        [
            (("R1", "1", "pass"), "4712.3"),
            (("R2", "1", "fail"), "1410000"),
            (("R3", "1", "pass"), "187.5")
        ]
    );
}

/// SCPI-1999's list of errors (second-hand): -113 is "Undefined header".
#[test]
fn what_an_instrument_cannot_measure_is_told_and_not_judged() {
    let job = Job::new(
        "ref,kind,value,tolerance,role\nC1,capacitor,47nF,20%,detector\nR1,resistor,4K7,10%,\n",
    );
    let peer = Peer::start();
    let mut program = sit(&job, &peer);
    program.sees(&["the meter reports an error: `-113` Undefined header"]);
    program.sees(&["the meter cannot measure capacitance"]);
    // An ohmmeter that refused to measure capacitance would go on sending ohms; so it is not asked for anything.
    peer.place(4712.3);
    program.say("note held to it");
    program.sees(&["note: held to it"]);
    peer.lift();
    program.say("goto R1");
    program.sees(&["  R1 "]);
    peer.place(4712.3);
    program.sees(&["R1 ", " PASS "]);
    program.say("end");
    program.end().with_status(0).out();
    let recording = std::fs::read_to_string(job.recording()).unwrap();
    let until_goto = recording.split("goto R1").next().unwrap();
    assert!(!until_goto.contains("READ?\\n\t"), "{recording}");
    let rows = job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
    assert_eq!(short, [("R1", "1", "pass")]);
}
