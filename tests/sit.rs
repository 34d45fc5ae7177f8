//! The command `sit`: a whole sitting at a simulated meter, on a terminal and on a socket, with everything that can go wrong.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::time::Duration;

use probewright::face::bench::recording::survey;
use probewright::face::bench::simulator::{
    Behaviour, BenchClock, Component, Options, Probes, RangeChange, Running, Scale, Serve,
};
use probewright::face::engine::quantity::Quantity;
use rustix::process::Signal;
use tempfile::TempDir;

use crate::bench;
use crate::program::{Finished, Job, Program, Row, Started, at, replay};

/// Five parts of both quantities, the second one far off in what lies on the bench.
const PARTS: &str = "\
ref,kind,value,tolerance,role
R1,resistor,4K7,10%,
R2,resistor,220k,10%,
C1,capacitor,47nF,20%,detector
R3,resistor,330R,5%,
R4,resistor,1k,10%,
";

/// A job, a meter and its probes.
pub(crate) struct Bench {
    pub(crate) job: Job,
    pub(crate) meter: Running,
    pub(crate) probes: Probes,
    pub(crate) profile: OsString,
    _terminal: Option<TempDir>,
}

/// How the meter is reached.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Way {
    Terminal,
    Socket,
}

impl Bench {
    pub(crate) fn new(way: Way) -> Self {
        Self::with(way, |options| options)
    }

    /// A meter of 50 readings a second, in real time.
    pub(crate) fn with(way: Way, change: impl FnOnce(Options) -> Options) -> Self {
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
            capacitance: Scale::new(1e-9, 6, 1000),
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
    pub(crate) fn impatient(mut self) -> Self {
        let shipped = probewright::face::engine::meter::shipped_profile("scpi-multimeter").unwrap();
        let text = shipped
            .text
            .replace("answer_within_s = 2.0", "answer_within_s = 0.5");
        assert_ne!(text, shipped.text);
        let file = self.job.beside("impatient.toml");
        fs::write(&file, text).unwrap();
        self.profile = file.into();
        self
    }

    /// A meter that tells the loss beside a capacitance, both at 1 kHz as its profile has it.
    pub(crate) fn with_loss() -> Self {
        let bench = Self::with(Way::Socket, |options| Options {
            capacitance: Scale::new(1e-9, 8, 10_000),
            with_loss: true,
            with_status: true,
            ..options
        });
        Self {
            profile: "scpi-lcr-meter".into(),
            ..bench
        }
    }

    /// With the profile for a meter that talks and listens to nothing.
    pub(crate) fn talking(mut self) -> Self {
        self.profile = "talk-only-line-meter".into();
        self
    }

    pub(crate) fn arguments(&self) -> Vec<OsString> {
        let root = self.job.root().into_os_string();
        vec![
            "sit".into(),
            root,
            "--meter".into(),
            at(&self.profile, self.meter.address()),
        ]
    }

    /// Begins a sitting that has its meter.
    pub(crate) fn sit(&self) -> Sitting<'_> {
        self.sit_as(Program::new(self.arguments()))
    }

    /// Begins a sitting that has its meter, as this program.
    pub(crate) fn sit_as(&self, program: Program) -> Sitting<'_> {
        let mut sitting = self.sit_unheard(program);
        sitting
            .program
            .sees(&["meter: Probewright,Simulated Meter"]);
        sitting
    }

    /// Begins a sitting of which nothing is passed over.
    pub(crate) fn sit_unheard(&self, program: Program) -> Sitting<'_> {
        Sitting {
            bench: self,
            program: program.start(),
        }
    }

    pub(crate) fn recorded(&self, words: &str) -> bool {
        let text = fs::read_to_string(self.job.recording()).unwrap_or_default();
        text.contains(words)
    }

    /// Checks a sitting that was ended: a sealed recording whose replay gives the lines and the rows of the sitting.
    pub(crate) fn check_recording(&self, live: &Finished) {
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
pub(crate) struct Sitting<'a> {
    bench: &'a Bench,
    pub(crate) program: Started,
}

impl Sitting<'_> {
    /// Holds the probes to a component until a line says all of `words`, then lifts.
    pub(crate) fn touch(&mut self, component: Component, words: &[&str]) {
        self.hold(component, words);
        self.bench.probes.lift();
    }

    /// Like [`Sitting::touch`], until a line says all of the one or all of the other; the line.
    pub(crate) fn touch_until(
        &mut self,
        component: Component,
        one: &[&str],
        other: &[&str],
    ) -> String {
        self.bench
            .probes
            .place(component, Duration::from_millis(40));
        let line = self.program.sees_either(one, other);
        self.bench.probes.lift();
        line
    }

    /// Like [`Sitting::touch`]; the line.
    pub(crate) fn touch_and_see(&mut self, component: Component, words: &[&str]) -> String {
        self.bench
            .probes
            .place(component, Duration::from_millis(40));
        let line = self.program.sees(words);
        self.bench.probes.lift();
        line
    }

    pub(crate) fn hold(&mut self, component: Component, words: &[&str]) {
        self.bench
            .probes
            .place(component, Duration::from_millis(40));
        self.program.sees(words);
    }

    pub(crate) fn in_hand(&mut self, part: &str) {
        self.program.sees(&[&format!("  {part:<8} ")]);
    }

    /// The answer to a command.
    fn say(&mut self, command: &str, answer: &[&str]) {
        self.program.say(command);
        self.program.sees(answer);
    }

    /// Waits until ten more readings that end so were recorded: until the program has certainly seen where the probes are now.
    pub(crate) fn reads(&self, ending: &str) {
        let count = || {
            let text = fs::read_to_string(self.bench.job.recording()).unwrap_or_default();
            text.matches(&format!("{ending}\\n\t")).count()
        };
        let before = count();
        self.program
            .until("no readings were recorded", || count() >= before + 10);
    }

    pub(crate) fn end(mut self) -> Finished {
        self.program.say("end");
        self.program.end().with_status(0)
    }
}

pub(crate) fn ohm(value: f64) -> Component {
    Component::resistor(value)
}

/// Approaches 4.7 kΩ, but not within the patience of any test.
fn unresting() -> Component {
    ohm(4700.0).with(
        Quantity::Resistance,
        Behaviour::Approach {
            to: 4700.0,
            from: 90e3,
            tau: Duration::from_secs(600),
        },
    )
}

/// Holds the probes to a part whose reading never rests, until it is being read.
pub(crate) fn held(sitting: &mut Sitting<'_>) {
    sitting.bench.probes.place(unresting(), Duration::ZERO);
    sitting.reads("E+04");
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
    sitting.say(
        "on",
        &["R4 ", "probes on it: no reading from now on means open"],
    );
    sitting.program.sees(&["R4 ", "open", " FAIL "]);
    sitting
        .program
        .sees(&["every part of the list was taken in hand"]);
    let finished = sitting.end();
    assert!(
        finished
            .out()
            .contains("5 of 5 parts judged: 3 pass, 2 fail\n")
    );
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
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
    // Values on the bench, within the specification of the profile at that value: percent of reading, of range, in its own range.
    let close = |row: usize, column: &str, value: f64, part: f64| {
        let found = rows[row].number(column);
        assert!((found / value - 1.0).abs() < part, "{found}, not {value}");
    };
    close(0, "value", 4712.0, 0.5e-3);
    close(1, "value", 301e3, 1e-3);
    close(2, "value", 50e-9, 2e-2);
    close(3, "value", 331.0, 1e-3);
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
    sitting.say(
        "goto X9",
        &["`goto X9`: this sitting has no part of that designator"],
    );
    sitting.say("skip", &["C1 ", "skipped"]);
    sitting.in_hand("R3");
    sitting.say(
        "note cracked, at one end",
        &["R3 ", "note: cracked, at one end"],
    );
    sitting.program.say("measure harder");
    sitting.program.complains(
        "unknown command `measure harder`, expected next, back, skip, redo, goto DESIGNATOR",
    );
    sitting.touch(ohm(300.0), &["R3 ", " FAIL "]);
    sitting.in_hand("R4");
    sitting.say("redo", &["  R3 "]);
    sitting.touch(ohm(331.0), &["R3 ", " PASS ", "attempt 2"]);
    sitting.in_hand("R4");
    sitting.say("goto R1", &["  R1 "]);
    let finished = sitting.end();
    let rows = bench.job.rows();
    let short: Vec<_> = rows.iter().map(Row::short).collect();
    assert_eq!(short, [("R3", "1", "fail"), ("R3", "2", "pass")]);
    assert!(
        finished
            .out()
            .contains("1 of 5 parts judged: 1 pass, 1 skipped, 3 not reached\n")
    );
    bench.check_recording(&finished);
}

#[test]
fn nothing_is_open_without_the_word() {
    let bench = Bench::new(Way::Socket);
    let sitting = bench.sit();
    // A component that conducts nothing, held for forty readings and more.
    sitting
        .bench
        .probes
        .place(Component::open(), Duration::ZERO);
    for _ in 0..4 {
        sitting.reads("E+37");
    }
    let finished = sitting.end();
    assert!(bench.job.rows().is_empty());
    assert!(
        finished
            .out()
            .contains("0 of 5 parts judged: 5 not reached\n")
    );
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
        assert!(
            finished
                .out()
                .ends_with("1 of 5 parts judged: 1 pass, 4 not reached\n")
        );
        assert_eq!(bench.job.rows().len(), 1, "{signal:?}");
        assert!(bench.recorded("\tcommand\tend\t"));
        bench.check_recording(&finished);
    }
}

#[test]
fn a_port_that_is_not_there_leaves_the_job_alone() {
    let job = Job::new(PARTS);
    let root = job.root();
    let arguments = [
        OsStr::new("sit"),
        root.as_os_str(),
        OsStr::new("--meter"),
        OsStr::new("scpi-multimeter@/dev/no-such-port"),
    ];
    Program::new(arguments)
        .run()
        .with_status(1)
        .complaining(&["there is no port `/dev/no-such-port`"])
        .out();
    assert!(!job.results().exists());
    assert!(job.recordings().is_empty());
}
