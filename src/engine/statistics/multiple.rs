//! Many comparisons at once: [`holm`] and [`benjamini_hochberg`].

/// From which adjusted p value on down a finding is taken to be more than chance.
pub const SIGNIFICANT: f64 = 0.05;

/// p values adjusted so that those of 0.05 or less hold all together: with 95 % not one of them is there by chance, however the
/// comparisons depend on each other. In the order of `p`.
///
/// S. Holm, A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6 (1979), 65-70 (from memory).
pub fn holm(p: &[f64]) -> Vec<f64> {
    let count = p.len();
    let mut adjusted = vec![1.0; count];
    let mut largest: f64 = 0.0;
    for (place, index) in ascending(p).into_iter().enumerate() {
        largest = largest.max(p[index] * (count - place) as f64).min(1.0);
        adjusted[index] = largest;
    }
    adjusted
}

/// p values adjusted so that of those of 0.05 or less one in twenty is to be expected to be there by chance, if the comparisons are
/// independent. In the order of `p`.
///
/// Y. Benjamini and Y. Hochberg, Controlling the false discovery rate, Journal of the Royal Statistical Society B 57 (1995), 289-300
/// (from memory).
pub fn benjamini_hochberg(p: &[f64]) -> Vec<f64> {
    let count = p.len();
    let mut adjusted = vec![1.0; count];
    let mut smallest: f64 = 1.0;
    for (place, index) in ascending(p).into_iter().enumerate().rev() {
        smallest = smallest.min(p[index] * count as f64 / (place + 1) as f64);
        adjusted[index] = smallest;
    }
    adjusted
}

/// The places of the p values, the smallest first.
fn ascending(p: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|a, b| p[*a].total_cmp(&p[*b]));
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_what_is_given_is_kept() {
        assert_eq!(holm(&[0.04, 0.01]), vec![0.04, 0.02]);
        assert_eq!(benjamini_hochberg(&[0.04, 0.01]), vec![0.04, 0.02]);
        assert!(holm(&[]).is_empty() && benjamini_hochberg(&[]).is_empty());
    }

    #[test]
    fn no_adjusted_value_exceeds_one_or_falls_below_what_it_was() {
        let p = [0.9, 0.3, 0.04, 0.6, 1.0];
        for adjusted in [holm(&p), benjamini_hochberg(&p)] {
            for (before, after) in p.iter().zip(adjusted) {
                assert!(after >= *before && after <= 1.0, "{before} {after}");
            }
        }
    }
}
