//! Effective resistances of networks that are known in closed form, and three laws that every network keeps.
//!
//! The figures of the regular graphs are classical; they were computed exactly with a general-purpose library (sympy). The laws: R. M. Foster,
//! The average impedance of an electrical network (1949); A. E. Kennelly, The equivalence of triangles and three-pointed stars (1899); Lord
//! Rayleigh's monotonicity law, all in P. G. Doyle and J. L. Snell, Random Walks and Electric Networks.

use approx::assert_relative_eq;
use probewright::face::engine::network::{Blocks, Branch, Positions};
use proptest::prelude::*;

/// The graph of unit resistors in which these nodes are joined.
fn graph(nodes: usize, joined: impl Fn(usize, usize) -> bool) -> Vec<Branch> {
    let pairs = (0..nodes).flat_map(|a| (a + 1..nodes).map(move |b| [a, b]));
    let joined = pairs.filter(|[a, b]| joined(*a, *b));
    joined.map(|ends| Branch { ends, siemens: 1.0 }).collect()
}

/// A polyhedron by its corners: joined are those that lie nearest to each other.
fn polyhedron(corners: &[[f64; 3]]) -> (usize, Vec<Branch>) {
    let square = |a: usize, b: usize| -> f64 {
        let pairs = corners[a].iter().zip(corners[b]);
        pairs.map(|(a, b)| (a - b) * (a - b)).sum()
    };
    let nearest = (1..corners.len())
        .map(|b| square(0, b))
        .fold(f64::MAX, f64::min);
    let count = corners.len();
    (
        count,
        graph(count, |a, b| square(a, b) < nearest * 1.000_001),
    )
}

/// Every corner with these coordinates in cyclic order and all signs.
fn cyclic(x: f64, y: f64, z: f64) -> Vec<[f64; 3]> {
    let mut corners = Vec::new();
    for [x, y, z] in [[x, y, z], [y, z, x], [z, x, y]] {
        for signs in 0..8 {
            let sign = |bit: u8| if signs & bit == 0 { 1.0 } else { -1.0 };
            let corner = [sign(1) * x, sign(2) * y, sign(4) * z].map(|c| c + 0.0);
            if !corners.contains(&corner) {
                corners.push(corner);
            }
        }
    }
    corners
}

/// How many branches lie between node 0 and each node.
fn distances(nodes: usize, branches: &[Branch]) -> Vec<usize> {
    let mut distance = vec![usize::MAX; nodes];
    distance[0] = 0;
    for step in 0..nodes {
        for branch in branches {
            let [a, b] = branch.ends;
            for (from, to) in [(a, b), (b, a)] {
                if distance[from] == step {
                    distance[to] = distance[to].min(step + 1);
                }
            }
        }
    }
    distance
}

/// Holds the resistance from node 0 to each other node against the one listed for its distance.
fn holds(nodes: usize, branches: &[Branch], by_distance: &[f64]) {
    let at = Positions::of(nodes, branches).unwrap();
    let distance = distances(nodes, branches);
    assert_eq!(
        distance.iter().max(),
        Some(&by_distance.len()),
        "a distance without a figure"
    );
    for node in 1..nodes {
        let expected = by_distance[distance[node] - 1];
        assert_relative_eq!(at.resistance([0, node]), expected, max_relative = 1e-13);
    }
}

#[test]
fn the_platonic_solids() {
    let golden = f64::midpoint(1.0, 5f64.sqrt());
    holds(4, &graph(4, |_, _| true), &[1.0 / 2.0]);
    let (nodes, cube) = polyhedron(&cyclic(1.0, 1.0, 1.0));
    assert_eq!((nodes, cube.len()), (8, 12));
    holds(nodes, &cube, &[7.0 / 12.0, 3.0 / 4.0, 5.0 / 6.0]);
    let (nodes, octahedron) = polyhedron(&cyclic(1.0, 0.0, 0.0));
    assert_eq!((nodes, octahedron.len()), (6, 12));
    holds(nodes, &octahedron, &[5.0 / 12.0, 1.0 / 2.0]);
    let (nodes, icosahedron) = polyhedron(&cyclic(0.0, 1.0, golden));
    assert_eq!((nodes, icosahedron.len()), (12, 30));
    holds(nodes, &icosahedron, &[11.0 / 30.0, 7.0 / 15.0, 1.0 / 2.0]);
    let mut corners = cyclic(0.0, 1.0 / golden, golden);
    corners.extend(cyclic(1.0, 1.0, 1.0));
    let (nodes, dodecahedron) = polyhedron(&corners);
    assert_eq!((nodes, dodecahedron.len()), (20, 30));
    let figures = [19.0 / 30.0, 9.0 / 10.0, 16.0 / 15.0, 17.0 / 15.0, 7.0 / 6.0];
    holds(nodes, &dodecahedron, &figures);
}

#[test]
fn the_petersen_graph_and_its_like() {
    // Two rings of five, the inner one a star, joined corner by corner.
    let petersen = graph(10, |a, b| match (a < 5, b < 5) {
        (true, true) => [1, 4].contains(&(b - a)),
        (false, false) => [2, 3].contains(&(b - a)),
        _ => b == a + 5,
    });
    holds(10, &petersen, &[3.0 / 5.0, 4.0 / 5.0]);
    holds(5, &graph(5, |_, _| true), &[2.0 / 5.0]);
    let hexagon = graph(6, |a, b| b == a + 1 || (a, b) == (0, 5));
    holds(6, &hexagon, &[5.0 / 6.0, 4.0 / 3.0, 3.0 / 2.0]);
    let utilities = graph(6, |a, b| (a < 3) != (b < 3));
    holds(6, &utilities, &[5.0 / 9.0, 2.0 / 3.0]);
}

/// Series 1 Ω and shunt 1 Ω, so many times, the last one open: ratios of Fibonacci numbers, towards the golden ratio.
#[test]
fn the_ladder_goes_to_the_golden_ratio() {
    let ladder = |sections: usize| {
        let section = |k: usize| [[if k == 0 { 1 } else { k + 1 }, k + 2], [k + 2, 0]];
        let ends = (0..sections).flat_map(section);
        let branches: Vec<Branch> = ends.map(|ends| Branch { ends, siemens: 1.0 }).collect();
        let at = Positions::of(sections + 2, &branches).unwrap();
        at.resistance([0, 1])
    };
    let ratios = [(2, 1), (5, 3), (13, 8), (34, 21), (89, 55), (233, 144)];
    for (sections, (over, under)) in ratios.iter().enumerate() {
        let expected = f64::from(*over) / f64::from(*under);
        assert_relative_eq!(ladder(sections + 1), expected, max_relative = 1e-14);
    }
    let golden = f64::midpoint(1.0, 5f64.sqrt());
    assert_relative_eq!(ladder(30), golden, max_relative = 1e-12);
}

/// The infinite square lattice has 1/2 between neighbours and 2/π along a diagonal (J. Cserti, Application of the lattice Green's
/// function for calculating the resistance of an infinite network of resistors, 2000). A finite one comes to these from above, by
/// Rayleigh's law, and its error falls with the square of its side.
#[test]
fn the_square_lattice_goes_to_one_half_and_two_over_pi() {
    let lattice = |half: usize| {
        let side = 2 * half + 1;
        let lines = graph(side * side, |a, b| {
            b == a + side || (b == a + 1 && b % side != 0)
        });
        let at = Positions::of(side * side, &lines).unwrap();
        let middle = half * side + half;
        [middle + 1, middle + side + 1].map(|to| at.resistance([middle, to]))
    };
    let (coarse, fine) = (lattice(5), lattice(10));
    let limits = [0.5, std::f64::consts::FRAC_2_PI];
    for (place, limit) in limits.into_iter().enumerate() {
        let (far, near) = (coarse[place] - limit, fine[place] - limit);
        assert!(near > 0.0 && near < 0.005, "{near} off {limit}");
        assert!((3.0..5.0).contains(&(far / near)), "{far} then {near}");
    }
}

/// Unbalanced and balanced bridge: 170/71 Ω and 80/3 Ω (computed exactly with sympy).
#[test]
fn a_bridge() {
    let bridge = |ohms: [f64; 5]| {
        let ends = [[0, 1], [0, 2], [1, 3], [2, 3], [1, 2]];
        let branches = ends.into_iter().zip(ohms);
        let branches: Vec<Branch> = branches
            .map(|(ends, ohms)| Branch {
                ends,
                siemens: 1.0 / ohms,
            })
            .collect();
        Positions::of(4, &branches).unwrap().resistance([0, 3])
    };
    let unbalanced = bridge([1.0, 2.0, 3.0, 4.0, 5.0]);
    assert_relative_eq!(unbalanced, 170.0 / 71.0, max_relative = 1e-14);
    let balanced = bridge([10.0, 20.0, 30.0, 60.0, 50.0]);
    assert_relative_eq!(balanced, 80.0 / 3.0, max_relative = 1e-14);
}

/// A network that hangs together: a tree, and further branches, of 1 Ω to 10 MΩ.
fn networks() -> impl Strategy<Value = (usize, Vec<Branch>)> {
    let tree = proptest::collection::vec((any::<proptest::sample::Index>(), 0.0..7.0_f64), 2..14);
    let more = proptest::collection::vec(
        (
            any::<proptest::sample::Index>(),
            any::<proptest::sample::Index>(),
            0.0..7.0_f64,
        ),
        0..20,
    );
    (tree, more).prop_map(|(tree, more)| {
        let nodes = tree.len() + 1;
        let branch = |a: usize, b: usize, decades: f64| Branch {
            ends: [a, b],
            siemens: libm::pow(10.0, -decades),
        };
        let tree = tree
            .iter()
            .enumerate()
            .map(|(k, (to, decades))| branch(k + 1, to.index(k + 1), *decades));
        let more = more
            .iter()
            .map(|(a, b, decades)| branch(a.index(nodes), b.index(nodes), *decades));
        let branches = tree.chain(more).filter(|one| one.ends[0] != one.ends[1]);
        (nodes, branches.collect())
    })
}

proptest! {
    #[test]
    fn foster((nodes, branches) in networks()) {
        let at = Positions::of(nodes, &branches).unwrap();
        let shares = branches.iter().map(|one| one.siemens * at.resistance(one.ends));
        assert_relative_eq!(shares.sum::<f64>(), nodes as f64 - 1.0, max_relative = 1e-12);
    }

    #[test]
    fn foster_in_two_pieces((nodes, branches) in networks()) {
        let mut both = branches.clone();
        both.extend(branches.iter().map(|one| Branch { ends: one.ends.map(|end| end + nodes), ..*one }));
        let ends: Vec<[usize; 2]> = both.iter().map(|one| one.ends).collect();
        let blocks = Blocks::of(2 * nodes, &ends);
        prop_assert_eq!(blocks.piece.iter().max(), Some(&1));
        prop_assert!(Positions::of(2 * nodes, &both).is_none());
    }

    #[test]
    fn a_triangle_is_a_star((nodes, branches) in networks(), ohms in proptest::array::uniform3(0.0..7.0_f64), at in proptest::array::uniform3(0_usize..3)) {
        prop_assume!(nodes > 3);
        let [ab, bc, ca] = ohms.map(|decades| libm::pow(10.0, decades));
        let sum = ab + bc + ca;
        let branch = |a, b, ohms: f64| Branch { ends: [a, b], siemens: 1.0 / ohms };
        let mut triangle = branches.clone();
        triangle.extend([branch(0, 1, ab), branch(1, 2, bc), branch(2, 0, ca)]);
        let mut star = branches;
        star.extend([branch(nodes, 0, ab * ca / sum), branch(nodes, 1, ab * bc / sum), branch(nodes, 2, bc * ca / sum)]);
        let (triangle, star) = (Positions::of(nodes, &triangle).unwrap(), Positions::of(nodes + 1, &star).unwrap());
        for node in at {
            let pair = [node, nodes - 1];
            assert_relative_eq!(triangle.resistance(pair), star.resistance(pair), max_relative = 1e-12);
        }
    }

    #[test]
    fn rayleigh((nodes, branches) in networks(), which in any::<proptest::sample::Index>(), factor in 1.0..100.0_f64) {
        let mut more = branches.clone();
        let place = which.index(more.len());
        more[place].siemens *= factor;
        let (before, after) = (Positions::of(nodes, &branches).unwrap(), Positions::of(nodes, &more).unwrap());
        for a in 0..nodes {
            for b in a + 1..nodes {
                prop_assert!(after.resistance([a, b]) <= before.resistance([a, b]) * (1.0 + 1e-12));
            }
        }
    }

    #[test]
    fn a_resistance_is_a_distance((nodes, branches) in networks()) {
        let at = Positions::of(nodes, &branches).unwrap();
        for c in 0..nodes {
            let [ab, bc, ca] = [[0, 1], [1, c], [c, 0]].map(|pair| at.resistance(pair));
            prop_assert!(ab <= (bc + ca) * (1.0 + 1e-12));
        }
    }
}
