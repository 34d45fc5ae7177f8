//! The simulated meter, asked through a link as any meter is.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::sync::Arc;
use std::time::{Duration, Instant};

use probewright::face::bench::link::LinkEvent;
use probewright::face::bench::simulator::{
    Behaviour, BenchClock, Component, Ending, Fault, Manner, Options, Probes, RangeChange, Running,
    Scale, Serve, Wording,
};
use probewright::face::engine::meter::{Conversation, Heard, Profile, Shown, shipped_profile};
use probewright::face::engine::quantity::{Quantity, Stamp};

use crate::bench;
use crate::link::Driver;

/// A bench with a meter on a terminal and a link to it.
struct Bench {
    driver: Driver,
    meter: Running,
    probes: Probes,
    _directory: tempfile::TempDir,
}

fn bench() -> Bench {
    bench_with(10.0, |options| options)
}

fn bench_with(speed: f64, change: impl FnOnce(Options) -> Options) -> Bench {
    let (directory, serve) = bench::terminal();
    let (_, options) = bench::parts(serve);
    let (probes, meter) = bench::start(BenchClock::new(speed).unwrap(), change(options));
    let driver = Driver::up(meter.address());
    Bench {
        driver,
        meter,
        probes,
        _directory: directory,
    }
}

impl Bench {
    fn ask(&mut self, question: &str) -> String {
        self.driver.ask(question)
    }

    fn read(&mut self) -> f64 {
        self.ask("READ?").parse().unwrap()
    }
}

#[test]
fn the_identity_has_four_fields() {
    assert_eq!(bench().ask("*idn?").split(',').count(), 4);
}

#[test]
fn an_unknown_header_gets_no_answer_but_an_entry_in_the_queue() {
    let mut bench = bench();
    bench.driver.link.send(b"CONF:TEMP\n").unwrap();
    assert_eq!(bench.ask("SYST:ERR?"), r#"-113,"Undefined header""#);
    assert_eq!(bench.ask("SYSTEM:ERROR?"), r#"0,"No error""#);
}

#[test]
fn open_probes_read_overload_on_ohms_and_stray_on_farads() {
    let mut bench = bench();
    bench.driver.link.send(b"CONF:RES\n").unwrap();
    assert_eq!(bench.ask("READ?"), "+9.90000000E+37");
    bench.driver.link.send(b"CONF:CAP\n").unwrap();
    assert!(bench.read().abs() < 20e-12);
}

#[test]
fn a_resistor_reads_its_value_within_noise_and_resolution() {
    let mut bench = bench();
    bench
        .probes
        .place(Component::resistor(4700.0), Duration::ZERO);
    // One count of the 6 kΩ range is 0.1 Ω and the noise one count: six deviations and a rounding.
    let read = bench.read();
    assert!((read - 4700.0).abs() < 0.7, "{read}");
    bench.probes.lift();
    assert!(bench.read() > 1e37);
}

#[test]
fn a_capacitor_reads_its_value_and_its_loss() {
    let mut bench = bench_with(10.0, |options| Options {
        with_loss: true,
        wording: Wording::Nr3 { decimals: 5 },
        ..options
    });
    bench.driver.link.send(b"CONF:CAP\n").unwrap();
    bench.probes.place(
        Component::capacitor(47e-9).with_loss(1.2e-3),
        Duration::ZERO,
    );
    bench.ask("READ?");
    let answer = bench.ask("FETC?");
    let (value, loss) = answer.split_once(',').unwrap();
    assert!(
        (value.parse::<f64>().unwrap() - 47e-9).abs() < 0.1e-9,
        "{answer}"
    );
    assert_eq!(loss, "+1.20000E-03");
}

#[test]
fn an_approach_is_exponential_within_noise() {
    // A talking meter at 100 readings a simulated second samples at even times, whatever the machine is doing.
    let mut bench = bench_with(1.0, |options| Options {
        manner: Manner::TalksOnly,
        // A range that holds everything, 0.1 Ω a count.
        resistance: Scale::new(100e3, 1, 1_000_000),
        ..options
    });
    let approach = Behaviour::Approach {
        to: 10e3,
        from: 50e3,
        tau: Duration::from_millis(200),
    };
    bench.probes.place(
        Component::resistor(10e3).with(Quantity::Resistance, approach),
        Duration::ZERO,
    );
    let touched = |value: f64| value < 1e37;
    let values: Vec<_> = std::iter::from_fn(|| Some(bench.driver.line().parse::<f64>().unwrap()))
        .skip_while(|&value| !touched(value))
        .take(60)
        .collect();
    // From one reading to the next, 10 ms later, the distance to the end value shrinks by e^(-10/200) [RC charging].
    let shrink = libm::exp(-0.05f64);
    for pair in values.windows(2) {
        let (before, after) = (pair[0] - 10e3, pair[1] - 10e3);
        assert!((after - before * shrink).abs() < 1.0, "{before} {after}");
    }
}

#[test]
fn a_capacitor_on_ohms_climbs_into_overload() {
    let mut bench = bench();
    // The top range holds 60 MΩ, which 1 µF of constant-current charge reaches after 60 simulated seconds; 10 nF after 0.6.
    bench
        .probes
        .place(Component::capacitor(10e-9), Duration::ZERO);
    let first = bench.read();
    let second = bench.read();
    assert!(first < second, "{first} {second}");
    let start = Instant::now();
    while bench.read() < 1e37 {
        assert!(start.elapsed() < bench::PATIENCE, "it never overloads");
    }
}

#[test]
fn voltage_current_and_inductance_are_measured_by_their_commands() {
    let mut bench = bench_with(10.0, |options| Options {
        with_loss: true,
        with_status: true,
        ..options
    });
    let part = Component::coil(0.5, 120.0)
        .with(Quantity::Voltage, Behaviour::Steady(-12.0))
        .with(Quantity::Current, Behaviour::Steady(47e-6));
    let first = |bench: &mut Bench, command: &str| -> f64 {
        bench.driver.link.send(command.as_bytes()).unwrap();
        let answer = bench.ask("READ?");
        answer.split(',').next().unwrap().parse().unwrap()
    };
    // In the air: noise of a count on the lowest range, 1 µV and 1 nA, six deviations; nothing on henries.
    assert!(first(&mut bench, "CONF:VOLT:DC\n").abs() < 7e-6);
    assert!(first(&mut bench, "CONF:CURR:DC\n").abs() < 7e-9);
    assert!(first(&mut bench, "CONF:IND\n") > 1e37);
    bench.probes.place(part, Duration::ZERO);
    // On the part: six counts and a rounding of the ranges 100 V, 100 µA and 1 H.
    let volt = first(&mut bench, "CONF:VOLT:DC\n");
    assert!((volt + 12.0).abs() < 7e-3, "{volt}");
    let ampere = first(&mut bench, "CONF:CURR:DC\n");
    assert!((ampere - 47e-6).abs() < 7e-9, "{ampere}");
    let henry = first(&mut bench, "CONF:IND\n");
    assert!((henry - 0.5).abs() < 7e-4, "{henry}");
    // Q is the inverse of the loss factor 0.05 [by definition].
    assert!(bench.ask("READ?").ends_with(",+2.00000000E+01,+0"));
    assert_eq!(bench.ask("FUNC?"), "\"IND\"");
    assert_eq!(bench.ask("SYST:ERR?"), r#"0,"No error""#);
}

#[test]
fn a_voltage_is_read_through_the_conversation_of_the_shipped_profile() {
    let mut bench = bench();
    bench
        .probes
        .place(Component::live_point(-42.0), Duration::ZERO);
    let shipped = shipped_profile("scpi-multimeter").unwrap();
    let profile = Arc::new(Profile::parse(shipped.text, shipped.name).unwrap());
    let mut conversation = Conversation::new(Arc::clone(&profile));
    conversation
        .measure(Quantity::Voltage, Stamp::ZERO)
        .unwrap();
    conversation.link_up(Stamp::ZERO);
    let (mut volts, mut trouble, mut at) = (Vec::new(), Vec::new(), 0);
    while volts.len() < 5 {
        while let Some(bytes) = conversation.transmit() {
            bench.driver.link.send(bytes).unwrap();
        }
        at += 1;
        let line = bench.driver.line_bytes();
        conversation.receive(&line, Stamp::from_micros(at), &mut |heard| match heard {
            Heard::Reading(reading) => volts.push((reading.quantity, reading.shown)),
            Heard::Identified { .. } => {}
            other => trouble.push(format!("{other:?}")),
        });
    }
    assert_eq!(trouble, [""; 0]);
    for (quantity, shown) in volts {
        let Shown::Value(volt) = shown else {
            panic!("{shown:?}")
        };
        assert_eq!(quantity, Quantity::Voltage);
        // A count of the 100 V range is 1 mV and the noise one count: six deviations and a rounding.
        assert!((volt + 42.0).abs() < 7e-3, "{volt}");
        let limit = profile.accuracy(Quantity::Voltage, volt).unwrap().limit;
        assert!((volt + 42.0).abs() < limit, "within its own specification");
    }
}

#[test]
fn a_bouncing_touch_reads_open_and_contact_in_turn_then_sits_still() {
    let mut bench = bench_with(1.0, |options| Options {
        manner: Manner::TalksOnly,
        readings_per_second: 1000.0,
        ..options
    });
    bench
        .probes
        .place(Component::resistor(330.0), Duration::from_millis(80));
    let readings: Vec<_> = std::iter::from_fn(|| Some(bench.driver.line().parse::<f64>().unwrap()))
        .skip_while(|&value| value > 1e37)
        .take(300)
        .collect();
    assert!(
        readings[..80].iter().any(|&value| value > 1e37),
        "it bounces"
    );
    assert!(
        readings[80..].iter().all(|&value| value < 1e37),
        "it sits still"
    );
}

#[test]
fn rates_are_kept_from_two_to_a_thousand_a_second() {
    for (rate, lines) in [(2.0, 4_u32), (50.0, 50), (1000.0, 1000)] {
        let mut bench = bench_with(1.0, |options| Options {
            manner: Manner::TalksOnly,
            readings_per_second: rate,
            ..options
        });
        bench.driver.line();
        let start = Instant::now();
        (0..lines).for_each(|_| drop(bench.driver.line()));
        let wanted = f64::from(lines) / rate;
        let took = start.elapsed().as_secs_f64();
        // The schedule does not drift, so a busy machine shows as one late line, not as a slower rate.
        assert!(
            took > 0.9 * wanted - 0.1 && took < wanted + 0.5,
            "{lines} lines at {rate} a second took {took} s, not {wanted} s"
        );
    }
}

#[test]
fn simulated_time_scales_the_pace_of_readings() {
    let mut bench = bench_with(20.0, |options| Options {
        readings_per_second: 10.0,
        ..options
    });
    let start = Instant::now();
    for _ in 0..40 {
        bench.read();
    }
    // Forty conversions are 4 simulated seconds, a fifth of a second in real time.
    let took = start.elapsed();
    assert!(
        took >= Duration::from_millis(200) && took < Duration::from_secs(2),
        "{took:?}"
    );
}

#[test]
fn lines_end_and_read_as_ordered() {
    let mut bench = bench_with(10.0, |options| Options {
        ending: Ending::CrLf,
        wording: Wording::Display,
        resistance: Scale::new(6e3, 1, 60_000),
        noise_counts: 0.0,
        ..options
    });
    bench
        .probes
        .place(Component::resistor(4700.0), Duration::ZERO);
    bench.driver.link.send(b"READ?\r").unwrap();
    assert_eq!(bench.driver.line_bytes(), b"4.7000 kOhm\r\n");
}

#[test]
fn faults_come_as_ordered() {
    let mut bench = bench();
    let faults = bench.meter.faults();
    faults.order(Fault::DropAnswer);
    faults.order(Fault::GarbageFirst(b"\0\xff\x80".to_vec()));
    faults.order(Fault::OverlongLine(5000));
    bench.driver.link.send(b"*OPC?\n*OPC?\n*OPC?\n").unwrap();
    assert_eq!(bench.driver.line_bytes(), b"\0\xff\x801\n");
    assert_eq!(bench.driver.line_bytes().len(), 5001);
    faults.set_echo(true);
    assert_eq!(bench.ask("*OPC?"), "*OPC?");
    assert_eq!(bench.driver.line(), "1");
}

#[test]
fn half_a_line_pauses_and_a_delay_delays() {
    let mut bench = bench();
    bench
        .meter
        .faults()
        .order(Fault::HalfLine(Duration::from_secs(3)));
    bench.driver.link.send(b"*IDN?\n").unwrap();
    let first = bench.driver.next();
    let LinkEvent::Bytes(half) = &first.event else {
        panic!("{first:?}")
    };
    assert!(!half.contains(&b'\n'), "only half of it");
    let second = bench.driver.next();
    // Three simulated seconds are 0.3 s here.
    assert!(
        second.at - first.at > Duration::from_millis(250),
        "{:?}",
        second.at - first.at
    );
    bench
        .meter
        .faults()
        .order(Fault::DelayAnswer(Duration::from_secs(2)));
    let asked = Instant::now();
    assert_eq!(bench.ask("*OPC?"), "1");
    assert!(asked.elapsed() >= Duration::from_millis(200));
}

#[test]
fn a_silent_meter_says_nothing_until_it_may() {
    let mut bench = bench();
    bench.meter.faults().set_silent(true);
    bench.meter.faults().set_echo(true);
    assert_eq!(bench.ask("*IDN?"), "*IDN?", "the echo alone");
    // The meter has done with one line before it hears the next: once this echo is back, the question above is spent.
    assert_eq!(bench.ask("*CLS"), "*CLS");
    bench.meter.faults().set_echo(false);
    bench.meter.faults().set_silent(false);
    assert_eq!(bench.ask("*OPC?"), "1");
}

#[test]
fn stale_lines_of_a_talking_meter_are_not_read_after_opening() {
    let (directory, serve) = bench::terminal();
    let (_, options) = bench::parts(serve);
    let options = Options {
        manner: Manner::TalksOnly,
        readings_per_second: 1000.0,
        ..options
    };
    let (probes, meter) = bench::start(BenchClock::real_time(), options);
    // Before anybody opens the port, the meter has said for a second and more that the probes are open.
    while probes.clock().now() < Duration::from_millis(1500) {
        std::thread::park_timeout(Duration::from_millis(50));
    }
    probes.place(Component::resistor(100.0), Duration::ZERO);
    let placed = probes.clock().now();
    while probes.clock().now() < placed + Duration::from_millis(100) {
        std::thread::park_timeout(Duration::from_millis(10));
    }
    let mut driver = Driver::up(meter.address());
    // The first line may be torn.
    driver.line_bytes();
    for _ in 0..100 {
        let line = driver.line();
        assert!(
            line.starts_with("+1.0") && line.ends_with("E+02")
                || line.starts_with("+9.9") && line.ends_with("E+01"),
            "{line}"
        );
    }
    drop((driver, meter, directory));
}

#[test]
fn overload_blips_come_through_the_line_on_a_change_of_range() {
    let mut bench = bench_with(10.0, |options| Options {
        range_change: RangeChange::Blips,
        ..options
    });
    bench
        .probes
        .place(Component::resistor(100.0), Duration::ZERO);
    let blips = std::iter::from_fn(|| Some(bench.read()))
        .take_while(|&value| value > 1e37)
        .count();
    assert!((1..=2).contains(&blips), "{blips}");
}

#[test]
fn a_meter_over_tcp_measures_alike() {
    let (probes, meter) = bench::meter(Serve::Tcp);
    let mut driver = Driver::up(meter.address());
    probes.place(Component::resistor(1000.0), Duration::ZERO);
    let read: f64 = driver.ask("READ?").parse().unwrap();
    assert!((read - 1000.0).abs() < 1.0, "{read}");
}
