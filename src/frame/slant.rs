//! Steps with a tangent that is not symmetric: friction grows with pressure, and its plane
//! turns with the surface.

use nalgebra::{DMatrix, DVector, Vector6};

use super::balance::Balance;
use super::element::Link;
use super::envelope::Factor;
use super::equations::Equations;
use super::lanes::{LANES, Lanes, lane, lane_of, nothing};

/// A part of the tangent beside its symmetric one: a force on a link that grows with the
/// link's motion along a direction, global axes.
pub(crate) struct Slant {
    pub link: usize,
    pub force: Vector6<f64>,
    pub direction: Vector6<f64>,
}

impl Slant {
    fn seen<const N: usize>(&self, links: &[Link], motions: &[Lanes<N>]) -> [f64; N] {
        let motion = links[self.link].motions(motions);
        std::array::from_fn(|n| self.direction.dot(&lane(&motion, n)))
    }
}

impl Equations<'_> {
    /// The step that the unbalanced forces ask for, by the factor of the symmetric part and one
    /// more solution for each slant.
    ///
    /// ```text
    /// (K + Σ aᵢ bᵢᵀ) δ = r     δ = y − Z s,   y = K⁻¹ r,   Z = K⁻¹ a,   (1 + bᵀ Z) s = bᵀ y
    /// ```
    ///
    /// Source: Sherman, Morrison & Woodbury (from memory).
    pub fn slanted_step(
        &self,
        factor: &Factor,
        slants: &[Slant],
        balance: &Balance<1>,
    ) -> Vec<Vector6<f64>> {
        let straight = self.step(factor, &balance.unbalanced);
        let mut step = lane_of(&straight, 0);
        if slants.is_empty() {
            return step;
        }
        let answers: Vec<Vec<Lanes<LANES>>> = slants
            .chunks(LANES)
            .map(|group| {
                let mut forces = vec![nothing(); step.len()];
                for (n, slant) in group.iter().enumerate() {
                    let link = &self.links[slant.link];
                    for (end, sign) in [(0, -1.0), (1, 1.0)] {
                        let on_node = link.on_node(end, &slant.force);
                        let entries = forces[link.nodes[end]].iter_mut();
                        for (entries, value) in entries.zip(on_node.iter()) {
                            entries[n] += sign * value;
                        }
                    }
                }
                self.step(factor, &forces)
            })
            .collect();
        let count = slants.len();
        let mut matrix = DMatrix::identity(count, count);
        for (i, slant) in slants.iter().enumerate() {
            let seen = answers.iter().map(|answer| slant.seen(&self.links, answer));
            for (j, seen) in seen.flatten().take(count).enumerate() {
                matrix[(i, j)] += seen;
            }
        }
        let right = DVector::from_fn(count, |i, _| slants[i].seen(&self.links, &straight)[0]);
        // Where the whole has no inverse the symmetric part alone still shows a way.
        if let Some(shares) = matrix.lu().solve(&right) {
            for (answer, shares) in answers.iter().zip(shares.as_slice().chunks(LANES)) {
                for (place, motions) in step.iter_mut().zip(answer) {
                    for (entry, motions) in place.iter_mut().zip(motions) {
                        for (motion, share) in motions.iter().zip(shares) {
                            *entry -= motion * share;
                        }
                    }
                }
            }
        }
        step
    }
}
