//! Statistics of a batch against published examples and tables.

use approx::assert_relative_eq;
use probewright::face::books::batch::Spread;
use probewright::face::engine::statistics::{deviation_interval, mean_interval, tolerance_factor};

/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2, data set ZARR13.DAT: 195 values, mean 9.261460, standard deviation
/// 0.022789; 95 % limits 9.258242 and 9.264679 (from memory).
#[test]
fn the_interval_of_the_mean_is_that_of_the_handbook() {
    let found = mean_interval(195, 9.261_460, 0.022_789, 0.95).unwrap();
    assert_relative_eq!(found.from, 9.258_242, max_relative = 2e-7);
    assert_relative_eq!(found.to, 9.264_679, max_relative = 2e-7);
}

/// Quantiles of Student's t for 0.975: table 1.3.6.7.2 of the same handbook (from memory).
#[test]
fn the_interval_of_the_mean_follows_the_table_of_student() {
    for (degrees, t) in [(1, 12.706), (2, 4.303), (4, 2.776), (9, 2.262), (29, 2.045)] {
        let count = degrees + 1;
        let found = mean_interval(count, 0.0, (count as f64).sqrt(), 0.95).unwrap();
        assert_relative_eq!(found.to, t, epsilon = 6e-4);
        assert_relative_eq!(found.from, -t, epsilon = 6e-4);
    }
}

/// Quantiles of χ² for 0.975 and 0.025: table 1.3.6.7.4 of the same handbook (from memory).
#[test]
fn the_interval_of_the_deviation_follows_the_table_of_chi_squared() {
    for (degrees, upper, lower) in [
        (4, 11.143, 0.484),
        (9, 19.023, 2.700),
        (19, 32.852, 8.907),
        (29, 45.722, 16.047),
    ] {
        let found = deviation_interval(degrees + 1, 1.0, 0.95).unwrap();
        let n = degrees as f64;
        assert_relative_eq!(n / (found.from * found.from), upper, epsilon = 6e-4);
        assert_relative_eq!(n / (found.to * found.to), lower, epsilon = 6e-4);
    }
}

/// Factors of two-sided tolerance intervals with 95 % confidence, for 90, 95 and 99 % of all: P. M. Berthouex and L. C. Brown,
/// Statistics for Environmental Engineers, table 21.1, two decimals. At the same row for 10 older tables, which rest on an
/// approximation, have 3.379 for 95 %.
#[test]
fn the_factor_of_a_tolerance_interval_is_that_of_the_table() {
    let table = [
        (4, [5.37, 6.34, 8.22]),
        (5, [4.29, 5.08, 6.60]),
        (6, [3.73, 4.42, 5.76]),
        (7, [3.39, 4.02, 5.24]),
        (8, [3.16, 3.75, 4.89]),
        (9, [2.99, 3.55, 4.63]),
        (10, [2.86, 3.39, 4.44]),
        (12, [2.67, 3.17, 4.16]),
        (20, [2.32, 2.76, 3.62]),
        (30, [2.15, 2.55, 3.35]),
        (60, [1.96, 2.34, 3.07]),
    ];
    for (count, factors) in table {
        for (content, factor) in [0.90, 0.95, 0.99].into_iter().zip(factors) {
            let found = tolerance_factor(count, content, 0.95);
            assert!(
                (found - factor).abs() <= 0.0101,
                "{count}, {content}: {found}, not {factor}"
            );
        }
    }
}

/// The same formula integrated by a general-purpose library (scipy 1.17, `integrate.quad`, `stats.chi2`, `stats.norm`).
#[test]
fn the_factor_of_a_tolerance_interval_is_exact() {
    for (count, factor) in [
        (2, 36.519_214_6),
        (3, 9.788_752_4),
        (5, 5.076_874_5),
        (10, 3.393_429_5),
        (43, 2.425_376_5),
        (100, 2.233_882_0),
    ] {
        assert_relative_eq!(
            tolerance_factor(count, 0.95, 0.95),
            factor,
            max_relative = 1e-6
        );
    }
}

/// NIST `StRD`, univariate summary statistics, `NumAcc1` and `NumAcc2`, as in `nist_strd.rs`.
#[test]
fn mean_and_deviation_of_a_batch_are_the_certified_ones() {
    let of = |values: &[f64]| {
        let values: Vec<(f64, f64)> = values.iter().map(|value| (*value, 0.0)).collect();
        Spread::of(&values).unwrap()
    };
    let found = of(&[10_000_001.0, 10_000_003.0, 10_000_002.0]);
    assert_relative_eq!(found.mean, 10_000_002.0, max_relative = 1e-15);
    assert_relative_eq!(found.deviation, 1.0, max_relative = 1e-15);
    let pattern: Vec<f64> = std::iter::once(1.2)
        .chain(std::iter::repeat_n([1.1, 1.3], 500).flatten())
        .collect();
    let found = of(&pattern);
    assert_relative_eq!(found.mean, 1.2, max_relative = 1e-14);
    assert_relative_eq!(found.deviation, 0.1, max_relative = 1e-13);
}
