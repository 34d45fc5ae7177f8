//! [`Sweep`]: the wiper of a potentiometer is dragged from one stop to the other, and that is one touch.
//!
//! Nothing here settles. The probes stay on the wiper and an end; every reading is kept until the lift, and then the whole is
//! looked at ([`SweepReport`]). A wiper that loses the track shows what probes in the air show, so the two are told apart by
//! time, here and nowhere else: nothing for at least [`SWEEP_LIFT`] is the lift, anything shorter is a dropout. Contact that
//! lasts less than [`SHORTEST_SWEEP`] is a brush and no sweep.

use std::time::Duration;

use super::specification::Specification;
use super::sweep_report::{Point, SweepReport, Track};
use crate::engine::meter::{Reading, Shown};
use crate::engine::quantity::Stamp;

/// Readings of nothing that span at least this are the lift (common practice, no source: a wiper under a turning hand is over
/// a bad place sooner).
pub const SWEEP_LIFT: Duration = Duration::from_secs(1);

/// Contact shorter than this is a brush (common practice, no source).
pub const SHORTEST_SWEEP: Duration = Duration::from_secs(1);

/// Fewest readings with a value of a sweep; fewer are a brush.
const FEWEST_READINGS: usize = 5;

/// The most readings that are kept: ten minutes at a hundred a second. What comes after them is not looked at.
const MOST_READINGS: usize = 60_000;

/// Finding of the readings.
#[derive(Debug, Clone, PartialEq)]
pub enum Sweeping {
    /// The probes made contact.
    Begun,
    /// They were lifted again before that was a sweep.
    Brush,
    /// They were lifted after a sweep.
    Swept(SweepReport),
    /// Nothing was shown although the person had said that the probes are on it.
    Open {
        /// When the person said so.
        said: Stamp,
        /// Readings of nothing since.
        readings: u32,
    },
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum State {
    /// The probes still touch what they touched before; that counts for nothing.
    Disregarded,
    /// In the air.
    Lifted,
    /// On the part.
    Touching,
}

/// A run of readings that show nothing.
#[derive(Debug, Clone, Copy)]
struct Nothing {
    since: Stamp,
    readings: u32,
}

/// Follows the readings of one sweep from contact to lift.
#[derive(Debug, Clone)]
pub struct Sweep {
    track: Track,
    state: State,
    points: Vec<Point>,
    dropouts: Vec<(Stamp, Stamp)>,
    nothing: Option<Nothing>,
    said_on: Option<Nothing>,
    uncertainty: f64,
    cut: bool,
}

impl Sweep {
    /// A sweep of that track; with `touching` the probes are still on something else and must be lifted first.
    pub fn new(track: Track, touching: bool) -> Self {
        Self {
            track,
            state: if touching {
                State::Disregarded
            } else {
                State::Lifted
            },
            points: Vec::new(),
            dropouts: Vec::new(),
            nothing: None,
            said_on: None,
            uncertainty: 0.0,
            cut: false,
        }
    }

    /// Whether the probes touch something.
    pub fn touching(&self) -> bool {
        self.state != State::Lifted
    }

    /// The person says that the probes are on it. Nothing for [`SWEEP_LIFT`] from now on is an open wiper.
    ///
    /// Returns whether the word was needed: with contact already made there is nothing to say.
    pub fn said_to_be_on(&mut self, at: Stamp) -> bool {
        if self.touching() {
            return false;
        }
        self.said_on = Some(Nothing {
            since: at,
            readings: 0,
        });
        true
    }

    /// The stream of readings broke off: nobody knows what the wiper did meanwhile. What was gathered is forgotten, and
    /// probes on the part must be lifted first.
    pub fn broken_off(&mut self) {
        *self = Self::new(self.track, self.touching());
    }

    /// Takes in a reading; tells what it means.
    pub fn feed(&mut self, reading: &Reading, meter: &impl Specification) -> Option<Sweeping> {
        match reading.shown {
            Shown::NotANumber => None,
            Shown::Value(value) if !meter.is_idle(reading.shown) => {
                self.feed_value(reading.at, value, meter)
            }
            Shown::Value(_) | Shown::Overload => self.feed_nothing(reading.at),
        }
    }

    fn feed_value(
        &mut self,
        at: Stamp,
        value: f64,
        meter: &impl Specification,
    ) -> Option<Sweeping> {
        let nothing = self.nothing.take();
        self.said_on = None;
        if self.state == State::Disregarded {
            return None;
        }
        let begun = self.state == State::Lifted;
        self.state = State::Touching;
        if let (Some(nothing), false) = (nothing, begun) {
            self.dropouts.push((nothing.since, at));
        }
        if self.points.len() < MOST_READINGS {
            self.uncertainty = self.uncertainty.max(meter.standard_uncertainty(value));
            self.points.push(Point {
                at,
                value,
                resolution: meter.resolution(value),
            });
        } else {
            self.cut = true;
        }
        begun.then_some(Sweeping::Begun)
    }

    fn feed_nothing(&mut self, at: Stamp) -> Option<Sweeping> {
        let lasts = |run: &mut Nothing| {
            run.readings += 1;
            run.readings >= 2 && at.since(run.since) >= SWEEP_LIFT
        };
        if self.state == State::Lifted {
            let said = self.said_on.as_mut().filter(|said| at >= said.since)?;
            if !lasts(said) {
                return None;
            }
            let (said, readings) = (said.since, said.readings);
            self.said_on = None;
            return Some(Sweeping::Open { said, readings });
        }
        let run = self.nothing.get_or_insert(Nothing {
            since: at,
            readings: 0,
        });
        if !lasts(run) {
            return None;
        }
        let swept = self.state == State::Touching;
        let ended = swept.then(|| self.ended(at));
        *self = Self::new(self.track, false);
        ended
    }

    /// Report on the touch that ended with a lift recognised at `lifted`.
    fn ended(&self, lifted: Stamp) -> Sweeping {
        let span = match (self.points.first(), self.points.last()) {
            (Some(first), Some(last)) => last.at.since(first.at),
            _ => Duration::ZERO,
        };
        if span < SHORTEST_SWEEP || self.points.len() < FEWEST_READINGS {
            return Sweeping::Brush;
        }
        let mut report = SweepReport::of(&self.points, &self.dropouts, self.track, lifted);
        report.specification = self.uncertainty;
        report.whole = !self.cut;
        Sweeping::Swept(report)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::probing::sweep_report::MOST_OF_TRACK;
    use crate::engine::quantity::Quantity;

    const OHMS: f64 = 500e3;

    /// A meter with a hundredth per cent of the track as its last digit.
    struct Plain;

    impl Specification for Plain {
        fn is_idle(&self, shown: Shown) -> bool {
            shown == Shown::Overload
        }
        fn standard_uncertainty(&self, value: f64) -> f64 {
            0.003 * value.abs() + self.resolution(value)
        }
        fn resolution(&self, _: f64) -> f64 {
            1e-4 * OHMS
        }
    }

    /// A wiper under a hand, and a meter of so many readings a second.
    struct Wiper {
        sweep: Sweep,
        rate: u32,
        micros: u64,
        noise: fastrand::Rng,
        told: Vec<Sweeping>,
    }

    impl Wiper {
        fn new(rate: u32, steepest: f64, seed: u64) -> Self {
            let track = Track {
                ohms: OHMS,
                steepest,
            };
            Self {
                sweep: Sweep::new(track, false),
                rate,
                micros: 0,
                noise: fastrand::Rng::with_seed(seed),
                told: Vec::new(),
            }
        }

        fn show(&mut self, shown: Shown) {
            self.micros += 1_000_000 / u64::from(self.rate);
            let reading = Reading {
                at: Stamp::from_micros(self.micros),
                quantity: Quantity::Resistance,
                shown,
                second: None,
            };
            self.told.extend(self.sweep.feed(&reading, &Plain));
        }

        /// Readings during `seconds`, by the time in them; `None` is nothing. Noise of half a per cent of the track.
        fn shows(&mut self, seconds: f64, share: impl Fn(f64) -> Option<f64>) {
            let count = (seconds * f64::from(self.rate)).round() as u32;
            for i in 0..count {
                let noise = 0.005 * (self.noise.f64() - 0.5);
                let shown = share(f64::from(i) / f64::from(self.rate));
                self.show(shown.map_or(Shown::Overload, |share| {
                    let digit = 1e-4 * OHMS;
                    let value = ((share + noise).max(0.0) * OHMS / digit).round() * digit;
                    Shown::Value(value)
                }));
            }
        }

        fn air(&mut self) {
            self.shows(3.0, |_| None);
        }

        /// Air, a rest on the first stop, `seconds` of turning with that defect, a rest on the other stop, air.
        fn dragged(
            mut self,
            seconds: f64,
            law: impl Fn(f64) -> f64,
            defect: impl Fn(f64, f64) -> Option<f64>,
        ) -> SweepReport {
            self.air();
            self.shows(1.5, |_| Some(law(0.0)));
            self.shows(seconds, |t| defect(t, law(hand(t / seconds))));
            self.shows(1.5, |_| Some(law(1.0)));
            self.air();
            match &self.told[..] {
                [Sweeping::Begun, Sweeping::Swept(report)] => report.clone(),
                told => panic!("{} readings/s: {told:?}", self.rate),
            }
        }
    }

    /// A hand starts slowly, is twice as fast in between, rests for a moment, and ends slowly.
    fn hand(t: f64) -> f64 {
        let t = if t < 0.5 { t / 0.45 * 0.5 } else { t }.min(if t < 0.5 { 0.5 } else { 1.0 });
        0.5 - 0.5 * libm::cos(std::f64::consts::PI * t)
    }

    fn linear(x: f64) -> f64 {
        x
    }

    /// Two straight pieces with a sharp bend, as tracks with an audio law are made.
    fn audio(x: f64) -> f64 {
        if x < 0.5 {
            0.3 * x
        } else {
            0.15 + (x - 0.5) * 1.7
        }
    }

    const RATES: [u32; 7] = [2, 3, 5, 10, 20, 50, 100];

    #[test]
    fn a_sound_wiper_has_no_fault_at_any_rate_under_any_law() {
        for rate in RATES {
            for seed in 0..20 {
                for (law, steepest) in [
                    (linear as fn(f64) -> f64, 1.0),
                    (|x| 1.0 - x, 1.0),
                    (audio, 3.6),
                    (|x| 1.0 - audio(x), 3.6),
                ] {
                    for seconds in [10.0, 15.0, 25.0] {
                        let report =
                            Wiper::new(rate, steepest, seed)
                                .dragged(seconds, law, |_, share| Some(share));
                        assert_eq!(
                            (report.dropouts, report.jumps),
                            (0, 0),
                            "{rate} {seed} {seconds} {report:?}"
                        );
                        assert!(report.covered_share() >= MOST_OF_TRACK, "{rate} {report:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn nothing_for_a_moment_is_a_dropout_at_every_rate_that_can_show_it() {
        for rate in RATES {
            // Long enough for a reading to fall into it, and a good deal shorter than the lift.
            let long = (1.2 / f64::from(rate)).max(0.1);
            let lost = |t: f64, share| (!(4.0..4.0 + long).contains(&t)).then_some(share);
            let report = Wiper::new(rate, 1.0, 1).dragged(10.0, linear, lost);
            assert_eq!(report.dropouts, 1, "{rate} {report:?}");
            assert!(report.longest_dropout <= SWEEP_LIFT, "{rate} {report:?}");
        }
    }

    #[test]
    fn a_scratch_is_a_jump_at_every_rate_that_can_show_it() {
        for rate in RATES {
            // A quarter of the track for two readings; a slow meter needs more to tell it from the hand.
            let (size, readings) = if rate < 5 { (0.5, 0.6) } else { (0.25, 1.2) };
            let bad = 4.0..4.0 + readings / f64::from(rate);
            let scratched = |t: f64, share: f64| Some(share + size * f64::from(bad.contains(&t)));
            let report = Wiper::new(rate, 1.0, 1).dragged(12.0, linear, scratched);
            assert_eq!(report.jumps, 1, "{rate} {report:?}");
            let off = report.largest_jump_ohms / OHMS - size;
            assert!(off.abs() < 0.1, "{rate} {report:?}");
        }
    }

    #[test]
    fn a_step_that_stays_is_a_jump_where_the_rate_tells_it_from_the_hand() {
        let skipped = |t: f64, share: f64| {
            Some(if t < 4.5 {
                share * 0.3
            } else {
                0.4 + share * 0.6
            })
        };
        for rate in [10, 20, 50, 100] {
            let report = Wiper::new(rate, 1.0, 2).dragged(10.0, linear, skipped);
            assert_eq!(report.jumps, 1, "{rate} {report:?}");
        }
        // Two readings a second: any hand can turn that far in between. What was never seen is not covered.
        let report = Wiper::new(2, 1.0, 2).dragged(10.0, linear, skipped);
        assert!(report.hand_step_ohms >= OHMS, "{report:?}");
        assert!(report.covered_share() < MOST_OF_TRACK, "{report:?}");
    }

    #[test]
    fn a_wiper_that_crackles_has_faults_at_every_rate() {
        for rate in RATES {
            for seed in 0..20 {
                let crackle = std::cell::RefCell::new(fastrand::Rng::with_seed(100 + seed));
                let crackling = |_: f64, share: f64| {
                    let mut crackle = crackle.borrow_mut();
                    match crackle.u8(..) {
                        0..20 => Some(share + 0.4 + 0.6 * crackle.f64()),
                        20..40 => None,
                        _ => Some(share),
                    }
                };
                let report = Wiper::new(rate, 1.0, seed).dragged(15.0, linear, crackling);
                assert!(report.faults() > 0, "{rate} {seed} {report:?}");
            }
        }
    }

    #[test]
    fn turning_back_on_the_way_and_probes_that_bounce_are_no_faults() {
        for rate in [2, 10, 100] {
            let mut wiper = Wiper::new(rate, 1.0, 3);
            wiper.air();
            wiper.shows(0.1, |_| Some(0.4));
            wiper.shows(0.1, |_| None);
            wiper.shows(1.5, |_| Some(0.0));
            wiper.shows(10.0, |t| Some(1.0 - (1.0 - t / 5.0).abs()));
            wiper.shows(10.0, |t| Some(t / 10.0));
            wiper.shows(1.5, |_| Some(1.0));
            wiper.shows(0.1, |_| None);
            wiper.shows(0.1, |_| Some(1.0));
            wiper.air();
            let Some(Sweeping::Swept(report)) = wiper.told.last() else {
                panic!("{:?}", wiper.told)
            };
            assert_eq!((report.dropouts, report.jumps), (0, 0), "{rate} {report:?}");
        }
    }

    #[test]
    fn half_a_track_and_a_sweep_too_fast_for_the_meter_do_not_cover_it() {
        let half = Wiper::new(10, 1.0, 4).dragged(8.0, |x| 0.5 * x, |_, share| Some(share));
        assert!((0.45..0.55).contains(&half.covered_share()), "{half:?}");
        let fast = Wiper::new(2, 1.0, 4).dragged(2.0, linear, |_, share| Some(share));
        assert!(fast.covered_share() < MOST_OF_TRACK, "{fast:?}");
        assert_eq!(fast.jumps, 0);
    }

    #[test]
    fn a_second_of_nothing_is_the_lift_and_not_a_dropout() {
        for rate in RATES {
            let mut wiper = Wiper::new(rate, 1.0, 5);
            wiper.shows(3.0, |_| Some(0.1));
            wiper.shows(2.0, |_| None);
            wiper.shows(3.0, |_| Some(0.1));
            assert!(
                matches!(
                    wiper.told[..],
                    [Sweeping::Begun, Sweeping::Swept(_), Sweeping::Begun]
                ),
                "{rate} {:?}",
                wiper.told
            );
        }
    }

    #[test]
    fn a_brush_is_no_sweep_and_probes_left_on_something_else_count_for_nothing() {
        let mut wiper = Wiper::new(10, 1.0, 6);
        wiper.shows(0.4, |_| Some(0.1));
        wiper.air();
        assert_eq!(wiper.told, [Sweeping::Begun, Sweeping::Brush]);
        let mut wiper = Wiper::new(10, 1.0, 6);
        wiper.sweep = Sweep::new(wiper.sweep.track, true);
        wiper.shows(5.0, |t| Some(t / 5.0));
        wiper.air();
        assert_eq!(wiper.told, []);
        assert!(!wiper.sweep.touching());
    }

    #[test]
    fn a_wiper_is_open_only_upon_the_word() {
        let mut wiper = Wiper::new(10, 1.0, 7);
        wiper.air();
        assert_eq!(wiper.told, []);
        assert!(wiper.sweep.said_to_be_on(Stamp::from_micros(wiper.micros)));
        wiper.air();
        assert!(
            matches!(wiper.told[..], [Sweeping::Open { readings: 10, .. }]),
            "{:?}",
            wiper.told
        );
    }
}
