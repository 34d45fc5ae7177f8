//! Location of values: median, quantiles, mean with deviation, and Algorithm A.

/// A robust mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RobustMean {
    /// Robust mean x*.
    pub mean: f64,
    /// Robust standard deviation s* of one value.
    pub deviation: f64,
}

/// The median; reorders `values`. `None` for an empty slice.
pub fn median(values: &mut [f64]) -> Option<f64> {
    let n = values.len();
    if n == 0 {
        return None;
    }
    let (below, upper, _) = values.select_nth_unstable_by(n / 2, f64::total_cmp);
    let upper = *upper;
    if n % 2 == 1 {
        return Some(upper);
    }
    let lower = below.iter().copied().max_by(f64::total_cmp)?;
    Some(lower + (upper - lower) / 2.0)
}

/// Median and quartiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quartiles {
    /// A quarter lies below.
    pub lower_quartile: f64,
    /// Half lies below.
    pub median: f64,
    /// A quarter lies above.
    pub upper_quartile: f64,
}

impl Quartiles {
    /// Summary of these values; `None` without any.
    pub fn of(values: impl IntoIterator<Item = f64>) -> Option<Self> {
        let mut sorted: Vec<f64> = values.into_iter().collect();
        sorted.sort_by(f64::total_cmp);
        Some(Self {
            lower_quartile: quantile(&sorted, 0.25)?,
            median: quantile(&sorted, 0.5)?,
            upper_quartile: quantile(&sorted, 0.75)?,
        })
    }
}

/// The value below which the share `p` of sorted values lies: with p(N + 1) = k + d, the k-th and d of the way to the next one;
/// never beyond the first or the last (NIST/SEMATECH e-Handbook of Statistical Methods, "Percentiles", 7.2.5.2).
pub fn quantile(sorted: &[f64], p: f64) -> Option<f64> {
    let (first, last) = (sorted.first()?, sorted.last()?);
    let place = p * (sorted.len() + 1) as f64;
    let k = place.floor() as usize;
    Some(match k {
        0 => *first,
        _ if k >= sorted.len() => *last,
        _ => sorted[k - 1] + (place - k as f64) * (sorted[k] - sorted[k - 1]),
    })
}

/// Arithmetic mean and standard deviation (divisor n - 1) of `values`, in two passes about a value near them, so that
/// large values with a small spread lose nothing. The deviation of one value is 0. `None` where there is none.
pub fn mean_and_deviation(
    values: impl Iterator<Item = f64> + Clone,
    near: f64,
) -> Option<(f64, f64)> {
    let (count, sum) = values.clone().fold((0_u32, 0.0), |(count, sum), x| {
        (count + 1, sum + (x - near))
    });
    if count == 0 {
        return None;
    }
    let n = f64::from(count);
    let mean = near + sum / n;
    // The second sum is zero but for rounding, and takes that out of the first (the corrected two-pass algorithm:
    // T. F. Chan, G. H. Golub, R. J. LeVeque, Am. Stat. 37 (1983) 242-247).
    let (square, rest) = values.fold((0.0, 0.0), |(square, rest), x| {
        let off = x - mean;
        (square + off * off, rest + off)
    });
    let variance = if count > 1 {
        (square - rest * rest / n) / (n - 1.0)
    } else {
        0.0
    };
    Some((mean, variance.max(0.0).sqrt()))
}

/// Algorithm A of ISO 13528 (annex C): winsorise at x* ± 1.5 s*, take mean and 1.134 times the standard deviation, repeat.
///
/// Starts from the median and the median absolute deviation times 1.483. `floor` is the smallest deviation that is
/// believed (the scatter that the resolution alone hides), so that a run of equal readings with one blip keeps its level.
/// `scratch` is working space. `None` for an empty slice.
pub fn robust_mean(values: &[f64], floor: f64, scratch: &mut Vec<f64>) -> Option<RobustMean> {
    scratch.clear();
    scratch.extend_from_slice(values);
    let mut mean = median(scratch)?;
    for x in scratch.iter_mut() {
        *x = (*x - mean).abs();
    }
    let mut deviation = (1.483 * median(scratch)?).max(floor);
    if values.len() < 2 || deviation == 0.0 {
        return Some(RobustMean { mean, deviation });
    }
    for _ in 0..MOST_ROUNDS {
        let reach = 1.5 * deviation;
        let (low, high) = (mean - reach, mean + reach);
        let (next, spread) = mean_and_deviation(values.iter().map(|x| x.clamp(low, high)), mean)?;
        let spread = (1.134 * spread).max(floor);
        let moved = (next - mean).abs() + (spread - deviation).abs();
        (mean, deviation) = (next, spread);
        if moved <= 1e-9 * deviation {
            break;
        }
    }
    Some(RobustMean { mean, deviation })
}

/// Rounds after which Algorithm A stops even if the ninth figure of the deviation still moves.
const MOST_ROUNDS: usize = 60;

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_of(values: &[f64]) -> RobustMean {
        robust_mean(values, 0.0, &mut Vec::new()).unwrap()
    }

    #[test]
    fn median_of_nothing_is_none() {
        assert_eq!(median(&mut []), None);
    }

    #[test]
    fn median_of_an_even_count_is_the_middle_of_the_two() {
        assert_eq!(median(&mut [4.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(quantile(&[1.0, 2.0, 4.0, 9.0], 0.5), Some(3.0));
        assert_eq!(quantile(&[1.0, 2.0, 9.0], 0.5), Some(2.0));
    }

    #[test]
    fn equal_values_have_no_deviation() {
        assert_eq!(
            mean_of(&[5.0; 7]),
            RobustMean {
                mean: 5.0,
                deviation: 0.0
            }
        );
    }

    #[test]
    fn one_blip_hardly_moves_the_mean_of_equal_readings() {
        let found = robust_mean(&[5.0, 5.0, 5.0, 500.0, 5.0, 5.0], 0.01, &mut Vec::new()).unwrap();
        assert!((found.mean - 5.0).abs() < 0.01, "{found:?}");
    }

    #[test]
    fn a_single_value_is_its_own_mean() {
        assert_eq!(mean_of(&[3.0]).mean, 3.0);
    }

    /// NIST/SEMATECH e-Handbook of Statistical Methods, "Percentiles": twelve resistivities of silicon wafers in Ω·cm, of which
    /// the 90th percentile is 95.1981.
    #[test]
    fn the_example_of_the_handbook_comes_out() {
        let mut wafers = [
            95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065,
            95.0925, 95.1990, 95.1682,
        ];
        wafers.sort_by(f64::total_cmp);
        let found = quantile(&wafers, 0.9).unwrap();
        assert!((found - 95.1981).abs() < 5e-5, "{found}");
    }

    #[test]
    fn few_values_have_quartiles_among_themselves() {
        let one = Quartiles::of([3.0]).unwrap();
        assert_eq!((one.lower_quartile, one.median), (3.0, 3.0));
        let two = Quartiles::of([1.0, 2.0]).unwrap();
        assert_eq!(
            (two.lower_quartile, two.median, two.upper_quartile),
            (1.0, 1.5, 2.0)
        );
        assert_eq!(Quartiles::of([]), None);
    }
}
