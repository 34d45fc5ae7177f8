//! [`Soak`]: rated voltage is on an electrolytic, and its leakage current falls until it is read.
//!
//! Pure: it is told when the voltage was applied and every reading with its stamp, and asked for a report at a stamp. The
//! same readings give the same reports. Time counts from the moment at which the *full* voltage is on the part (as in
//! MIL-C-62F, 4.5.3: within 60 s to full voltage, read at the end of 5 minutes); a supply that still limits its current has
//! not got there.
//!
//! The limit is compared with the current at two or at five minutes, as its form says. Before two minutes nothing is judged
//! except a fail that is certain. Taking the part to its voltage is a person's work: [`SOAK_CAUTIONS`] come first.

mod cautions;
mod certain;
mod forecast;
mod point;
mod report;
mod soak_error;
mod trend;

use std::time::Duration;

pub use cautions::SOAK_CAUTIONS;
pub use forecast::Forecast;
pub use report::{Mark, SoakReason, SoakReport};
pub use soak_error::SoakError;
pub use trend::Direction;

use point::Point;

use super::leakage::{LeakageLimit, ReadAfter};
use crate::engine::judge::one_sided::at_most;
use crate::engine::judge::{Rule, Verdict};
use crate::engine::quantity::Stamp;

/// Distance of a reading from its time on either side at most, s.
const MARK_REACH: f64 = 10.0;

/// Shortest distance of two readings that are kept for trend and forecast: seconds, or share of the time.
const KEEP_EVERY: (f64, f64) = (0.2, 0.002);

/// A capacitor under rated voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct Soak {
    applied: Stamp,
    limit: LeakageLimit,
    rule: Rule,
    last: Option<Point>,
    /// Thinned out, so that hours of soaking stay a few thousand.
    kept: Vec<Point>,
    marks: [Mark; 3],
}

impl Soak {
    /// The full rated voltage is on the part since `applied`.
    pub const fn new(applied: Stamp, limit: LeakageLimit, rule: Rule) -> Self {
        Self {
            applied,
            limit,
            rule,
            last: None,
            kept: Vec::new(),
            marks: [Mark::Waiting; 3],
        }
    }

    /// Takes a reading of the current: ampere with standard uncertainty. Near zero a current may be negative.
    ///
    /// # Errors
    /// [`SoakError`]; the reading is then left out.
    pub fn reading(
        &mut self,
        at: Stamp,
        ampere: f64,
        standard_uncertainty: f64,
    ) -> Result<(), SoakError> {
        if !(ampere.is_finite() && standard_uncertainty.is_finite() && standard_uncertainty >= 0.0)
        {
            return Err(SoakError::NotANumber);
        }
        if at <= self.applied {
            return Err(SoakError::BeforeVoltage);
        }
        let point = Point {
            seconds: at.since(self.applied).as_secs_f64(),
            ampere,
            uncertainty: standard_uncertainty,
        };
        if self.last.is_some_and(|last| last.seconds >= point.seconds) {
            return Err(SoakError::OutOfOrder);
        }
        for (index, time) in ReadAfter::ALL.into_iter().enumerate() {
            if self.marks[index] == Mark::Waiting {
                self.marks[index] = self.mark(time, point);
            }
        }
        self.last = Some(point);
        self.keep(point);
        Ok(())
    }

    /// Its findings at `now`.
    pub fn report(&self, now: Stamp) -> SoakReport {
        let elapsed = now.since(self.applied);
        let marks = self.marks_at(elapsed);
        let [_, two_minutes, five_minutes] = marks;
        let found = trend::trend(&self.kept);
        let ahead = self.limit.read_after.duration();
        let forecast = (elapsed < ahead).then(|| forecast::forecast(&self.kept, self.last, ahead));
        // The marks are in the order of the times.
        let own = marks[self.limit.read_after as usize];
        let certain =
            forecast.and_then(|forecast| certain::certain_fail(&self.limit, found, forecast));
        let rising = found.is_none_or(|(direction, _)| direction == Direction::Rising);
        let (verdict, reason) = match (own, certain) {
            (Mark::Read { against_limit, .. }, _) => (Some(against_limit), SoakReason::AtItsTime),
            (_, Some(reason)) => (Some(Verdict::Fail), reason),
            (Mark::Missed, None) => self.without_its_reading(five_minutes),
            (Mark::Waiting, None) => Self::so_far(two_minutes, rising),
        };
        SoakReport {
            elapsed,
            own,
            latest_ampere: self.last.map(|point| point.ampere),
            trend: found.map(|(direction, _)| direction),
            forecast,
            verdict,
            reason,
        }
    }

    /// Outcome of `point` for a mark that waits.
    fn mark(&self, time: ReadAfter, point: Point) -> Mark {
        let due = time.duration().as_secs_f64();
        if point.seconds < due {
            return Mark::Waiting;
        }
        let share = |last: Point| (due - last.seconds) / (point.seconds - last.seconds);
        let near = |last: &Point| due - last.seconds <= MARK_REACH;
        match self.last.filter(near) {
            _ if point.seconds - due > MARK_REACH => Mark::Missed,
            Some(last) => self.read(
                last.ampere + share(last) * (point.ampere - last.ampere),
                last.uncertainty.max(point.uncertainty),
            ),
            None if point.seconds == due => self.read(point.ampere, point.uncertainty),
            None => Mark::Missed,
        }
    }

    fn read(&self, ampere: f64, standard_uncertainty: f64) -> Mark {
        let band = at_most(self.limit.ampere);
        Mark::Read {
            ampere,
            standard_uncertainty,
            against_limit: self.rule.decide(ampere, standard_uncertainty, band),
        }
    }

    /// All marks, those missed for which no reading can come any more.
    fn marks_at(&self, elapsed: Duration) -> [Mark; 3] {
        let mut marks = self.marks;
        for (mark, time) in marks.iter_mut().zip(ReadAfter::ALL) {
            let over = time.duration().as_secs_f64() + MARK_REACH;
            if *mark == Mark::Waiting && elapsed.as_secs_f64() > over {
                *mark = Mark::Missed;
            }
        }
        marks
    }

    fn keep(&mut self, point: Point) {
        let gap = KEEP_EVERY.0.max(KEEP_EVERY.1 * point.seconds);
        // A stamp is whole microseconds; half of one is no distance.
        let due = |last: &Point| point.seconds - last.seconds >= gap - 5e-7;
        if self.kept.last().is_none_or(due) {
            self.kept.push(point);
        }
    }

    /// The reading that counts was missed.
    fn without_its_reading(&self, five_minutes: Mark) -> (Option<Verdict>, SoakReason) {
        match (self.limit.read_after, five_minutes) {
            (ReadAfter::OneMinute | ReadAfter::TwoMinutes, Mark::Waiting) => {
                (None, SoakReason::WaitsForFiveMinutes)
            }
            (
                ReadAfter::OneMinute | ReadAfter::TwoMinutes,
                Mark::Read {
                    against_limit: verdict @ (Verdict::Fail | Verdict::ConditionalFail),
                    ..
                },
            ) => (Some(verdict), SoakReason::StillAbove),
            _ => (Some(Verdict::Inconclusive), SoakReason::Missed),
        }
    }

    /// The time of the reading that counts has not come.
    const fn so_far(two_minutes: Mark, rising: bool) -> (Option<Verdict>, SoakReason) {
        match two_minutes {
            Mark::Waiting => (None, SoakReason::TooEarly),
            Mark::Read {
                against_limit: verdict @ (Verdict::Pass | Verdict::ConditionalPass),
                ..
            } if !rising => (Some(verdict), SoakReason::WithinEarly),
            _ => (None, SoakReason::WaitsForFiveMinutes),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::point::sample::{normal, points};
    use super::*;

    const START: Stamp = Stamp::from_micros(7_000_000);

    fn at(seconds: f64) -> Stamp {
        START.after(Duration::from_secs_f64(seconds))
    }

    fn soak(micro: f64, read_after: ReadAfter) -> Soak {
        let limit = LeakageLimit::stated(micro * 1e-6, read_after).unwrap();
        Soak::new(START, limit, Rule::GuardBand)
    }

    /// Feeds two readings a second from 1 s on to `until`, each with a scatter of `noise` of itself.
    fn feed(soak: &mut Soak, until: f64, noise: f64, seed: u64, current: impl Fn(f64) -> f64) {
        for point in points(until, noise, &mut fastrand::Rng::with_seed(seed), current) {
            soak.reading(at(point.seconds), point.ampere, 0.0).unwrap();
        }
    }

    fn power(at_one_second: f64, exponent: f64) -> impl Fn(f64) -> f64 {
        move |seconds| at_one_second * 1e-6 * libm::pow(seconds, -exponent)
    }

    #[test]
    fn the_limit_is_compared_when_it_is_to_be_read() {
        // 1000 µA at 1 s falling as t^-0.8 is 21.7 µA after 2 minutes and 10.4 µA after 5.
        for (micro, time, verdict) in [
            (25.0, ReadAfter::TwoMinutes, Verdict::Pass),
            (20.0, ReadAfter::TwoMinutes, Verdict::Fail),
            (11.0, ReadAfter::FiveMinutes, Verdict::Pass),
            (10.0, ReadAfter::FiveMinutes, Verdict::Fail),
        ] {
            let mut soak = soak(micro, time);
            feed(&mut soak, 310.0, 0.0, 1, power(1000.0, 0.8));
            let report = soak.report(at(310.0));
            assert_eq!(report.verdict, Some(verdict), "{micro} µA, {time:?}");
            assert_eq!(report.reason, SoakReason::AtItsTime);
        }
    }

    #[test]
    fn before_two_minutes_nothing_passes_and_nothing_open_fails() {
        // At 9 µA it will fail, with 10.4 µA after 5 minutes, but falling as t^-1 from now on it could still come down to 8.3 µA.
        for (micro, exponent) in [(1e6, 0.8), (25.0, 0.8), (9.0, 0.8), (15.0, 0.95)] {
            let mut soak = soak(micro, ReadAfter::FiveMinutes);
            feed(&mut soak, 119.0, 0.003, 5, power(1000.0, exponent));
            let report = soak.report(at(119.5));
            assert_eq!(
                (report.verdict, report.reason),
                (None, SoakReason::TooEarly),
                "{micro} µA"
            );
        }
    }

    #[test]
    fn a_fail_that_is_certain_is_told_before_two_minutes() {
        let mut rises = soak(100.0, ReadAfter::FiveMinutes);
        feed(&mut rises, 20.0, 0.002, 2, |s| (150.0 + s) * 1e-6);
        assert_eq!(rises.report(at(20.0)).verdict, None);
        let mut rises = soak(100.0, ReadAfter::FiveMinutes);
        feed(&mut rises, 50.0, 0.002, 2, |s| (150.0 + s) * 1e-6);
        let report = rises.report(at(50.0));
        assert_eq!(report.verdict, Some(Verdict::Fail));
        assert_eq!(report.reason, SoakReason::RisesAboveLimit);

        // 5000 µA at 1 s falling as t^-0.5 is 559 µA after 80 s; even as t^-1 it would be 149 µA after 5 minutes.
        let mut high = soak(100.0, ReadAfter::FiveMinutes);
        feed(&mut high, 80.0, 0.002, 2, power(5000.0, 0.5));
        let report = high.report(at(80.0));
        assert_eq!(report.verdict, Some(Verdict::Fail));
        assert_eq!(report.reason, SoakReason::OutOfReach);
    }

    #[test]
    fn a_current_that_rises_below_the_limit_is_not_failed_and_does_not_pass_early() {
        let mut soak = soak(1000.0, ReadAfter::FiveMinutes);
        feed(&mut soak, 130.0, 0.002, 2, |s| (150.0 + s) * 1e-6);
        let report = soak.report(at(130.0));
        assert_eq!(report.trend.unwrap(), Direction::Rising);
        assert_eq!(
            (report.verdict, report.reason),
            (None, SoakReason::WaitsForFiveMinutes)
        );
    }

    #[test]
    fn after_two_minutes_what_is_within_the_later_limit_and_falls_passes_for_the_present() {
        let mut soak = soak(30.0, ReadAfter::FiveMinutes);
        feed(&mut soak, 130.0, 0.001, 2, power(1000.0, 0.8));
        let report = soak.report(at(130.0));
        assert_eq!(report.verdict, Some(Verdict::Pass));
        assert_eq!(report.reason, SoakReason::WithinEarly);
        assert_eq!(report.own, Mark::Waiting);
    }

    #[test]
    fn a_current_that_is_still_charging_the_part_is_never_certain_to_fail() {
        // An exponential of 40 s ends far below the limit, although it stands far above it for long.
        for until in (20..120).step_by(5) {
            let mut soak = soak(20.0, ReadAfter::FiveMinutes);
            feed(&mut soak, f64::from(until), 0.002, 4, |s| {
                1e-6 + 5e-3 * libm::exp(-s / 40.0)
            });
            assert_eq!(soak.report(at(f64::from(until))).verdict, None, "{until} s");
        }
    }

    #[test]
    fn a_reading_that_is_missed_is_not_made_up() {
        for (time, seconds) in [
            (ReadAfter::TwoMinutes, 131.0),
            (ReadAfter::FiveMinutes, 311.0),
        ] {
            let mut soak = soak(100.0, time);
            feed(&mut soak, 60.0, 0.0, 1, power(1000.0, 0.8));
            let waiting = soak.report(at(seconds));
            if time == ReadAfter::TwoMinutes {
                assert_eq!(waiting.reason, SoakReason::WaitsForFiveMinutes);
                assert_eq!(waiting.own, Mark::Missed);
            }
            let report = soak.report(at(311.0));
            assert_eq!(report.verdict, Some(Verdict::Inconclusive));
            assert_eq!(report.reason, SoakReason::Missed);
        }
    }

    #[test]
    fn above_the_limit_after_five_minutes_is_above_it_after_two() {
        let mut soak = soak(5.0, ReadAfter::TwoMinutes);
        soak.reading(at(60.0), 30e-6, 0.0).unwrap();
        for seconds in 290..310 {
            soak.reading(at(f64::from(seconds)), 10e-6, 0.0).unwrap();
        }
        let report = soak.report(at(310.0));
        assert_eq!(report.own, Mark::Missed);
        assert_eq!(report.verdict, Some(Verdict::Fail));
        assert_eq!(report.reason, SoakReason::StillAbove);
    }

    #[test]
    fn a_mark_is_read_between_its_neighbours() {
        let mut soak = soak(100.0, ReadAfter::TwoMinutes);
        soak.reading(at(116.0), 80e-6, 1e-6).unwrap();
        soak.reading(at(126.0), 70e-6, 2e-6).unwrap();
        let Mark::Read {
            ampere,
            standard_uncertainty,
            ..
        } = soak.report(at(126.0)).own
        else {
            panic!("the mark was read");
        };
        approx::assert_relative_eq!(ampere, 76e-6, max_relative = 1e-12);
        assert_eq!(standard_uncertainty, 2e-6);
    }

    #[test]
    fn readings_that_cannot_be_are_refused_and_left_out() {
        let mut soak = soak(100.0, ReadAfter::TwoMinutes);
        soak.reading(at(10.0), 1e-3, 0.0).unwrap();
        let before = soak.clone();
        assert_eq!(
            soak.reading(at(11.0), f64::NAN, 0.0),
            Err(SoakError::NotANumber)
        );
        assert_eq!(
            soak.reading(at(11.0), 1.0, -1.0),
            Err(SoakError::NotANumber)
        );
        assert_eq!(soak.reading(START, 1.0, 0.0), Err(SoakError::BeforeVoltage));
        assert_eq!(soak.reading(at(10.0), 1.0, 0.0), Err(SoakError::OutOfOrder));
        assert_eq!(soak, before);
    }

    #[test]
    fn the_same_readings_give_the_same_report_whenever_it_was_asked_for_before() {
        let run = |asked: bool| {
            let mut soak = soak(12.0, ReadAfter::FiveMinutes);
            let mut rng = fastrand::Rng::with_seed(6);
            for tenth in 10..3100 {
                let seconds = f64::from(tenth) / 10.0;
                let ampere = 1e-3 / seconds * (1.0 + 0.02 * normal(&mut rng));
                soak.reading(at(seconds), ampere, ampere * 0.01).unwrap();
                if asked && tenth % 70 == 0 {
                    soak.report(at(seconds));
                }
            }
            format!("{:?}", soak.report(at(310.0)))
        };
        assert_eq!(run(false), run(true));
    }

    #[test]
    fn the_report_forecasts_until_the_limit_is_to_be_read() {
        let mut soak = soak(10.0, ReadAfter::FiveMinutes);
        assert_eq!(
            soak.report(at(100.0)).forecast,
            Some(Err(forecast::NoForecast::TooFewReadings))
        );
        feed(&mut soak, 310.0, 0.01, 8, power(1000.0, 0.8));
        let forecast = soak.report(at(299.0)).forecast.unwrap().unwrap();
        assert_eq!(forecast.after, Duration::from_secs(300));
        assert_eq!(soak.report(at(300.0)).forecast, None);
    }

    #[test]
    fn at_every_rate_there_is_a_forecast_from_the_first_minute_on() {
        for rate in [2.0, 10.0, 20.0, 50.0] {
            let mut soak = soak(10.0, ReadAfter::FiveMinutes);
            let current = power(1000.0, 0.8);
            for reading in 1..=(60.0 * rate) as u32 {
                let seconds = f64::from(reading) / rate;
                soak.reading(at(seconds), current(seconds), 0.0).unwrap();
            }
            let forecast = soak.report(at(60.0)).forecast.unwrap();
            assert!(forecast.is_ok(), "{rate} a second: {forecast:?}");
        }
    }

    #[test]
    fn hours_of_soaking_keep_few_readings() {
        let mut soak = soak(12.0, ReadAfter::FiveMinutes);
        for second in 1..36_000 {
            soak.reading(at(f64::from(second)), 1e-5, 0.0).unwrap();
        }
        assert!(soak.kept.len() < 4000, "{}", soak.kept.len());
    }

    #[test]
    fn the_cautions_defer_to_local_codes_and_licensed_practice() {
        assert!(SOAK_CAUTIONS[0].contains("local codes"));
        assert!(SOAK_CAUTIONS[0].contains("licensed work"));
        assert!(SOAK_CAUTIONS.iter().any(|line| line.contains("discharge")));
    }
}
