//! Sounds, with audio programs made for the test: scripts that write down what they were to play.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use probewright::face::views::sound::{
    CAPACITY, Cue, GRACE, OutsideProgram, PLAYERS, Sounder, Sources, Utterance, bells,
};
use tempfile::TempDir;

use crate::program::{Program, Terminal};
use crate::sit::{Bench, Way, ohm};

/// A folder that takes the place of PATH, with programs in it that write down what they were given.
struct Machine {
    folder: TempDir,
}

impl Machine {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn log(&self) -> PathBuf {
        self.path().join("log")
    }

    /// A program that writes its name and its arguments down and then does what `then` says.
    fn program(self, name: &str, then: &str) -> Self {
        let file = self.path().join(name);
        let script = format!(
            "#!/bin/sh\necho {name} \"$@\" >> {}\n{then}\n",
            self.log().display()
        );
        fs::write(&file, script).unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o755)).unwrap();
        self
    }

    /// Lines that the programs wrote down, without the folder of the sounds.
    fn heard(&self) -> Vec<String> {
        let short = |line: &str| {
            let words: Vec<&str> = line
                .split(' ')
                .map(|word| match word.strip_suffix(".wav") {
                    Some(sound) => sound.rsplit('/').next().unwrap(),
                    None => word,
                })
                .collect();
            words.join(" ")
        };
        let text = fs::read_to_string(self.log()).unwrap_or_default();
        text.lines().map(short).collect()
    }

    fn run(&self, arguments: &[&str]) -> Program {
        Program::new(arguments).audible().with("PATH", self.path())
    }

    fn sources(&self) -> Sources {
        let players = OutsideProgram::all_on(self.path().as_os_str(), &PLAYERS);
        Sources::new(players, Vec::new(), None, Box::new(|_| {}))
    }
}

fn played(player: &str) -> Vec<String> {
    let line = |cue: Cue| format!("{player} {}", cue.name());
    Cue::ALL.iter().copied().map(line).collect()
}

#[test]
fn every_sound_is_listed_and_played_in_order() {
    let machine = Machine::new().program("pw-play", "");
    let out = machine.run(&["sounds"]).run().with_status(0).out();
    assert_eq!(machine.heard(), played("pw-play"));
    assert!(
        out.starts_with(&format!("played by {}/pw-play\n", machine.path().display())),
        "{out}"
    );
    for (line, cue) in out.lines().skip(1).zip(Cue::ALL) {
        assert!(line.starts_with(cue.name()), "{line}");
        assert!(line.ends_with(cue.meaning()), "{line}");
    }
    assert_eq!(out.lines().count(), 1 + Cue::ALL.len());
}

#[test]
fn the_sounds_are_files_when_they_are_played_and_gone_afterwards() {
    let machine = Machine::new().program("aplay", "test -s \"$2\" || exit 1");
    let finished = machine.run(&["sounds"]).run().with_status(0);
    assert_eq!(finished.err(), "");
    let text = fs::read_to_string(machine.log()).unwrap();
    let file = text.lines().next().unwrap().rsplit(' ').next().unwrap();
    assert!(file.ends_with("/contact.wav"), "{file}");
    assert!(!Path::new(file).parent().unwrap().exists(), "{file}");
}

#[test]
fn a_player_that_fails_gives_way_to_the_next_and_nobody_is_bothered() {
    let machine = Machine::new()
        .program("pw-play", "exit 1")
        .program("aplay", "");
    let finished = machine.run(&["sounds"]).run().with_status(0);
    assert_eq!(finished.err(), "");
    let mut expected = played("aplay -q");
    expected.insert(0, "pw-play contact".to_owned());
    assert_eq!(machine.heard(), expected);
}

#[test]
fn that_the_last_player_failed_is_said_once() {
    let machine = Machine::new().program("paplay", "exit 4");
    let finished = machine.run(&["sounds"]).run().with_status(1);
    let expected = format!(
        "sound: `{}/paplay` failed (exit status: 4); no sound from now on\n",
        machine.path().display()
    );
    assert_eq!(finished.err(), expected);
    assert_eq!(machine.heard(), ["paplay contact"]);
}

#[test]
fn a_machine_without_a_player_says_what_would_help() {
    let machine = Machine::new();
    let finished = machine.run(&["sounds"]).run().with_status(0);
    let finished = finished.complaining(&["install one of pw-play,", "PROBEWRIGHT_PLAYER"]);
    assert_eq!(finished.err().lines().count(), 1);
    let out = finished.out();
    assert!(out.starts_with("no audio program found: nothing is heard\n"));
    assert_eq!(out.lines().count(), 1 + Cue::ALL.len());
}

#[test]
fn the_player_of_the_environment_goes_first_with_its_arguments() {
    let machine = Machine::new().program("pw-play", "").program("mine", "");
    let _ = machine
        .run(&["sounds"])
        .with("PROBEWRIGHT_PLAYER", "mine --device 2")
        .run()
        .with_status(0);
    assert_eq!(machine.heard(), played("mine --device 2"));
}

#[test]
fn a_player_of_the_environment_that_is_not_there_is_named() {
    let machine = Machine::new().program("pw-play", "");
    let _ = machine
        .run(&["sounds"])
        .with("PROBEWRIGHT_PLAYER", "no-such-player")
        .run()
        .with_status(0)
        .complaining(&["PROBEWRIGHT_PLAYER: found no program `no-such-player`"]);
    assert_eq!(machine.heard(), [""; 0]);
}

#[test]
fn names_are_spoken_where_that_is_wanted() {
    let machine = Machine::new().program("pw-play", "").program("espeak", "");
    let _ = machine.run(&["sounds", "--speak"]).run().with_status(0);
    let heard = machine.heard();
    assert_eq!(heard.len(), 2 * Cue::ALL.len());
    assert_eq!(
        heard[..4],
        [
            "pw-play contact",
            "espeak -v en contact",
            "pw-play settled",
            "espeak -v en settled"
        ]
    );
}

#[test]
fn sounds_are_written_as_files_and_none_is_overwritten() {
    let machine = Machine::new().program("pw-play", "");
    let folder = machine.path().join("new/place");
    let save = || machine.run(&["sounds", "--save", folder.to_str().unwrap()]);
    let out = save().run().with_status(0).out();
    let files: Vec<PathBuf> = out.lines().map(PathBuf::from).collect();
    assert_eq!(files.len(), Cue::ALL.len());
    for (file, cue) in files.iter().zip(Cue::ALL) {
        assert_eq!(file.file_stem().unwrap(), cue.name());
        let seconds = cue.pattern().duration().as_secs_f64();
        let size = fs::metadata(file).unwrap().len() as f64;
        // 44 bytes of header, 88200 bytes a second.
        assert!((size - 44.0 - 88_200.0 * seconds).abs() < 20.0, "{size}");
    }
    assert_eq!(machine.heard(), [""; 0]);
    let _ = save()
        .run()
        .with_status(1)
        .complaining(&["cannot write the sound", "contact.wav`"]);
}

#[test]
fn without_a_player_the_bell_of_the_terminal_rings() {
    let terminal = Terminal::open();
    let screen = terminal.far.try_clone().unwrap();
    let mut program = Program::start_on_terminal(&["sounds".as_ref()], &terminal.end, screen);
    program.sees(&["the bell of the terminal rings"]);
    // The bells of a sound come behind its line, so they are seen in front of the next.
    for pair in Cue::ALL.windows(2) {
        let line = program.sees(&[&format!("{} ", pair[1]), pair[1].meaning()]);
        let rung = line.chars().filter(|&c| c == '\x07').count();
        assert_eq!(rung, bells(pair[0]) as usize, "{}: {line:?}", pair[0]);
    }
    assert_eq!(program.status().code(), Some(0));
}

/// One part measured; the program is asked for with these words more.
fn sitting(machine: &Machine, more: &[&str]) -> Vec<String> {
    let bench = Bench::new(Way::Socket);
    let mut arguments = bench.arguments();
    arguments.extend(more.iter().map(Into::into));
    let program = Program::new(arguments)
        .audible()
        .with("PATH", machine.path());
    let mut sitting = bench.sit_as(program);
    sitting.touch(ohm(4712.0), &["R1 ", " PASS "]);
    sitting.in_hand("R2");
    sitting.program.say("redo");
    sitting.in_hand("R1");
    sitting.touch(ohm(9000.0), &["R1 ", " FAIL "]);
    sitting.in_hand("R2");
    let finished = sitting.end();
    bench.check_recording(&finished);
    assert_eq!(bench.job.rows().len(), 2);
    machine.heard()
}

/// A contact may be stale by the time the machine comes to it; everything else is heard.
fn without_contacts(heard: &[String]) -> Vec<&str> {
    let contact = |line: &&str| !line.ends_with("contact");
    heard.iter().map(String::as_str).filter(contact).collect()
}

#[test]
fn contacts_and_verdicts_of_a_sitting_are_heard() {
    let machine = Machine::new().program("pw-play", "");
    let heard = sitting(&machine, &[]);
    assert_eq!(without_contacts(&heard), ["pw-play pass", "pw-play fail"]);
    assert!(heard.contains(&"pw-play contact".to_owned()), "{heard:?}");
}

#[test]
fn a_quiet_sitting_is_quiet() {
    let machine = Machine::new()
        .program("pw-play", "")
        .program("espeak-ng", "");
    assert_eq!(sitting(&machine, &["--quiet"]), [""; 0]);
}

#[test]
fn a_demonstration_in_a_hurry_is_silent() {
    let machine = Machine::new().program("pw-play", "");
    let _ = machine.run(&["demo", "--fast"]).run().with_status(0);
    assert_eq!(machine.heard(), [""; 0]);
}

#[test]
fn verdicts_and_what_is_next_are_spoken() {
    let machine = Machine::new().program("aplay", "").program("espeak-ng", "");
    let heard = sitting(&machine, &["--speak"]);
    let heard = without_contacts(&heard);
    for words in ["R one, next", "pass", "fail", "R two, next"] {
        let line = format!("espeak-ng -v en {words}");
        assert!(heard.contains(&line.as_str()), "no `{line}` in {heard:?}");
    }
    let place = |line: &str| heard.iter().position(|heard| *heard == line);
    assert!(place("aplay -q pass") < place("espeak-ng -v en pass"));
}

#[test]
fn a_player_that_hangs_delays_neither_the_sitting_nor_its_end() {
    let machine = Machine::new().program("pw-play", "echo $$ > $0.pid; exec /bin/sleep 1000");
    let began = Instant::now();
    let heard = sitting(&machine, &[]);
    assert!(began.elapsed() < Duration::from_secs(60));
    assert!(!heard.is_empty());
    // It was reaped: nothing of that number lives.
    let pid = fs::read_to_string(machine.path().join("pw-play.pid")).unwrap();
    assert!(!Path::new("/proc").join(pid.trim()).exists());
}

#[test]
fn a_thousand_events_do_not_wait_for_a_slow_player() {
    let machine = Machine::new().program("pw-play", "exec /bin/sleep 1000");
    let sounder = Sounder::start(machine.sources()).unwrap();
    let began = Instant::now();
    for _ in 0..500 {
        sounder.utter(Utterance::Cue(Cue::Contact));
        sounder.utter(Utterance::Cue(Cue::Fail));
        assert!(sounder.waiting() <= CAPACITY);
    }
    let taken = began.elapsed();
    assert!(taken < Duration::from_secs(1), "{taken:?}");
    assert_eq!(sounder.waiting(), CAPACITY);
    let closing = Instant::now();
    drop(sounder);
    let closing = closing.elapsed();
    assert!(closing < GRACE + Duration::from_secs(20), "{closing:?}");
}

#[test]
fn what_waits_when_a_sitting_ends_is_still_heard() {
    let machine = Machine::new().program("pw-play", "");
    let sounder = Sounder::start(machine.sources()).unwrap();
    for cue in [Cue::Pass, Cue::Fail, Cue::StillCharged] {
        sounder.utter(Utterance::Cue(cue));
    }
    drop(sounder);
    assert_eq!(
        machine.heard(),
        ["pw-play pass", "pw-play fail", "pw-play still-charged"]
    );
}

#[test]
fn when_the_last_player_fails_the_bell_takes_over_and_that_is_told_once() {
    /// A terminal that only listens.
    #[derive(Clone, Default)]
    struct Ear(Arc<Mutex<Vec<u8>>>);
    impl std::io::Write for Ear {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.lock().unwrap().extend_from_slice(bytes);
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let machine = Machine::new().program("pw-play", "exit 1");
    let players = OutsideProgram::all_on(machine.path().as_os_str(), &PLAYERS);
    let (ear, told) = (Ear::default(), Arc::new(Mutex::new(Vec::new())));
    let tell = Arc::clone(&told);
    let mut sources = Sources::new(
        players,
        Vec::new(),
        Some(Box::new(ear.clone())),
        Box::new(move |text| tell.lock().unwrap().push(text.to_owned())),
    );
    for cue in [Cue::Fail, Cue::Pass] {
        sources.utter(&Utterance::Cue(cue), &|| false);
    }
    assert_eq!(*ear.0.lock().unwrap(), [7; 4]);
    let told = told.lock().unwrap();
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].ends_with("the bell of the terminal from now on"),
        "{told:?}"
    );
}
