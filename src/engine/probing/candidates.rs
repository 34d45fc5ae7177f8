//! [`Mixture`]: where the readings of a window are going, by every curve that they may follow.
//!
//! A candidate is the constant c, or c + A·exp(-t/τ) with one of [`TAUS`] time constants, or with two of them, each amplitude
//! normal about zero with one of three sizes. Given these, value and likelihood follow in closed form from sums about the means
//! (linear model with a normal prior), the scatter of a reading integrated out. Lengths are in the unit of the rule.

use super::limits::{FAR, IMPROBABLE, TWO, WORTH};

/// How many time constants there are.
pub(super) const TAUS: usize = 21;

/// The longest of them, s; each is √2 times the one before it, from 0.03 s on.
const LONGEST: f64 = 30.72;

/// Sizes of an amplitude, and of two.
const SIZES: [f64; 3] = [4.0, 64.0, 1024.0];
const TWO_SIZES: [[f64; 2]; 6] = [
    [4.0, 4.0],
    [64.0, 4.0],
    [64.0, 64.0],
    [1024.0, 4.0],
    [1024.0, 64.0],
    [1024.0, 1024.0],
];

/// A candidate whose logarithm of likelihood is so much below the best one's counts for nothing.
const HOPELESS: f64 = 20.0;

/// Share that is left after some time, with each time constant.
pub(super) type Falls = [f64; TAUS];

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

/// A curve with its weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    /// Which time constants, and how far from its end it began with each; zero where there are fewer.
    parts: [(usize, f64); 2],
    /// Where it ends.
    end: f64,
    /// Variance of the end.
    variance: f64,
    /// Natural logarithm of the weight, up to a common constant.
    weight: f64,
}

impl Candidate {
    /// Its value where so much is left of each time constant.
    pub(super) fn at(&self, falls: &Falls) -> f64 {
        let parts = self.parts.iter();
        self.end
            + parts
                .map(|(k, amplitude)| amplitude * falls[*k])
                .sum::<f64>()
    }

    fn is_constant(&self) -> bool {
        self.parts.iter().all(|(_, amplitude)| *amplitude == 0.0)
    }
}

/// Sums about the means.
#[derive(Debug, Clone, Copy)]
struct Sums {
    count: f64,
    mean: f64,
    squares: f64,
    mean_falls: Falls,
    falls: Falls,
    joint: Falls,
    /// Degrees of freedom, and what the prior adds to the squares.
    freedom: f64,
    base: f64,
    /// Variance of a single value about any smooth curve.
    scatter: f64,
}

impl Sums {
    fn of(values: &[f64], falls: &[Falls], scatter: f64, prior: &Prior) -> Self {
        let count = values.len() as f64;
        let mut mean_falls = [0.0; TAUS];
        for fall in falls {
            for (mean, fall) in mean_falls.iter_mut().zip(fall) {
                *mean += fall / count;
            }
        }
        let mut sums = Self {
            count,
            mean: values.iter().sum::<f64>() / count,
            squares: 0.0,
            mean_falls,
            falls: [0.0; TAUS],
            joint: [0.0; TAUS],
            freedom: count - 1.0 + WORTH,
            base: WORTH * prior.expected + (count - 1.0) * prior.hidden,
            scatter: scatter * scatter,
        };
        for (value, fall) in values.iter().zip(falls) {
            let off = value - sums.mean;
            sums.squares += off * off;
            for k in 0..TAUS {
                let above = fall[k] - mean_falls[k];
                sums.falls[k] += above * above;
                sums.joint[k] += above * off;
            }
        }
        sums
    }

    /// The squares that are left where a curve explains so many.
    fn rest(&self, explained: f64) -> f64 {
        self.base + (self.squares - explained).max(0.0)
    }

    fn likelihood(&self, rest: f64) -> f64 {
        -0.5 * self.freedom * libm::log(rest)
    }

    fn single(&self, at_once: f64, all: &mut Vec<Candidate>) {
        let rest = self.rest(0.0);
        all.push(Candidate {
            parts: [(0, 0.0); 2],
            end: self.mean,
            variance: rest / self.freedom / self.count,
            weight: libm::log(at_once) + self.likelihood(rest),
        });
        let share = libm::log((1.0 - at_once) / (SIZES.len() * TAUS) as f64);
        for k in 0..TAUS {
            for size in SIZES {
                let shrink = self.scatter / (size * size);
                let precision = self.falls[k] + shrink;
                let amplitude = self.joint[k] / precision;
                let rest = self.rest(amplitude * self.joint[k]);
                let lever = self.mean_falls[k] * self.mean_falls[k] / precision;
                all.push(Candidate {
                    parts: [(k, amplitude), (0, 0.0)],
                    end: self.mean - amplitude * self.mean_falls[k],
                    variance: rest / self.freedom * (1.0 / self.count + lever),
                    weight: share + self.likelihood(rest) - 0.5 * libm::log(precision / shrink),
                });
            }
        }
    }

    /// The curves of two time constants that are not hopeless beside those in `all`.
    fn double(&self, falls: &[Falls], all: &mut Vec<Candidate>) {
        let pairs = TWO_SIZES.len() * TAUS * (TAUS - 1) / 2;
        let share = libm::log(TWO / pairs as f64);
        let weights = all.iter().map(|candidate| candidate.weight);
        let least = weights.fold(f64::NEG_INFINITY, f64::max) - HOPELESS;
        for (slow, row) in self.cross(falls).iter().enumerate() {
            for (fast, cross) in row[..slow].iter().enumerate() {
                let both = TWO_SIZES.map(|sizes| self.of_two([fast, slow], sizes, *cross, share));
                let likely = both.into_iter().flatten();
                all.extend(likely.filter(|candidate| candidate.weight >= least));
            }
        }
    }

    /// The curve of two time constants, amplitudes of such sizes, and sum of their products.
    fn of_two(
        &self,
        [fast, slow]: [usize; 2],
        sizes: [f64; 2],
        cross: f64,
        share: f64,
    ) -> Option<Candidate> {
        let shrink = sizes.map(|size| self.scatter / (size * size));
        let own = [self.falls[fast] + shrink[0], self.falls[slow] + shrink[1]];
        let determinant = own[0] * own[1] - cross * cross;
        if determinant <= 0.0 {
            return None;
        }
        let joint = [self.joint[fast], self.joint[slow]];
        let mean = [self.mean_falls[fast], self.mean_falls[slow]];
        let amplitudes = [
            (own[1] * joint[0] - cross * joint[1]) / determinant,
            (own[0] * joint[1] - cross * joint[0]) / determinant,
        ];
        let rest = self.rest(amplitudes[0] * joint[0] + amplitudes[1] * joint[1]);
        let lever = mean[0] * mean[0] * own[1] - 2.0 * mean[0] * mean[1] * cross
            + mean[1] * mean[1] * own[0];
        let occam = libm::log(determinant / (shrink[0] * shrink[1]));
        Some(Candidate {
            parts: [(fast, amplitudes[0]), (slow, amplitudes[1])],
            end: self.mean - amplitudes[0] * mean[0] - amplitudes[1] * mean[1],
            variance: rest / self.freedom * (1.0 / self.count + (lever / determinant).max(0.0)),
            weight: share + self.likelihood(rest) - 0.5 * occam,
        })
    }

    /// Sums of products of two time constants each.
    fn cross(&self, falls: &[Falls]) -> [Falls; TAUS] {
        let mut cross = [[0.0; TAUS]; TAUS];
        for fall in falls {
            let above: Falls = std::array::from_fn(|k| fall[k] - self.mean_falls[k]);
            for (sums, one) in cross.iter_mut().zip(&above) {
                for (sum, other) in sums.iter_mut().zip(&above) {
                    *sum += one * other;
                }
            }
        }
        cross
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
    /// Weight of each time constant, of two the longer; the constant counts as the shortest.
    pub(super) weights: [f64; TAUS],
    /// The likeliest.
    pub(super) best: Candidate,
    /// Natural logarithm of the likelihood of all of them, up to the same constant as the weights.
    pub(super) likelihood: f64,
}

impl Mixture {
    /// Of at least two values, with what is left of each time constant at each of them; `scatter` is that of single values, `two`
    /// says whether curves of two time constants are among the candidates.
    pub(super) fn of(
        values: &[f64],
        falls: &[Falls],
        scatter: f64,
        prior: &Prior,
        two: bool,
        all: &mut Vec<Candidate>,
    ) -> Option<Self> {
        let sums = Sums::of(values, falls, scatter, prior);
        all.clear();
        sums.single(prior.at_once, all);
        if two {
            sums.double(falls, all);
        }
        Self::weighted(all, falls.last()?)
    }

    fn weighted(all: &[Candidate], last: &Falls) -> Option<Self> {
        let best = *all.iter().max_by(|a, b| a.weight.total_cmp(&b.weight))?;
        let mut mixture = Self {
            value: 0.0,
            deviation: 0.0,
            left: 0.0,
            slope: 0.0,
            constant: 0.0,
            weights: [0.0; TAUS],
            best,
            likelihood: 0.0,
        };
        let (mut sum, mut spread) = (0.0, 0.0);
        for candidate in all {
            let weight = libm::exp(candidate.weight - best.weight);
            let off = (candidate.end - best.end).clamp(-FAR, FAR);
            sum += weight;
            mixture.value += weight * off;
            spread += weight * (candidate.variance + off * off).min(FAR * FAR);
            if candidate.is_constant() {
                mixture.constant += weight;
            }
            for (k, amplitude) in candidate.parts {
                let left = -amplitude * last[k];
                mixture.left += weight * left;
                mixture.slope -= weight * left / TIME_CONSTANTS[k];
            }
            mixture.weights[candidate.parts[0].0.max(candidate.parts[1].0)] += weight;
        }
        mixture.value /= sum;
        let variance = spread / sum - mixture.value * mixture.value;
        mixture.deviation = variance.max(0.0).sqrt();
        mixture.value += best.end;
        mixture.left /= sum;
        mixture.slope /= sum;
        mixture.constant /= sum;
        mixture.weights = mixture.weights.map(|weight| weight / sum);
        mixture.likelihood = best.weight + libm::log(sum);
        Some(mixture)
    }

    /// Whether the value moves, rather than being there at once.
    pub(super) fn moves(&self) -> bool {
        self.constant < IMPROBABLE
    }

    /// Weight of the time constants below so many seconds.
    pub(super) fn faster_than(&self, seconds: f64) -> f64 {
        let weights = TIME_CONSTANTS.into_iter().zip(self.weights);
        let fast = weights.filter(|(tau, _)| *tau < seconds);
        fast.map(|(_, weight)| weight).sum()
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
            let times = (1..200).map(|i| 0.05 * f64::from(i));
            let falls: Vec<Falls> = times.clone().map(falls).collect();
            let curve = |t: f64| 7.0 - fast * libm::exp(-t / 0.37) - slow * libm::exp(-t / 1.7);
            let values: Vec<f64> = times.map(curve).collect();
            let mixture = Mixture::of(&values, &falls, 0.1, &prior, two, &mut Vec::new()).unwrap();
            assert!(
                (mixture.value - 7.0).abs() < 0.05,
                "{fast} {slow} {mixture:?}"
            );
            assert_eq!(mixture.moves(), fast > 0.0);
        }
    }
}
