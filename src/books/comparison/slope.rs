//! [`slope`]: how fast one thing grows with another, whatever a few outliers do.

use super::rank_correlation::critical_score;
use super::spread::median;

/// 1 - 0.95 of the interval, and the normal quantile that goes with it.
const ALPHA: f64 = 0.05;
const Z: f64 = 1.959_963_985;

/// The slope of a straight line through points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// The estimate: the median of the slopes between any two points.
    pub estimate: f64,
    /// Where the true slope lies with a confidence of 95 % or more; `None` with too few points.
    pub interval: Option<(f64, f64)>,
}

/// The slope of Theil and Sen, with the interval of Sen, of at least 95 %; `None` where all points have the same x.
///
/// P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American Statistical Association 63
/// (1968), 1379-1389 (from memory).
pub fn slope(points: &[(f64, f64)]) -> Option<Slope> {
    with_confidence(points, ALPHA, Z)
}

/// As [`slope`], with the confidence 1 - `alpha`; `z` is the normal quantile of 1 - `alpha`/2.
pub(super) fn with_confidence(points: &[(f64, f64)], alpha: f64, z: f64) -> Option<Slope> {
    let mut slopes = Vec::new();
    for (index, (x, y)) in points.iter().enumerate() {
        for (other_x, other_y) in &points[index + 1..] {
            if other_x != x {
                slopes.push((other_y - y) / (other_x - x));
            }
        }
    }
    slopes.sort_by(f64::total_cmp);
    let estimate = median(&slopes)?;
    // The M-th slope from either end, M = (N - N*)/2 with the critical score N*.
    let from_end = (slopes.len() as f64 - critical_score(points, alpha, z)) / 2.0;
    let interval = (from_end >= 1.0).then(|| {
        let place = from_end as usize;
        (slopes[place - 1], slopes[slopes.len() - place])
    });
    Some(Slope { estimate, interval })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of Sen's paper: slope 4, and (3.71, 4.38) with a confidence of 93 %. The figures are those that the
    /// test of a general-purpose library (scipy, `theilslopes`) quotes from the paper.
    #[test]
    fn the_example_of_the_paper_comes_out() {
        let x = [1.0, 2.0, 3.0, 4.0, 10.0, 12.0, 18.0];
        let y = [9.0, 15.0, 19.0, 20.0, 45.0, 55.0, 78.0];
        let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
        let found = with_confidence(&points, 0.07, 1.812).unwrap();
        let (lower, upper) = found.interval.unwrap();
        assert_eq!(found.estimate, 4.0);
        assert!((lower - 3.71).abs() < 0.005 && (upper - 4.38).abs() < 0.0051);
    }

    #[test]
    fn one_outlier_in_seven_does_not_turn_the_line() {
        let mut points: Vec<(f64, f64)> = (1..=7).map(|x| (f64::from(x), f64::from(x))).collect();
        points[5].1 = 16.0;
        assert_eq!(slope(&points).unwrap().estimate, 1.0);
    }

    #[test]
    fn few_points_have_a_slope_and_no_interval() {
        let points = [(1.0, 1.0), (2.0, 3.0), (3.0, 4.0)];
        let found = slope(&points).unwrap();
        assert_eq!(found.interval, None);
        assert_eq!(slope(&[(1.0, 1.0), (1.0, 2.0)]), None);
    }
}
