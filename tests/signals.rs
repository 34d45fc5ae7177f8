//! Signals with the probes: what is meant as one is understood, and no ordinary touch is ever taken for one.
//!
//! The bench here is what happens between the tips over time; a meter looks at it at its rate, either at single moments or as
//! the mean over nine tenths of the time from one reading to the next, as integrating meters do.

use std::time::Duration;

use fastrand::Rng;
use probewright::face::engine::meter::{Reading, Shown};
use probewright::face::engine::probing::{Offered, Signal, Signals, Specification};
use probewright::face::engine::quantity::{Quantity, Stamp};

/// Overload in the air; nothing else is asked of it.
struct Ohmmeter;

impl Specification for Ohmmeter {
    fn is_idle(&self, shown: Shown) -> bool {
        shown == Shown::Overload
    }
    fn standard_uncertainty(&self, value: f64) -> f64 {
        1e-3 * value.abs() + 0.02
    }
    fn resolution(&self, _value: f64) -> f64 {
        0.01
    }
}

/// Contact between the tips for a while.
#[derive(Debug, Clone, Copy)]
enum Between {
    Air,
    Ohms(f64),
    /// A capacitor on a constant current: it reads R + t/C, and what it reads at the beginning of this stretch.
    Capacitor {
        at_first: f64,
        farads: f64,
    },
}

/// Beyond this a reading is an overload; air counts ten times as much.
const LARGEST: f64 = 1e8;

impl Between {
    fn reads(self, since: f64) -> f64 {
        match self {
            Self::Air => 10.0 * LARGEST,
            Self::Ohms(ohms) => ohms,
            Self::Capacitor { at_first, farads } => at_first + since / farads,
        }
    }
}

/// Contacts between the tips, stretch by stretch, in seconds.
#[derive(Debug, Default)]
struct Bench {
    stretches: Vec<(f64, Between)>,
    now: f64,
}

impl Bench {
    fn for_seconds(&mut self, seconds: f64, between: Between) {
        self.stretches.push((self.now, between));
        self.now += seconds;
    }

    fn air(&mut self, seconds: f64) {
        self.for_seconds(seconds, Between::Air);
    }

    /// Chatter of contact and air, 1 to 12 ms each, for about so long.
    fn bounce(&mut self, seconds: f64, between: Between, rng: &mut Rng) {
        let end = self.now + seconds;
        while self.now < end {
            self.for_seconds(within(0.001, 0.012, rng), between);
            self.air(within(0.001, 0.012, rng));
        }
    }

    fn reads(&self, at: f64) -> f64 {
        let index = self.stretches.partition_point(|(began, _)| *began <= at);
        match index.checked_sub(1).map(|index| self.stretches[index]) {
            Some((began, between)) => between.reads(at - began),
            None => Between::Air.reads(0.0),
        }
    }
}

/// How the meter looks.
#[derive(Debug, Clone, Copy)]
struct Meter {
    rate: f64,
    averages: bool,
    noise: f64,
}

impl Meter {
    fn any(rates: &[f64], rng: &mut Rng) -> Self {
        Self {
            rate: rates[rng.usize(..rates.len())],
            averages: rng.bool(),
            noise: within(0.0, 0.02, rng),
        }
    }

    fn shows(&self, bench: &Bench, at: f64, rng: &mut Rng) -> Shown {
        let moments = if self.averages { 9 } else { 1 };
        let step = 0.1 / self.rate;
        let sum: f64 = (0..moments)
            .map(|back| bench.reads(at - f64::from(back) * step))
            .sum();
        let value = sum / f64::from(moments);
        if value > LARGEST {
            Shown::Overload
        } else {
            Shown::Value(value + self.noise * within(-1.0, 1.0, rng))
        }
    }

    /// Signals that the bench hears from this meter, and whether any of it was ever claimed to be one.
    fn hears(&self, bench: &Bench, offered: Offered, rng: &mut Rng) -> (Vec<Signal>, bool) {
        let mut signals = Signals::new();
        signals.offer(offered, Some(0.2));
        let (mut heard, mut claimed) = (Vec::new(), false);
        let mut at = within(0.0, 1.0, rng) / self.rate;
        while at < bench.now {
            let late = within(0.0, 0.05, rng) / self.rate;
            let reading = Reading {
                at: Stamp::from_micros(((at + late) * 1e6) as u64),
                quantity: Quantity::Resistance,
                shown: self.shows(bench, at, rng),
                second: None,
            };
            heard.extend(signals.feed(&reading, &Ohmmeter));
            claimed |= signals.claims();
            at += 1.0 / self.rate;
        }
        (heard, claimed)
    }
}

const ALL_RATES: [f64; 8] = [2.0, 3.0, 5.0, 10.0, 25.0, 60.0, 250.0, 1000.0];
const TAP_RATES: [f64; 5] = [10.0, 25.0, 60.0, 250.0, 1000.0];

fn within(from: f64, to: f64, rng: &mut Rng) -> f64 {
    from + (to - from) * rng.f64()
}

/// Evenly spread over the decades.
fn decades(from: f64, to: f64, rng: &mut Rng) -> f64 {
    libm::exp(within(libm::log(from), libm::log(to), rng))
}

/// Tips on each other, leads included.
fn short(rng: &mut Rng) -> Between {
    Between::Ohms(within(0.15, 0.45, rng))
}

/// One touch of a part of 10 Ω or more as hands do it: brushes, bounce, dirt that gives way, a hold, a lift that chatters.
fn ordinary_touch(bench: &mut Bench, rng: &mut Rng) {
    // 20 % below 10 Ω, and the leads.
    let ohms = decades(8.2, 10e6, rng);
    for _ in 0..rng.u32(0..4) {
        bench.for_seconds(within(0.002, 0.3, rng), Between::Ohms(ohms));
        bench.air(within(0.01, 0.4, rng));
    }
    if rng.bool() {
        bench.bounce(within(0.0, 0.08, rng), Between::Ohms(ohms), rng);
    }
    for _ in 0..rng.u32(0..15) {
        let dirt = decades(0.1, 1e5, rng);
        bench.for_seconds(within(0.005, 0.05, rng), Between::Ohms(ohms + dirt));
    }
    bench.for_seconds(decades(0.02, 2.5, rng), Between::Ohms(ohms));
    if rng.bool() {
        bench.bounce(within(0.0, 0.05, rng), Between::Ohms(ohms), rng);
    }
    bench.air(decades(0.03, 1.5, rng));
}

#[test]
fn no_ordinary_touch_is_ever_taken_for_a_signal() {
    let touches_a_bench = 8;
    for seed in 0..700 {
        let mut rng = Rng::with_seed(seed);
        let mut bench = Bench::default();
        bench.air(1.0);
        for _ in 0..touches_a_bench {
            ordinary_touch(&mut bench, &mut rng);
        }
        let meter = Meter::any(&ALL_RATES, &mut rng);
        let heard = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, (vec![], false), "seed {seed}, {meter:?}");
    }
}

#[test]
fn no_capacitor_on_an_ohmmeter_is_ever_a_redo() {
    for seed in 0..1500 {
        let mut rng = Rng::with_seed(seed);
        let mut bench = Bench::default();
        bench.air(1.0);
        let farads = decades(1e-6, 1.0, &mut rng);
        // Charge left in it from before may read below zero; its series resistance adds.
        let mut reads = within(-2.0, 1.0, &mut rng);
        for _ in 0..rng.u32(1..5) {
            let seconds = decades(0.02, 5.0, &mut rng);
            bench.for_seconds(
                seconds,
                Between::Capacitor {
                    at_first: reads,
                    farads,
                },
            );
            reads += seconds / farads;
            bench.air(within(0.1, 1.0, &mut rng));
        }
        let meter = Meter::any(&ALL_RATES, &mut rng);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert!(
            !heard.contains(&Signal::Redo),
            "seed {seed}, {farads} F, {meter:?}"
        );
        // Up to what a chassis has, it is no tap either.
        if farads < 5e-3 {
            assert_eq!(heard, [], "seed {seed}, {farads} F, {meter:?}");
        }
    }
}

#[test]
fn a_held_short_is_a_redo_once() {
    for seed in 0..600 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&ALL_RATES, &mut rng);
        let mut bench = Bench::default();
        bench.air(1.2);
        let between = short(&mut rng);
        bench.bounce(within(0.0, 0.06, &mut rng), between, &mut rng);
        // A second of readings, and what an averaging meter needs to see its ends.
        bench.for_seconds(1.0 + 3.0 / meter.rate + within(0.0, 2.0, &mut rng), between);
        bench.air(1.5);
        let (heard, claimed) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [Signal::Redo], "seed {seed}, {meter:?}");
        assert!(claimed);
    }
}

#[test]
fn a_short_that_is_given_up_before_a_second_is_nothing() {
    for seed in 0..300 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&ALL_RATES, &mut rng);
        let mut bench = Bench::default();
        bench.air(1.2);
        bench.for_seconds(within(0.05, 0.9, &mut rng), short(&mut rng));
        bench.air(1.5);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [], "seed {seed}, {meter:?}");
    }
}

/// Taps with a pause between them, as long as a meter of that rate can see for certain.
fn taps(count: u32, meter: &Meter, rng: &mut Rng) -> Bench {
    let mut bench = Bench::default();
    bench.air(1.0);
    let least: f64 = if meter.rate < 50.0 { 0.23 } else { 0.08 };
    for tap in 0..count {
        if tap > 0 {
            bench.air(within(least.max(0.12), 0.38, rng));
        }
        let between = short(rng);
        if meter.rate >= 50.0 {
            bench.bounce(within(0.0, 0.02, rng), between, rng);
        }
        bench.for_seconds(within(least, 0.29, rng), between);
    }
    bench
}

#[test]
fn two_taps_are_a_skip_once() {
    for seed in 0..600 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&TAP_RATES, &mut rng);
        let mut bench = taps(2, &meter, &mut rng);
        bench.air(1.5);
        let (heard, claimed) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [Signal::Skip], "seed {seed}, {meter:?}");
        assert!(claimed);
    }
}

#[test]
fn one_tap_or_three_or_four_are_nothing() {
    for seed in 0..600 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&TAP_RATES, &mut rng);
        let count = [1, 3, 4][rng.usize(..3)];
        let mut bench = taps(count, &meter, &mut rng);
        bench.air(1.5);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [], "seed {seed}, {count} taps, {meter:?}");
    }
}

#[test]
fn two_taps_and_then_a_part_are_nothing() {
    for seed in 0..300 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&TAP_RATES, &mut rng);
        let mut bench = taps(2, &meter, &mut rng);
        bench.air(within(0.08, 0.3, &mut rng));
        // Long enough to be seen at any of these rates.
        let part = Between::Ohms(decades(8.2, 10e6, &mut rng));
        bench.for_seconds(within(0.3, 2.0, &mut rng), part);
        bench.air(1.5);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [], "seed {seed}, {meter:?}");
    }
}

#[test]
fn two_taps_and_a_hold_are_a_redo() {
    for seed in 0..200 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&TAP_RATES, &mut rng);
        let mut bench = taps(2, &meter, &mut rng);
        bench.air(within(0.25, 0.3, &mut rng));
        bench.for_seconds(1.5, short(&mut rng));
        bench.air(1.5);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [Signal::Redo], "seed {seed}, {meter:?}");
    }
}

#[test]
fn at_low_rates_taps_are_nothing() {
    for seed in 0..600 {
        let mut rng = Rng::with_seed(seed);
        let meter = Meter::any(&[2.0, 3.0, 5.0, 7.0], &mut rng);
        assert!(!Signals::supported(meter.rate).skip);
        let mut bench = taps(2, &meter, &mut rng);
        bench.air(1.5);
        let (heard, _) = meter.hears(&bench, Offered::BOTH, &mut rng);
        assert_eq!(heard, [], "seed {seed}, {meter:?}");
    }
}

#[test]
fn what_is_not_offered_is_neither_told_nor_claimed() {
    let mut rng = Rng::with_seed(1);
    let meter = Meter {
        rate: 60.0,
        averages: false,
        noise: 0.0,
    };
    let mut held = Bench::default();
    held.air(1.0);
    held.for_seconds(3.0, Between::Ohms(0.2));
    held.air(1.0);
    assert_eq!(meter.hears(&held, Offered::NONE, &mut rng), (vec![], false));
    let skip = Offered {
        redo: false,
        skip: true,
    };
    assert_eq!(meter.hears(&held, skip, &mut rng).0, []);
    let mut tapped = taps(2, &meter, &mut rng);
    tapped.air(1.0);
    let redo = Offered {
        redo: true,
        skip: false,
    };
    assert_eq!(meter.hears(&tapped, redo, &mut rng).0, []);
    assert_eq!(
        meter.hears(&tapped, Offered::NONE, &mut rng),
        (vec![], false)
    );
}

/// Feeds readings 10 ms apart; `None` is air.
fn feed(signals: &mut Signals, from: Duration, readings: &[Option<f64>]) -> Vec<Signal> {
    let reading = |(index, value): (usize, &Option<f64>)| Reading {
        at: Stamp::ZERO
            .after(from)
            .after(Duration::from_millis(10 * index as u64)),
        quantity: Quantity::Resistance,
        shown: value.map_or(Shown::Overload, Shown::Value),
        second: None,
    };
    readings
        .iter()
        .enumerate()
        .map(reading)
        .filter_map(|reading| signals.feed(&reading, &Ohmmeter))
        .collect()
}

#[test]
fn without_a_redo_a_short_is_claimed_no_longer_than_a_tap() {
    let mut signals = Signals::new();
    let offered = Offered {
        redo: false,
        skip: true,
    };
    signals.offer(offered, None);
    let _ = feed(&mut signals, Duration::ZERO, &[None; 60]);
    let _ = feed(&mut signals, Duration::from_millis(600), &[Some(0.3); 10]);
    assert!(signals.claims());
    let _ = feed(&mut signals, Duration::from_millis(700), &[Some(0.3); 40]);
    assert!(!signals.claims());
}

#[test]
fn another_part_in_hand_ends_what_was_begun() {
    let mut signals = Signals::new();
    signals.offer(Offered::BOTH, None);
    let _ = feed(&mut signals, Duration::ZERO, &[None; 60]);
    let _ = feed(&mut signals, Duration::from_millis(600), &[Some(0.3); 50]);
    assert!(signals.claims());
    signals.offer(Offered::BOTH, None);
    assert!(!signals.claims());
    let rest = feed(&mut signals, Duration::from_millis(1100), &[Some(0.3); 300]);
    assert_eq!(rest, []);
}

#[test]
fn a_pause_of_the_meter_ends_what_was_begun() {
    let mut signals = Signals::new();
    signals.offer(Offered::BOTH, None);
    let _ = feed(&mut signals, Duration::ZERO, &[None; 60]);
    let _ = feed(&mut signals, Duration::from_millis(600), &[Some(0.3); 50]);
    let late = feed(&mut signals, Duration::from_secs(3), &[Some(0.3); 300]);
    assert_eq!(late, []);
    assert!(!signals.claims());
}

#[test]
fn a_short_that_wanders_is_waited_for_until_it_rests() {
    let mut signals = Signals::new();
    signals.offer(Offered::BOTH, Some(0.2));
    let _ = feed(&mut signals, Duration::ZERO, &[None; 60]);
    let wandering: Vec<_> = (0..150)
        .map(|index| Some(0.2 + 0.003 * f64::from(index)))
        .collect();
    let first = feed(&mut signals, Duration::from_millis(600), &wandering);
    assert_eq!(first, []);
    let second = feed(
        &mut signals,
        Duration::from_millis(2100),
        &[Some(0.65); 220],
    );
    assert_eq!(second, [Signal::Redo]);
}
