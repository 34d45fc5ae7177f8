//! [`Mixture`]: where the readings of a window are going, by every curve that they may follow.
//!
//! A candidate is the constant c, or c + A·exp(-t/τ) with one of [`TAUS`] time constants, A normal about zero with one of three
//! sizes. The likeliest of these has its time constant fitted, and may have a second one beside it. Given these, value and likelihood
//! follow in closed form ([`Normal`]), the scatter of a reading integrated out ([`Scatters`]). Lengths are in the unit of the rule.

use super::limits::{FAR, IMPROBABLE, LESS_LIKELY, SIZES, TWO};
use super::normal::{Normal, Solved};
use super::window::Window;
use crate::engine::statistics::square;

/// How many time constants there are.
const TAUS: usize = 21;

/// The longest of them, s; each is √2 times the one before it, from 0.03 s on.
const LONGEST: f64 = 30.72;

/// Natural logarithm of the step from one to the next.
const STEP: f64 = 0.5 * std::f64::consts::LN_2;

/// The time constants, s, the shortest first.
const TIME_CONSTANTS: [f64; TAUS] = {
    let mut all = [LONGEST; TAUS];
    all[TAUS - 2] = LONGEST / std::f64::consts::SQRT_2;
    let mut k = TAUS - 2;
    while k > 0 {
        k -= 1;
        all[k] = all[k + 2] / 2.0;
    }
    all
};

/// A candidate whose logarithm of likelihood is so much below the best one's counts for nothing.
const HOPELESS: f64 = 14.0;

/// Turns in which a time constant is fitted, the change after which it is, the largest change of a turn, and how far it may go: natural logarithms.
const TURNS: usize = 5;
const FITTED: f64 = 2e-3;
const LARGEST_CHANGE: f64 = 0.3;
const FARTHEST: f64 = 0.8;

/// A second time constant nearer than this to the first, as a natural logarithm, is the same one.
const NEXT_TO: f64 = 0.3;

/// A second part whose squares are below this has fallen away before the window begins.
const GONE: f64 = 1e-9;

/// Share that is left after some time, with each time constant.
pub(super) type Falls = [f64; TAUS];

/// Share that is left after `time`, s. With half the time constant it is the square.
pub(super) fn falls(time: f64) -> Falls {
    let mut all = TIME_CONSTANTS;
    for k in (0..TAUS).rev() {
        all[k] = match all.get(k + 2) {
            Some(fall) => fall * fall,
            None => libm::exp(-time / all[k]),
        };
    }
    all
}

/// Knowledge before the readings are looked at. Variances are those of a value of the window.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prior {
    /// Probability that the value is there at once.
    pub(super) at_once: f64,
    /// Variance that the display may hide.
    pub(super) hidden: f64,
    /// Variance that is expected.
    pub(super) expected: f64,
}

/// Number of sizes that the scatter of a value may have, and number of those below what is expected.
const LEVELS: usize = 10;
const QUIETER: usize = 2;

/// Sizes that the scatter of a value may have: a quarter of what is expected, half of it, as much, twice as much ..., each less likely than its
/// neighbour towards what is expected.
#[derive(Debug, Clone, Copy)]
struct Scatters {
    /// Variance, and natural logarithm of its weight and of the norm of the likelihood.
    each: [(f64, f64); LEVELS],
}

impl Scatters {
    /// Of so many values about a free constant.
    fn of(prior: &Prior, count: f64) -> Self {
        let (mut variance, mut weight) = (prior.expected, 1.0 - LESS_LIKELY);
        for _ in 0..QUIETER {
            variance /= 4.0;
            weight *= LESS_LIKELY;
        }
        let each = std::array::from_fn(|at| {
            let norm = (count - 1.0) * libm::log(std::f64::consts::TAU * variance);
            let one = (
                variance,
                libm::log(weight) - 0.5 * (norm + libm::log(count)),
            );
            variance *= 4.0;
            weight *= if at < QUIETER {
                1.0 / LESS_LIKELY
            } else {
                LESS_LIKELY
            };
            one
        });
        Self { each }
    }

    /// Natural logarithm of the likelihood of such squares of what a curve leaves, and the variance to be expected with them.
    fn of_squares(&self, rest: f64) -> (f64, f64) {
        let logs = self
            .each
            .map(|(variance, norm)| norm - 0.5 * rest / variance);
        let most = logs.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let (mut sum, mut mean) = (0.0, 0.0);
        for (log, (variance, _)) in logs.into_iter().zip(self.each) {
            if log > most - HOPELESS {
                let weight = libm::exp(log - most);
                sum += weight;
                mean += weight * variance;
            }
        }
        (most + libm::log(sum), mean / sum)
    }
}

/// An exponential that falls away from the end of a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Part {
    /// Time constant, s.
    tau: f64,
    /// Distance from the end of the curve at contact; zero where nothing falls away.
    amplitude: f64,
}

impl Part {
    const NONE: Self = Self {
        tau: TIME_CONSTANTS[0],
        amplitude: 0.0,
    };

    /// Rest of it, so many seconds after contact.
    fn left(self, time: f64) -> f64 {
        if self.amplitude == 0.0 {
            return 0.0;
        }
        self.amplitude * libm::exp(-time / self.tau)
    }
}

/// A curve with its weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    parts: [Part; 2],
    /// Where it ends.
    end: f64,
    /// Variance of the end.
    variance: f64,
    /// Natural logarithm of the weight.
    weight: f64,
}

impl Candidate {
    /// Its value, so many seconds after contact.
    pub(super) fn at(&self, time: f64) -> f64 {
        self.end + self.parts.map(|part| part.left(time)).iter().sum::<f64>()
    }

    fn is_constant(&self) -> bool {
        self.parts.iter().all(|part| part.amplitude == 0.0)
    }

    /// The longest time constant, s; that of the constant is the shortest that there is.
    fn longest(&self) -> f64 {
        let moving = self.parts.iter().filter(|part| part.amplitude != 0.0);
        moving
            .map(|part| part.tau)
            .fold(TIME_CONSTANTS[0], f64::max)
    }
}

fn likeliest<'a>(all: impl Iterator<Item = &'a Candidate>) -> Option<Candidate> {
    all.max_by(|a, b| a.weight.total_cmp(&b.weight)).copied()
}

/// A window with its sums about the means.
#[derive(Debug)]
struct Sums<'a> {
    window: &'a Window<'a>,
    count: f64,
    mean: f64,
    squares: f64,
    scatters: Scatters,
    /// Variance of a single value about any smooth curve.
    scatter: f64,
    prior: &'a Prior,
}

impl<'a> Sums<'a> {
    fn of(window: &'a Window<'a>, scatter: f64, prior: &'a Prior) -> Self {
        let count = window.values.len() as f64;
        let mean = window.values.iter().sum::<f64>() / count;
        Self {
            window,
            count,
            mean,
            squares: window.values.iter().map(|value| square(value - mean)).sum(),
            scatters: Scatters::of(prior, count),
            scatter: square(scatter),
            prior,
        }
    }

    /// Variance of a value in that of an amplitude of such a size.
    fn shrink(&self, size: f64) -> f64 {
        self.scatter / square(size)
    }

    /// The curve of such parts, with the logarithm of their share of the prior.
    fn candidate<const N: usize>(
        &self,
        parts: [Part; 2],
        share: f64,
        solved: &Solved<N>,
    ) -> Candidate {
        let hidden = (self.count - 1.0) * self.prior.hidden;
        let rest = hidden + (self.squares - solved.explained).max(0.0);
        let (likelihood, variance) = self.scatters.of_squares(rest);
        Candidate {
            parts,
            end: self.mean - solved.below,
            variance: variance * (1.0 / self.count + solved.lever),
            weight: share + likelihood - 0.5 * libm::log(solved.volume),
        }
    }

    /// Logarithm of the share of the prior that a curve of one of the time constants and one of the sizes has.
    fn share(&self) -> f64 {
        libm::log((1.0 - self.prior.at_once) / (SIZES.len() * TAUS) as f64)
    }

    /// The constant, and a curve with each time constant and each size.
    fn single(&self, all: &mut Vec<Candidate>) {
        let nothing = Solved {
            factors: [],
            explained: 0.0,
            below: 0.0,
            lever: 0.0,
            volume: 1.0,
        };
        all.push(self.candidate([Part::NONE; 2], libm::log(self.prior.at_once), &nothing));
        let (mut means, mut joint, mut products) = ([0.0; TAUS], [0.0; TAUS], [0.0; TAUS]);
        for fall in self.window.falls {
            for (mean, fall) in means.iter_mut().zip(fall) {
                *mean += fall / self.count;
            }
        }
        for (value, fall) in self.window.values.iter().zip(self.window.falls) {
            let off = value - self.mean;
            for k in 0..TAUS {
                let above = fall[k] - means[k];
                products[k] += above * above;
                joint[k] += above * off;
            }
        }
        let share = self.share();
        for k in 0..TAUS {
            let sums = Normal {
                count: self.count,
                means: [means[k]],
                products: [[products[k]]],
                joint: [joint[k]],
            };
            for size in SIZES {
                let Some(solved) = sums.solved([self.shrink(size)]) else {
                    continue;
                };
                let part = Part {
                    tau: TIME_CONSTANTS[k],
                    amplitude: solved.factors[0],
                };
                all.push(self.candidate([part, Part::NONE], share, &solved));
            }
        }
    }

    /// The likeliest of those in `all`, unless it is the constant, with its time constant fitted, and where `two`, with each second
    /// one beside it.
    fn fitted(&self, two: bool, all: &mut Vec<Candidate>) {
        let Some(best) = likeliest(all.iter()).filter(|best| !best.is_constant()) else {
            return;
        };
        self.fit::<2>(best.parts[0], 0, self.share(), f64::NEG_INFINITY, all);
        if !two {
            return;
        }
        let first = all[all.len() - 1].parts[0];
        let least = likeliest(all.iter()).map_or(0.0, |best| best.weight) - HOPELESS;
        let share = libm::log(TWO / (square(SIZES.len() as f64) * TAUS as f64));
        for (second, tau) in TIME_CONSTANTS.into_iter().enumerate() {
            if libm::log(tau / first.tau).abs() >= NEXT_TO {
                self.fit::<3>(first, second, share, least, all);
            }
        }
    }

    /// Fits the time constant of `first` (Gauss and Newton), alone (`N` is 2) or beside the one of the table at `second` (3), and puts
    /// what comes of it to the others, unless it is below the `least` weight.
    fn fit<const N: usize>(
        &self,
        first: Part,
        second: usize,
        share: f64,
        least: f64,
        all: &mut Vec<Candidate>,
    ) {
        let sizes = if N == 2 { &SIZES[..1] } else { &SIZES[..] };
        let mut part = first;
        for turn in 1.. {
            let sums = self.about(part, second);
            if N == 3 && sums.products[2][2] < GONE {
                return;
            }
            let before = all.len();
            let mut change = 0.0;
            for size in sizes {
                let Some(solved) = sums.solved(self.shrinks::<N>(part.amplitude, *size)) else {
                    continue;
                };
                change = solved.factors[1].clamp(-LARGEST_CHANGE, LARGEST_CHANGE);
                let parts = [
                    Part {
                        tau: part.tau * libm::exp(change),
                        amplitude: solved.factors[0],
                    },
                    Part {
                        tau: TIME_CONSTANTS[second],
                        amplitude: solved.factors.get(2).copied().unwrap_or(0.0),
                    },
                ];
                all.push(self.candidate(parts, share, &solved));
            }
            let Some(best) = likeliest(all[before..].iter()) else {
                return;
            };
            let hopeless = turn == 2 && best.weight < least - HOPELESS;
            let lost = libm::log(best.parts[0].tau / first.tau).abs() > FARTHEST;
            if turn == TURNS || change.abs() < FITTED || hopeless || lost {
                all.retain(|candidate| candidate.weight >= least);
                return;
            }
            part = best.parts[0];
            all.truncate(before);
        }
    }

    /// Sums of what the first part leaves, of how that changes with the logarithm of its time constant, and of what the second leaves.
    fn about<const N: usize>(&self, first: Part, second: usize) -> Normal<N> {
        let window = self.window;
        let values = window.values.iter().map(|value| value - self.mean);
        let rows = window.times.iter().zip(window.falls).zip(values);
        Normal::of(rows.map(|((time, falls), off)| {
            let share = time / first.tau;
            let fall = libm::exp(-share);
            let columns = [fall, share * fall * first.amplitude, falls[second]];
            (std::array::from_fn(|at| columns[at]), off)
        }))
    }

    /// Terms that the prior adds: to the amplitude of the first part by its size, to the change of its time constant by the step of the
    /// table, and to the amplitude of the second.
    fn shrinks<const N: usize>(&self, amplitude: f64, second: f64) -> [f64; N] {
        let about = SIZES.into_iter().find(|size| amplitude.abs() < 2.0 * size);
        let first = self.shrink(about.unwrap_or(SIZES[SIZES.len() - 1]));
        let change = self.scatter * std::f64::consts::TAU / square(STEP);
        let all = [first, change, self.shrink(second)];
        std::array::from_fn(|at| all[at])
    }
}

/// All candidates, weighted by what the readings say of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mixture {
    /// Mean of where they end.
    pub(super) value: f64,
    /// Its standard deviation.
    pub(super) deviation: f64,
    /// Mean of what is left to go at the end of the window.
    pub(super) left: f64,
    /// Mean of the movement there, a second.
    pub(super) slope: f64,
    /// Weight of the constant.
    pub(super) constant: f64,
    /// Weight of those whose time constants are all shorter than the touch so far.
    pub(super) fast: f64,
    /// The likeliest.
    pub(super) best: Candidate,
    /// Natural logarithm of the likelihood of all of them.
    pub(super) likelihood: f64,
}

impl Mixture {
    /// Of at least two values; `scatter` is that of single values, `two` says whether curves of two time constants are among the candidates.
    pub(super) fn of(
        window: &Window<'_>,
        scatter: f64,
        prior: &Prior,
        two: bool,
        all: &mut Vec<Candidate>,
    ) -> Option<Self> {
        let sums = Sums::of(window, scatter, prior);
        all.clear();
        sums.single(all);
        sums.fitted(two, all);
        Self::weighted(all, *window.times.last()?)
    }

    /// Where the touch has taken `elapsed` seconds.
    fn weighted(all: &[Candidate], elapsed: f64) -> Option<Self> {
        let best = likeliest(all.iter())?;
        let mut mixture = Self {
            value: 0.0,
            deviation: 0.0,
            left: 0.0,
            slope: 0.0,
            constant: 0.0,
            fast: 0.0,
            best,
            likelihood: 0.0,
        };
        let (mut sum, mut spread) = (0.0, 0.0);
        let least = best.weight - HOPELESS;
        for candidate in all.iter().filter(|candidate| candidate.weight >= least) {
            let weight = libm::exp(candidate.weight - best.weight);
            let off = (candidate.end - best.end).clamp(-FAR, FAR);
            sum += weight;
            mixture.value += weight * off;
            spread += weight * (candidate.variance + off * off).min(FAR * FAR);
            if candidate.is_constant() {
                mixture.constant += weight;
            }
            if candidate.longest() < elapsed {
                mixture.fast += weight;
            }
            for part in candidate.parts {
                let left = part.left(elapsed);
                mixture.left -= weight * left;
                mixture.slope -= weight * left / part.tau;
            }
        }
        mixture.value /= sum;
        let variance = spread / sum - mixture.value * mixture.value;
        mixture.deviation = variance.max(0.0).sqrt();
        mixture.value += best.end;
        for mean in [
            &mut mixture.left,
            &mut mixture.slope,
            &mut mixture.constant,
            &mut mixture.fast,
        ] {
            *mean /= sum;
        }
        mixture.likelihood = best.weight + libm::log(sum);
        Some(mixture)
    }

    /// Whether the value moves, rather than being there at once.
    pub(super) fn moves(&self) -> bool {
        self.constant < IMPROBABLE
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_falls_are_those_of_the_time_constants() {
        assert!((TIME_CONSTANTS[0] - 0.03).abs() < 1e-12);
        for time in [0.0, 0.05, 0.4, 3.0, 100.0] {
            for (tau, fall) in TIME_CONSTANTS.into_iter().zip(falls(time)) {
                assert!(
                    (fall - libm::exp(-time / tau)).abs() < 1e-12,
                    "{time} {tau}"
                );
            }
        }
    }

    /// Ends of curves that were drawn without scatter, time constants of no candidate among them.
    #[test]
    fn the_end_of_a_clean_curve_is_found() {
        let prior = Prior {
            at_once: 0.9,
            hidden: 0.0,
            expected: 0.01,
        };
        for (fast, slow, two) in [(0.0, 0.0, false), (40.0, 0.0, true), (30.0, 3.0, true)] {
            let times: Vec<f64> = (1..200).map(|i| 0.05 * f64::from(i)).collect();
            let falls: Vec<Falls> = times.iter().copied().map(falls).collect();
            let curve = |t: &f64| 7.0 - fast * libm::exp(-t / 0.37) - slow * libm::exp(-t / 1.7);
            let values: Vec<f64> = times.iter().map(curve).collect();
            let window = Window {
                times: &times,
                values: &values,
                falls: &falls,
            };
            let mixture = Mixture::of(&window, 0.1, &prior, two, &mut Vec::new()).unwrap();
            assert!(
                (mixture.value - 7.0).abs() < 0.05,
                "{fast} {slow} {mixture:?}"
            );
            assert_eq!(mixture.moves(), fast > 0.0);
        }
    }

    /// A curve far above the scatter is known by its own time constant, whichever that is.
    #[test]
    fn a_time_constant_between_those_of_the_table_is_fitted() {
        let prior = Prior {
            at_once: 0.9,
            hidden: 0.0,
            expected: 0.01,
        };
        let times: Vec<f64> = (1..30).map(|i| 0.05 * f64::from(i)).collect();
        let falls: Vec<Falls> = times.iter().copied().map(falls).collect();
        for tau in [0.2, 0.217, 0.25, 0.283] {
            let values: Vec<f64> = times
                .iter()
                .map(|t| -1000.0 * libm::exp(-t / tau))
                .collect();
            let window = Window {
                times: &times,
                values: &values,
                falls: &falls,
            };
            let mixture = Mixture::of(&window, 0.1, &prior, false, &mut Vec::new()).unwrap();
            assert!(mixture.value.abs() < 0.1, "{tau}: {mixture:?}");
            let found = mixture.best.parts[0].tau;
            assert!((found / tau - 1.0).abs() < 1e-3, "{tau}: {found}");
        }
    }
}
