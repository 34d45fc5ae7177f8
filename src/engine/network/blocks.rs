//! [`Blocks`]: what hangs together, and what is in a loop with what.

use petgraph::unionfind::UnionFind;

/// The pieces of a network, and its blocks: two branches are of one block if a loop goes through both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blocks {
    /// Of each node the number of its piece, from 0 in the order of the nodes.
    pub piece: Vec<usize>,
    /// The branches of each block, in their order; a branch in no loop is a block by itself.
    pub blocks: Vec<Vec<usize>>,
}

/// Link of a node to the tree that its piece was reached by.
#[derive(Clone, Copy)]
struct Hold {
    depth: usize,
    /// The node that it was reached from, and the branch.
    up: Option<(usize, usize)>,
}

impl Blocks {
    /// Of a network with so many nodes and branches with these ends, which differ.
    pub fn of(nodes: usize, ends: &[[usize; 2]]) -> Self {
        let (holds, piece) = spread(nodes, ends);
        // Each branch beside the tree closes a loop with the tree. Loops that share a branch are of one block: the blocks of a
        // graph are the components of its cycle matroid, which the loops of any one tree tell (J. Oxley, Matroid Theory, from memory).
        let mut joined = UnionFind::<usize>::new(ends.len());
        for (branch, ends) in ends.iter().enumerate() {
            let [mut a, mut b] = *ends;
            while a != b {
                if holds[a].depth < holds[b].depth {
                    std::mem::swap(&mut a, &mut b);
                }
                let Some((node, above)) = holds[a].up else {
                    break;
                };
                joined.union(branch, above);
                a = node;
            }
        }
        Self {
            piece,
            blocks: grouped(&joined.into_labeling()),
        }
    }
}

/// Reaches every node from the first of its piece, breadth first.
fn spread(nodes: usize, ends: &[[usize; 2]]) -> (Vec<Hold>, Vec<usize>) {
    let mut beside = vec![Vec::new(); nodes];
    for (branch, [a, b]) in ends.iter().enumerate() {
        beside[*a].push((*b, branch));
        beside[*b].push((*a, branch));
    }
    let mut holds = vec![Hold { depth: 0, up: None }; nodes];
    let mut piece = vec![usize::MAX; nodes];
    let mut pieces = 0;
    for first in 0..nodes {
        if piece[first] != usize::MAX {
            continue;
        }
        piece[first] = pieces;
        let mut reached = std::collections::VecDeque::from([first]);
        while let Some(node) = reached.pop_front() {
            for (next, branch) in &beside[node] {
                if piece[*next] == usize::MAX {
                    piece[*next] = pieces;
                    holds[*next] = Hold {
                        depth: holds[node].depth + 1,
                        up: Some((node, *branch)),
                    };
                    reached.push_back(*next);
                }
            }
        }
        pieces += 1;
    }
    (holds, piece)
}

/// The places of each label, in the order of their first places.
fn grouped(labels: &[usize]) -> Vec<Vec<usize>> {
    let mut number = vec![None; labels.len()];
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (place, label) in labels.iter().enumerate() {
        let group = *number[*label].get_or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[group].push(place);
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_triangles_at_one_node_are_two_blocks_and_a_tail_is_in_none() {
        let ends = [
            [0, 1],
            [1, 2],
            [2, 0],
            [2, 3],
            [3, 4],
            [4, 2],
            [4, 5],
            [6, 7],
        ];
        let found = Blocks::of(9, &ends);
        assert_eq!(
            found.blocks,
            [vec![0, 1, 2], vec![3, 4, 5], vec![6], vec![7]]
        );
        assert_eq!(found.piece, [0, 0, 0, 0, 0, 0, 1, 1, 2]);
    }

    #[test]
    fn two_parts_side_by_side_are_a_loop() {
        assert_eq!(Blocks::of(2, &[[0, 1], [1, 0]]).blocks, [vec![0, 1]]);
    }

    proptest::proptest! {
        /// Checked by the definition: in no loop is what parts its ends when it goes; petgraph finds these by a way of its own.
        #[test]
        fn what_is_in_no_loop_are_the_bridges(pairs in proptest::collection::vec((0_usize..12, 0_usize..12), 1..30)) {
            let mut ends: Vec<[usize; 2]> = pairs.into_iter().filter(|(a, b)| a != b).map(|(a, b)| [a.min(b), a.max(b)]).collect();
            ends.sort_unstable();
            ends.dedup();
            let edges = ends.iter().map(|[a, b]| (*a as u32, *b as u32));
            let graph = petgraph::graph::UnGraph::<(), ()>::from_edges(edges);
            let mut bridges: Vec<usize> = petgraph::algo::bridges(&graph).map(|edge| petgraph::visit::EdgeRef::id(&edge).index()).collect();
            bridges.sort_unstable();
            let mut found: Vec<usize> = Blocks::of(12, &ends).blocks.into_iter().filter(|block| block.len() == 1).flatten().collect();
            found.sort_unstable();
            proptest::prop_assert_eq!(found, bridges);
        }
    }
}
