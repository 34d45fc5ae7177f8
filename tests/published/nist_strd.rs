//! Mean and standard deviation against the NIST Statistical Reference Datasets, univariate summary statistics.
//!
//! Data and certified values: NIST `StRD`, as quoted in public tests of general statistics libraries, and reproduced at 40
//! digits with an arbitrary-precision library. The certified file of `PiDigits` differs from π in one digit, see there.

use approx::assert_relative_eq;
use probewright::face::engine::statistics::mean_and_deviation;

fn check(values: &[f64], mean: f64, deviation: f64, tolerance: f64) {
    let found = mean_and_deviation(values.iter().copied(), values[0]).unwrap();
    assert_relative_eq!(found.0, mean, max_relative = 1e-14);
    assert_relative_eq!(found.1, deviation, max_relative = tolerance);
}

/// `first`, then 500 times `pair`: the pattern of `NumAcc2` to `NumAcc4`.
fn pattern(first: f64, pair: [f64; 2]) -> Vec<f64> {
    std::iter::once(first)
        .chain(std::iter::repeat_n(pair, 500).flatten())
        .collect()
}

#[test]
fn num_acc_1() {
    check(
        &[10_000_001.0, 10_000_003.0, 10_000_002.0],
        10_000_002.0,
        1.0,
        1e-15,
    );
}

#[test]
fn num_acc_2() {
    check(&pattern(1.2, [1.1, 1.3]), 1.2, 0.1, 1e-13);
}

/// The data themselves carry a rounding of 1e-10 of their spread in double precision: 0.1 is not a double.
#[test]
fn num_acc_3() {
    check(
        &pattern(1_000_000.2, [1_000_000.1, 1_000_000.3]),
        1_000_000.2,
        0.1,
        1e-9,
    );
}

#[test]
fn num_acc_4() {
    check(
        &pattern(10_000_000.2, [10_000_000.1, 10_000_000.3]),
        10_000_000.2,
        0.1,
        1e-8,
    );
}

#[test]
fn mavro() {
    let values: Vec<f64> = MAVRO
        .iter()
        .map(|&last| 2.0 + f64::from(last) * 1e-4)
        .collect();
    check(&values, 2.001_856, 0.000_429_123_454_003_053, 1e-11);
}

#[test]
fn michelso() {
    let values: Vec<f64> = MICHELSO
        .iter()
        .map(|&last| 299.0 + f64::from(last) * 0.01)
        .collect();
    check(&values, 299.8524, 0.079_010_547_819_051_8, 1e-12);
}

#[test]
fn pi_digits() {
    let mut digits = digits_of_pi(5000);
    assert_eq!(digits[..10], [3, 1, 4, 1, 5, 9, 2, 6, 5, 3]);
    // The certified file has a 3 here; π has an 8 (found by two independent algorithms for π).
    assert_eq!(digits[956], 8);
    digits[956] = 3;
    let values: Vec<f64> = digits.iter().map(|&digit| f64::from(digit)).collect();
    check(&values, 4.5348, 2.867_339_060_288_71, 1e-14);
}

/// The first `count` decimal digits of π by Machin's formula, 16 arctan(1/5) - 4 arctan(1/239).
fn digits_of_pi(count: usize) -> Vec<u8> {
    let guard = 4;
    let fifth = arctan_of_inverse(5, count + guard);
    let far = arctan_of_inverse(239, count + guard);
    let mut sum: Vec<i64> = fifth
        .iter()
        .zip(&far)
        .map(|(a, b)| 16 * a - 4 * b)
        .collect();
    for i in (1..sum.len()).rev() {
        let carry = sum[i].div_euclid(10);
        sum[i] -= 10 * carry;
        sum[i - 1] += carry;
    }
    sum[..count]
        .iter()
        .map(|&digit| u8::try_from(digit).unwrap())
        .collect()
}

/// arctan(1/x) as decimal digits, one before the point.
fn arctan_of_inverse(x: i64, digits: usize) -> Vec<i64> {
    let mut power = vec![0_i64; digits];
    power[0] = 1;
    divide(&mut power, x);
    let mut sum = power.clone();
    for k in 1.. {
        divide(&mut power, x * x);
        if power.iter().all(|&digit| digit == 0) {
            break;
        }
        let mut term = power.clone();
        divide(&mut term, 2 * k + 1);
        let sign = if k % 2 == 0 { 1 } else { -1 };
        sum.iter_mut()
            .zip(&term)
            .for_each(|(total, digit)| *total += sign * digit);
    }
    sum
}

fn divide(digits: &mut [i64], by: i64) {
    let mut rest = 0;
    for digit in digits {
        let value = rest * 10 + *digit;
        *digit = value / by;
        rest = value % by;
    }
}

/// Ten-thousandths above 2.
const MAVRO: [u8; 50] = [
    18, 17, 18, 19, 18, 17, 15, 14, 15, 15, 17, 18, 18, 19, 19, 21, 20, 16, 14, 13, 13, 15, 15, 16,
    15, 14, 13, 14, 15, 14, 15, 16, 15, 16, 19, 20, 20, 21, 22, 23, 24, 25, 27, 26, 26, 26, 27, 26,
    25, 24,
];

/// Hundredths above 299.
const MICHELSO: [u8; 100] = [
    85, 74, 90, 107, 93, 85, 95, 98, 98, 88, 100, 98, 93, 65, 76, 81, 100, 100, 96, 96, 96, 94, 96,
    94, 88, 80, 85, 88, 90, 84, 83, 79, 81, 88, 88, 83, 80, 79, 76, 80, 88, 88, 88, 86, 72, 72, 62,
    86, 97, 95, 88, 91, 85, 87, 84, 84, 85, 84, 84, 84, 89, 81, 81, 82, 80, 77, 76, 74, 75, 76, 91,
    92, 89, 86, 88, 72, 84, 85, 85, 78, 89, 84, 78, 81, 76, 81, 79, 81, 82, 85, 87, 87, 81, 74, 81,
    94, 95, 80, 81, 87,
];
