//! [`rank_correlation`]: whether one thing grows with another, by ranks alone.

use super::normal_cdf;

/// The largest number of points for which probabilities are exact.
const EXACT: usize = 50;

/// Kendall's rank correlation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RankCorrelation {
    /// Tau-b, -1 to 1.
    pub tau: f64,
    /// Probability of one as far from zero, of either sign, if the two have nothing to do with each other.
    pub p: f64,
}

/// Kendall's tau-b and its two-sided p value of these points; `None` for fewer than two, or where all have the same x or the same y.
///
/// Exact where no two x and no two y are alike and there are 50 points at most; else by the normal distribution, with the
/// corrections for ties and for continuity. M. G. Kendall, Rank Correlation Methods (from memory).
pub fn rank_correlation(points: &[(f64, f64)]) -> Option<RankCorrelation> {
    let score = Score::of(points);
    let count = points.len();
    let pairs = (count * count.saturating_sub(1) / 2) as f64;
    let [ties_x, ties_y] = [&score.ties_x, &score.ties_y].map(|ties| {
        let tied = ties.iter().map(|tie| tie * (tie - 1) / 2);
        tied.sum::<usize>() as f64
    });
    let tau = score.s as f64 / ((pairs - ties_x) * (pairs - ties_y)).sqrt();
    let p = if score.is_exact(count) {
        probability(count, score.s.unsigned_abs())
    } else {
        let off = (score.s.unsigned_abs() as f64 - 1.0).max(0.0);
        2.0 * normal_cdf(-off / score.variance(count).sqrt())
    };
    tau.is_finite().then(|| RankCorrelation {
        tau: tau.clamp(-1.0, 1.0),
        p: p.min(1.0),
    })
}

/// The largest score, of either sign, that chance alone still has to be granted: a larger one comes in no more than the share `alpha` of all
/// cases. It is the C of Hollander and Wolfe (see [`slope`](fn@super::slope)), which is 2 less than the critical score k, for scores go in steps of 2.
pub(super) fn granted_score(points: &[(f64, f64)], alpha: f64, z: f64) -> f64 {
    let score = Score::of(points);
    let count = points.len();
    if !score.is_exact(count) {
        return z * score.variance(count).sqrt();
    }
    let pairs = (count * count.saturating_sub(1) / 2) as u64;
    let mut scores = (pairs % 2..=pairs).step_by(2);
    let found = scores.find(|score| probability(count, *score) <= alpha);
    found.map_or(f64::INFINITY, |score| score as f64 - 2.0)
}

/// Pairs that go the same way less pairs that go opposite ways, and how many points are alike.
struct Score {
    s: i64,
    ties_x: Vec<usize>,
    ties_y: Vec<usize>,
}

impl Score {
    fn of(points: &[(f64, f64)]) -> Self {
        let mut s = 0;
        for (index, (x, y)) in points.iter().enumerate() {
            for (other_x, other_y) in &points[index + 1..] {
                s += sign(other_x - x) * sign(other_y - y);
            }
        }
        Self {
            s,
            ties_x: ties(points.iter().map(|point| point.0)),
            ties_y: ties(points.iter().map(|point| point.1)),
        }
    }

    fn is_exact(&self, count: usize) -> bool {
        self.ties_x.is_empty() && self.ties_y.is_empty() && count <= EXACT
    }

    /// The variance of the score if the two have nothing to do with each other.
    fn variance(&self, count: usize) -> f64 {
        let n = count as f64;
        let sum = |ties: &[usize], of: fn(f64) -> f64| -> f64 {
            ties.iter().map(|tie| of(*tie as f64)).sum()
        };
        let third = |t: f64| t * (t - 1.0) * (2.0 * t + 5.0);
        let triples = |t: f64| t * (t - 1.0) * (t - 2.0);
        let couples = |t: f64| t * (t - 1.0);
        let (x, y) = (&self.ties_x, &self.ties_y);
        let plain = (third(n) - sum(x, third) - sum(y, third)) / 18.0;
        let of_triples = if count > 2 {
            sum(x, triples) * sum(y, triples) / (9.0 * triples(n))
        } else {
            0.0
        };
        plain + of_triples + sum(x, couples) * sum(y, couples) / (2.0 * couples(n))
    }
}

const fn sign(difference: f64) -> i64 {
    if difference > 0.0 {
        1
    } else if difference < 0.0 {
        -1
    } else {
        0
    }
}

/// Sizes of the groups of values that are alike.
fn ties(values: impl Iterator<Item = f64>) -> Vec<usize> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    let runs = values.chunk_by(|a, b| a == b);
    runs.map(<[f64]>::len)
        .filter(|length| *length > 1)
        .collect()
}

/// The probability that the score of `count` points in random order is `score` or more, of either sign. There are no ties.
fn probability(count: usize, score: u64) -> f64 {
    // How probable each number of pairs in the wrong order is: the k-th point adds 0 to k - 1 of them, each as probable.
    let mut wrong = vec![1.0];
    for points in 2..=count {
        let mut next = vec![0.0; wrong.len() + points - 1];
        for (number, p) in wrong.iter().enumerate() {
            for added in 0..points {
                next[number + added] += p / points as f64;
            }
        }
        wrong = next;
    }
    let pairs = wrong.len() as u64 - 1;
    let far = |number: &usize| pairs.abs_diff(2 * *number as u64) >= score;
    (0..wrong.len()).filter(far).map(|at| wrong[at]).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_grows_together_is_fully_correlated_and_the_chance_is_two_orders_of_all() {
        let points = [(1.0, 2.0), (2.0, 3.0), (3.0, 5.0), (4.0, 9.0)];
        let found = rank_correlation(&points).unwrap();
        assert_eq!(found.tau, 1.0);
        assert!((found.p - 2.0 / 24.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_can_be_said_of_too_few_points_or_of_points_all_alike() {
        assert_eq!(rank_correlation(&[]), None);
        assert_eq!(rank_correlation(&[(1.0, 1.0)]), None);
        assert_eq!(rank_correlation(&[(1.0, 1.0), (1.0, 2.0)]), None);
        assert_eq!(
            rank_correlation(&[(1.0, 1.0), (2.0, 1.0), (3.0, 1.0)]),
            None
        );
    }

    /// A general-purpose library (scipy 1.17, `stats.kendalltau`, asymptotic) gives tau-b 0.694365 and p 0.0654398, without a
    /// correction for continuity: the score 9 is then 1.8422418 standard deviations from zero.
    #[test]
    fn ties_make_it_approximate() {
        let points = [
            (1.0, 1.0),
            (1.0, 2.0),
            (2.0, 2.0),
            (3.0, 3.0),
            (4.0, 2.0),
            (5.0, 4.0),
        ];
        let found = rank_correlation(&points).unwrap();
        assert!((found.tau - 0.694_365_075).abs() < 1e-8, "{found:?}");
        let deviation = 9.0 / 1.842_241_8;
        let corrected = 2.0 * normal_cdf(-8.0 / deviation);
        assert!((found.p - corrected).abs() < 1e-6, "{found:?} {corrected}");
    }
}
