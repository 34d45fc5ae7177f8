//! A sitting that is served (`sit --serve`), and those who watch it: `attach`, and scripts at the socket.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::os::unix::fs::{FileTypeExt as _, PermissionsExt as _};
use std::os::unix::net::UnixStream;
use std::path::PathBuf;
use std::time::Duration;

use probewright::face::bench::recording::{Ending, survey};
use probewright::face::bench::simulator::{Component, Manner, Options, Wording};
use probewright::face::engine::judge::Verdict;
use probewright::face::engine::sitting::What;
use probewright::face::views::serve::{
    FromServer, LONGEST_LINE, MOST_CLIENTS, PROTOCOL, socket_path,
};
use probewright::face::views::state::{Item, Stage, State};
use rustix::process::Signal;
use rustix::termios::{LocalModes, tcgetattr};

use crate::program::{PATIENCE, Program, Size, Started, Terminal};
use crate::sit::{Bench, Sitting, Way, ohm};

/// Somebody at the socket of a job.
struct Viewer {
    reader: BufReader<UnixStream>,
    /// Every line so far, as it came.
    lines: Vec<String>,
}

impl Viewer {
    fn join(bench: &Bench) -> Self {
        Self::at(socket(bench))
    }

    fn at(path: PathBuf) -> Self {
        let stream = UnixStream::connect(path).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        Self {
            reader: BufReader::new(stream),
            lines: Vec::new(),
        }
    }

    /// The next message; `None` when the connection is closed.
    fn next(&mut self) -> Option<FromServer> {
        let mut line = String::new();
        match self.reader.read_line(&mut line) {
            Ok(0) => return None,
            Err(error) if error.kind() == io::ErrorKind::ConnectionReset => return None,
            read => read.unwrap(),
        };
        self.lines.push(line);
        Some(serde_json::from_str(self.lines.last().unwrap()).unwrap())
    }

    /// Waits for what `wanted` finds something in.
    fn hears<T>(&mut self, mut wanted: impl FnMut(&FromServer) -> Option<T>) -> T {
        loop {
            let said = self.next().expect("the connection is open");
            if let Some(found) = wanted(&said) {
                return found;
            }
        }
    }

    fn state(&mut self) -> State {
        self.hears(|said| match said {
            FromServer::State(state) => Some((**state).clone()),
            _ => None,
        })
    }

    fn item(&mut self, mut wanted: impl FnMut(&What) -> bool) -> Item {
        self.hears(|said| match said {
            FromServer::Item(item) if wanted(&item.event.what) => Some((**item).clone()),
            _ => None,
        })
    }

    fn in_hand(&mut self, part: &str) -> Item {
        self.item(|what| matches!(what, What::InHand { entry, .. } if entry.title() == part))
    }

    fn refused(&mut self) -> String {
        self.hears(|said| match said {
            FromServer::Refused(why) => Some(why.clone()),
            _ => None,
        })
    }

    fn error(&mut self) -> String {
        self.hears(|said| match said {
            FromServer::Error(why) => Some(why.clone()),
            _ => None,
        })
    }

    fn say(&self, line: &str) {
        let mut stream = self.reader.get_ref();
        stream.write_all(format!("{line}\n").as_bytes()).unwrap();
    }

    fn command(&self, text: &str) {
        self.say(&format!("{{\"command\":\"{text}\"}}"));
    }

    /// The lines of items behind that one, as they came.
    fn items_after(&self, id: u64) -> Vec<&str> {
        self.lines
            .iter()
            .filter(|line| {
                matches!(serde_json::from_str(line).unwrap(), FromServer::Item(item) if item.id > id)
            })
            .map(String::as_str)
            .collect()
    }
}

fn socket(bench: &Bench) -> PathBuf {
    socket_path(&bench.job.root())
}

fn served(bench: &Bench) -> Vec<OsString> {
    let mut arguments = bench.arguments();
    arguments.push("--serve".into());
    arguments
}

pub(crate) fn serve(bench: &Bench) -> Sitting<'_> {
    bench.sit_as(Program::new(served(bench)))
}

pub(crate) fn attach(bench: &Bench, more: &[&str]) -> Program {
    let root = bench.job.root();
    let arguments = [OsStr::new("attach"), root.as_os_str()];
    Program::new(arguments.into_iter().chain(more.iter().map(OsStr::new)))
}

fn ended(what: &What) -> bool {
    matches!(what, What::Ended(_))
}

#[test]
fn two_viewers_of_a_sitting_without_a_terminal_see_the_same_and_command_it() {
    let bench = Bench::new(Way::Terminal);
    let script = "exec setsid \"$@\" </dev/null";
    let mut sitting = bench.sit_as(Program::by_shell(script, served(&bench)));
    let mut one = Viewer::join(&bench);
    let first = one.next().unwrap();
    assert!(
        matches!(&first, FromServer::Hello(hello) if hello.version == PROTOCOL
            && bench.job.recording().file_stem().unwrap().to_str() == Some(&hello.sitting)),
        "{first:?}"
    );
    assert!(matches!(one.next(), Some(FromServer::State(_))));
    let mut other = Viewer::join(&bench);
    let joined = other.state().last_id;

    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    one.in_hand("R2");
    other.command("goto r3");
    one.in_hand("R3");
    one.command("note cracked");
    let noted = other.item(|what| matches!(what, What::Noted { .. }));
    assert_eq!(noted.line.unwrap().text, "R3       note: cracked");
    one.command("redo");
    sitting.program.sees(&["  R1 "]);
    other.command("end");
    for viewer in [&mut one, &mut other] {
        viewer.item(ended);
        assert_eq!(viewer.next(), None);
    }
    let (seen, too) = (one.items_after(joined), other.items_after(joined));
    assert!(seen.len() > 10);
    assert_eq!(seen, too);
    let finished = sitting.program.end().with_status(0);
    bench.check_recording(&finished);
    for words in ["goto r3", "note cracked", "redo", "end"] {
        assert!(bench.recorded(&format!("\tcommand\t{words}\t")), "{words}");
    }
    assert!(!socket(&bench).exists());
}

#[test]
fn who_joins_late_gets_the_state_that_the_items_made() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    let mut early = Viewer::join(&bench);
    let mut state = early.state();
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.touch(ohm(301e3), &["R2 ", " FAIL "]);
    sitting.in_hand("C1");
    let mut hear = |state: &mut State| {
        if let Some(FromServer::Item(item)) = early.next() {
            assert_eq!(item.id, state.last_id + 1);
            state.apply(&item);
        }
    };
    while state
        .in_hand
        .as_ref()
        .is_none_or(|entry| entry.title() != "C1")
    {
        hear(&mut state);
    }
    let told = Viewer::join(&bench).state();
    assert_eq!(told.title, "a test");
    assert_eq!(told.in_hand.as_ref().unwrap().title(), "C1");
    let verdicts: Vec<_> = told
        .last
        .iter()
        .map(|record| (record.row.designator.as_str(), record.row.verdict))
        .collect();
    assert_eq!(verdicts, [("R2", Verdict::Fail), ("R1", Verdict::Pass)]);
    while state.last_id < told.last_id {
        hear(&mut state);
    }
    assert_eq!(state, told);
    sitting.end().out();
}

#[test]
fn a_line_that_is_no_text_or_too_long_is_refused_and_the_next_one_is_heard() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = bench.sit_as(Program::new(served(&bench)));
    let mut attached = attach(&bench, &[]).start();
    attached.sees(&["a test, since "]);
    let huge = [b"note ".as_slice(), &vec![b'x'; 20_000_000]].concat();
    // Fits into a line of standard input, and not as JSON into one of the socket.
    let quotes = format!("note {}", "\"".repeat(3000));
    for program in [&mut sitting.program, &mut attached] {
        program.say(b"note br\xfcchig");
        program.complains("found bytes that are no text, expected UTF-8: this line is passed over");
        program.say(&huge);
        program.complains("found a line of more than 4000 bytes: it is passed over");
    }
    attached.say(&quotes);
    attached.complains("the command makes a line of 6020 bytes, expected at most 4096");
    attached.say("skip");
    sitting.program.sees(&["R1 ", "skipped"]);
    sitting.program.say("skip");
    sitting.program.sees(&["R2 ", "skipped"]);
    sitting.end().out();
    attached.end().with_status(0).out();
    assert!(!bench.recorded("note"));
}

#[test]
fn attach_tells_what_was_and_then_prints_the_lines_of_the_sitting() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let mut attached = attach(&bench, &[]).start();
    attached.sees(&["a test, since ", ": 1 of 5 parts done: 1 pass"]);
    attached.sees(&["R1 ", " PASS ", "inside its band (4.23 kΩ to 5.17 kΩ)"]);
    attached.sees(&["  R2       resistor 220 kΩ ±10 %"]);
    let mut script = attach(&bench, &["--json"]).start();
    script.sees(&["{\"hello\":{\"version\":1,"]);
    script.sees(&["{\"state\":{"]);
    attached.say("skip");
    for program in [&mut attached, &mut sitting.program] {
        program.sees(&["R2       skipped"]);
        program.sees(&["  C1       capacitor 47 nF"]);
    }
    script.sees(&["\"what\":\"skipped\",\"ref\":\"R2\""]);
    attached.say("measure harder");
    attached.complains("unknown command `measure harder`, expected next");
    attached.say("goto X9");
    attached.sees(&["`goto X9`: this sitting has no part of that designator"]);
    script.say("end");
    let summary = "1 of 5 parts judged: 1 pass, 1 skipped, 3 not reached";
    attached.sees(&[summary]);
    attached.end().with_status(0).out();
    let script = script.end().with_status(0).out();
    assert!(script.lines().last().unwrap().contains(summary), "{script}");
    sitting.program.sees(&[summary]);
    sitting.program.end().with_status(0).out();
}

#[test]
fn keys_command_from_aside_and_leaving_ends_nothing() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    let root = bench.job.root();
    let arguments = [
        OsStr::new("attach"),
        root.as_os_str(),
        OsStr::new("--plain"),
    ];
    for last in ["q", "\x03", "eney"] {
        let terminal = Terminal::open();
        let before = tcgetattr(&terminal.end).unwrap().local_modes;
        let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
        let screen = terminal.far.try_clone().unwrap();
        let mut attached = Program::start_on_terminal(&arguments, &terminal.end, screen);
        attached.sees(&["keys: n next, ", ", e end, q leave"]);
        attached.sees(&["a test, since "]);
        let during = tcgetattr(&terminal.end).unwrap().local_modes;
        assert!(!during.intersects(LocalModes::ICANON | LocalModes::ECHO));
        press("gr4\r");
        attached.sees(&["  R4 "]);
        sitting.in_hand("R4");
        press("b");
        attached.sees(&["  R3 "]);
        sitting.in_hand("R3");
        press(last);
        if last.starts_with('e') {
            attached.sees(&["0 of 5 parts judged: 5 not reached"]);
        }
        assert_eq!(attached.status().code(), Some(0), "{last:?}");
        assert_eq!(tcgetattr(&terminal.end).unwrap().local_modes, before);
    }
    let finished = sitting.program.end().with_status(0);
    bench.check_recording(&finished);
    let text = fs::read_to_string(bench.job.recording()).unwrap();
    assert_eq!(text.matches("\tcommand\tend\t").count(), 1);
}

#[test]
fn attach_shows_the_screen_of_a_sitting_that_is_half_done() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    let terminal = Terminal::open();
    let size = Size {
        columns: 80,
        rows: 24,
    };
    size.set(&terminal);
    let before = tcgetattr(&terminal.end).unwrap().local_modes;
    let press = |keys: &str| (&terminal.far).write_all(keys.as_bytes()).unwrap();
    let root = bench.job.root();
    let arguments = [OsStr::new("attach"), root.as_os_str()];
    let screen = terminal.far.try_clone().unwrap();
    let mut attached = Program::start_on_terminal(&arguments, &terminal.end, screen);
    let shown = [
        "resistor 220 kΩ ±10 %",
        "●✓ PASS",
        "1 of 5",
        "q leave  n next",
    ];
    attached.shows(size, 0, &shown);
    press("s");
    attached.shows(size, 0, &["capacitor 47 nF", "2 of 5"]);
    sitting.in_hand("C1");
    press("e");
    attached.shows(size, 0, &["end the sitting for everybody?"]);
    press("n");
    sitting.touch(Component::capacitor(48e-9), &["C1 ", " PASS "]);
    attached.shows(size, 0, &["resistor 330 Ω", "3 of 5"]);
    press("ey");
    let last = "2 of 5 parts judged: 2 pass, 1 skipped, 2 not reached";
    let end = attached.shows(size, 0, &[last]);
    assert_eq!(attached.status().code(), Some(0));
    assert!(!end.screen().alternate_screen());
    assert_eq!(tcgetattr(&terminal.end).unwrap().local_modes, before);
    sitting.program.end().with_status(0).out();
}

#[test]
fn in_the_background_it_leaves_the_terminal_alone() {
    let bench = Bench::new(Way::Socket);
    let terminal = Terminal::open();
    let before = tcgetattr(&terminal.end).unwrap().local_modes;
    let arguments = served(&bench);
    let arguments: Vec<&OsStr> = arguments.iter().map(OsString::as_os_str).collect();
    let screen = terminal.far.try_clone().unwrap();
    let mut program = Program::start_in_background(&arguments, &terminal.end, screen);
    // Whoever touched the terminal would have been stopped before.
    program.sees(&["meter: Probewright"]);
    assert_eq!(tcgetattr(&terminal.end).unwrap().local_modes, before);
    (&terminal.far).write_all(b"s").unwrap();
    let mut viewer = Viewer::join(&bench);
    viewer.command("goto R4");
    viewer.in_hand("R4");
    viewer.command("end");
    viewer.item(ended);
    assert_eq!(viewer.next(), None);
    assert_eq!(program.status().code(), Some(0));
    assert!(!bench.recorded("\tcommand\tskip\t"));
}

#[test]
fn a_second_sitting_on_the_same_job_is_refused_and_the_first_goes_on() {
    for first in [serve as fn(&Bench) -> Sitting<'_>, Bench::sit] {
        let bench = Bench::new(Way::Socket);
        let mut sitting = first(&bench);
        let holder = format!("(process {} since ", sitting.program.id());
        for second in [bench.arguments(), served(&bench)] {
            let refused = Program::new(second).run().with_status(1).complaining(&[
                "has a sitting already",
                &holder,
                "probewright attach ",
            ]);
            assert_eq!(refused.out(), "");
        }
        assert_eq!(bench.job.recordings().len(), 1);
        sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
        sitting.in_hand("R2");
        sitting.end().out();
        bench.sit().end().out();
    }
}

#[test]
fn a_signal_ends_it_with_the_recording_sealed_before_the_viewers_are_let_go() {
    for signal in [Signal::TERM, Signal::HUP, Signal::INT] {
        let bench = Bench::new(Way::Socket);
        let mut sitting = serve(&bench);
        let mut viewer = Viewer::join(&bench);
        let mut attached = attach(&bench, &[]).start();
        attached.sees(&["a test, since "]);
        sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
        sitting.in_hand("R2");
        sitting.program.signal(signal);
        viewer.item(ended);
        assert_eq!(viewer.next(), None, "{signal:?}");
        assert!(survey(bench.job.recording()).unwrap().is_whole());
        let finished = sitting.program.end().with_status(0);
        assert!(!socket(&bench).exists());
        bench.check_recording(&finished);
        attached.sees(&["1 of 5 parts judged: 1 pass, 4 not reached"]);
        attached.end().with_status(0).out();
    }
}

#[test]
fn a_job_whose_daemon_was_killed_opens_again_with_nothing_lost() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    let mut viewer = Viewer::join(&bench);
    let mut attached = attach(&bench, &[]).start();
    attached.sees(&["a test, since "]);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    viewer.in_hand("R2");
    sitting.program.signal(Signal::KILL);
    while viewer.next().is_some() {}
    let killed = sitting.program.end();
    attached
        .end()
        .with_status(1)
        .complaining(&["the program that served the sitting is gone"])
        .out();
    // Its socket is left, and nobody listens.
    let left = fs::symlink_metadata(socket(&bench)).unwrap();
    assert!(left.file_type().is_socket());
    attach(&bench, &[])
        .run()
        .with_status(1)
        .complaining(&["nobody serves a sitting of ", " --serve`"])
        .out();
    let recording = bench.job.recording();
    let found = survey(&recording).unwrap();
    assert!(
        matches!(found.ending, Ending::Unsealed { .. } | Ending::Torn { .. }),
        "{found:?}"
    );
    let (replayed, csv) = crate::program::replay(&recording);
    let replayed = replayed.with_status(3).out();
    assert!(replayed.contains("R1       4.7") && killed.out().contains("R1       4.7"));
    assert!(csv.starts_with(&fs::read(bench.job.results()).unwrap()));
    assert_eq!(bench.job.rows().len(), 1);

    let mut again = serve(&bench);
    let mut viewer = Viewer::join(&bench);
    assert_eq!(viewer.state().stage, Stage::Part);
    again.touch(ohm(4713.0), &["R1 ", " PASS "]);
    viewer.in_hand("R2");
    viewer.command("end");
    viewer.item(ended);
    assert_eq!(viewer.next(), None);
    again.program.end().with_status(0).out();
    assert_eq!(bench.job.recordings().len(), 2);
    assert_eq!(bench.job.rows().len(), 2);
}

/// Resident memory of a process, kB.
fn memory(program: &Started) -> u64 {
    let status = fs::read_to_string(format!("/proc/{}/status", program.id())).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let number = line.unwrap().split_whitespace().nth(1).unwrap();
    number.parse().unwrap()
}

#[test]
fn a_viewer_that_does_not_read_delays_nothing_and_is_told_what_it_missed() {
    let bench = Bench::with(Way::Socket, |options| Options {
        manner: Manner::TalksOnly,
        wording: Wording::Display,
        readings_per_second: 1000.0,
        ..options
    })
    .talking();
    let mut program = Program::new(served(&bench)).start();
    program.sees(&["  R1 "]);
    bench.probes.place(ohm(4712.0), Duration::ZERO);
    let mut stuck = Viewer::join(&bench);
    let before = stuck.state().last_id;
    let mut witness = Viewer::join(&bench);
    let mut last = witness.state().last_id;
    let mut up_to = |id: u64, witness: &mut Viewer| {
        while last < id {
            let Some(FromServer::Item(item)) = witness.next() else {
                panic!(
                    "the witness reads, so it misses nothing: {:?}",
                    witness.lines
                )
            };
            assert_eq!(item.id, last + 1);
            last = item.id;
            witness.lines.clear();
        }
    };
    // More than the hub and the system keep for the one that does not read.
    up_to(before + 5000, &mut witness);
    let then = memory(&program);
    up_to(before + 15_000, &mut witness);
    let now = memory(&program);
    assert!(now < then + 2000, "{then} kB, then {now} kB");

    let mut seen = before;
    let missed = loop {
        match stuck.next().unwrap() {
            FromServer::Item(item) => {
                assert_eq!(item.id, seen + 1);
                seen = item.id;
            }
            FromServer::Missed(missed) => break missed,
            other => panic!("{other:?}"),
        }
    };
    let Some(FromServer::State(state)) = stuck.next() else {
        panic!("the state follows")
    };
    assert!(missed > 5000, "{missed}");
    assert_eq!(state.last_id, seen + missed);
    let Some(FromServer::Item(item)) = stuck.next() else {
        panic!("items follow")
    };
    assert_eq!(item.id, state.last_id + 1);
    stuck.command("end");
    stuck.item(ended);
    program.end().with_status(0).out();
    assert!(survey(bench.job.recording()).unwrap().is_whole());
}

#[test]
fn what_is_no_command_is_answered_and_what_goes_beyond_the_limits_is_turned_away() {
    let bench = Bench::new(Way::Socket);
    let mut sitting = serve(&bench);
    let mut viewer = Viewer::join(&bench);
    viewer.command("measure harder");
    assert!(
        viewer
            .refused()
            .starts_with("unknown command `measure harder`, expected next")
    );
    viewer.say("next");
    assert_eq!(
        viewer.refused(),
        "found `next`, expected {\"command\":\"...\"}"
    );
    viewer.say("{\"command\":\"note a\\nnote b\"}");
    assert!(viewer.refused().starts_with("found a control character"));
    viewer.command("next");
    viewer.in_hand("R2");

    let mut chatty = Viewer::join(&bench);
    chatty.say(&"x".repeat(2 * LONGEST_LINE));
    assert_eq!(
        chatty.error(),
        format!("found a line of more than {LONGEST_LINE} bytes, expected a command")
    );
    assert_eq!(chatty.next(), None);

    let mut others: Vec<_> = (1..MOST_CLIENTS).map(|_| Viewer::join(&bench)).collect();
    for other in &mut others {
        other.state();
    }
    let mut late = Viewer::join(&bench);
    assert_eq!(
        late.error(),
        format!("there are {MOST_CLIENTS} viewers already; leave one of them")
    );
    assert_eq!(late.next(), None);
    attach(&bench, &[])
        .run()
        .with_status(1)
        .complaining(&["viewers already"])
        .out();
    drop(others);
    // The seats are free as soon as the server has seen it.
    sitting.program.until("no seat became free", || {
        matches!(
            Viewer::join(&bench)
                .hears(|said| (!matches!(said, FromServer::Hello(_))).then(|| said.clone())),
            FromServer::State(_)
        )
    });
    viewer.command("next");
    viewer.in_hand("C1");
    sitting.in_hand("C1");
    sitting.end().out();
}

#[test]
fn a_flood_of_commands_waits_at_its_own_end() {
    let bench = Bench::new(Way::Socket);
    let sitting = serve(&bench);
    let mut viewer = Viewer::join(&bench);
    let flood = UnixStream::connect(socket(&bench)).unwrap();
    flood.set_nonblocking(true).unwrap();
    // Nothing is read, and nothing is taken in without end.
    let full = (0..200_000).any(|_| {
        (&flood)
            .write(b"{\"command\":\"redo\"}\n")
            .is_err_and(|error| error.kind() == io::ErrorKind::WouldBlock)
    });
    assert!(full);
    viewer.command("goto R4");
    viewer.in_hand("R4");
    drop(flood);
    let finished = sitting.end();
    bench.check_recording(&finished);
}

#[test]
fn the_socket_is_for_its_owner_alone_and_replaces_nothing_but_a_socket() {
    let bench = Bench::new(Way::Socket);
    fs::write(socket(&bench), "kept").unwrap();
    let refused = Program::new(served(&bench))
        .run()
        .with_status(1)
        .complaining(&[".sitting.sock` is in the way"]);
    assert_eq!(refused.out(), "");
    assert_eq!(fs::read_to_string(socket(&bench)).unwrap(), "kept");
    assert!(bench.job.recordings().is_empty());
    fs::remove_file(socket(&bench)).unwrap();
    let sitting = serve(&bench);
    let mode = fs::metadata(socket(&bench)).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
    sitting.end().out();
}

#[test]
fn a_job_may_lie_deeper_than_a_socket_can_be_named() {
    let bench = Bench::new(Way::Socket);
    let mut root = bench.job.root().into_os_string();
    root.push("/.".repeat(100));
    let mut arguments = served(&bench);
    arguments[1].clone_from(&root);
    let mut sitting = bench.sit_as(Program::new(arguments));
    let mut attached = Program::new([OsStr::new("attach"), &root]).start();
    attached.sees(&["a test, since "]);
    attached.say("goto R4");
    sitting.in_hand("R4");
    sitting.end().out();
    assert!(!socket(&bench).exists());
    attached.end().with_status(0).out();
}

#[test]
fn a_sitting_that_breaks_off_says_so_to_its_viewers() {
    let bench = Bench::with(Way::Socket, |options| Options {
        readings_per_second: 500.0,
        ..options
    });
    // Files may grow to 32 KiB (in units of 512 bytes in POSIX, of 1024 in other shells: to 64 KiB at the most).
    let script = "trap '' XFSZ; ulimit -f 64; exec \"$@\"";
    let mut program = Program::by_shell(script, served(&bench)).start();
    program.sees(&["  R1 "]);
    let mut viewer = Viewer::join(&bench);
    assert_eq!(
        viewer.error(),
        "the sitting broke off; its program printed why"
    );
    assert_eq!(viewer.next(), None);
    let mut rest = Vec::new();
    viewer.reader.read_to_end(&mut rest).unwrap();
    assert!(rest.is_empty());
    program
        .end()
        .with_status(1)
        .complaining(&["could not be written to `"])
        .out();
    assert!(!socket(&bench).exists());
}
