//! Steps with a tangent that is not symmetric: friction grows with pressure, and its plane
//! turns with the surface.

use nalgebra::{DMatrix, DVector, Vector6};

use super::element::Link;
use super::envelope::Factor;
use super::equations::{Balance, Equations};

/// A part of the tangent beside its symmetric one: a force on a link that grows with the
/// link's motion along a direction, global axes.
pub(crate) struct Slant {
    pub link: usize,
    pub force: Vector6<f64>,
    pub direction: Vector6<f64>,
}

impl Slant {
    fn seen(&self, links: &[Link], motion: &[Vector6<f64>]) -> f64 {
        self.direction.dot(&links[self.link].motion(motion))
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
        balance: &Balance,
    ) -> Vec<Vector6<f64>> {
        let mut step = self.step(factor, &balance.unbalanced);
        if slants.is_empty() {
            return step;
        }
        let forces = slants.iter().map(|slant| {
            let link = &self.links[slant.link];
            let mut forces = vec![Vector6::zeros(); step.len()];
            forces[link.nodes[0]] -= link.on_node(0, &slant.force);
            forces[link.nodes[1]] += link.on_node(1, &slant.force);
            forces
        });
        let forces: Vec<Vec<Vector6<f64>>> = forces.collect();
        let answers = self.steps(factor, forces.iter().map(Vec::as_slice));
        let count = slants.len();
        let mut matrix = DMatrix::identity(count, count);
        for (i, slant) in slants.iter().enumerate() {
            for (j, answer) in answers.iter().enumerate() {
                matrix[(i, j)] += slant.seen(&self.links, answer);
            }
        }
        let right = DVector::from_fn(count, |i, _| slants[i].seen(&self.links, &step));
        // Where the whole has no inverse the symmetric part alone still shows a way.
        if let Some(shares) = matrix.lu().solve(&right) {
            for (answer, share) in answers.iter().zip(shares.iter()) {
                for (place, motion) in step.iter_mut().zip(answer) {
                    *place -= motion * *share;
                }
            }
        }
        step
    }
}
