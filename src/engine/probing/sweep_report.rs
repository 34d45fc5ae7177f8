//! [`SweepReport`]: what a sweep of a wiper has shown.
//!
//! # What counts as a jump
//! A hand moves the wiper without leaps, so it is asked whether a hand could have done what two readings differ by.
//!
//! 1. **There and back.** Of every five successive readings the middle one is compared with their median, which a movement
//!    in one direction leaves untouched whatever its speed and the law of the track. A reading that stands off by more than
//!    [`ROUGH_SHARE`] of the track (and [`ROUGH_OHMS`], and two of the steps about it, so that a hand that turns back is none)
//!    is a jump.
//! 2. **There to stay.** A step between two readings is a jump if it is larger than a hand turns in the time between them, the
//!    full travel in [`FASTEST_TRAVEL`] at the steepest place of the law, and more than [`SUDDEN`] times the median of the six
//!    steps about it, so that a hand that starts, or a bend of the law, is none.
//!
//! Jumps that follow one another without a sound step between count as one. What happens within [`BOUNCE`] of contact and
//! lift is the bounce of the probes and not counted, and neither is what the very first and last reading are part of: the
//! meter may have averaged over the moment of contact.
//!
//! # What a slow meter cannot see
//! A dropout or a scratch that is over before the next reading leaves no trace, and a scratch must stand off by more than two
//! of the steps that the hand makes from reading to reading. And at two readings a second a hand can turn the
//! whole track between two of them, so a step there to stay cannot be told from it: [`SweepReport::hand_step_ohms`] says
//! from which size on it could. For the same reason only what the readings came by closely counts as covered.

use std::time::Duration;

use crate::engine::quantity::Stamp;
use crate::engine::statistics::median;

/// Share of the track that must be covered for a sweep to say something about it (common practice, no source).
pub const MOST_OF_TRACK: f64 = 0.8;

/// Variation of the contact that is put up with: 3 % of the track or 20 Ω, whichever is greater (MIL-PRF-39035E, 3.9, characteristic
/// C; a specification of trimmers made new, taken here for want of one for old controls).
const ROUGH_SHARE: f64 = 0.03;
const ROUGH_OHMS: f64 = 20.0;

/// The shortest time in which a hand turns the full travel, s (common practice, no source).
const FASTEST_TRAVEL: f64 = 0.5;

/// How many times larger than those about it a step is that no hand makes (common practice, no source).
const SUDDEN: f64 = 5.0;

/// Probes bounce for that long after the contact and before the lift (common practice, no source).
const BOUNCE: Duration = Duration::from_millis(300);

/// Largest share of the track between neighbouring readings that counts as covered: of a linear one, and of any other, whose
/// steep part a hand crosses faster (common practice, no source).
const CLOSE: f64 = 0.1;
const CLOSE_OF_STEEP: f64 = 0.2;

/// Counts of the last digit by which a reading may be off from one to the next.
const COUNTS: f64 = 6.0;

/// The track that is swept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Track {
    /// Its resistance from end to end, ohm, over zero.
    pub ohms: f64,
    /// Share of the resistance per share of the travel at the steepest place of its law; 1 for a linear one.
    pub steepest: f64,
}

/// A reading with a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub(super) at: Stamp,
    pub(super) value: f64,
    /// The meter's last digit there, ohm.
    pub(super) resolution: f64,
}

/// Findings of a sweep of a wiper.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepReport {
    /// When the probes made contact.
    pub contact: Stamp,
    /// When the lift was recognised.
    pub lifted: Stamp,
    /// Time from the first to the last reading with a value.
    pub took: Duration,
    /// Readings with a value.
    pub readings: u32,
    /// The track that it was held to.
    pub track: Track,
    /// How much of the track the readings covered closely, ohm.
    pub covered_ohms: f64,
    /// The largest standard uncertainty of the meter's specification among the readings, ohm.
    pub specification: f64,
    /// Times that nothing was shown between contact and lift.
    pub dropouts: u32,
    /// The longest of them; zero if there is none.
    pub longest_dropout: Duration,
    /// Steps that no hand makes.
    pub jumps: u32,
    /// The largest of them, ohm; zero if there is none.
    pub largest_jump_ohms: f64,
    /// A step up to this, ohm, that stays cannot be told from the hand at the rate of the readings.
    pub hand_step_ohms: f64,
    /// Whether all its readings were looked at; not so if it took very long.
    pub whole: bool,
}

impl SweepReport {
    /// Looks at the readings of a sweep, at least two, with the stretches of nothing between them.
    pub(super) fn of(
        points: &[Point],
        dropouts: &[(Stamp, Stamp)],
        track: Track,
        lifted: Stamp,
    ) -> Self {
        let (first, last) = (points[0].at, points[points.len() - 1].at);
        let inside =
            |from: Stamp, to: Stamp| from.since(first) >= BOUNCE && last.since(to) >= BOUNCE;
        let counted = dropouts.iter().filter(|(from, to)| inside(*from, *to));
        let silences: Vec<Duration> = counted.map(|(from, to)| to.since(*from)).collect();
        let steps = Steps::of(points, track);
        let flagged: Vec<bool> = (0..steps.count())
            .map(|i| {
                let within = i > 0 && i + 2 < points.len();
                within && inside(points[i].at, points[i + 1].at) && steps.is_jump(i)
            })
            .collect();
        let runs = flagged.chunk_by(|one, next| one == next);
        let jumps = runs.filter(|run| run[0]).count();
        let largest = (0..steps.count())
            .filter(|i| flagged[*i])
            .fold(0.0, |largest: f64, i| largest.max(steps.size(i)));
        Self {
            contact: first,
            lifted,
            took: last.since(first),
            readings: u32::try_from(points.len()).unwrap_or(u32::MAX),
            track,
            covered_ohms: covered(points, track),
            specification: 0.0,
            dropouts: u32::try_from(silences.len()).unwrap_or(u32::MAX),
            longest_dropout: silences.into_iter().max().unwrap_or_default(),
            jumps: u32::try_from(jumps).unwrap_or(u32::MAX),
            largest_jump_ohms: largest,
            hand_step_ohms: steps.usual_hand_step(),
            whole: true,
        }
    }

    /// How much of the track was covered, as a share of it.
    pub fn covered_share(&self) -> f64 {
        self.covered_ohms / self.track.ohms
    }

    /// Dropouts and jumps.
    pub const fn faults(&self) -> u32 {
        self.dropouts.saturating_add(self.jumps)
    }
}

/// How much of the track lies between readings that are close to each other, ohm.
fn covered(points: &[Point], track: Track) -> f64 {
    let close = if track.steepest > 1.0 {
        CLOSE_OF_STEEP
    } else {
        CLOSE
    };
    let mut values: Vec<f64> = points.iter().map(|point| point.value).collect();
    values.sort_unstable_by(f64::total_cmp);
    let gaps = values.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.filter(|gap| *gap <= close * track.ohms).sum()
}

/// The steps from reading to reading, and what is known about them.
struct Steps<'a> {
    points: &'a [Point],
    track: Track,
    /// Whether a reading stands off from those about it.
    off: Vec<bool>,
}

impl<'a> Steps<'a> {
    fn of(points: &'a [Point], track: Track) -> Self {
        let mut steps = Self {
            points,
            track,
            off: Vec::new(),
        };
        steps.off = (0..points.len()).map(|i| steps.stands_off(i)).collect();
        steps
    }

    fn count(&self) -> usize {
        self.points.len() - 1
    }

    /// The step from reading `i` to the next, ohm.
    fn size(&self, i: usize) -> f64 {
        (self.points[i + 1].value - self.points[i].value).abs()
    }

    /// Median of the steps from `from` up to `to` but for `except`, ohm.
    fn usual(&self, from: usize, to: usize, except: Option<usize>) -> f64 {
        let others = (from..to.min(self.count())).filter(|j| Some(*j) != except);
        median(&mut others.map(|j| self.size(j)).collect::<Vec<_>>()).unwrap_or(0.0)
    }

    /// Variation of the contact at reading `i`, ohm.
    fn rough(&self, i: usize) -> f64 {
        let share = (ROUGH_SHARE * self.track.ohms).max(ROUGH_OHMS);
        share + COUNTS * self.points[i].resolution
    }

    /// Whether reading `i` is there and back.
    fn stands_off(&self, i: usize) -> bool {
        if i < 2 || i + 2 >= self.points.len() {
            return false;
        }
        let mut about = [0.0; 5];
        for (place, point) in about.iter_mut().zip(&self.points[i - 2..]) {
            *place = point.value;
        }
        let off = median(&mut about).map_or(0.0, |level| (self.points[i].value - level).abs());
        off > self.rough(i) + 2.0 * self.usual(i.saturating_sub(4), i + 4, None)
    }

    /// Change by hand in that time, ohm.
    fn by_hand(&self, time: Duration) -> f64 {
        self.track.steepest * self.track.ohms * time.as_secs_f64() / FASTEST_TRAVEL
    }

    fn is_jump(&self, i: usize) -> bool {
        if self.off[i] || self.off[i + 1] {
            return true;
        }
        let time = self.points[i + 1].at.since(self.points[i].at);
        let least = self.by_hand(time).max(self.rough(i));
        self.size(i) > least
            && self.size(i) > SUDDEN * self.usual(i.saturating_sub(3), i + 4, Some(i))
    }

    /// Change by hand between two readings, ohm.
    fn usual_hand_step(&self) -> f64 {
        let times = self.points.windows(2);
        let mut seconds: Vec<f64> = times
            .map(|pair| pair[1].at.since(pair[0].at).as_secs_f64())
            .collect();
        let usual = median(&mut seconds).unwrap_or(0.0);
        self.by_hand(Duration::from_secs_f64(usual.max(0.0)))
    }
}
