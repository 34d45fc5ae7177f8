//! [`Probes`]: follows the readings from contact to lift.

use std::time::Duration;

use super::limits::{AT_ONCE, at_once};
use super::segment::Segment;
use super::settled_value::{Estimate, Finding, Second, SettledValue};
use super::settling::{Scratch, Settled, settled};
use super::specification::Specification;
use crate::engine::meter::{Reading, Shown};
use crate::engine::parts::Part;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::statistics::robust_mean;

/// The shortest time that idle readings must span to be a lift; shorter is a slip.
pub const LIFT_SPAN: Duration = Duration::from_millis(120);

/// After this long on a part without a settled value the person is told.
pub const RESTLESS_AFTER: Duration = Duration::from_secs(8);

/// Fewest idle readings that make a lift.
const LIFT_READINGS: u32 = 2;

/// Fewest steady readings that make an open part or one beyond the range, and their shortest span.
const STEADY_READINGS: u32 = 5;
const STEADY_SPAN: Duration = Duration::from_millis(250);

/// Fewest readings on a part before "it does not settle" is said.
const RESTLESS_READINGS: u32 = 16;

/// Smallest break of the level, in standard uncertainties of the meter or counts.
const BREAK_FLOOR: f64 = 6.0;

/// How a touch ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// When the probes made contact.
    pub contact: Stamp,
    /// When the lift was recognised.
    pub lifted: Stamp,
    /// How many readings were not idle.
    pub readings: u32,
    /// Whether it yielded a settled value.
    pub settled: bool,
    /// Whether there is nothing to report: too short for any value to settle, or disregarded.
    pub brush: bool,
}

/// Finding of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Probed {
    /// The probes touch something.
    Contact,
    /// The value has settled.
    Settled(SettledValue),
    /// The probes stayed on, and it has settled once more, off from what was said by more than U = 2 u.
    SettledAnew(SettledValue),
    /// The probes have been on the part for a long time, and its value still moves. Said once a touch.
    Restless {
        /// The latest reading.
        value: f64,
    },
    /// The probes were lifted.
    Lifted(Touch),
}

/// A run of equal showings: idle, or beyond the range.
#[derive(Debug, Clone, Copy)]
struct Run {
    since: Stamp,
    count: u32,
}

impl Run {
    fn add(run: &mut Option<Self>, at: Stamp) -> Self {
        let run = run.get_or_insert(Self {
            since: at,
            count: 0,
        });
        run.count += 1;
        *run
    }

    fn lasts(self, at: Stamp, count: u32, span: Duration) -> bool {
        self.count >= count && at.since(self.since) >= span
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum State {
    /// The probes are in the air.
    Lifted,
    /// They touch, and nothing has settled yet.
    Touching,
    /// They touch, and the settled value was given.
    Given,
    /// They touch, but for nothing: the part in hand changed under them.
    Disregarded,
}

/// Follows the readings of one meter from contact to lift.
#[derive(Debug, Clone)]
pub struct Probes {
    state: State,
    contact: Stamp,
    readings: u32,
    segment: Segment,
    next_test: u32,
    idle: Option<Run>,
    beyond: Option<Run>,
    said_on: Option<Stamp>,
    open: Option<Run>,
    restless_said: bool,
    /// Estimate as it was said, as long as the probes are surely still on the same.
    said: Option<Estimate>,
    heard: Stamp,
    second: Option<Second>,
    at_once: f64,
    look: Scratch,
    scratch: Vec<f64>,
}

impl Default for Probes {
    fn default() -> Self {
        Self::new()
    }
}

impl Probes {
    /// Probes in the air.
    pub fn new() -> Self {
        Self {
            state: State::Lifted,
            contact: Stamp::ZERO,
            readings: 0,
            segment: Segment::default(),
            next_test: 0,
            idle: None,
            beyond: None,
            said_on: None,
            open: None,
            restless_said: false,
            said: None,
            heard: Stamp::ZERO,
            second: None,
            at_once: AT_ONCE,
            look: Scratch::default(),
            scratch: Vec::new(),
        }
    }

    /// Whether the probes touch something.
    pub fn touching(&self) -> bool {
        self.state != State::Lifted
    }

    /// One of `parts` is touched from now on.
    pub fn expect<'a>(&mut self, parts: impl Iterator<Item = &'a Part>) {
        let each = parts.map(|part| at_once(part.kind, part.material));
        self.at_once = each.fold(AT_ONCE, f64::min);
    }

    /// The person says that the probes are on the part. From now on a steady idle showing is an open part.
    ///
    /// Returns whether the word was needed: with contact already made there is nothing to say.
    pub fn said_to_be_on(&mut self, at: Stamp) -> bool {
        if self.touching() && self.idle.is_none() {
            return false;
        }
        self.said_on = Some(at);
        self.open = None;
        true
    }

    /// Takes the word back: another part is in hand.
    pub fn forget_word(&mut self) {
        self.said_on = None;
        self.open = None;
    }

    /// The stream of readings broke off (link lost, meter silent). Nobody knows what the probes did meanwhile: what was
    /// gathered is forgotten, and a touch that had its settled value still waits for its lift.
    pub fn broken_off(&mut self) {
        self.forget_word();
        self.idle = None;
        self.start_afresh();
    }

    /// Another part is in hand, or another function: whatever the probes touch now counts for nothing until they are lifted.
    pub fn disregard(&mut self) {
        self.broken_off();
        if self.touching() {
            self.state = State::Disregarded;
        }
    }

    /// The probes are on something that was not for them to follow, a sweep: as [`Probes::disregard`].
    pub fn left_on(&mut self) {
        self.state = State::Disregarded;
        self.broken_off();
    }

    /// Takes in a reading; tells what it means.
    pub fn feed(
        &mut self,
        reading: &Reading,
        meter: &impl Specification,
        mut tell: impl FnMut(Probed),
    ) {
        if reading.shown == Shown::NotANumber {
            return;
        }
        if meter.is_idle(reading.shown) {
            self.feed_idle(reading, &mut tell);
            return;
        }
        self.open = None;
        if self.state == State::Lifted {
            self.begin_touch(reading.at);
            tell(Probed::Contact);
        } else if let Some(idle) = self.idle.take() {
            self.slip(reading.at.since(idle.since));
        }
        self.readings = self.readings.saturating_add(1);
        let apart = reading
            .at
            .since(std::mem::replace(&mut self.heard, reading.at));
        if !(self.state == State::Touching || self.said.is_some()) {
            return;
        }
        match reading.shown {
            Shown::Value(value) => self.feed_value(reading, value, apart, meter, &mut tell),
            Shown::Overload | Shown::NotANumber => self.feed_beyond(reading, &mut tell),
        }
    }

    fn begin_touch(&mut self, at: Stamp) {
        self.state = State::Touching;
        self.contact = at;
        self.readings = 0;
        self.restless_said = false;
        self.start_afresh();
    }

    /// The probes lost the part for so long. What they found again may be another one, where a value was given or the meter is slow.
    fn slip(&mut self, lost: Duration) {
        self.said = None;
        if lost >= 2 * LIFT_SPAN {
            self.start_afresh();
        } else {
            self.segment.slip();
        }
    }

    fn start_afresh(&mut self) {
        self.segment.clear();
        self.next_test = 0;
        self.said = None;
        self.beyond = None;
        self.second = None;
    }

    fn lift(&mut self) {
        self.state = State::Lifted;
        self.idle = None;
        self.start_afresh();
    }

    fn touch(&self, at: Stamp) -> Touch {
        let short =
            self.readings < STEADY_READINGS || at.since(self.contact) < Duration::from_secs(1);
        Touch {
            contact: self.contact,
            lifted: at,
            readings: self.readings,
            settled: self.state == State::Given,
            brush: self.state == State::Disregarded || (short && self.state == State::Touching),
        }
    }

    fn feed_idle(&mut self, reading: &Reading, tell: &mut impl FnMut(Probed)) {
        let at = reading.at;
        if self.touching() {
            let run = Run::add(&mut self.idle, at);
            if run.lasts(at, LIFT_READINGS, LIFT_SPAN) {
                let touch = self.touch(at);
                self.lift();
                let word_is_newer = self.said_on.is_some_and(|said| said >= run.since);
                if !touch.brush && !word_is_newer {
                    self.forget_word();
                }
                tell(Probed::Lifted(touch));
            }
        }
        if let (Some(said), false) = (self.said_on, self.touching()) {
            let run = Run::add(&mut self.open, at);
            if run.lasts(at, STEADY_READINGS, STEADY_SPAN) {
                self.forget_word();
                tell(Probed::Settled(SettledValue {
                    quantity: reading.quantity,
                    contact: said,
                    at,
                    readings: run.count,
                    finding: Finding::Open,
                    second: None,
                }));
            }
        }
    }

    fn feed_beyond(&mut self, reading: &Reading, tell: &mut impl FnMut(Probed)) {
        if self.said.take().is_some() {
            return;
        }
        self.segment.clear();
        self.next_test = 0;
        self.second = None;
        let run = Run::add(&mut self.beyond, reading.at);
        if run.lasts(reading.at, STEADY_READINGS, STEADY_SPAN) {
            self.give(
                reading.quantity,
                reading.at,
                run.count,
                Finding::BeyondRange,
                tell,
            );
        }
    }

    fn give(
        &mut self,
        quantity: Quantity,
        at: Stamp,
        readings: u32,
        finding: Finding,
        tell: &mut impl FnMut(Probed),
    ) {
        let anew = self.state == State::Given;
        self.state = State::Given;
        self.forget_word();
        let settled = SettledValue {
            quantity,
            contact: self.contact,
            at,
            readings,
            finding,
            second: self.second,
        };
        tell(if anew {
            Probed::SettledAnew(settled)
        } else {
            Probed::Settled(settled)
        });
    }

    /// `apart` is the time since the reading before.
    fn feed_value(
        &mut self,
        reading: &Reading,
        value: f64,
        apart: Duration,
        meter: &impl Specification,
        tell: &mut impl FnMut(Probed),
    ) {
        self.beyond = None;
        if let Some(said) = self.said
            && self.stays(said, value, apart, meter)
        {
            return;
        }
        let (specification, resolution) =
            (meter.standard_uncertainty(value), meter.resolution(value));
        let began = self.segment.began();
        self.segment.push(
            reading.at,
            value,
            reading.second,
            BREAK_FLOOR * specification.max(resolution),
        );
        // A slow meter may have missed the air between two parts.
        if began != self.segment.began() {
            self.next_test = 0;
            self.said = self.said.filter(|_| apart <= LIFT_SPAN);
        }
        let count = self.segment.readings();
        let found = if count < self.next_test || self.segment.is_unsure() {
            None
        } else {
            self.next_test = count + (count / 12).max(self.segment.per_cell());
            settled(
                &self.segment,
                specification,
                resolution,
                self.at_once,
                &mut self.look,
            )
        };
        let Some(found) = found else {
            self.say_if_restless(reading.at, value, tell);
            return;
        };
        let estimate = self.estimate(found, meter);
        let known = |said| near(said, estimate.value);
        if self.state == State::Given && self.said.is_none_or(known) {
            return;
        }
        self.said = Some(estimate);
        let cells = self.segment.cells().len() - found.from;
        let readings = cells as u32 * self.segment.per_cell();
        let finding = Finding::Value(estimate);
        self.give(reading.quantity, reading.at, readings, finding, tell);
    }

    /// Whether a reading behind a value that was said has nothing new to tell. What settles anew rests on readings that all lie away from it.
    fn stays(
        &mut self,
        said: Estimate,
        value: f64,
        apart: Duration,
        meter: &impl Specification,
    ) -> bool {
        if near(said, value) {
            self.segment.clear();
            self.next_test = 0;
            return true;
        }
        let far = BREAK_FLOOR
            * meter
                .standard_uncertainty(value)
                .max(meter.resolution(value));
        // A slow meter may have missed the air between two parts.
        let another = apart > LIFT_SPAN && (value - said.value).abs() > far;
        if self.segment.began().is_none() && another {
            self.said = None;
        }
        self.said.is_none()
    }

    fn say_if_restless(&mut self, at: Stamp, value: f64, tell: &mut impl FnMut(Probed)) {
        let long = at.since(self.contact) >= RESTLESS_AFTER && self.readings >= RESTLESS_READINGS;
        if long && self.state == State::Touching && !self.restless_said {
            self.restless_said = true;
            tell(Probed::Restless { value });
        }
    }

    /// Robust mean of the second values of the window; `None` unless every reading had one.
    fn second_value(&mut self, from: usize) -> Option<Second> {
        let seconds = &self.segment.seconds()[from..];
        if seconds.iter().any(|second| second.is_nan()) {
            return None;
        }
        let robust = robust_mean(seconds, 0.0, &mut self.scratch)?;
        let scatter = 1.25 * robust.deviation / (seconds.len() as f64).sqrt();
        Some(Second {
            value: robust.mean,
            scatter,
        })
    }

    fn estimate(&mut self, found: Settled, meter: &impl Specification) -> Estimate {
        self.second = self.second_value(found.from);
        // The resolution limits what averaging can gain: equal readings hide up to half a digit, however many they are.
        let digit = meter.resolution(found.value) / 12f64.sqrt();
        let specification = meter.standard_uncertainty(found.value);
        Estimate::combine(
            found.value,
            found.scatter.max(digit),
            specification,
            found.remaining,
        )
    }
}

/// Whether a value lies within U = 2 u of one that was said.
fn near(said: Estimate, value: f64) -> bool {
    (value - said.value).abs() <= 2.0 * said.standard_uncertainty
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A meter with 0.5 % + 2 counts, resolution 0.1, overload in the air.
    struct Plain;

    impl Specification for Plain {
        fn is_idle(&self, shown: Shown) -> bool {
            shown == Shown::Overload
        }
        fn standard_uncertainty(&self, value: f64) -> f64 {
            (0.005 * value.abs() + 0.2) / 3f64.sqrt()
        }
        fn resolution(&self, _value: f64) -> f64 {
            0.1
        }
    }

    /// Drives probes with a meter of `rate` readings a second; time goes on from call to call.
    struct Bench {
        probes: Probes,
        micros: u64,
        step: u64,
        told: Vec<Probed>,
        noise: fastrand::Rng,
    }

    impl Bench {
        fn new(rate: u64) -> Self {
            let noise = fastrand::Rng::with_seed(7);
            Self {
                probes: Probes::new(),
                micros: 0,
                step: 1_000_000 / rate,
                told: Vec::new(),
                noise,
            }
        }

        fn show(&mut self, shown: Shown) {
            self.micros += self.step;
            let reading = Reading {
                at: Stamp::from_micros(self.micros),
                quantity: Quantity::Resistance,
                shown,
                second: None,
            };
            self.probes
                .feed(&reading, &Plain, |told| self.told.push(told));
        }

        fn air(&mut self, count: usize) {
            (0..count).for_each(|_| self.show(Shown::Overload));
        }

        /// Holds the probes on a value that is a function of the time since now, for at most `seconds`, until settled.
        fn hold(&mut self, seconds: f64, value: impl Fn(f64) -> f64) -> Option<SettledValue> {
            let began = self.micros;
            let before = self.settled().count();
            while (self.micros - began) as f64 * 1e-6 <= seconds {
                let exact = value((self.micros - began) as f64 * 1e-6);
                let noisy = exact + 0.1 * (self.noise.f64() + self.noise.f64() - 1.0);
                self.show(Shown::Value((noisy * 10.0).round() / 10.0));
                if let Some(settled) = self.settled().nth(before) {
                    return Some(settled);
                }
            }
            None
        }

        fn settled(&self) -> impl Iterator<Item = SettledValue> {
            self.told.iter().filter_map(|told| match told {
                Probed::Settled(settled) => Some(*settled),
                _ => None,
            })
        }

        fn lifts(&self) -> usize {
            self.told
                .iter()
                .filter(|told| matches!(told, Probed::Lifted(touch) if !touch.brush))
                .count()
        }
    }

    fn value_of(settled: SettledValue) -> f64 {
        match settled.finding {
            Finding::Value(estimate) => estimate.value,
            other => panic!("no value but {other:?}"),
        }
    }

    #[test]
    fn a_steady_resistor_settles_at_every_rate() {
        for rate in [2, 3, 5, 10, 25, 100, 400, 1000] {
            let mut bench = Bench::new(rate);
            bench.air(3);
            let settled = bench
                .hold(4.0, |_| 470.0)
                .unwrap_or_else(|| panic!("{rate} a second does not settle"));
            assert!(
                (value_of(settled) - 470.0).abs() < 0.2,
                "{rate}: {settled:?}"
            );
            let took = settled.at.since(settled.contact).as_secs_f64();
            assert!(
                took <= 0.5f64.max(6.0 / rate as f64),
                "{rate} a second took {took} s"
            );
        }
    }

    #[test]
    fn an_exponential_approach_is_settled_only_inside_the_uncertainty_of_the_meter() {
        for rate in [2, 5, 10, 50, 200, 1000] {
            for tau in [0.02, 0.1, 0.5, 2.0] {
                let mut bench = Bench::new(rate);
                bench.air(3);
                let settled = bench.hold(60.0, |t| 470.0 * (1.0 - libm::exp(-t / tau)));
                let settled =
                    settled.unwrap_or_else(|| panic!("{rate} a second, tau {tau} does not settle"));
                let off = (value_of(settled) - 470.0).abs();
                assert!(
                    off < Plain.standard_uncertainty(470.0),
                    "{rate} a second, tau {tau}: off by {off}"
                );
                let took = settled.at.since(settled.contact).as_secs_f64();
                assert!(
                    took < 16.0 * tau + 10.0 / rate as f64 + 1.0,
                    "{rate} a second, tau {tau}: took {took} s"
                );
            }
        }
    }

    #[test]
    fn a_small_approach_that_a_glance_would_miss_is_waited_for() {
        let mut bench = Bench::new(10);
        bench.air(3);
        let settled = bench
            .hold(60.0, |t| 470.0 - 20.0 * libm::exp(-t / 1.5))
            .unwrap();
        assert!(
            (value_of(settled) - 470.0).abs() < Plain.standard_uncertainty(470.0),
            "{settled:?}"
        );
    }

    #[test]
    fn a_wandering_value_never_settles_and_is_said_to_be_restless_once() {
        let mut walk = fastrand::Rng::with_seed(3);
        for rate in [2, 10, 100] {
            let mut bench = Bench::new(rate);
            bench.air(3);
            let mut level = 470.0;
            for _ in 0..rate * 60 {
                level += 6.0 * (walk.f64() - 0.45) / (rate as f64).sqrt() * 5.0;
                bench.show(Shown::Value((level * 10.0_f64).round() / 10.0));
            }
            bench.air(200);
            assert_eq!(bench.settled().count(), 0, "{rate} a second");
            assert_eq!(
                bench
                    .told
                    .iter()
                    .filter(|told| matches!(told, Probed::Restless { .. }))
                    .count(),
                1
            );
            assert!(
                matches!(bench.told.last(), Some(Probed::Lifted(touch)) if !touch.settled && !touch.brush)
            );
        }
    }

    #[test]
    fn a_probe_that_slips_off_for_one_reading_does_not_end_the_touch() {
        for rate in [2, 10, 100, 1000] {
            let mut bench = Bench::new(rate);
            bench.air(3);
            (0..3).for_each(|_| bench.show(Shown::Value(470.0)));
            bench.air(1);
            bench.hold(5.0, |_| 470.0).unwrap();
            assert_eq!(bench.lifts(), 0);
            assert_eq!(
                bench
                    .told
                    .iter()
                    .filter(|told| **told == Probed::Contact)
                    .count(),
                1
            );
        }
    }

    #[test]
    fn two_touches_of_the_same_part_give_two_settled_values() {
        let mut bench = Bench::new(10);
        for _ in 0..2 {
            bench.air(5);
            bench.hold(3.0, |_| 470.0).unwrap();
        }
        bench.air(5);
        assert_eq!((bench.settled().count(), bench.lifts()), (2, 2));
    }

    #[test]
    fn one_touch_gives_one_settled_value_however_long_it_lasts() {
        let mut bench = Bench::new(50);
        bench.air(5);
        (0..5000).for_each(|_| bench.show(Shown::Value(470.0)));
        assert_eq!(bench.settled().count(), 1);
    }

    /// Values that settle anew in the 4 s after 470 was given; the reading is a function of the time since then.
    fn anew(rate: u64, slips: bool, value: impl Fn(f64) -> f64) -> Vec<f64> {
        let mut bench = Bench::new(rate);
        bench.air(5);
        bench.hold(5.0, |_| 470.0).unwrap();
        if slips {
            bench.air(1);
        }
        bench.hold(4.0, value);
        let anew = bench.told.iter().filter_map(|told| match told {
            Probed::SettledAnew(settled) => Some(value_of(*settled)),
            _ => None,
        });
        anew.collect()
    }

    #[test]
    fn a_value_that_settles_elsewhere_while_the_probes_stay_on_is_told_once() {
        for rate in [10, 20, 100, 1000] {
            let found = anew(rate, false, |_| 480.0);
            assert_eq!(found.len(), 1, "{rate} a second: {found:?}");
            assert!((found[0] - 480.0).abs() < 0.3, "{rate} a second: {found:?}");
        }
    }

    #[test]
    fn what_moves_or_stays_within_what_was_said_or_may_be_another_part_is_not_told_anew() {
        for rate in [10, 100] {
            assert!(anew(rate, false, |_| 472.0).is_empty(), "within U");
            assert!(
                anew(rate, false, |t| 470.0 + 20.0 * t).is_empty(),
                "a slide"
            );
            assert!(anew(rate, true, |_| 480.0).is_empty(), "behind a slip");
        }
        assert!(anew(3, false, |_| 480.0).is_empty(), "air may be missed");
    }

    #[test]
    fn bounce_delays_but_does_not_disturb() {
        let mut bench = Bench::new(100);
        bench.air(10);
        for i in 0..12 {
            if i % 3 == 1 {
                bench.air(1);
            } else {
                bench.show(Shown::Value(470.0 + f64::from(i) * 30.0));
            }
        }
        let settled = bench.hold(3.0, |_| 470.0).unwrap();
        assert!((value_of(settled) - 470.0).abs() < 0.2);
        assert_eq!(bench.lifts(), 0);
    }

    #[test]
    fn a_change_of_range_with_a_blip_and_a_step_ends_at_the_new_level() {
        let mut bench = Bench::new(20);
        bench.air(5);
        (0..4).for_each(|_| bench.show(Shown::Value(300.0)));
        bench.air(2);
        let settled = bench.hold(3.0, |_| 470.0).unwrap();
        assert!((value_of(settled) - 470.0).abs() < 0.2);
    }

    #[test]
    fn a_short_brush_is_a_brush() {
        let mut bench = Bench::new(20);
        bench.air(5);
        (0..2).for_each(|_| bench.show(Shown::Value(470.0)));
        bench.air(10);
        assert!(matches!(bench.told.last(), Some(Probed::Lifted(touch)) if touch.brush));
    }

    #[test]
    fn nothing_is_ever_open_without_the_word() {
        let mut bench = Bench::new(10);
        bench.air(1000);
        assert!(bench.told.is_empty());
    }

    #[test]
    fn a_steady_overload_after_the_word_is_an_open_part() {
        for rate in [2, 10, 1000] {
            let mut bench = Bench::new(rate);
            bench.air(3);
            assert!(bench.probes.said_to_be_on(Stamp::from_micros(bench.micros)));
            bench.air(rate as usize * 3);
            assert_eq!(
                bench
                    .settled()
                    .map(|settled| settled.finding)
                    .collect::<Vec<_>>(),
                [Finding::Open]
            );
        }
    }

    #[test]
    fn the_word_is_about_the_touch_in_hand_and_not_about_the_air_after_it() {
        let mut bench = Bench::new(10);
        bench.air(3);
        bench.probes.said_to_be_on(Stamp::from_micros(bench.micros));
        bench.hold(3.0, |_| 470.0).unwrap();
        bench.air(100);
        assert_eq!(bench.settled().count(), 1);
        // Nor is it after a touch that never settled.
        bench.probes.said_to_be_on(Stamp::from_micros(bench.micros));
        (0..40).for_each(|i| bench.show(Shown::Value(100.0 * f64::from(i))));
        bench.air(100);
        assert_eq!(bench.settled().count(), 1);
    }

    #[test]
    fn the_word_is_not_needed_while_something_is_touched() {
        let mut bench = Bench::new(10);
        bench.air(3);
        bench.show(Shown::Value(470.0));
        assert!(!bench.probes.said_to_be_on(Stamp::from_micros(bench.micros)));
    }

    #[test]
    fn not_a_number_is_passed_over() {
        let mut bench = Bench::new(10);
        bench.air(3);
        bench.show(Shown::NotANumber);
        assert!(bench.told.is_empty());
        bench.hold(3.0, |_| 470.0).unwrap();
    }

    #[test]
    fn a_disregarded_touch_gives_nothing_until_the_probes_were_lifted() {
        let mut bench = Bench::new(10);
        bench.air(3);
        (0..3).for_each(|_| bench.show(Shown::Value(470.0)));
        bench.probes.disregard();
        assert_eq!(bench.hold(5.0, |_| 470.0), None);
        bench.air(5);
        assert!(matches!(bench.told.last(), Some(Probed::Lifted(touch)) if touch.brush));
        assert!(bench.hold(5.0, |_| 470.0).is_some());
    }

    #[test]
    fn a_touch_with_its_value_given_stays_one_touch_when_the_stream_breaks_off() {
        let mut bench = Bench::new(10);
        bench.air(3);
        bench.hold(5.0, |_| 470.0).unwrap();
        bench.probes.broken_off();
        assert_eq!(bench.hold(5.0, |_| 470.0), None);
        assert!(bench.probes.touching());
    }
}
