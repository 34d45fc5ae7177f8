//! [`Covariance`]: the uncertainties of several quantities and how they hang together.

use std::array::from_fn;

/// Amount by which a correlation matrix may miss being positive semi-definite because of rounding.
const ROUNDING: f64 = 1e-12;

/// A covariance matrix of N quantities: finite, symmetric and positive semi-definite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Covariance<const N: usize>([[f64; N]; N]);

/// The numbers are no covariance matrix.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CovarianceError {
    /// A standard uncertainty is negative or not finite.
    #[error(
        "standard uncertainty {index} is {found}, expected a finite number, zero or more; check how it was computed"
    )]
    Uncertainty {
        /// Index of the quantity, from 0.
        index: usize,
        /// The number that was found.
        found: f64,
    },
    /// An entry is not finite, or differs from the one across the diagonal.
    #[error(
        "entry {row}, {column} of the matrix is {found}, expected a finite number equal to the one across the diagonal"
    )]
    Entry {
        /// Row, from 0.
        row: usize,
        /// Column, from 0.
        column: usize,
        /// The number that was found.
        found: f64,
    },
    /// No set of quantities can be correlated like that.
    #[error(
        "found correlations that exclude each other, expected a positive semi-definite matrix with correlations from -1 to 1; \
         give more figures of the correlations, or leave them out"
    )]
    Indefinite,
}

impl<const N: usize> Covariance<N> {
    /// Covariance of exactly known quantities.
    pub const ZERO: Self = Self([[0.0; N]; N]);

    /// A matrix of variances (diagonal) and covariances.
    ///
    /// # Errors
    /// [`CovarianceError`] if it is not finite, symmetric and positive semi-definite.
    pub fn new(matrix: [[f64; N]; N]) -> Result<Self, CovarianceError> {
        for (row, entries) in matrix.iter().enumerate() {
            for (column, &found) in entries.iter().enumerate() {
                if !found.is_finite() || found != matrix[column][row] {
                    return Err(CovarianceError::Entry { row, column, found });
                }
            }
        }
        let covariance = Self(matrix);
        if covariance.is_positive_semidefinite() {
            Ok(covariance)
        } else {
            Err(CovarianceError::Indefinite)
        }
    }

    /// Covariance of independent quantities with standard uncertainties `u`.
    ///
    /// # Errors
    /// [`CovarianceError::Uncertainty`] for a negative or not finite one.
    pub fn independent(u: [f64; N]) -> Result<Self, CovarianceError> {
        Self::correlated(u, from_fn(|i| from_fn(|j| f64::from(u8::from(i == j)))))
    }

    /// The covariance of quantities with standard uncertainties `u` and correlation coefficients `r`, whose diagonal counts as 1.
    ///
    /// # Errors
    /// [`CovarianceError`] if an uncertainty is negative or the correlations are impossible.
    pub fn correlated(u: [f64; N], r: [[f64; N]; N]) -> Result<Self, CovarianceError> {
        if let Some(index) = u.iter().position(|u| !(u.is_finite() && *u >= 0.0)) {
            let found = u[index];
            return Err(CovarianceError::Uncertainty { index, found });
        }
        let r: [[f64; N]; N] = from_fn(|i| from_fn(|j| if i == j { 1.0 } else { r[i][j] }));
        Self::new(r)?;
        Self::new(from_fn(|i| from_fn(|j| r[i][j] * (u[i] * u[j]))))
    }

    /// The covariance matrix of M functions of these quantities, J U Jᵀ; row i of `jacobian` holds the partial
    /// derivatives of function i (JCGM 102:2011, 6.2, from memory).
    pub fn transformed<const M: usize>(&self, jacobian: &[[f64; N]; M]) -> Covariance<M> {
        let entry = |first: &[f64; N], second: &[f64; N]| -> f64 {
            let row = |entries: &[f64; N]| -> f64 {
                entries
                    .iter()
                    .zip(second)
                    .filter(|(entry, _)| **entry != 0.0)
                    .map(|(entry, d)| entry * d)
                    .sum()
            };
            first.iter().zip(&self.0).map(|(d, u)| d * row(u)).sum()
        };
        Covariance(from_fn(|i| {
            from_fn(|j| entry(&jacobian[i.min(j)], &jacobian[i.max(j)]))
        }))
    }

    /// The sum with an independent contribution.
    #[must_use]
    pub fn plus_independent(&self, other: &Self) -> Self {
        Self(from_fn(|i| from_fn(|j| self.0[i][j] + other.0[i][j])))
    }

    /// The variances and covariances.
    pub const fn matrix(&self) -> &[[f64; N]; N] {
        &self.0
    }

    /// Standard uncertainty of quantity `index`, counted from 0, less than N.
    pub fn uncertainty(&self, index: usize) -> f64 {
        let variance = self.0[index][index];
        // Rounding may leave a variance that cancels a little below zero.
        if variance < 0.0 { 0.0 } else { variance.sqrt() }
    }

    /// Correlation coefficient of two quantities, -1 to 1; `None` if one of them is known exactly.
    pub fn correlation(&self, first: usize, second: usize) -> Option<f64> {
        let (u, v) = (self.uncertainty(first), self.uncertainty(second));
        (u > 0.0 && v > 0.0).then(|| (self.0[first][second] / u / v).clamp(-1.0, 1.0))
    }

    /// Whether no combination of the quantities has a negative variance, but for rounding (correlation matrix, L D Lᵀ).
    pub fn is_positive_semidefinite(&self) -> bool {
        let exact: [bool; N] = from_fn(|i| self.0[i][i] == 0.0);
        let mut rest: [[f64; N]; N] = from_fn(|i| {
            from_fn(|j| {
                if self.0[i][j] == 0.0 {
                    0.0
                } else if exact[i] || exact[j] {
                    f64::INFINITY
                } else {
                    self.0[i][j] / self.0[i][i].abs().sqrt() / self.0[j][j].abs().sqrt()
                }
            })
        });
        (0..N).all(|k| eliminate(&mut rest, k))
    }
}

/// One step of the decomposition: takes row and column `k` out of `rest`; false if that shows a negative direction.
fn eliminate<const N: usize>(rest: &mut [[f64; N]; N], k: usize) -> bool {
    let pivot = rest[k][k];
    if pivot.is_nan() || pivot < -ROUNDING {
        return false;
    }
    if pivot <= ROUNDING {
        // The square of an entry is at most the product of its diagonal entries.
        return rest[k][k + 1..].iter().all(|r| r.abs() <= ROUNDING.sqrt());
    }
    let row = rest[k];
    *rest = from_fn(|i| {
        from_fn(|j| {
            if i > k && j > k {
                rest[i][j] - row[i] * row[j] / pivot
            } else {
                rest[i][j]
            }
        })
    });
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_correlations_are_refused() {
        let r = |a, b, c| [[1.0, a, b], [a, 1.0, c], [b, c, 1.0]];
        assert!(Covariance::correlated([1.0; 3], r(0.9, 0.9, 0.9)).is_ok());
        // Two quantities that both follow a third cannot oppose each other.
        let refused = Covariance::correlated([1.0; 3], r(0.9, 0.9, -0.9));
        assert_eq!(refused, Err(CovarianceError::Indefinite));
        let refused = Covariance::correlated([1.0; 2], [[1.0, 1.1], [1.1, 1.0]]);
        assert_eq!(refused, Err(CovarianceError::Indefinite));
    }

    #[test]
    fn a_negative_variance_is_refused() {
        let refused = Covariance::new([[1.0, 0.0], [0.0, -1.0]]);
        assert_eq!(refused, Err(CovarianceError::Indefinite));
    }

    #[test]
    fn an_exact_quantity_is_correlated_with_nothing() {
        let refused = Covariance::new([[0.0, 0.1], [0.1, 1.0]]);
        assert_eq!(refused, Err(CovarianceError::Indefinite));
        let exact = Covariance::correlated([0.0, 1.0], [[1.0, 0.5], [0.5, 1.0]]).unwrap();
        assert_eq!(exact.matrix(), &[[0.0, 0.0], [0.0, 1.0]]);
        assert_eq!(exact.correlation(0, 1), None);
    }

    #[test]
    fn lopsided_and_not_finite_matrices_name_their_entry() {
        let lopsided = Covariance::new([[1.0, 0.2], [0.1, 1.0]]).unwrap_err();
        assert!(lopsided.to_string().starts_with("entry 0, 1"), "{lopsided}");
        let infinite = Covariance::new([[1.0, 0.0], [0.0, f64::INFINITY]]).unwrap_err();
        assert!(infinite.to_string().starts_with("entry 1, 1"), "{infinite}");
    }

    #[test]
    fn a_negative_uncertainty_is_named() {
        let error = Covariance::independent([1.0, -2.0]).unwrap_err();
        let expected = CovarianceError::Uncertainty {
            index: 1,
            found: -2.0,
        };
        assert_eq!(error, expected);
    }

    #[test]
    fn a_function_of_independent_quantities_follows_the_squares() {
        let u = Covariance::independent([3.0, 4.0]).unwrap();
        let sums = u.transformed(&[[1.0, 1.0], [1.0, -1.0]]);
        assert_eq!(sums.matrix(), &[[25.0, -7.0], [-7.0, 25.0]]);
        let r = sums.correlation(0, 1).unwrap();
        assert!((r + 0.28).abs() < 1e-15, "{r}");
    }
}
