//! [`Positions`]: the nodes of a connected network as points whose squared distances are the effective resistances.

/// A conductance between two nodes, which are counted from zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Branch {
    /// Its two nodes, which differ.
    pub ends: [usize; 2],
    /// Its conductance, S.
    pub siemens: f64,
}

/// The nodes of a connected network as points whose squared distances are the effective resistances between them, Ω.
///
/// With one node as reference the Laplacian is L = U D Uᵀ, and the columns of D^(-1/2) U^(-1) are the points, the reference being
/// the origin. It is factored by replacing each star by its mesh, which adds and never subtracts, so that 1 Ω beside 10 MΩ loses
/// no figure (the elimination of W. Grassmann, M. Taksar and D. Heyman, from memory).
#[derive(Debug, Clone)]
pub struct Positions {
    dimensions: usize,
    /// Node by node.
    coordinates: Vec<f64>,
}

impl Positions {
    /// Places the nodes 0 to `nodes` - 1. `None` where they do not hang together, or a conductance is no number to reckon with.
    pub fn of(nodes: usize, branches: &[Branch]) -> Option<Self> {
        let order = by_degree(nodes, branches);
        let mut place = vec![0; nodes];
        for (at, node) in order.iter().enumerate() {
            place[*node] = at;
        }
        let mut mesh = vec![0.0; nodes * nodes];
        for Branch { ends, siemens } in branches {
            let [a, b] = ends.map(|end| place[end]);
            mesh[a.min(b) * nodes + a.max(b)] += siemens;
        }
        let stars = eliminate(&mut mesh, nodes)?;
        Some(Self::from_factors(&mesh, &stars, &order))
    }

    /// The rows of U^(-1), each from those before it, laid out node by node.
    fn from_factors(factors: &[f64], stars: &[f64], order: &[usize]) -> Self {
        let nodes = order.len();
        let dimensions = nodes.saturating_sub(1);
        let mut rows = vec![0.0; dimensions * dimensions];
        for k in 0..dimensions {
            let (before, own) = rows.split_at_mut(k * dimensions);
            own[k] = 1.0;
            for j in 0..k {
                let share = factors[j * nodes + k];
                if share != 0.0 {
                    let row = &before[j * dimensions..=j * dimensions + j];
                    add_scaled(&mut own[..=j], share, row);
                }
            }
        }
        let mut coordinates = vec![0.0; nodes * dimensions];
        for (k, star) in stars.iter().enumerate() {
            let scale = 1.0 / star.sqrt();
            for i in 0..=k {
                coordinates[order[i] * dimensions + k] = rows[k * dimensions + i] * scale;
            }
        }
        Self {
            dimensions,
            coordinates,
        }
    }

    /// Position of a node.
    fn at(&self, node: usize) -> &[f64] {
        &self.coordinates[node * self.dimensions..][..self.dimensions]
    }

    /// The effective resistance between two nodes, Ω.
    pub fn resistance(&self, [a, b]: [usize; 2]) -> f64 {
        let pairs = self.at(a).iter().zip(self.at(b));
        pairs.map(|(a, b)| (a - b) * (a - b)).sum()
    }

    /// The inner products of all points: the potential of one node, V, per ampere into the other and out at the reference.
    pub(super) fn products(&self) -> Vec<f64> {
        let nodes = self.coordinates.len() / self.dimensions.max(1);
        let mut products = vec![0.0; nodes * nodes];
        for i in 0..nodes {
            for j in 0..=i {
                let product = dot(self.at(i), self.at(j));
                products[i * nodes + j] = product;
                products[j * nodes + i] = product;
            }
        }
        products
    }
}

/// The nodes, those with few branches first: fewer meshes come of it. The last one is the reference.
fn by_degree(nodes: usize, branches: &[Branch]) -> Vec<usize> {
    let mut degrees = vec![0_usize; nodes];
    for end in branches.iter().flat_map(|branch| branch.ends) {
        degrees[end] += 1;
    }
    let mut order: Vec<usize> = (0..nodes).collect();
    order.sort_by_key(|node| degrees[*node]);
    order
}

/// Replaces the star around each node but the last by its mesh. Afterwards the row of a node holds what share of its current goes
/// to each later node; what comes back is the conductance of each star. `None` if one has none.
fn eliminate(mesh: &mut [f64], nodes: usize) -> Option<Vec<f64>> {
    let mut stars = Vec::with_capacity(nodes);
    for k in 0..nodes.saturating_sub(1) {
        let (done, rest) = mesh.split_at_mut((k + 1) * nodes);
        let row = &mut done[k * nodes..];
        let star: f64 = row[k + 1..].iter().sum();
        if !(star > 0.0 && star.is_finite()) {
            return None;
        }
        for i in k + 1..nodes {
            let share = row[i] / star;
            if share != 0.0 {
                let own = &mut rest[(i - k - 1) * nodes..][..nodes];
                add_scaled(&mut own[i + 1..], share, &row[i + 1..]);
            }
        }
        row[k + 1..].iter_mut().for_each(|share| *share /= star);
        stars.push(star);
    }
    Some(stars)
}

/// Adds `factor` times `more` to `to`.
fn add_scaled(to: &mut [f64], factor: f64, more: &[f64]) {
    for (to, more) in to.iter_mut().zip(more) {
        *to += factor * more;
    }
}

/// The inner product, summed in eight strands: the order is fixed, so that every machine gets the same digits.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a_chunks, a_rest) = a.as_chunks::<8>();
    let (b_chunks, b_rest) = b.as_chunks::<8>();
    let mut strands = [0.0; 8];
    for (a, b) in a_chunks.iter().zip(b_chunks) {
        for (strand, (a, b)) in strands.iter_mut().zip(a.iter().zip(b)) {
            *strand += a * b;
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    strands.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ohms(ends: [usize; 2], ohms: f64) -> Branch {
        Branch {
            ends,
            siemens: 1.0 / ohms,
        }
    }

    #[test]
    fn a_node_that_hangs_loose_and_a_conductance_that_is_none_give_nothing() {
        let one = ohms([0, 1], 1.0);
        assert!(Positions::of(3, &[one]).is_none());
        assert!(Positions::of(2, &[ohms([0, 1], 0.0)]).is_none());
        assert!(Positions::of(2, &[ohms([0, 1], f64::NAN)]).is_none());
        assert_eq!(
            Positions::of(2, &[one]).map(|at| at.resistance([0, 1])),
            Some(1.0)
        );
    }

    #[test]
    fn an_ohm_far_from_the_reference_keeps_its_figures() {
        // 10 MΩ, 1 Ω, 10 MΩ in a row, and a second way of 10 MΩ beside the 1 Ω.
        let chain = [
            ohms([0, 1], 1e7),
            ohms([1, 2], 1.0),
            ohms([1, 2], 1e7),
            ohms([2, 3], 1e7),
        ];
        let found = Positions::of(4, &chain).unwrap().resistance([1, 2]);
        approx::assert_relative_eq!(found, 1e7 / (1e7 + 1.0), max_relative = 1e-14);
    }
}
