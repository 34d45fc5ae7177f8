//! [`slope`]: how fast one thing grows with another, whatever a few outliers do.

use super::quantile;
use super::rank_correlation::granted_score;

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

/// The slope of Theil and Sen, with its interval of at least 95 %; `None` where all points have the same x.
///
/// P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American Statistical Association 63
/// (1968), 1379-1389; which slopes end the interval: M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods, 2nd edition (1999),
/// section 9.3, C = k - 2, M = (N - C)/2, from the M-th to the (N + 1 - M)-th (both from memory).
pub fn slope(points: &[(f64, f64)]) -> Option<Slope> {
    let slopes = slopes(points);
    let estimate = quantile(&slopes, 0.5)?;
    let interval = ends(&slopes, granted_score(points, ALPHA, Z));
    Some(Slope { estimate, interval })
}

/// The slopes between any two points of different x, the smallest first.
fn slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let mut slopes = Vec::new();
    for (index, (x, y)) in points.iter().enumerate() {
        for (other_x, other_y) in &points[index + 1..] {
            if other_x != x {
                slopes.push((other_y - y) / (other_x - x));
            }
        }
    }
    slopes.sort_by(f64::total_cmp);
    slopes
}

/// The M-th slope from either end, M = (N - C)/2; `None` where that is none.
fn ends(slopes: &[f64], granted: f64) -> Option<(f64, f64)> {
    let from_end = (slopes.len() as f64 - granted) / 2.0;
    let place = (from_end >= 1.0).then_some(from_end as usize)?;
    Some((slopes[place - 1], slopes[slopes.len() - place]))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEN: [(f64, f64); 7] = [
        (1.0, 9.0),
        (2.0, 15.0),
        (3.0, 19.0),
        (4.0, 20.0),
        (10.0, 45.0),
        (12.0, 55.0),
        (18.0, 78.0),
    ];

    /// The worked example of Sen's paper: slope 4, and (3.71, 4.38) with a confidence of 93 %. The figures are those that the
    /// test of a general-purpose library (scipy, `theilslopes`) quotes from the paper. They are those of the normal approximation:
    /// 12.06 of 21 slopes, so the 4th from either end; the exact distribution would take the 5th for 93 %.
    #[test]
    fn the_example_of_the_paper_comes_out_by_the_normal_approximation() {
        let slopes = super::slopes(&SEN);
        let deviation = (7.0 * 6.0 * 19.0 / 18.0_f64).sqrt();
        let (lower, upper) = ends(&slopes, 1.812 * deviation).unwrap();
        assert!((lower - 3.71).abs() < 0.005 && (upper - 4.38).abs() < 0.0051);
        assert_eq!(slope(&SEN).unwrap().estimate, 4.0);
    }

    /// By definition of confidence: of all 5040 orders of seven values that have nothing to do with their places, 95 % or more have the true slope,
    /// zero, within their interval, and fewer would have it within the next narrower one.
    #[test]
    fn the_interval_is_the_narrowest_that_holds_the_true_slope_often_enough() {
        let (mut held, mut narrower) = (0, 0);
        let mut count = 0;
        each_order(&mut [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0], 0, &mut |order| {
            let points: Vec<(f64, f64)> =
                (0..7).map(f64::from).zip(order.iter().copied()).collect();
            let (lower, upper) = slope(&points).unwrap().interval.unwrap();
            let slopes = slopes(&points);
            let below = slopes.iter().filter(|slope| **slope < 0.0).count();
            count += 1;
            held += i32::from(lower < 0.0 && upper > 0.0);
            narrower += i32::from(below > 4 && slopes.len() - below > 4);
        });
        assert_eq!(count, 5040);
        assert!(f64::from(held) >= 0.95 * 5040.0, "{held}");
        assert!(f64::from(narrower) < 0.95 * 5040.0, "{narrower}");
        assert_eq!(held, 4888);
    }

    fn each_order(values: &mut [f64], from: usize, hear: &mut impl FnMut(&[f64])) {
        if from == values.len() {
            return hear(values);
        }
        for other in from..values.len() {
            values.swap(from, other);
            each_order(values, from + 1, hear);
            values.swap(from, other);
        }
    }

    #[test]
    fn one_outlier_in_seven_does_not_turn_the_line() {
        let mut points: Vec<(f64, f64)> = (1..=7).map(|x| (f64::from(x), f64::from(x))).collect();
        points[5].1 = 16.0;
        assert_eq!(slope(&points).unwrap().estimate, 1.0);
    }

    #[test]
    fn few_points_have_a_slope_and_no_interval() {
        let points = [(1.0, 1.0), (2.0, 3.0), (3.0, 4.0), (4.0, 6.0)];
        let found = slope(&points).unwrap();
        assert_eq!(found.interval, None);
        assert_eq!(slope(&[(1.0, 1.0), (1.0, 2.0)]), None);
    }
}
