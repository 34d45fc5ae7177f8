//! [`Spread`]: the middle of a group, and how far it spreads.

/// Median and quartiles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// A quarter lies below.
    pub lower_quartile: f64,
    /// Half lies below.
    pub median: f64,
    /// A quarter lies above.
    pub upper_quartile: f64,
}

impl Spread {
    /// That of these values; `None` without any.
    pub fn of(values: impl IntoIterator<Item = f64>) -> Option<Self> {
        let mut sorted: Vec<f64> = values.into_iter().collect();
        sorted.sort_by(f64::total_cmp);
        Some(Self {
            lower_quartile: percentile(&sorted, 0.25)?,
            median: percentile(&sorted, 0.5)?,
            upper_quartile: percentile(&sorted, 0.75)?,
        })
    }
}

/// The median of sorted values.
pub(super) fn median(sorted: &[f64]) -> Option<f64> {
    percentile(sorted, 0.5)
}

/// The value below which the share `p` of sorted values lies: with p(N + 1) = k + d, the k-th and d of the way to the next one;
/// never beyond the first or the last (NIST/SEMATECH e-Handbook of Statistical Methods, "Percentiles", 7.2.5.2).
fn percentile(sorted: &[f64], p: f64) -> Option<f64> {
    let (first, last) = (sorted.first()?, sorted.last()?);
    let place = p * (sorted.len() + 1) as f64;
    let k = place.floor() as usize;
    Some(match k {
        0 => *first,
        _ if k >= sorted.len() => *last,
        _ => sorted[k - 1] + (place - k as f64) * (sorted[k] - sorted[k - 1]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, "Percentiles": twelve resistivities of silicon wafers in Ω·cm, of which
    /// the 90th percentile is 95.1981.
    #[test]
    fn the_example_of_the_handbook_comes_out() {
        let mut wafers = [
            95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065,
            95.0925, 95.1990, 95.1682,
        ];
        wafers.sort_by(f64::total_cmp);
        let found = percentile(&wafers, 0.9).unwrap();
        assert!((found - 95.1981).abs() < 5e-5, "{found}");
    }

    #[test]
    fn few_values_have_quartiles_among_themselves() {
        let one = Spread::of([3.0]).unwrap();
        assert_eq!((one.lower_quartile, one.median), (3.0, 3.0));
        let two = Spread::of([1.0, 2.0]).unwrap();
        assert_eq!(
            (two.lower_quartile, two.median, two.upper_quartile),
            (1.0, 1.5, 2.0)
        );
        assert_eq!(Spread::of([]), None);
    }
}
