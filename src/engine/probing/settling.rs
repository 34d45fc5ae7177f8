//! The test of settling: [`settled`]. What it tests and why is said in the documentation of the room.

use super::candidates::{Candidate, Falls, Mixture, Prior, falls};
use super::limits::{
    AHEAD, ALLOWED, ALLOWED_A_SECOND, ALLOWED_AT_MOST, DIGIT, EARLY, EXPECTED, FEWEST, FEWEST_SLOW,
    FIRST_LOOK, LATE, LEADS, LEFT, NO_WALK, NO_WALK_IN_PART, NO_WALK_LATE, PLAIN, REST, SLOW,
    WALKS,
};
use super::segment::Segment;
use super::window::{Window, scatter};
use crate::engine::statistics::square;

/// A value that has settled. All in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Settled {
    /// Index of the first cell that it rests on.
    pub(super) from: usize,
    pub(super) value: f64,
    /// Standard deviation of the mean of readings that scatter so about their curve.
    pub(super) scatter: f64,
    /// Half-width of what else is not known, above all what may still come, evenly likely.
    pub(super) remaining: f64,
}

/// Room to work in, kept from look to look.
#[derive(Debug, Clone, Default)]
pub(super) struct Scratch {
    times: Vec<f64>,
    values: Vec<f64>,
    paired: Paired,
    work: Work,
}

/// Neighbours averaged.
#[derive(Debug, Clone, Default)]
struct Paired {
    times: Vec<f64>,
    values: Vec<f64>,
    falls: Vec<Falls>,
}

#[derive(Debug, Clone, Default)]
struct Work {
    residuals: Vec<f64>,
    candidates: Vec<Candidate>,
}

/// Whether the value has settled, and where.
///
/// `specification` is the meter's standard uncertainty at this value and `resolution` the size of its last digit, both in the
/// unit of the values; `at_once` is the probability that the value is there at once.
pub(super) fn settled(
    segment: &Segment,
    specification: f64,
    resolution: f64,
    at_once: f64,
    scratch: &mut Scratch,
) -> Option<Settled> {
    let cells = segment.cells();
    let (count, last) = (cells.len(), cells.last()?);
    let began = segment.began()?.seconds();
    let elapsed = last.time - began;
    let fewest = if elapsed > SLOW { FEWEST_SLOW } else { FEWEST };
    if count < fewest || elapsed < FIRST_LOOK {
        return None;
    }
    // Where a count is coarser than that, less than a count can be told by no reading.
    let unit = specification.max(2.0 * resolution);
    let Scratch {
        times,
        values,
        paired,
        work,
    } = scratch;
    times.clear();
    values.clear();
    times.extend(cells.iter().map(|cell| cell.time - began));
    values.extend(cells.iter().map(|cell| (cell.value - last.value) / unit));
    let whole = Window {
        times,
        values,
        falls: segment.falls(),
    };
    let digit = resolution / unit;
    let look = Look {
        elapsed,
        per_cell: f64::from(segment.per_cell()),
        digit,
        hidden: square(digit) / 12.0 * segment.stillness(),
        at_once,
    };
    let in_unit = |from: usize, found: Settled| Settled {
        from,
        value: last.value + unit * found.value,
        scatter: unit * found.scatter,
        remaining: unit * found.remaining,
    };
    for size in [count, count / 2, count / 4] {
        if size < FEWEST {
            break;
        }
        let from = count - size;
        let no_walk = match from {
            0 => {
                let late = ((elapsed - EARLY) / (LATE - EARLY)).clamp(0.0, 1.0);
                NO_WALK + late * (NO_WALK_LATE - NO_WALK)
            }
            _ => NO_WALK_IN_PART,
        };
        if let Fit::Fits(found) = look.at(&whole.from(from), 1.0, no_walk, work) {
            return found.map(|found| in_unit(from, found));
        }
    }
    if count < 2 * FEWEST {
        return None;
    }
    match look.at(&paired.of(&whole), 2.0, NO_WALK_IN_PART, work) {
        Fit::Fits(found) => found.map(|found| in_unit(0, found)),
        Fit::Misfits => None,
    }
}

impl Paired {
    fn of(&mut self, whole: &Window<'_>) -> Window<'_> {
        let odd = whole.values.len() % 2;
        let mean = |of: &[f64]| f64::midpoint(of[0], of[1]);
        self.times.clear();
        self.values.clear();
        self.falls.clear();
        self.times
            .extend(whole.times[odd..].chunks_exact(2).map(mean));
        self.values
            .extend(whole.values[odd..].chunks_exact(2).map(mean));
        self.falls.extend(self.times.iter().copied().map(falls));
        Window {
            times: &self.times,
            values: &self.values,
            falls: &self.falls,
        }
    }
}

/// Outcome of the candidates in a window.
enum Fit {
    /// None of them describes it.
    Misfits,
    /// One does, and the value has settled or not.
    Fits(Option<Settled>),
}

/// Figures of a look that every window shares.
struct Look {
    /// Time since contact, s.
    elapsed: f64,
    /// Readings that a cell stands for.
    per_cell: f64,
    /// One count.
    digit: f64,
    /// Variance that the display may hide of a reading.
    hidden: f64,
    at_once: f64,
}

impl Look {
    /// `together` is how many cells a value of the window stands for.
    fn at(&self, window: &Window<'_>, together: f64, no_walk: f64, work: &mut Work) -> Fit {
        let readings = self.per_cell * together;
        let prior = Prior {
            at_once: self.at_once,
            hidden: self.hidden / readings,
            expected: (square(EXPECTED) + square(DIGIT * self.digit)) / readings,
        };
        let scatter = scatter(window.values, &prior);
        let mut found = None;
        // Two time constants cost more than all the rest: they are tried where one would do.
        for two in [false, true] {
            let all = &mut work.candidates;
            let mixture = Mixture::of(window, scatter, &prior, two, all);
            let Some(mixture) = mixture else {
                return Fit::Misfits;
            };
            window.residuals(&mixture.best, &mut work.residuals);
            let moves = window.moves(&work.residuals);
            if !Window::fits(&work.residuals, moves, &prior) {
                return Fit::Misfits;
            }
            let (far, _) = moves.unzip();
            let verdict = far.and_then(|far| self.verdict(&mixture, &work.residuals, far));
            found = verdict.filter(|_| {
                window.lies_within(self.digit) || above_walk(window, &mixture, &prior) >= no_walk
            });
            if found.is_none() || mixture.constant > PLAIN {
                break;
            }
        }
        Fit::Fits(found)
    }

    /// `moves` is how far the residuals still move.
    fn verdict(&self, mixture: &Mixture, residuals: &[f64], moves: f64) -> Option<Settled> {
        let leads = mixture.slope.abs() * self.elapsed.max(AHEAD);
        let over = libm::hypot(LEFT * mixture.left, REST * moves);
        let allowed = if self.elapsed < AHEAD {
            ALLOWED
        } else {
            (ALLOWED_A_SECOND * self.elapsed).min(ALLOWED_AT_MOST)
        };
        let drifts = mixture.moves() && (leads > LEADS || mixture.fast < 0.5);
        let unsure = libm::hypot(mixture.deviation, over);
        let count = residuals.len() as f64;
        let squares: f64 = residuals.iter().map(|off| off * off).sum();
        let scatter = (squares / (count - 1.0) / count).sqrt();
        (unsure <= allowed && !drifts).then(|| Settled {
            from: 0,
            value: mixture.value,
            scatter,
            remaining: (3.0 * (square(unsure) - square(scatter)).max(0.0)).sqrt(),
        })
    }
}

/// How much likelier the candidates are than a sliding probe, which steps at random, as a natural logarithm.
fn above_walk(window: &Window<'_>, mixture: &Mixture, prior: &Prior) -> f64 {
    let noise = prior.expected + prior.hidden;
    let walks = WALKS.map(|step| walk(window.values, square(step), noise));
    let most = walks.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = walks.into_iter().map(|walk| libm::exp(walk - most)).sum();
    mixture.likelihood - (most + libm::log(sum / WALKS.len() as f64))
}

/// Natural logarithm of the likelihood of a random walk from anywhere, with variances of its steps and of the readings (R. E. Kalman,
/// J. Basic Eng. 82 (1960) 35-45; for one level textbook, from memory).
fn walk(values: &[f64], steps: f64, noise: f64) -> f64 {
    let (mut level, mut variance, mut likelihood) = (values[0], noise, 0.0);
    for value in &values[1..] {
        let ahead = variance + steps;
        let expected = ahead + noise;
        let off = value - level;
        likelihood -= 0.5 * (libm::log(std::f64::consts::TAU * expected) + square(off) / expected);
        level += ahead / expected * off;
        variance = ahead / expected * noise;
    }
    likelihood
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::quantity::Stamp;

    /// Feeds a series reading by reading, as it is done live, and tells where it first counts as settled.
    fn first_settled(
        values: &[f64],
        rate: f64,
        specification: f64,
        resolution: f64,
    ) -> Option<(usize, Settled)> {
        let (mut segment, mut scratch) = (Segment::default(), Scratch::default());
        let mut next = 0;
        (0..values.len()).find_map(|n| {
            let at = Stamp::from_micros((n as f64 / rate * 1e6) as u64);
            segment.push(at, values[n], None, 6.0 * specification);
            if segment.readings() < next {
                return None;
            }
            next = segment.readings() + (segment.readings() / 12).max(1);
            let found = settled(&segment, specification, resolution, 0.9, &mut scratch);
            found.map(|found| (n, found))
        })
    }

    fn normal(rng: &mut fastrand::Rng) -> f64 {
        (-2.0 * libm::log(1.0 - rng.f64())).sqrt() * libm::cos(std::f64::consts::TAU * rng.f64())
    }

    fn rounded(value: f64, resolution: f64) -> f64 {
        (value / resolution).round() * resolution
    }

    #[test]
    fn no_reading_and_one_reading_are_not_settled() {
        assert_eq!(first_settled(&[], 10.0, 1.0, 0.1), None);
        assert_eq!(first_settled(&[1.0], 10.0, 1.0, 0.1), None);
    }

    #[test]
    fn readings_at_one_instant_are_not_settled() {
        assert_eq!(first_settled(&[1.0; 90], 1e9, 1.0, 0.1), None);
    }

    #[test]
    fn a_display_that_never_changes_settles_at_one_of_the_first_looks_however_coarse_it_is() {
        for resolution in [0.001, 0.1, 1.0, 3.0, 30.0] {
            for (rate, readings) in [(10.0, 6), (3.0, 6), (100.0, 60)] {
                let (first, _) = first_settled(&[470.0; 300], rate, 1.0, resolution).unwrap();
                assert!(
                    first <= readings,
                    "{rate} a second, a count of {resolution}: {first}"
                );
            }
        }
    }

    #[test]
    fn steady_noise_inside_the_specification_settles_within_a_hundred_readings() {
        let mut rng = fastrand::Rng::with_seed(11);
        for share in [0.05, 0.1, 0.2, 0.4] {
            let late = (0..400)
                .filter(|_| {
                    let values: Vec<f64> = (0..100)
                        .map(|_| rounded(100.0 + share * normal(&mut rng), 0.05))
                        .collect();
                    first_settled(&values, 10.0, 1.0, 0.05).is_none()
                })
                .count();
            assert!(late <= 4, "scatter {share}: {late} of 400 did not settle");
        }
    }

    /// Readings of a contact that bounces are no scatter of a meter: they are left behind, and do not hold the value up.
    #[test]
    fn the_readings_of_a_bounce_are_left_behind() {
        let mut rng = fastrand::Rng::with_seed(14);
        for bounced in 1..=4 {
            let values: Vec<f64> = (0..100)
                .map(|i| {
                    let off = if i <= bounced {
                        4000.0 * rng.f64()
                    } else {
                        0.0
                    };
                    rounded(9000.0 + off + 0.1 * normal(&mut rng), 0.05)
                })
                .collect();
            let (first, found) = first_settled(&values, 100.0, 1.0, 0.05).unwrap();
            assert!(first <= 60, "{bounced}: {first}");
            assert!((found.value - 9000.0).abs() < 0.5, "{bounced}: {found:?}");
        }
    }

    /// Of so many walks with such a step at most one in a hundred is taken for a value.
    fn hardly_ever_taken(step: f64, walks: usize, seed: u64) {
        let mut rng = fastrand::Rng::with_seed(seed);
        let taken = (0..walks)
            .filter(|_| {
                let mut level = 100.0;
                let values: Vec<f64> = (0..200)
                    .map(|_| {
                        level += step * normal(&mut rng);
                        rounded(level, 0.05)
                    })
                    .collect();
                first_settled(&values, 10.0, 1.0, 0.05).is_some()
            })
            .count();
        assert!(
            taken <= walks / 100,
            "step {step}: {taken} of {walks} walks were taken for a value"
        );
    }

    #[test]
    fn random_walks_are_hardly_ever_taken_for_a_value() {
        hardly_ever_taken(1.0, 1000, 12);
    }

    #[test]
    fn random_walks_with_larger_steps_are_hardly_ever_taken_for_a_value() {
        for (step, walks, seed) in [(2.0, 500, 15), (4.0, 300, 16), (10.0, 200, 17)] {
            hardly_ever_taken(step, walks, seed);
        }
    }

    #[test]
    fn a_straight_drift_never_settles() {
        let values: Vec<f64> = (0..200)
            .map(|i| rounded(100.0 + 0.5 * f64::from(i), 0.05))
            .collect();
        assert_eq!(first_settled(&values, 10.0, 1.0, 0.05), None);
    }

    #[test]
    fn approaches_of_any_size_end_inside_the_uncertainty() {
        let mut rng = fastrand::Rng::with_seed(13);
        let (mut wrong, mut all) = (0, 0);
        for size in [5.0, 20.0, 100.0, 1000.0] {
            for tau in [3.0, 10.0, 30.0] {
                for _ in 0..50 {
                    let values: Vec<f64> = (0..1200)
                        .map(|i| {
                            rounded(
                                1000.0 - size * libm::exp(-f64::from(i) / tau)
                                    + 0.1 * normal(&mut rng),
                                0.05,
                            )
                        })
                        .collect();
                    let (_, found) =
                        first_settled(&values, 10.0, 1.0, 0.05).expect("settles in the end");
                    all += 1;
                    wrong += usize::from((found.value - 1000.0).abs() > 1.0);
                }
            }
        }
        assert!(
            wrong * 100 <= all,
            "{wrong} of {all} approaches gave a wrong value"
        );
    }
}
