//! The command `sit`: a whole sitting at a simulated meter, on a terminal and on a socket, with everything that can go wrong.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::Write as _;
use std::time::Duration;

use probewright::recording::{Ending, survey};
use probewright::simulator::{
    Behaviour, BenchClock, Component, Fault, Options, Probes, RangeChange, Running, Scale, Serve,
};
use rustix::process::Signal;
use rustix::termios::{LocalModes, Termios, tcgetattr};
use tempfile::TempDir;

use crate::bench;
use crate::program::{Finished, Job, Program, Started, Terminal, replay, rows};

/// Five parts of both quantities, the second one far off in what lies on the bench.
const PARTS: &str = "\
ref,kind,value,tolerance
R1,resistor,4K7,10%
R2,resistor,220k,10%
C1,capacitor,47nF,20%
R3,resistor,330R,5%
R4,resistor,1k,10%
";

/// A job, a meter and its probes.
struct Bench {
    job: Job,
    meter: Running,
    probes: Probes,
    profile: OsString,
    _terminal: Option<TempDir>,
}

/// How the meter is reached.
#[derive(Debug, Clone, Copy)]
enum Way {
    Terminal,
    Socket,
}

impl Bench {
    fn new(way: Way) -> Self {
        Self::with(way, |options| options)
    }

    /// A meter of 50 readings a second, in real time.
    fn with(way: Way, change: impl FnOnce(Options) -> Options) -> Self {
        let (terminal, serve) = match way {
            Way::Terminal => {
                let (directory, serve) = bench::terminal();
                (Some(directory), serve)
            }
            Way::Socket => (None, Serve::Tcp),
        };
        let options = Options {
            serve,
            readings_per_second: 50.0,
            range_change: RangeChange::Silent,
            capacitance: Scale {
                lowest: 1e-9,
                ranges: 6,
                counts: 1000,
            },
            ..Options::default()
        };
        let (probes, meter) = bench::start(BenchClock::real_time(), change(options));
        Self {
            job: Job::new(PARTS),
            meter,
            probes,
            profile: "scpi-multimeter".into(),
            _terminal: terminal,
        }
    }

    /// A profile as it is shipped, but with less patience.
    fn impatient(mut self) -> Self {
        let shipped = probewright::meter::shipped_profile("scpi-multimeter").unwrap();
        let text = shipped
            .text
            .replace("answer_within_s = 2.0", "answer_within_s = 0.5");
        assert_ne!(text, shipped.text);
        let file = self.job.beside("impatient.toml");
        fs::write(&file, text).unwrap();
        self.profile = file.into();
        self
    }

    fn arguments(&self) -> Vec<OsString> {
        let root = self.job.root().into_os_string();
        vec![
            "sit".into(),
            root,
            "--port".into(),
            self.meter.address().into(),
            "--profile".into(),
            self.profile.clone(),
        ]
    }

    /// Begins a sitting that has its meter.
    fn sit(&self) -> Sitting<'_> {
        let mut program = Program::new(self.arguments()).start();
        program.sees(&["meter: Probewright,Simulated Meter"]);
        Sitting {
            bench: self,
            program,
        }
    }

    fn recorded(&self, words: &str) -> bool {
        let text = fs::read_to_string(self.job.recording()).unwrap_or_default();
        text.contains(words)
    }

    /// What must be so after every sitting that was ended: a sealed recording whose replay gives the lines and the rows of the sitting.
    fn check_recording(&self, live: &Finished) {
        let recording = self.job.recording();
        let survey = survey(&recording).unwrap();
        assert!(survey.is_whole(), "{survey:?}");
        let (replayed, csv) = replay(&recording);
        let replayed = replayed.with_status(0).out();
        assert!(
            live.out().ends_with(&replayed),
            "live:\n{}\nreplay:\n{replayed}",
            live.out()
        );
        assert_eq!(csv, fs::read(self.job.results()).unwrap());
    }
}

/// A sitting at work.
struct Sitting<'a> {
    bench: &'a Bench,
    program: Started,
}

impl Sitting<'_> {
    /// Holds the probes to a component until a line says all of `words`, then lifts.
    fn touch(&mut self, component: Component, words: &[&str]) {
        self.hold(component, words);
        self.bench.probes.lift();
    }

    fn hold(&mut self, component: Component, words: &[&str]) {
        self.bench
            .probes
            .place(component, Duration::from_millis(40));
        self.program.sees(words);
    }

    fn in_hand(&mut self, part: &str) {
        self.program.sees(&[&format!("  {part:<8} ")]);
    }

    /// The answer to a command.
    fn say(&mut self, command: &str, answer: &[&str]) {
        self.program.say(command);
        self.program.sees(answer);
    }

    fn end(mut self) -> Finished {
        self.program.say("end");
        self.program.end().with_status(0)
    }
}

fn ohm(value: f64) -> Component {
    Component::resistor(value)
}

/// Approaches 4.7 kΩ, but not within the patience of any test.
fn unresting() -> Component {
    ohm(4700.0).with_resistance(Behaviour::Approach {
        to: 4700.0,
        from: 90e3,
        tau: Duration::from_secs(600),
    })
}

/// Waits until the sitting reads the part on the probes: a reading of tens of kilohms has been recorded.
fn held(sitting: &mut Sitting<'_>) {
    sitting.bench.probes.place(unresting(), Duration::ZERO);
    let bench = sitting.bench;
    sitting
        .program
        .until("no reading was recorded", || bench.recorded("E+04\\n"));
}

fn measures_all(way: Way) {
    let bench = Bench::new(way);
    let mut sitting = bench.sit();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.touch(ohm(301e3), &["R2 ", " FAIL ", "above its band"]);
    sitting.in_hand("C1");
    sitting.touch(Component::capacitor(50e-9), &["C1 ", " PASS "]);
    sitting.in_hand("R3");
    sitting.touch(ohm(331.0), &["R3 ", " PASS "]);
    sitting.in_hand("R4");
    sitting.say("on", &["R4 ", "the probes are said to be on it"]);
    sitting.program.sees(&["R4 ", "open", " FAIL "]);
    sitting.program.sees(&["every part of the list was taken in hand"]);
    let finished = sitting.end();
    assert!(finished.out().contains("5 of 5 parts judged: 3 pass, 2 fail\n"));
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(|row| row.short()).collect();
    assert_eq!(
        short,
        [
            ("R1", "1", "pass"),
            ("R2", "1", "fail"),
            ("C1", "1", "pass"),
            ("R3", "1", "pass"),
            ("R4", "1", "fail")
        ]
    );
    // What lies on the bench, within the specification of the profile at that value: percent of reading, of range, in its own range.
    let close = |row: usize, column: &str, value: f64, part: f64| {
        let found = rows[row].number(column);
        assert!((found / value - 1.0).abs() < part, "{found}, not {value}");
    };
    close(0, "value_ohm", 4712.0, 0.5e-3);
    close(1, "value_ohm", 301e3, 1e-3);
    close(2, "value_farad", 50e-9, 2e-2);
    close(3, "value_ohm", 331.0, 1e-3);
    bench.check_recording(&finished);
}

#[test]
fn a_list_is_measured_by_moving_the_probes_over_a_terminal() {
    measures_all(Way::Terminal);
}

#[test]
fn a_list_is_measured_by_moving_the_probes_over_a_socket() {
    measures_all(Way::Socket);
}

#[test]
fn commands_come_as_lines_and_are_answered() {
    let bench = Bench::new(Way::Terminal);
    let mut sitting = bench.sit();
    sitting.say("redo", &["`redo`: no part was judged yet"]);
    sitting.say("back", &["`back`: the list ends here"]);
    sitting.say("next", &["  R2 "]);
    sitting.say("back", &["  R1 "]);
    sitting.say("goto c1", &["  C1 "]);
    sitting.say("goto X9", &["`goto X9`: this sitting has no part of that designator"]);
    sitting.say("skip", &["C1 ", "left out"]);
    sitting.in_hand("R3");
    sitting.say("note cracked, at one end", &["R3 ", "note: cracked, at one end"]);
    sitting.program.say("measure harder");
    sitting
        .program
        .complains("unknown command `measure harder`, expected next, back, skip, redo, goto DESIGNATOR");
    sitting.touch(ohm(300.0), &["R3 ", " FAIL "]);
    sitting.in_hand("R4");
    sitting.say("redo", &["  R3 "]);
    sitting.touch(ohm(331.0), &["R3 ", " PASS ", "attempt 2"]);
    sitting.in_hand("R4");
    sitting.say("goto R1", &["  R1 "]);
    let finished = sitting.end();
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(|row| row.short()).collect();
    assert_eq!(short, [("R3", "1", "fail"), ("R3", "2", "pass")]);
    assert!(
        finished
            .out()
            .contains("1 of 5 parts judged: 1 pass, 1 left out, 3 not reached\n")
    );
    bench.check_recording(&finished);
}

#[test]
fn nothing_is_open_without_the_word() {
    let bench = Bench::new(Way::Socket);
    let sitting = bench.sit();
    // A component that conducts nothing, held for forty readings and more.
    let readings = || {
        let text = fs::read_to_string(bench.job.recording()).unwrap_or_default();
        text.matches("E+37\\n").count()
    };
    sitting.bench.probes.place(Component::open(), Duration::ZERO);
    let before = readings();
    sitting
        .program
        .until("no readings", || readings() > before + 40);
    let finished = sitting.end();
    assert!(bench.job.rows().is_empty());
    assert!(finished.out().contains("0 of 5 parts judged: 5 not reached\n"));
    bench.check_recording(&finished);
}

#[test]
fn signals_end_a_sitting_as_the_command_does() {
    for signal in [Signal::INT, Signal::TERM, Signal::HUP] {
        let bench = Bench::new(Way::Socket);
        let mut sitting = bench.sit();
        sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
        sitting.in_hand("R2");
        held(&mut sitting);
        sitting.program.signal(signal);
        let finished = sitting.program.end().with_status(0);
        assert!(finished.out().ends_with("1 of 5 parts judged: 1 pass, 4 not reached\n"));
        assert_eq!(bench.job.rows().len(), 1, "{signal:?}");
        assert!(bench.recorded("\tcommand\tend\t"));
        bench.check_recording(&finished);
    }
}

fn survives_a_cut_cable(way: Way) {
    let bench = Bench::new(way);
    let mut sitting = bench.sit();
    held(&mut sitting);
    bench.meter.cut_cable().unwrap();
    sitting.program.sees(&["link lost: ", "; trying again"]);
    bench.meter.plug_in().unwrap();
    sitting.program.sees(&["link up"]);
    // The same touch goes on, and only what came since counts.
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    // Cut once more, with the probes in the air.
    bench.meter.cut_cable().unwrap();
    sitting.program.sees(&["link lost: "]);
    bench.meter.plug_in().unwrap();
    sitting.program.sees(&["link up"]);
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    let finished = sitting.end();
    for words in ["\tlink\t0\tlost\t", "\tlink\t0\tup\t"] {
        assert!(bench.recorded(words), "{words}");
    }
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(|row| row.short()).collect();
    assert_eq!(short, [("R1", "1", "pass"), ("R2", "1", "pass")]);
    assert!((rows[0].number("value_ohm") - 4712.0).abs() < 2.0);
    bench.check_recording(&finished);
}

#[test]
fn a_cable_cut_in_the_middle_of_a_touch_spoils_nothing_over_a_terminal() {
    survives_a_cut_cable(Way::Terminal);
}

#[test]
fn a_cable_cut_in_the_middle_of_a_touch_spoils_nothing_over_a_socket() {
    survives_a_cut_cable(Way::Socket);
}

#[test]
fn a_meter_that_goes_silent_is_told_and_taken_up_again() {
    let bench = Bench::new(Way::Terminal).impatient();
    let mut sitting = bench.sit();
    held(&mut sitting);
    bench.meter.faults().set_silent(true);
    sitting.program.sees(&["the meter is silent; check that it is on"]);
    bench.meter.faults().set_silent(false);
    sitting.program.sees(&["the meter answers again"]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    assert_eq!(bench.job.rows().len(), 1);
    bench.check_recording(&finished);
}

#[test]
fn late_answers_never_make_a_wrong_value() {
    let bench = Bench::new(Way::Socket).impatient();
    let mut sitting = bench.sit();
    let late = || {
        bench
            .meter
            .faults()
            .order(Fault::DelayAnswer(Duration::from_millis(900)));
    };
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    // An answer about nothing comes late, while the probes are on the part already.
    late();
    sitting.program.sees(&["the meter is silent"]);
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.touch(Component::capacitor(48e-9), &["C1 ", " PASS "]);
    sitting.in_hand("R3");
    // A resistance comes late, when a capacitance is wanted: 331 ohm are not 331 farad.
    sitting.hold(ohm(331.0), &["R3 ", " PASS "]);
    late();
    late();
    sitting.program.say("goto C1");
    sitting.in_hand("C1");
    bench.probes.lift();
    sitting.program.sees(&["the meter is silent"]);
    sitting.program.sees(&["the meter answers again"]);
    sitting.touch(
        Component::capacitor(49e-9),
        &["C1 ", " PASS ", "attempt 2"],
    );
    let finished = sitting.end();
    let rows = bench.job.rows();
    let found: Vec<_> = rows
        .iter()
        .map(|row| {
            let column = if row.get("ref") == "C1" { "value_farad" } else { "value_ohm" };
            (row.get("ref"), row.number(column))
        })
        .collect();
    let expected = [
        ("R1", 4712.0),
        ("R2", 221e3),
        ("C1", 48e-9),
        ("R3", 331.0),
        ("C1", 49e-9),
    ];
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for ((part, value), (expected_part, expected)) in found.into_iter().zip(expected) {
        assert_eq!(part, expected_part);
        assert!((value / expected - 1.0).abs() < 0.02, "{part}: {value}");
    }
    bench.check_recording(&finished);
}

#[test]
fn garbage_on_the_line_is_told_and_passed_over() {
    let bench = Bench::new(Way::Terminal);
    let mut sitting = bench.sit();
    let faults = bench.meter.faults();
    bench.probes.place(unresting(), Duration::ZERO);
    faults.order(Fault::GarbageFirst(b"\xff\x80\x01\n".to_vec()));
    sitting.program.sees(&["not understood: `\\xff\\x80\\x01`"]);
    faults.order(Fault::OverlongLine(5000));
    sitting.program.sees(&["not understood: a line longer than the profile allows"]);
    faults.order(Fault::GarbageFirst(b"4711 4712\n".to_vec()));
    sitting.program.sees(&["not understood: `4711 4712`"]);
    faults.order(Fault::HalfLine(Duration::from_millis(300)));
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    let rows = bench.job.rows();
    assert_eq!(rows.len(), 1);
    assert!((rows[0].number("value_ohm") - 4712.0).abs() < 2.0);
    bench.check_recording(&finished);
}

#[test]
fn a_sitting_that_was_killed_reads_back_and_the_job_goes_on() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.touch(ohm(221e3), &["R2 ", " PASS "]);
    sitting.in_hand("C1");
    sitting.program.signal(Signal::KILL);
    let killed = sitting.program.end();
    let recording = bench.job.recording();
    let found = survey(&recording).unwrap();
    assert!(
        matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
        "{found:?}"
    );
    let (replayed, csv) = replay(&recording);
    let replayed = replayed.with_status(3);
    let results = fs::read(bench.job.results()).unwrap();
    assert!(csv.starts_with(&results));
    assert_eq!(rows(&results).len(), 2);
    assert!(killed.out().lines().count() > 4 && replayed.out().contains("R2 "));

    // As if the last row had been torn as well.
    fs::write(bench.job.results(), &results[..results.len() - 20]).unwrap();
    let mut again = bench.sit();
    again.program.complains("the last row of results.csv was torn and is cut off");
    again.touch(ohm(4713.0), &["R1 ", " PASS "]);
    again.in_hand("R2");
    again.end().out();
    let recordings = bench.job.recordings();
    assert_eq!(recordings.len(), 2);
    assert!(survey(&recordings[1]).unwrap().is_whole());
    let rows = bench.job.rows();
    let values: Vec<_> = rows
        .iter()
        .map(|row| (row.get("ref"), row.number("value_ohm").round()))
        .collect();
    assert_eq!(values.len(), 2, "{values:?}");
    assert!(rows[0].get("sitting") < rows[1].get("sitting"));
    assert_eq!((values[0].0, values[1].0), ("R1", "R1"));
    let csv = fs::read(bench.job.results()).unwrap();
    assert!(csv.starts_with(&results[..results.len() / 2]));
}

#[test]
fn a_full_disk_stops_the_sitting_and_what_is_there_reads_back() {
    let bench = Bench::with(Way::Socket, |options| Options {
        readings_per_second: 500.0,
        ..options
    });
    // Files may grow to 32 KiB (in units of 512 bytes in POSIX, of 1024 in other shells: to 64 KiB at the most).
    let script = "trap '' XFSZ; ulimit -f 64; exec \"$@\"";
    let finished = Program::by_shell(script, bench.arguments())
        .start()
        .end()
        .with_status(1)
        .complaining(&[
            "could not be written to `",
            "what stands before it is safe",
            "too large",
        ]);
    let found = survey(&bench.job.recording()).unwrap();
    assert!(
        matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
        "{found:?}"
    );
    let (replayed, csv) = replay(&bench.job.recording());
    let replayed = replayed.with_status(3).out();
    assert!(replayed.contains("meter: Probewright"), "{replayed}");
    assert!(finished.out().contains("meter: Probewright"));
    assert_eq!(csv, fs::read(bench.job.results()).unwrap());
}

#[test]
fn a_sitting_that_cannot_be_recorded_does_not_begin() {
    let bench = Bench::new(Way::Socket);
    let place = bench.job.root().join("sittings");
    fs::write(&place, "in the way").unwrap();
    let finished = Program::new(bench.arguments())
        .run()
        .with_status(1)
        .complaining(&["sittings`"]);
    assert_eq!(finished.out(), "");
    assert_eq!(fs::read_to_string(&place).unwrap(), "in the way");
}

#[test]
fn a_reader_that_goes_away_ends_a_sitting_quietly() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit();
    sitting.program.close_stdout();
    // The first line after the close may still find the reader; each command makes another one.
    for _ in 0..3 {
        sitting.program.say("next");
        sitting.program.say("back");
    }
    let finished = sitting.program.end().with_status(0);
    assert!(!finished.err().contains("panicked"), "{}", finished.err());
    assert!(!finished.err().contains("cannot print"), "{}", finished.err());
    let (replayed, csv) = replay(&bench.job.recording());
    assert!(!replayed.out().is_empty());
    assert_eq!(csv, fs::read(bench.job.results()).unwrap());
}

#[test]
fn a_sitting_goes_on_when_nobody_reads_its_remarks() {
    let bench = Bench::new(Way::Socket);
    let mut program = Program::by_shell("exec \"$@\" 2>&-", bench.arguments()).start();
    program.sees(&["meter: Probewright"]);
    program.say("no such command");
    program.say("next");
    program.sees(&["  R2 "]);
    program.say("end");
    program.end().with_status(0).out();
    // The same with a reader that has gone.
    let mut program = Program::by_shell("{ \"$@\" 2>&1 >&3 | true; } 3>&1", bench.arguments()).start();
    program.sees(&["meter: Probewright"]);
    program.say("no such command");
    program.say("next");
    program.sees(&["  R2 "]);
    program.say("end");
    program.end().with_status(0).out();
    for recording in bench.job.recordings() {
        assert!(survey(&recording).unwrap().is_whole());
    }
}

#[test]
fn a_port_that_is_not_there_leaves_the_job_alone() {
    let job = Job::new(PARTS);
    let root = job.root();
    let arguments = [
        OsStr::new("sit"),
        root.as_os_str(),
        OsStr::new("--port"),
        OsStr::new("/dev/no-such-port"),
        OsStr::new("--profile"),
        OsStr::new("scpi-multimeter"),
    ];
    Program::new(arguments)
        .run()
        .with_status(1)
        .complaining(&["there is no port `/dev/no-such-port`"])
        .out();
    assert!(!job.results().exists());
    assert!(job.recordings().is_empty());
}

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
        let arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
        let screen = terminal.far.try_clone().unwrap();
        let mut program = Program::start_on_terminal(&arguments, &terminal.end, screen);
        program.sees(&["keys: n next, b back, s skip"]);
        program.sees(&["meter: Probewright"]);
        let during = modes(&terminal).local_modes;
        assert!(!during.intersects(LocalModes::ICANON | LocalModes::ECHO));
        press("s");
        program.sees(&["R1 ", "left out"]);
        press("gr5\x7f4\r");
        program.sees(&["  R4 "]);
        press("o");
        program.sees(&["R4 ", "the probes are said to be on it"]);
        program.sees(&["R4 ", "open", "FAIL"]);
        press("x");
        program.sees(&["keys: n next"]);
        press(last);
        program.sees(&["1 of 5 parts judged"]);
        let status = program.end_on_terminal();
        assert_eq!(status.code(), Some(0), "{last:?}");
        let after = modes(&terminal);
        assert_eq!(after.local_modes, before.local_modes);
        assert_eq!(after.input_modes, before.input_modes);
        assert_eq!(after.output_modes, before.output_modes);
        assert_eq!(format!("{:?}", after.special_codes), format!("{:?}", before.special_codes));
        assert_eq!(bench.job.rows().len(), 1);
        assert!(survey(&bench.job.recording()).unwrap().is_whole());
    }
}
