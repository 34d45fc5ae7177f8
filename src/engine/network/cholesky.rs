//! [`Cholesky`]: a symmetric positive matrix taken apart.

use super::positions::dot;

/// The lower triangle L of a symmetric positive matrix L Lᵀ.
#[derive(Debug, Clone)]
pub(super) struct Cholesky {
    size: usize,
    rows: Vec<f64>,
}

impl Cholesky {
    /// Of a matrix of so many rows, row by row; only the lower triangle is read. `None` if it is not positive.
    pub(super) fn of(mut rows: Vec<f64>, size: usize) -> Option<Self> {
        for i in 0..size {
            let (above, row) = rows.split_at_mut(i * size);
            for j in 0..i {
                let other = &above[j * size..][..=j];
                row[j] = (row[j] - dot(&row[..j], &other[..j])) / other[j];
            }
            let left = row[i] - dot(&row[..i], &row[..i]);
            if !(left > 0.0 && left.is_finite()) {
                return None;
            }
            row[i] = left.sqrt();
        }
        Some(Self { size, rows })
    }

    fn row(&self, row: usize) -> &[f64] {
        &self.rows[row * self.size..][..=row]
    }

    /// The vector that the matrix turns into that right-hand side.
    pub(super) fn solve(&self, mut right: Vec<f64>) -> Vec<f64> {
        for i in 0..self.size {
            let row = self.row(i);
            right[i] = (right[i] - dot(&row[..i], &right[..i])) / row[i];
        }
        for i in (0..self.size).rev() {
            let row = self.row(i);
            right[i] /= row[i];
            let known = right[i];
            for (right, factor) in right[..i].iter_mut().zip(row) {
                *right -= factor * known;
            }
        }
        right
    }

    /// The inverse of the matrix, row by row.
    pub(super) fn inverse(&self) -> Vec<f64> {
        let size = self.size;
        // Each row of the upper triangle is a column of L^(-1).
        let mut columns = vec![0.0; size * size];
        for (j, column) in columns.chunks_mut(size).enumerate() {
            column[j] = 1.0 / self.row(j)[j];
            for i in j + 1..size {
                let row = self.row(i);
                column[i] = -dot(&row[j..i], &column[j..i]) / row[i];
            }
        }
        let mut inverse = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..=i {
                let tail = |column: usize| &columns[column * size..][i..size];
                let entry = dot(tail(i), tail(j));
                inverse[i * size + j] = entry;
                inverse[j * size + i] = entry;
            }
        }
        inverse
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The matrix of Hilbert, 1/(i + j + 1), of three rows has an inverse of whole numbers (any textbook of numerics).
    #[test]
    fn hilbert() {
        let rows: Vec<f64> = (0..9)
            .map(|at| 1.0 / f64::from(at / 3 + at % 3 + 1))
            .collect();
        let taken_apart = Cholesky::of(rows, 3).unwrap();
        let expected = [9.0, -36.0, 30.0, -36.0, 192.0, -180.0, 30.0, -180.0, 180.0];
        for (found, expected) in taken_apart.inverse().into_iter().zip(expected) {
            approx::assert_relative_eq!(found, expected, max_relative = 1e-12);
        }
        let solved = taken_apart.solve(vec![1.0, 0.0, 0.0]);
        approx::assert_relative_eq!(solved[1], -36.0, max_relative = 1e-12);
    }

    #[test]
    fn what_is_not_positive_is_refused() {
        assert!(Cholesky::of(vec![1.0, 2.0, 2.0, 1.0], 2).is_none());
        assert!(Cholesky::of(vec![f64::NAN], 1).is_none());
    }
}
