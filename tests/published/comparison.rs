//! Many comparisons at once, rank correlation, and the slope of Theil and Sen.

use probewright::face::engine::statistics::{benjamini_hochberg, holm, rank_correlation, slope};

/// Benjamini and Hochberg (1995), section 4: fifteen p values of a trial of a drug. The figures and what comes of them are quoted in
/// the tests of several public libraries; the paper itself was not at hand.
const TRIAL: [f64; 15] = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719,
    0.6528, 0.7590, 1.0,
];

fn held(adjusted: &[f64]) -> usize {
    adjusted.iter().filter(|p| **p <= 0.05).count()
}

#[test]
fn of_the_trial_four_hold_by_benjamini_and_hochberg() {
    assert_eq!(held(&benjamini_hochberg(&TRIAL)), 4);
}

/// The paper says that Bonferroni's procedure and Hochberg's keep three; Holm's lies between the two.
#[test]
fn of_the_trial_three_hold_by_holm() {
    assert_eq!(held(&holm(&TRIAL)), 3);
}

/// M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods (1973), p. 187: lightness and panel scores of nine lots of canned
/// tuna, as the documentation of `cor.test` in R quotes it: one-sided p = 0.05972, so two-sided twice that. Course notes of the
/// University of South Carolina (Statistics 518) print tau 0.4444444 for the same data.
#[test]
fn the_tuna_are_correlated_as_the_book_says() {
    let lightness = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1];
    let score = [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8];
    let points: Vec<(f64, f64)> = lightness.into_iter().zip(score).collect();
    let found = rank_correlation(&points).unwrap();
    assert!((found.tau - 0.444_444_4).abs() < 1e-7);
    assert!((found.p / 2.0 - 0.05972).abs() < 5e-6, "{}", found.p);
}

/// P. K. Sen (1968): the slope of the example is 4. (Its interval is that of a confidence of 93 %; it is checked beside the code.)
#[test]
fn the_slope_of_sens_example_is_four() {
    let x = [1.0, 2.0, 3.0, 4.0, 10.0, 12.0, 18.0];
    let y = [9.0, 15.0, 19.0, 20.0, 45.0, 55.0, 78.0];
    let points: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
    let found = slope(&points).unwrap();
    assert_eq!(found.estimate, 4.0);
    // 95 % is more than 93 %, so the interval is no narrower than the published one, (3.71, 4.38).
    let (lower, upper) = found.interval.unwrap();
    assert!(lower <= 3.715 && upper >= 4.375, "{lower} {upper}");
}
