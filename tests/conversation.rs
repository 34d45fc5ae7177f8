//! The conversation with a scripted meter: both ends, the clock, the delays and the losses are in the test's hand.

use std::collections::VecDeque;
use std::sync::Arc;
use std::time::Duration;

use probewright::face::engine::meter::{Conversation, Heard, Profile, Shown};
use probewright::face::engine::quantity::Quantity::{self, Capacitance, Resistance};
use probewright::face::engine::quantity::Stamp;
use proptest::prelude::*;

const PROFILE: &str = r#"
format = 1
title = "scripted meter"
mode = "query"
[line]
baud = 9600
[timing]
answer_within_s = 1.0
[identify]
query = "*IDN?"
expect = "SCRIPTED"
[errors]
query = "SYST:ERR?"
[function.resistance]
setup = ["CONF:RES"]
query = "READ?"
idle = "overload"
range = [{ up_to = 1e9, resolution = 1, counts = 1 }]
[function.capacitance]
setup = ["CONF:CAP"]
query = "READ?"
idle = { below = 1e-12 }
range = [{ up_to = 1, resolution = 1e-12, counts = 1 }]
"#;

const TALKER: &str = r#"
format = 1
title = "talker"
mode = "talk"
[line]
baud = 2400
[timing]
silent_after_s = 2.0
[number]
overload_words = ["OL"]
[function.resistance]
idle = "overload"
range = [{ up_to = 1e9, resolution = 1, counts = 1 }]
[function.capacitance]
idle = { below = 1e-12 }
range = [{ up_to = 1, resolution = 1e-12, counts = 1 }]
"#;

/// Fate of one command on its way.
#[derive(Debug, Clone, Copy)]
enum Fate {
    /// Answered after so many milliseconds (never before the answer to an earlier command).
    After(u64),
    /// Never reaches the meter, or its answer never reaches us.
    Lost,
}

/// A meter that answers in order. The n-th `READ?` is answered by n ohm, or n farad, so that every answer tells its question.
struct Meter {
    fates: Vec<Fate>,
    commands: usize,
    reads: u32,
    function: Quantity,
    errors: VecDeque<&'static str>,
    identity: &'static str,
    /// A command that it does not know.
    refuses: Option<&'static str>,
    log: Vec<String>,
    on_the_way: VecDeque<(Stamp, Vec<u8>)>,
}

impl Meter {
    fn new(fates: &[Fate]) -> Self {
        Self {
            fates: fates.to_vec(),
            commands: 0,
            reads: 0,
            function: Resistance,
            errors: VecDeque::new(),
            identity: "SCRIPTED,METER,0,0",
            refuses: None,
            log: Vec::new(),
            on_the_way: VecDeque::new(),
        }
    }

    fn command(&mut self, command: &str, now: Stamp) {
        self.log.push(command.to_owned());
        if self.refuses == Some(command) {
            self.errors.push_back("-113,\"Undefined header\"");
            return;
        }
        let answer = match command {
            "*IDN?" => self.identity.to_owned(),
            "SYST:ERR?" => self
                .errors
                .pop_front()
                .unwrap_or("0,\"No error\"")
                .to_owned(),
            "READ?" => {
                self.reads += 1;
                format!(
                    "{} {}",
                    self.reads,
                    if self.function == Resistance {
                        "OHM"
                    } else {
                        "F"
                    }
                )
            }
            "CONF:RES" => return self.function = Resistance,
            "CONF:CAP" => return self.function = Capacitance,
            _ => panic!("no such command: `{command}`"),
        };
        let fate = self
            .fates
            .get(self.commands)
            .or(self.fates.last())
            .copied()
            .unwrap_or(Fate::After(10));
        self.commands += 1;
        if let Fate::After(millis) = fate {
            let earliest = self.on_the_way.back().map_or(now, |(at, _)| (*at).max(now));
            self.on_the_way.push_back((
                earliest.after(Duration::from_millis(millis)),
                format!("{answer}\r\n").into_bytes(),
            ));
        }
    }
}

/// Both ends and the clock.
struct Bench {
    conversation: Conversation,
    meter: Meter,
    now: Stamp,
    /// News, in words, without the time.
    said: Vec<String>,
    /// Every reading with the number of `READ?` commands that had been sent when it was heard.
    readings: Vec<(Quantity, Shown, u32)>,
}

impl Bench {
    fn new(profile: &str, fates: &[Fate]) -> Self {
        let profile = Profile::parse(profile, "test").unwrap_or_else(|error| panic!("{error}"));
        let mut conversation = Conversation::new(Arc::new(profile));
        conversation.link_up(Stamp::ZERO);
        Self {
            conversation,
            meter: Meter::new(fates),
            now: Stamp::ZERO,
            said: Vec::new(),
            readings: Vec::new(),
        }
    }

    fn measuring(quantity: Quantity, fates: &[Fate]) -> Self {
        let mut bench = Self::new(PROFILE, fates);
        bench.measure(quantity);
        bench
    }

    fn measure(&mut self, quantity: Quantity) {
        self.conversation
            .measure(quantity, self.now)
            .expect("a function of the profile");
        self.send();
    }

    fn send(&mut self) {
        while let Some(bytes) = self.conversation.transmit() {
            let text = String::from_utf8(bytes.to_vec()).expect("commands are ASCII");
            assert!(text.ends_with('\n'), "a command without its end: {text:?}");
            for command in text.lines() {
                self.meter.command(command, self.now);
            }
        }
    }

    /// Deadlines up to `now`, then bytes.
    fn at(&mut self, now: Stamp, bytes: &[u8]) {
        self.now = now;
        let (said, readings, reads) = (&mut self.said, &mut self.readings, self.meter.reads);
        let mut hear = |heard: Heard<'_>| {
            if let Heard::Reading(reading) = heard {
                readings.push((reading.quantity, reading.shown, reads));
            }
            said.push(match heard {
                Heard::Silent => format!("silent at {}", now.micros() / 1000),
                heard => words(&heard),
            });
        };
        self.conversation.tick(now, &mut hear);
        self.conversation.receive(bytes, now, &mut hear);
        self.send();
    }

    fn arrive(&mut self, bytes: &[u8]) {
        self.at(self.now, bytes);
    }

    /// Lets things happen, one after another, for so many milliseconds.
    fn run(&mut self, millis: u64) {
        let end = self.now.after(Duration::from_millis(millis));
        self.send();
        loop {
            let answer = self.meter.on_the_way.front().map(|(at, _)| *at);
            let deadline = self.conversation.deadline();
            match answer.into_iter().chain(deadline).min() {
                Some(next) if next <= end => {
                    let due = answer.is_some_and(|at| at <= next);
                    let due = due.then(|| self.meter.on_the_way.pop_front()).flatten();
                    self.at(
                        next.max(self.now),
                        &due.map_or(Vec::new(), |(_, bytes)| bytes),
                    );
                }
                _ => break,
            }
        }
        self.at(end, b"");
    }
}

fn words(heard: &Heard<'_>) -> String {
    match heard {
        Heard::Reading(reading) => format!("{} {:?}", reading.quantity, reading.shown),
        Heard::Identified { text, .. } => format!("identified {text}"),
        Heard::WrongMeter { answer, .. } => format!("wrong meter {answer}"),
        Heard::DeviceError { code, text, .. } => format!("device error {code} {text}"),
        Heard::Refused { quantity, .. } => format!("refused {quantity}"),
        Heard::Garbled { .. } => "garbled".to_owned(),
        Heard::Missed { bytes, .. } => format!("missed {bytes}"),
        Heard::TooLong => "too long".to_owned(),
        Heard::NotUnderstood { line, .. } => format!("not understood {line}"),
        Heard::Silent => "silent".to_owned(),
        Heard::Answering => "answering".to_owned(),
        Heard::WrongQuantity { arriving, .. } => format!("wrong quantity {arriving:?}"),
    }
}

/// The number that a reading carries.
fn number(shown: Shown) -> u32 {
    let Shown::Value(value) = shown else {
        panic!("a value was expected, found {shown:?}")
    };
    value as u32
}

#[test]
fn it_identifies_sets_up_reads_the_errors_and_asks() {
    let mut bench = Bench::measuring(Resistance, &[Fate::After(10)]);
    bench.run(45);
    assert_eq!(
        bench.meter.log[..5],
        ["*IDN?", "CONF:RES", "SYST:ERR?", "READ?", "READ?"]
    );
    assert_eq!(
        bench.said,
        [
            "identified SCRIPTED,METER,0,0",
            "resistance Value(1.0)",
            "resistance Value(2.0)"
        ]
    );
}

#[test]
fn a_refused_command_is_reported_with_number_and_text() {
    let mut bench = Bench::measuring(Resistance, &[Fate::After(10)]);
    bench
        .meter
        .errors
        .extend(["-113,\"Undefined header\"", "-222,\"Data out of range\""]);
    bench.run(65);
    assert_eq!(
        bench.said[1..],
        [
            "device error -113 Undefined header",
            "device error -222 Data out of range",
            "resistance Value(1.0)"
        ]
    );
    // The errors may have been there before the set-up, so the set-up is repeated.
    let log = bench.meter.log.join(" ");
    assert!(
        log.ends_with("SYST:ERR? CONF:RES SYST:ERR? READ? READ?"),
        "{log}"
    );
}

#[test]
fn a_meter_that_refuses_its_set_up_is_not_asked_for_what_it_does_not_measure() {
    let mut bench = Bench::new(PROFILE, &[Fate::After(10)]);
    bench.meter.refuses = Some("CONF:CAP");
    bench.measure(Capacitance);
    bench.run(8000);
    assert_eq!(
        bench.said[1..],
        ["device error -113 Undefined header", "refused capacitance"]
    );
    assert_eq!(bench.meter.reads, 0);
    assert_eq!(bench.conversation.deadline(), None);
    // Something else is measured as if nothing had been, and what was refused is tried again when it is wanted again.
    bench.measure(Resistance);
    bench.run(25);
    assert_eq!(bench.said[3..], ["resistance Value(1.0)"]);
    bench.measure(Capacitance);
    bench.run(60);
    assert_eq!(
        bench.said.last().map(String::as_str),
        Some("refused capacitance")
    );
}

#[test]
fn a_late_answer_is_dropped_and_silence_is_said_once() {
    // Identification, errors, then a first reading that comes 1.5 s after its question.
    let mut bench = Bench::measuring(
        Resistance,
        &[
            Fate::After(10),
            Fate::After(10),
            Fate::After(1500),
            Fate::After(10),
        ],
    );
    bench.run(1555);
    assert_eq!(
        bench.said,
        [
            "identified SCRIPTED,METER,0,0",
            "silent at 1020",
            "answering",
            "resistance Value(2.0)"
        ]
    );
    let log = bench.meter.log.join(" ");
    assert!(
        log.contains("READ? *IDN? CONF:RES SYST:ERR? READ?"),
        "after a time-out the meter is set up anew: {log}"
    );
}

#[test]
fn a_lost_answer_costs_one_time_out() {
    let mut bench = Bench::measuring(
        Resistance,
        &[
            Fate::After(10),
            Fate::After(10),
            Fate::Lost,
            Fate::After(10),
        ],
    );
    bench.run(1055);
    assert_eq!(
        bench.said[1..],
        ["silent at 1020", "answering", "resistance Value(2.0)"]
    );
}

#[test]
fn a_meter_that_never_answers_is_asked_with_growing_patience() {
    let mut bench = Bench::measuring(Resistance, &[Fate::Lost]);
    bench.run(30_000);
    assert_eq!(bench.said, ["silent at 1000"]);
    // Asked at 0, 1, 3, 7 s, and then every 5 s: 12, 17, 22, 27.
    assert_eq!(bench.meter.log, ["*IDN?"; 8]);
}

#[test]
fn another_meter_is_noticed_and_nothing_is_measured() {
    let mut bench = Bench::new(PROFILE, &[Fate::After(10)]);
    bench.meter.identity = "ANOTHER,METER,0,0";
    bench.measure(Resistance);
    bench.run(8000);
    assert_eq!(bench.said, ["wrong meter ANOTHER,METER,0,0"]);
    assert_eq!(bench.meter.reads, 0);
    bench.meter.identity = "SCRIPTED,METER,0,0";
    bench.run(8000);
    assert_eq!(
        bench.said[1..3],
        ["identified SCRIPTED,METER,0,0", "resistance Value(1.0)"]
    );
    assert!(bench.meter.reads > 0);
}

#[test]
fn a_link_lost_in_the_middle_of_an_answer_leaves_nothing_behind() {
    let mut bench = Bench::measuring(Resistance, &[Fate::After(10)]);
    bench.run(25);
    bench.meter.on_the_way.clear();
    bench.arrive(b"47");
    bench.conversation.link_lost(bench.now);
    assert_eq!(bench.conversation.deadline(), None);
    bench.arrive(b"11 OHM\r\n");
    bench.conversation.link_up(bench.now);
    bench.arrive(b"E+03\r\n12 OHM\r\n");
    bench.run(45);
    assert_eq!(
        bench.said[1..],
        [
            "identified SCRIPTED,METER,0,0",
            "resistance Value(2.0)",
            "resistance Value(3.0)"
        ]
    );
}

#[test]
fn after_a_change_the_outstanding_answer_is_dropped() {
    let mut bench = Bench::measuring(
        Resistance,
        &[
            Fate::After(10),
            Fate::After(10),
            Fate::After(500),
            Fate::After(10),
        ],
    );
    bench.run(100);
    bench.measure(Capacitance);
    bench.measure(Resistance);
    bench.measure(Capacitance);
    bench.run(450);
    assert_eq!(
        bench.said[1..],
        ["capacitance Value(2.0)", "capacitance Value(3.0)"]
    );
    assert_eq!(
        bench.meter.log[3..7],
        ["READ?", "CONF:CAP", "SYST:ERR?", "READ?"]
    );
}

#[test]
fn a_garbled_answer_is_reported_and_the_place_is_found_again_at_once() {
    let mut bench = Bench::measuring(Resistance, &[Fate::After(10)]);
    bench.run(25);
    bench.arrive(b"\xff\x80\r\n");
    bench.run(40);
    assert_eq!(
        bench.said[1..],
        ["garbled", "resistance Value(2.0)", "resistance Value(3.0)"]
    );
    let log = bench.meter.log.join(" ");
    assert!(
        log.contains("READ? *IDN? READ?"),
        "the set-up is not sent again: {log}"
    );
}

#[test]
fn every_time_out_lets_the_meter_be_set_up_anew() {
    // The answer is garbled, and then the identification is lost: the meter may have been switched off.
    let fates = [
        Fate::After(10),
        Fate::After(10),
        Fate::Lost,
        Fate::Lost,
        Fate::After(10),
    ];
    let mut bench = Bench::measuring(Resistance, &fates);
    bench.run(25);
    bench.arrive(b"\xff\r\n");
    bench.run(1035);
    assert_eq!(
        bench.said[1..],
        [
            "garbled",
            "silent at 1025",
            "answering",
            "resistance Value(2.0)"
        ]
    );
    let log = bench.meter.log.join(" ");
    assert!(
        log.contains("READ? *IDN? *IDN? CONF:RES SYST:ERR? READ?"),
        "{log}"
    );
}

#[test]
fn a_line_that_nobody_asked_for_is_not_taken_for_the_next_answer() {
    let mut bench = Bench::measuring(
        Resistance,
        &[
            Fate::After(10),
            Fate::After(10),
            Fate::Lost,
            Fate::After(10),
        ],
    );
    bench.run(25);
    bench.arrive(b"1 OHM\r\n99 OHM\r\n");
    bench.run(40);
    assert_eq!(
        bench.said[1..3],
        ["resistance Value(1.0)", "not understood 99 OHM"]
    );
    assert!(
        bench
            .readings
            .iter()
            .all(|(_, shown, _)| number(*shown) != 99),
        "{:?}",
        bench.said
    );
    assert!(bench.readings.len() > 1, "{:?}", bench.said);
}

#[test]
fn a_meter_that_echoes_commands_is_understood() {
    let mut bench = Bench::measuring(Resistance, &[Fate::Lost]);
    bench.arrive(b"*IDN?\r\nSCRIPTED,METER,0,0\r\n");
    bench.arrive(b"CONF:RES\r\nSYST:ERR?\r\n0,\"No error\"\r\n");
    bench.arrive(b"READ?\r\n4711\r\n");
    assert_eq!(
        bench.said,
        ["identified SCRIPTED,METER,0,0", "resistance Value(4711.0)"]
    );
}

#[test]
fn an_error_queue_that_does_not_answer_is_left_alone() {
    let mut bench = Bench::measuring(Resistance, &[Fate::After(10), Fate::Lost, Fate::After(10)]);
    bench.run(2000);
    assert_eq!(
        bench.said[1..4],
        ["silent at 1010", "answering", "resistance Value(1.0)"]
    );
    assert_eq!(
        bench
            .meter
            .log
            .iter()
            .filter(|command| *command == "SYST:ERR?")
            .count(),
        1
    );
}

#[test]
fn without_identification_a_quiet_line_is_waited_for() {
    let (head, rest) = PROFILE.split_once("[identify]").unwrap();
    let (_, rest) = rest
        .split_once("[errors]\nquery = \"SYST:ERR?\"\n")
        .unwrap();
    let mut bench = Bench::new(&format!("{head}{rest}"), &[Fate::After(10)]);
    bench.measure(Resistance);
    bench.run(900);
    bench.arrive(b"4711\r\n");
    bench.run(999);
    assert_eq!(bench.meter.log, [""; 0]);
    bench.run(25);
    assert_eq!(
        bench.said,
        ["resistance Value(1.0)", "resistance Value(2.0)"]
    );
}

#[test]
fn a_quantity_without_function_is_refused() {
    let (head, _) = PROFILE.split_once("[function.capacitance]").unwrap();
    let profile = Profile::parse(head, "test").unwrap();
    let mut conversation = Conversation::new(Arc::new(profile));
    let error = conversation.measure(Capacitance, Stamp::ZERO).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the profile `test` has no function for capacitance: choose a meter that measures it"
    );
}

#[test]
fn a_talk_only_meter_is_listened_to() {
    let mut bench = Bench::new(TALKER, &[]);
    bench.measure(Resistance);
    bench.arrive(b"47 OHM\r\n4.7 kOHM\r\nOL MOHM\r\n");
    assert_eq!(
        bench.said,
        ["resistance Value(4700.0)", "resistance Overload"]
    );
    bench.run(5000);
    bench.arrive(b"1 OHM\r\n");
    assert_eq!(
        bench.said[2..],
        ["silent at 2000", "answering", "resistance Value(1.0)"]
    );
    assert_eq!(bench.meter.log, [""; 0]);
}

#[test]
fn an_overload_without_a_unit_is_of_the_function_that_was_read_last() {
    let mut bench = Bench::new(TALKER, &[]);
    bench.measure(Resistance);
    bench.arrive(b"\nOL\n4.7 kOHM\nOL\n12\n1.2 VDC\nOL\n");
    let said = [
        "not understood OL",
        "resistance Value(4700.0)",
        "resistance Overload",
        "not understood 12",
        "wrong quantity Some(Voltage)",
    ];
    assert_eq!(bench.said, said);
    bench.conversation.link_up(bench.now);
    bench.arrive(b"\nOL\n");
    assert_eq!(bench.said[said.len()..], ["not understood OL"]);
}

#[test]
fn what_no_meter_of_those_ranges_can_show_is_not_understood_and_no_overload() {
    let mut bench = Bench::new(TALKER, &[]);
    bench.measure(Resistance);
    bench.arrive(b"\n1e308 OHM\n-1e308 OHM\n4.7 kOHM\n");
    assert_eq!(
        bench.said,
        [
            "not understood 1e308 OHM",
            "not understood -1e308 OHM",
            "resistance Value(4700.0)"
        ]
    );
}

#[test]
fn two_answers_that_lost_the_line_end_between_them_are_no_other_meter() {
    for glued in [
        "+8.61021066E++8.61021067E+03",
        "+1.2E",
        "1.5ESCRIPTED,METER",
    ] {
        let mut bench = Bench::new(PROFILE, &[Fate::Lost]);
        bench.measure(Resistance);
        bench.run(2000);
        bench.arrive(format!("{glued}\n").as_bytes());
        bench.run(8000);
        let strangers = bench.said.iter().filter(|said| said.starts_with("wrong"));
        assert_eq!(strangers.count(), 0, "{:?}", bench.said);
    }
}

#[test]
fn a_knob_at_the_wrong_place_is_said_once_per_change() {
    let mut bench = Bench::new(TALKER, &[]);
    bench.measure(Capacitance);
    bench.arrive(b"\n4.7 kOHM\n4.7 kOHM\n1.2 VAC\n1.3 VAC\n1.2 VDC\n47 nF\n5 OHM\n12\n");
    let wrong = [
        "wrong quantity Some(Resistance)",
        "wrong quantity Some(AcVoltage)",
        "wrong quantity Some(Voltage)",
    ];
    assert_eq!(bench.said[..3], wrong);
    assert_eq!(
        bench.said[3..],
        ["capacitance Value(4.7e-8)", wrong[0], "not understood 12"]
    );
}

fn fate() -> impl Strategy<Value = Fate> {
    prop_oneof![
        4 => (0_u64..900).prop_map(Fate::After),
        2 => (900_u64..1100).prop_map(Fate::After),
        2 => (1000_u64..12_000).prop_map(Fate::After),
        2 => Just(Fate::Lost),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_late_answer_is_never_taken_for_the_next(
        mut fates in prop::collection::vec(fate(), 1..60),
        changes in prop::collection::vec((0_u64..4000, any::<bool>()), 0..12),
    ) {
        fates.push(Fate::After(300));
        let mut bench = Bench::measuring(Resistance, &fates);
        for (millis, capacitance) in changes {
            bench.run(millis);
            bench.measure(if capacitance { Capacitance } else { Resistance });
        }
        bench.run(120_000);
        for (_, shown, asked) in &bench.readings {
            prop_assert_eq!(number(*shown), *asked, "said: {:?}, log: {:?}", bench.said, bench.meter.log);
        }
        prop_assert!(!bench.said.iter().any(|said| said.starts_with("wrong quantity")), "{:?}", bench.said);
    }

    #[test]
    fn whatever_happened_before_a_good_meter_is_found_again(mut fates in prop::collection::vec(fate(), 1..40)) {
        fates.push(Fate::After(200));
        let mut bench = Bench::measuring(Resistance, &fates);
        bench.run(600_000);
        let before = bench.readings.len();
        bench.run(1000);
        prop_assert!(bench.readings.len() > before + 3, "{:?}", bench.said);
    }

    #[test]
    fn any_bytes_are_survived_and_the_same_inputs_say_the_same(
        portions in prop::collection::vec((0_u64..3000, prop::collection::vec(any::<u8>(), 0..30)), 0..20),
        talk in any::<bool>(),
    ) {
        let run = |drain: bool| {
            let mut bench = Bench::new(if talk { TALKER } else { PROFILE }, &[Fate::Lost]);
            bench.conversation.measure(Resistance, Stamp::ZERO).unwrap();
            for (millis, bytes) in &portions {
                let now = bench.now.after(Duration::from_millis(*millis));
                bench.now = now;
                let said = &mut bench.said;
                bench.conversation.tick(now, &mut |heard| said.push(format!("{heard:?}")));
                bench.conversation.receive(bytes, now, &mut |heard| said.push(format!("{heard:?}")));
                while drain && bench.conversation.transmit().is_some() {}
            }
            bench.said
        };
        prop_assert_eq!(run(true), run(false));
    }

    #[test]
    fn any_split_of_a_stream_gives_the_same_readings(cuts in prop::collection::vec(0_usize..100, 0..10)) {
        let stream = b"12 OHM\r\n4.7 kOHM\r\nOL MOHM\r\n+1.2E+3OHM\n\x00\xff\r\n22 nF\r\n-0.3 OHM\r\n1e3 mOhm\r\n";
        let mut cuts: Vec<usize> = cuts.into_iter().map(|cut| cut.min(stream.len())).chain([0, stream.len()]).collect();
        cuts.sort_unstable();
        let mut bench = Bench::new(TALKER, &[]);
        bench.measure(Resistance);
        for window in cuts.windows(2) {
            bench.arrive(&stream[window[0]..window[1]]);
        }
        prop_assert_eq!(
            bench.said,
            ["resistance Value(4700.0)", "resistance Overload", "resistance Value(1200.0)", "garbled", "wrong quantity Some(Capacitance)",
             "resistance Value(-0.3)", "resistance Value(1.0)"]
        );
    }
}
