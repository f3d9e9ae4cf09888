//! Buckling: load factors at which the linear state under a load case loses its stability.

use nalgebra::{DMatrix, Matrix6, SymmetricEigen, Vector6};

use super::corotational::symmetric_blocks;
use super::element::Link;
use super::envelope::{Envelope, Factor};
use super::equilibrium::{Equilibrium, add_scaled};
use super::error::SolveError;
use super::{Frame, LoadCase};

/// Which way the loads are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadSense {
    /// As given: positive load factors.
    AsGiven,
    /// Reversed: negative load factors.
    Reversed,
}

/// Vectors added to the search space at a time beyond the modes asked for.
const SPARE: usize = 2;

/// Largest search space.
const MOST_VECTORS: usize = 400;

/// Change of a load factor from one round to the next, as a share, that counts as none.
/// Its shape is then right to about the root of it.
const SETTLED: f64 = 1e-12;

/// A factor this many times the smallest of either sense counts as none at all.
const OUT_OF_REACH: f64 = 1e6;

/// The lowest load factors of one sense, and their shapes.
#[derive(Debug, Clone, PartialEq)]
pub struct Buckling {
    /// Load factors, nearest to zero first; fewer than asked for where no more exist.
    pub load_factors: Vec<f64>,
    /// Displacement (mm) and rotation (rad) of every node in each shape, global axes; the
    /// largest component over all nodes is 1.
    pub shapes: Vec<Vec<Vector6<f64>>>,
}

/// Lowest load factors at which the frame buckles about its linear state.
///
/// The loads of the case grow together; displacements before buckling are left out, the
/// forces they cause are not. Axial forces, shear forces, moments and torque enter, each
/// constant along a member or linear as statics has it, so lateral and torsional buckling
/// is found too:
///
/// ```text
/// (K + λ Kg) φ = 0      Kg = the part of the co-rotational tangent linear in the forces
/// ```
///
/// An axial force acts normal to the turned section, so that short columns follow
/// Haringx: `P = (G As/2) (√(1 + 4 PE/(G As)) − 1)`. A moment applied at a node that can turn
/// about other axes acts as half follower, half fixed (semitangential).
///
/// Modes are sought in a growing block Krylov space of `K⁻¹ Kg`, and proven complete by
/// the inertia of `K + σ Kg` just above the last: it has one negative eigenvalue for each mode
/// below `σ`.
///
/// * `modes`: how many, at least 1
///
/// # Errors
/// Those of [`solve`](super::solve), and [`SolveError::ModesMissing`] when completeness
/// could not be proven.
///
/// Source: Haringx, *Philips Research Reports* 3 (1948) 401–449 (from memory).
pub fn buckle(
    frame: &Frame,
    case: &LoadCase,
    modes: usize,
    sense: LoadSense,
) -> Result<Buckling, SolveError> {
    let equilibrium = Equilibrium::new(frame, case)?;
    let (factor, _) = equilibrium.equations.sound_factor()?;
    let stability = Stability::new(&equilibrium, &factor, sense)?;
    stability.lowest(&factor, modes)
}

/// The two matrices of the eigenproblem.
struct Stability<'a> {
    equilibrium: &'a Equilibrium<'a>,
    /// Blocks `ii`, `ij`, `jj` of `K` and of `Kg`, for each link.
    elastic: Vec<[Matrix6<f64>; 3]>,
    geometric: Vec<[Matrix6<f64>; 3]>,
    sense: LoadSense,
}

impl<'a> Stability<'a> {
    fn new(
        equilibrium: &'a Equilibrium<'a>,
        factor: &Factor,
        sense: LoadSense,
    ) -> Result<Self, SolveError> {
        let equations = &equilibrium.equations;
        let case = equilibrium.case;
        let loading = equations.loading(case)?;
        let motions = equations
            .solve_case(&case.name, &loading, factor)?
            .displacements;
        let sign = match sense {
            LoadSense::AsGiven => 1.0,
            LoadSense::Reversed => -1.0,
        };
        let geometric = |(index, link): (usize, &Link)| {
            let motion = link.motion(&motions);
            let tangent = match equilibrium.beams.get(index) {
                Some(beam) => beam.geometric(&equations.geometries[index].to_local(&motion)),
                None => link.geometric(&(link.stiffness * motion)),
            };
            symmetric_blocks(&(tangent * sign))
        };
        Ok(Stability {
            equilibrium,
            elastic: equations.links.iter().map(Link::blocks).collect(),
            geometric: equations.links.iter().enumerate().map(geometric).collect(),
            sense,
        })
    }

    /// `K + σ Kg`.
    fn matrix(&self, factor: f64) -> Envelope {
        let equations = &self.equilibrium.equations;
        let blocks = |index: usize| {
            let ([ii, ij, jj], [gii, gij, gjj]) = (&self.elastic[index], &self.geometric[index]);
            [ii + gii * factor, ij + gij * factor, jj + gjj * factor]
        };
        equations.gather(blocks, |support| {
            Matrix6::from_diagonal(&support.springs.into())
        })
    }

    /// `−Kg x` on the free degrees of freedom.
    fn softening(&self, motions: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let equations = &self.equilibrium.equations;
        let mut loads = vec![Vector6::zeros(); motions.len()];
        for (link, [ii, ij, jj]) in equations.links.iter().zip(&self.geometric) {
            let [i, j] = link.nodes;
            loads[i] -= ii * motions[i] + ij * motions[j];
            loads[j] -= ij.tr_mul(&motions[i]) + jj * motions[j];
        }
        for (node, load) in loads.iter_mut().enumerate() {
            *load = equations.free_force(node, load);
        }
        loads
    }

    /// `K x`.
    fn stiffness(&self, motions: &[Vector6<f64>]) -> Vec<Vector6<f64>> {
        let equations = &self.equilibrium.equations;
        let mut loads = vec![Vector6::zeros(); motions.len()];
        for (link, [ii, ij, jj]) in equations.links.iter().zip(&self.elastic) {
            let [i, j] = link.nodes;
            loads[i] += ii * motions[i] + ij * motions[j];
            loads[j] += ij.tr_mul(&motions[i]) + jj * motions[j];
        }
        for support in equations.supports {
            let springs = Vector6::from(support.springs);
            loads[support.node] += springs.component_mul(&motions[support.node]);
        }
        loads
    }

    /// Modes of the lowest positive factors of this sense.
    fn lowest(&self, factor: &Factor, modes: usize) -> Result<Buckling, SolveError> {
        let mut space = Space::default();
        let count = self.equilibrium.equations.numbering.order.len();
        let width = modes + SPARE;
        let mut block: Vec<_> = (0..width)
            .map(|k| self.equilibrium.solve(factor, &uneven(count, k)))
            .collect();
        let mut before: Vec<f64> = Vec::new();
        loop {
            let added = space.extend(self, &block);
            let mut found = space.modes();
            let asked = found.factors.len().min(modes);
            let settled = before.len() >= asked
                && found.factors[..asked]
                    .iter()
                    .zip(&before)
                    .all(|(now, then)| (now - then).abs() <= SETTLED * now);
            let exhausted = added == 0 || space.vectors.len() >= MOST_VECTORS;
            if settled || exhausted {
                // Just above the last mode, or far above all of the other sense.
                let above = match asked == modes {
                    true => found.factors[modes - 1] * (1.0 + 1e-6),
                    false => found.far,
                };
                // Factors in the space are never below the true ones: equal numbers of them
                // below `above` leave none out, a twin of the last mode included.
                let below = self.matrix(above).factor().1.negative;
                let in_space = found.factors.iter().filter(|factor| **factor < above);
                if below == in_space.count() {
                    found.factors.truncate(asked);
                    return Ok(self.report(&space, &found));
                }
                if exhausted {
                    return Err(SolveError::ModesMissing {
                        case: self.equilibrium.case.name.clone(),
                        modes,
                    });
                }
            }
            before = found.factors;
            let newest = &space.softened[space.softened.len() - added..];
            block = newest
                .iter()
                .map(|load| self.equilibrium.solve(factor, load))
                .collect();
        }
    }

    fn report(&self, space: &Space, found: &Modes) -> Buckling {
        let sign = match self.sense {
            LoadSense::AsGiven => 1.0,
            LoadSense::Reversed => -1.0,
        };
        let shape = |weights: &Vec<f64>| {
            let mut shape = vec![Vector6::zeros(); space.vectors[0].len()];
            for (vector, weight) in space.vectors.iter().zip(weights) {
                add_scaled(&mut shape, vector, *weight);
            }
            let entries = shape.iter().flat_map(|part| part.iter().copied());
            let largest = entries.fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
            for part in &mut shape {
                *part /= largest;
            }
            shape
        };
        Buckling {
            load_factors: found.factors.iter().map(|factor| sign * factor).collect(),
            shapes: found.weights[..found.factors.len()]
                .iter()
                .map(shape)
                .collect(),
        }
    }
}

/// Loads without symmetry, so that no mode is orthogonal to them by chance.
fn uneven(count: usize, k: usize) -> Vec<Vector6<f64>> {
    let entry = |node: usize, i: usize| {
        let n = (6 * node + i + 1) as f64;
        (n * (0.618 + 0.137 * k as f64)).fract() - 0.5
    };
    (0..count)
        .map(|node| Vector6::from_fn(|i, _| entry(node, i)))
        .collect()
}

/// A search space, orthonormal in `K`, and `−Kg` in it.
#[derive(Default)]
struct Space {
    vectors: Vec<Vec<Vector6<f64>>>,
    /// `K v`.
    stiffened: Vec<Vec<Vector6<f64>>>,
    /// `−Kg v`.
    softened: Vec<Vec<Vector6<f64>>>,
    /// `vᵀ (−Kg) v` of all pairs, by rows up to the diagonal.
    products: Vec<Vec<f64>>,
}

/// Modes in a search space.
struct Modes {
    factors: Vec<f64>,
    /// Weights of the space's vectors in each.
    weights: Vec<Vec<f64>>,
    /// A factor above all that can be told from none.
    far: f64,
}

impl Space {
    /// Adds what is new in a block of vectors; returns how many are.
    fn extend(&mut self, stability: &Stability, block: &[Vec<Vector6<f64>>]) -> usize {
        let before = self.vectors.len();
        for vector in block {
            let mut vector = vector.clone();
            let first = dot(&vector, &stability.stiffness(&vector)).sqrt();
            // Twice is enough to be orthogonal to rounding.
            for _ in 0..2 {
                for (other, stiffened) in self.vectors.iter().zip(&self.stiffened) {
                    let share = dot(&vector, stiffened);
                    add_scaled(&mut vector, other, -share);
                }
            }
            let stiffened = stability.stiffness(&vector);
            let left = dot(&vector, &stiffened).sqrt();
            if left.is_nan() || left <= 1e-10 * first {
                continue;
            }
            let scaled = |vector: &[Vector6<f64>]| -> Vec<Vector6<f64>> {
                vector.iter().map(|part| part / left).collect()
            };
            let (vector, stiffened) = (scaled(&vector), scaled(&stiffened));
            let softened = stability.softening(&vector);
            let others = self.vectors.iter().chain([&vector]);
            self.products
                .push(others.map(|other| dot(other, &softened)).collect());
            self.vectors.push(vector);
            self.stiffened.push(stiffened);
            self.softened.push(softened);
        }
        self.vectors.len() - before
    }

    /// All positive load factors in the space in order, `1/μ` of `−Kg φ = μ K φ`.
    fn modes(&self) -> Modes {
        let size = self.vectors.len();
        let product = |i: usize, k: usize| self.products[i.max(k)][i.min(k)];
        let eigen = SymmetricEigen::new(DMatrix::from_fn(size, size, product));
        let largest = eigen.eigenvalues.amax();
        let mut order: Vec<usize> = (0..size)
            .filter(|&k| eigen.eigenvalues[k] * OUT_OF_REACH > largest)
            .collect();
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        Modes {
            factors: order.iter().map(|&k| 1.0 / eigen.eigenvalues[k]).collect(),
            weights: order
                .iter()
                .map(|&k| eigen.eigenvectors.column(k).iter().copied().collect())
                .collect(),
            far: OUT_OF_REACH / largest,
        }
    }
}

fn dot(a: &[Vector6<f64>], b: &[Vector6<f64>]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a.dot(b)).sum()
}
