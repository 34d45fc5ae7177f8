//! [`Normal`]: a linear model of a few columns and a free constant, with a normal prior about zero on the columns' factors and the
//! scatter known up to a common factor. All in closed form (Bayesian linear model; textbook, from memory). Its sizes are fixed, since a look
//! solves hundreds of them and allocates nothing; a network's matrix, of any size, has its own room.

/// Sums of a linear model about the means.
#[derive(Debug, Clone, Copy)]
pub(super) struct Normal<const N: usize> {
    /// Number of values.
    pub(super) count: f64,
    /// Mean of each column.
    pub(super) means: [f64; N],
    /// Products of the columns with each other, the lower half.
    pub(super) products: [[f64; N]; N],
    /// Products of the columns with the values.
    pub(super) joint: [f64; N],
}

/// The likeliest factors, and what they come to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Solved<const N: usize> {
    pub(super) factors: [f64; N],
    /// Squares of the values that they explain.
    pub(super) explained: f64,
    /// Distance of the constant below the mean of the values.
    pub(super) below: f64,
    /// Variance of the constant by not knowing the factors, for a scatter of one.
    pub(super) lever: f64,
    /// Volume of the prior in units of what the values leave of it, squared.
    pub(super) volume: f64,
}

impl<const N: usize> Normal<N> {
    /// Of rows of columns, each with its value less the mean of the values.
    pub(super) fn of(rows: impl Iterator<Item = ([f64; N], f64)>) -> Self {
        let mut sums = Self {
            count: 0.0,
            means: [0.0; N],
            products: [[0.0; N]; N],
            joint: [0.0; N],
        };
        for (columns, off) in rows {
            sums.count += 1.0;
            for i in 0..N {
                sums.means[i] += columns[i];
                sums.joint[i] += columns[i] * off;
                for j in 0..=i {
                    sums.products[i][j] += columns[i] * columns[j];
                }
            }
        }
        for i in 0..N {
            for j in 0..=i {
                sums.products[i][j] -= sums.means[i] * sums.means[j] / sums.count;
            }
        }
        sums.means = sums.means.map(|sum| sum / sums.count);
        sums
    }

    /// The likeliest factors, where each has the variance of a value as many times as `shrinks` goes into one; `None` where rounding
    /// leaves nothing to be told.
    pub(super) fn solved(&self, shrinks: [f64; N]) -> Option<Solved<N>> {
        // Cholesky: products and shrinks are the product of this and its transpose.
        let mut root = [[0.0; N]; N];
        let mut volume = 1.0;
        for i in 0..N {
            for j in 0..=i {
                let known: f64 = (0..j).map(|k| root[i][k] * root[j][k]).sum();
                let left = self.products[i][j] - known;
                root[i][j] = if i > j {
                    left / root[j][j]
                } else if left + shrinks[i] > 0.0 {
                    volume *= (left + shrinks[i]) / shrinks[i];
                    (left + shrinks[i]).sqrt()
                } else {
                    return None;
                };
            }
        }
        let (joint, means) = (forward(&root, self.joint), forward(&root, self.means));
        Some(Solved {
            factors: back(&root, joint),
            explained: product(&joint, &joint),
            below: product(&joint, &means),
            lever: product(&means, &means),
            volume,
        })
    }
}

/// Solves `root`·x = `right`.
fn forward<const N: usize>(root: &[[f64; N]; N], right: [f64; N]) -> [f64; N] {
    let mut x = right;
    for i in 0..N {
        let known: f64 = (0..i).map(|k| root[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / root[i][i];
    }
    x
}

/// Solves the transpose of `root`·x = `right`.
fn back<const N: usize>(root: &[[f64; N]; N], right: [f64; N]) -> [f64; N] {
    let mut x = right;
    for i in (0..N).rev() {
        let known: f64 = (i + 1..N).map(|k| root[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / root[i][i];
    }
    x
}

fn product<const N: usize>(one: &[f64; N], other: &[f64; N]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_without_scatter_are_found() {
        let rows = (0..20).map(|i| {
            let t = f64::from(i);
            [t, t * t, libm::exp(-t)]
        });
        let value = |row: &[f64; 3]| 3.0 * row[0] - 0.5 * row[1] + 7.0 * row[2] + 2.0;
        let all: Vec<[f64; 3]> = rows.collect();
        let mean = all.iter().map(value).sum::<f64>() / all.len() as f64;
        let solved = Normal::of(all.iter().map(|row| (*row, value(row) - mean)))
            .solved([1e-12; 3])
            .unwrap();
        for (found, expected) in solved.factors.into_iter().zip([3.0, -0.5, 7.0]) {
            assert!((found - expected).abs() < 1e-6, "{solved:?}");
        }
        assert!((mean - solved.below - 2.0).abs() < 1e-6, "{solved:?}");
    }

    /// One column is the regression through the means of textbooks.
    #[test]
    fn one_column_is_a_line() {
        let points = [(1.0, 2.0), (2.0, 1.0), (4.0, 5.0), (7.0, 6.0)];
        let mean = 3.5;
        let solved = Normal::of(points.iter().map(|(x, y)| ([*x], y - mean)))
            .solved([1e-12])
            .unwrap();
        // By hand: the mean of x is 3.5, the products are 17 and 21.
        assert!((solved.factors[0] - 17.0 / 21.0).abs() < 1e-9);
        assert!((solved.explained - 17.0 * 17.0 / 21.0).abs() < 1e-9);
        assert!((solved.below - 3.5 * 17.0 / 21.0).abs() < 1e-9);
        assert!((solved.lever - 3.5 * 3.5 / 21.0).abs() < 1e-9);
    }
}
