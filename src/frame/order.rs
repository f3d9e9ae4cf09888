//! Numbering of the nodes for a narrow envelope.

use std::collections::VecDeque;

/// Numbering of the nodes, and the joints it was made for.
#[derive(Debug, Clone, Default)]
pub(crate) struct Numbering {
    joints: Vec<[usize; 2]>,
    /// `order[position] = node`.
    pub order: Vec<usize>,
    /// `position[node]`.
    pub position: Vec<usize>,
}

impl Numbering {
    /// The numbering among those at hand that was made for as many nodes and the same joints,
    /// else a new one.
    ///
    /// * `joints`: the pairs of nodes whose equations meet
    pub fn for_joints(
        count: usize,
        joints: impl Iterator<Item = [usize; 2]> + Clone,
        at_hand: &mut Vec<Numbering>,
    ) -> Self {
        let fits = |numbering: &Numbering| {
            numbering.order.len() == count && numbering.joints.iter().copied().eq(joints.clone())
        };
        if let Some(index) = at_hand.iter().position(fits) {
            return at_hand.swap_remove(index);
        }
        let joints: Vec<[usize; 2]> = joints.collect();
        let order = node_order(count, joints.iter().copied());
        let mut position = vec![0; count];
        for (place, &node) in order.iter().enumerate() {
            position[node] = place;
        }
        Numbering {
            joints,
            order,
            position,
        }
    }
}

/// Order in which nodes are eliminated: `order[position] = node`.
///
/// Reverse Cuthill–McKee from the node of fewest neighbours in each connected part. On
/// a bone with a device beside it this numbers both side by side, station after
/// station, which keeps the factor as small as sorting by station would.
///
/// Source: Cuthill & McKee, *Proc. 24th ACM National Conference* (1969) 157–172 (from memory).
///
/// * `joints`: the pairs of nodes whose equations meet
fn node_order(count: usize, joints: impl Iterator<Item = [usize; 2]>) -> Vec<usize> {
    let mut neighbours = vec![Vec::new(); count];
    for [a, b] in joints {
        neighbours[a].push(b);
        neighbours[b].push(a);
    }
    let degrees: Vec<usize> = neighbours.iter().map(Vec::len).collect();
    for list in &mut neighbours {
        list.sort_unstable_by_key(|&node| (degrees[node], node));
        list.dedup();
    }

    let mut starts: Vec<usize> = (0..count).collect();
    starts.sort_by_key(|&node| degrees[node]);
    let mut order = Vec::with_capacity(count);
    let mut seen = vec![false; count];
    for start in starts {
        if seen[start] {
            continue;
        }
        let start = farthest(start, &neighbours);
        let mut queue = VecDeque::from([start]);
        seen[start] = true;
        while let Some(node) = queue.pop_front() {
            order.push(node);
            for &next in &neighbours[node] {
                if !seen[next] {
                    seen[next] = true;
                    queue.push_back(next);
                }
            }
        }
    }
    order.reverse();
    order
}

/// A node as far as can be from the given one in its connected part.
fn farthest(start: usize, neighbours: &[Vec<usize>]) -> usize {
    let mut seen = vec![false; neighbours.len()];
    let mut queue = VecDeque::from([start]);
    seen[start] = true;
    let mut last = start;
    while let Some(node) = queue.pop_front() {
        last = node;
        for &next in &neighbours[node] {
            if !seen[next] {
                seen[next] = true;
                queue.push_back(next);
            }
        }
    }
    last
}
