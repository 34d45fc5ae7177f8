//! Twenty sittings of the real program, with the proxy between two real terminals.

use std::fs::{File, OpenOptions};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::thread;
use std::time::Duration;

use probewright::face::bench::simulator::Component;
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};

use super::proxy::{Passed, Proxy};
use crate::program::{Program, Row, Terminal, at, replay};
use crate::sit::{Bench, Way, ohm};

/// Hands lines on as the proxy lets them pass, until one of the two ends is gone.
fn hand_on(from: &File, mut to: &File, mut proxy: Proxy) {
    let mut lines = BufReader::new(from);
    let mut line = Vec::new();
    while lines
        .read_until(b'\n', &mut line)
        .is_ok_and(|count| count > 0)
    {
        for passed in proxy.pass(&line) {
            match passed {
                Passed::Bytes(millis, bytes) => {
                    thread::sleep(Duration::from_millis(millis / 4));
                    if to.write_all(&bytes).is_err() {
                        return;
                    }
                }
                Passed::Restarts(millis) | Passed::Pulled(millis) => {
                    thread::sleep(Duration::from_millis(millis / 4));
                }
            }
        }
        line.clear();
    }
}

/// A terminal that says what the meter says, spoilt, and hands commands on as they are.
fn between(bench: &Bench, seed: u64) -> Terminal {
    let terminal = Terminal::open();
    let mut raw = tcgetattr(&terminal.end).unwrap();
    raw.make_raw();
    tcsetattr(&terminal.end, OptionalActions::Now, &raw).unwrap();
    let meter = OpenOptions::new()
        .read(true)
        .write(true)
        .open(bench.meter.address())
        .unwrap();
    let (mut to_meter, mut commands) = (
        meter.try_clone().unwrap(),
        terminal.far.try_clone().unwrap(),
    );
    let far = terminal.far.try_clone().unwrap();
    thread::spawn(move || hand_on(&meter, &far, Proxy::new(seed, 0.04)));
    thread::spawn(move || {
        let mut portion = [0; 256];
        while let Ok(count @ 1..) = commands.read(&mut portion) {
            if to_meter.write_all(&portion[..count]).is_err() {
                return;
            }
        }
    });
    terminal
}

fn sitting(seed: u64) {
    let bench = Bench::new(Way::Terminal).impatient();
    let terminal = between(&bench, seed);
    let mut arguments = bench.arguments();
    let meter = arguments.iter().position(|word| word == "--meter").unwrap();
    arguments[meter + 1] = at(&bench.profile, &terminal.path);
    let mut program = Program::new(arguments).start();
    program.sees(&["meter: Probewright"]);
    for (part, component) in [
        ("R1", ohm(4712.0)),
        ("R2", ohm(221e3)),
        ("C1", Component::capacitor(48e-9)),
    ] {
        bench.probes.place(component, Duration::from_millis(40));
        program.sees(&[&format!("{part:<8} "), " PASS "]);
        bench.probes.lift();
        let next = match part {
            "R1" => "R2",
            "R2" => "C1",
            _ => "R3",
        };
        program.sees(&[&format!("  {next:<8} ")]);
    }
    program.say("end");
    program.end().with_status(0).out();
    let rows = bench.job.rows();
    let truth = |row: &Row| match row.get("ref") {
        "R1" => 4712.0,
        "R2" => 221e3,
        "C1" => 48e-9,
        other => panic!("{other} was not touched"),
    };
    assert!(rows.len() >= 3);
    for row in &rows {
        let value = row.number("value");
        assert!(
            (value / truth(row) - 1.0).abs() < 0.02,
            "seed {seed}: {value}"
        );
    }
    let (replayed, csv) = replay(&bench.job.recording());
    assert_eq!(replayed.with_status(0).err(), "");
    assert_eq!(csv, std::fs::read(bench.job.results()).unwrap());
}

#[test]
fn no_fault_on_a_real_terminal_makes_a_wrong_row_1() {
    (0..5).for_each(sitting);
}

#[test]
fn no_fault_on_a_real_terminal_makes_a_wrong_row_2() {
    (5..10).for_each(sitting);
}

#[test]
fn no_fault_on_a_real_terminal_makes_a_wrong_row_3() {
    (10..15).for_each(sitting);
}

#[test]
fn no_fault_on_a_real_terminal_makes_a_wrong_row_4() {
    (15..20).for_each(sitting);
}
