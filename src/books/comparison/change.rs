//! [`Change`]: the difference of two measurements, with its uncertainty.

use crate::engine::impedance::Uncertain;
use crate::engine::quantity::Quantity;
use crate::engine::statistics::normal_cdf;

/// Coverage factor of the expanded uncertainty U = k u.
const K: f64 = 2.0;

/// The difference of two measurements of the same thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// What was measured.
    pub quantity: Quantity,
    /// What it was, in the SI unit.
    pub before: Uncertain,
    /// What it is, in the SI unit.
    pub after: Uncertain,
}

impl Change {
    /// d, after less before, in the SI unit.
    pub fn difference(&self) -> f64 {
        self.after.value - self.before.value
    }

    /// The standard uncertainty u(d) of the difference, u² = u₁² + u₂² (JCGM 100:2008, formula 10, from memory).
    ///
    /// That takes the two errors for independent. With the same meter part of them is common, and the true u(d) is smaller:
    /// leaving that out calls fewer changes real, and never more.
    pub fn uncertainty(&self) -> f64 {
        libm::hypot(self.before.u, self.after.u)
    }

    /// d over what it was; `None` where it was nothing.
    pub fn share(&self) -> Option<f64> {
        let share = self.difference() / self.before.value.abs();
        share.is_finite().then_some(share)
    }

    /// U(d) over what it was, k = 2; `None` where it was nothing.
    pub fn expanded_share(&self) -> Option<f64> {
        let share = K * self.uncertainty() / self.before.value.abs();
        share.is_finite().then_some(share)
    }

    /// d over u(d). Halved it is the `E_n` number of ISO 13528, for which the expanded uncertainties stand below the line (from memory).
    pub fn ratio(&self) -> f64 {
        if self.difference() == 0.0 {
            0.0
        } else {
            self.difference() / self.uncertainty()
        }
    }

    /// Whether the change is larger than its expanded uncertainty, |d| > U(d).
    pub fn is_real(&self) -> bool {
        self.ratio().abs() > K
    }

    /// How probable a ratio as large as this, of either sign, is if nothing has changed: 2 Φ(-|d|/u(d)).
    pub fn p(&self) -> f64 {
        2.0 * normal_cdf(-self.ratio().abs())
    }

    /// How many of `count` things that have not changed look changed all the same.
    pub fn expected_by_chance(count: usize) -> f64 {
        2.0 * normal_cdf(-K) * count as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn change(before: (f64, f64), after: (f64, f64)) -> Change {
        Change {
            quantity: Quantity::Resistance,
            before: Uncertain::new(before.0, before.1),
            after: Uncertain::new(after.0, after.1),
        }
    }

    #[test]
    fn a_change_is_real_when_it_exceeds_its_expanded_uncertainty() {
        // u(d) = 5 Ω by the triangle 3, 4, 5.
        let at_limit = change((100.0, 3.0), (110.0, 4.0));
        assert!((at_limit.uncertainty() - 5.0).abs() < 1e-12);
        assert!(!at_limit.is_real());
        assert!(change((100.0, 3.0), (110.01, 4.0)).is_real());
        assert!(change((110.01, 3.0), (100.0, 4.0)).is_real());
        assert_eq!(at_limit.share(), Some(0.1));
        assert_eq!(at_limit.expanded_share(), Some(0.1));
    }

    #[test]
    fn without_uncertainty_any_difference_is_real_and_none_is_none() {
        assert!(change((1.0, 0.0), (1.1, 0.0)).is_real());
        let same = change((1.0, 0.0), (1.0, 0.0));
        assert!(!same.is_real());
        assert_eq!(same.p(), 1.0);
        assert_eq!(change((0.0, 1.0), (1.0, 1.0)).share(), None);
    }

    /// 95.45 % of a normal distribution lie within two standard deviations (any table).
    #[test]
    fn of_a_hundred_unchanged_things_four_to_five_look_changed() {
        assert!((Change::expected_by_chance(100) - 4.55).abs() < 0.001);
    }
}
