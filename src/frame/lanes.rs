//! Six-vectors of several load cases side by side, so that one pass over a frame serves them all.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

/// Load cases that are solved side by side: as many as a wide register holds.
pub(crate) const LANES: usize = 4;

/// A six-vector of each of `N` cases: `lanes[entry][case]`.
pub(crate) type Lanes<const N: usize> = [[f64; N]; 6];

/// Nothing in any case.
pub(crate) const fn nothing<const N: usize>() -> Lanes<N> {
    [[0.0; N]; 6]
}

/// The same vector in every case.
pub(crate) fn alike<const N: usize>(vector: &Vector6<f64>) -> Lanes<N> {
    std::array::from_fn(|entry| [vector[entry]; N])
}

/// The vector of one case.
pub(crate) fn lane<const N: usize>(lanes: &Lanes<N>, case: usize) -> Vector6<f64> {
    lanes.map(|entries| entries[case]).into()
}

/// The vectors of one case, node by node.
pub(crate) fn lane_of<const N: usize>(lanes: &[Lanes<N>], case: usize) -> Vec<Vector6<f64>> {
    lanes.iter().map(|lanes| lane(lanes, case)).collect()
}

/// The part of vectors on the freedoms that are not held.
#[inline(always)]
pub(crate) fn free_part<const N: usize>(held: &[bool; 6], vectors: &Lanes<N>) -> Lanes<N> {
    std::array::from_fn(|freedom| match held[freedom] {
        true => [0.0; N],
        false => vectors[freedom],
    })
}

/// Puts vectors, node by node, in the place of one case.
pub(crate) fn put<const N: usize>(lanes: &mut [Lanes<N>], case: usize, vectors: &[Vector6<f64>]) {
    for (lanes, vector) in lanes.iter_mut().zip(vectors) {
        for (entries, value) in lanes.iter_mut().zip(vector.iter()) {
            entries[case] = *value;
        }
    }
}

/// `target ← target + sign · other`.
#[inline(always)]
pub(crate) fn add<const N: usize>(target: &mut Lanes<N>, sign: f64, other: &Lanes<N>) {
    for (target, other) in target.iter_mut().zip(other) {
        for (target, other) in target.iter_mut().zip(other) {
            *target += sign * other;
        }
    }
}

/// `C v`, column by column.
#[inline(always)]
pub(crate) fn product<const N: usize>(matrix: &Matrix6<f64>, v: &Lanes<N>) -> Lanes<N> {
    let mut product = nothing();
    for (column, v) in matrix.data.0.iter().zip(v) {
        for (sum, stiffness) in product.iter_mut().zip(column) {
            for (sum, v) in sum.iter_mut().zip(v) {
                *sum += stiffness * v;
            }
        }
    }
    product
}

/// `d × v` of the three entries from one on.
#[inline(always)]
fn cross<const N: usize>(d: &Vector3<f64>, v: &Lanes<N>, from: usize) -> [[f64; N]; 3] {
    let [x, y, z] = [v[from], v[from + 1], v[from + 2]];
    [
        std::array::from_fn(|n| d.y * z[n] - d.z * y[n]),
        std::array::from_fn(|n| d.z * x[n] - d.x * z[n]),
        std::array::from_fn(|n| d.x * y[n] - d.y * x[n]),
    ]
}

/// `R v` of both halves.
#[inline(always)]
pub(crate) fn turned<const N: usize>(rotation: &Matrix3<f64>, v: &Lanes<N>) -> Lanes<N> {
    std::array::from_fn(|entry| {
        let (row, half) = (entry % 3, entry - entry % 3);
        let [x, y, z] = [v[half], v[half + 1], v[half + 2]];
        let [rx, ry, rz] = [0, 1, 2].map(|column| rotation[(row, column)]);
        std::array::from_fn(|n| rx * x[n] + ry * y[n] + rz * z[n])
    })
}

/// Motion of the point of a body that lies `lever` from its node.
#[inline(always)]
pub(crate) fn carried<const N: usize>(lever: &Vector3<f64>, motion: &Lanes<N>) -> Lanes<N> {
    let turned = cross(lever, motion, 3);
    let mut carried = *motion;
    for (entries, turned) in carried.iter_mut().zip(&turned) {
        for (entry, turned) in entries.iter_mut().zip(turned) {
            *entry -= turned;
        }
    }
    carried
}

/// A force and moment at a point, reduced to one that lies `lever` behind it.
#[inline(always)]
pub(crate) fn reduced<const N: usize>(lever: &Vector3<f64>, force: &Lanes<N>) -> Lanes<N> {
    let moment = cross(lever, force, 0);
    let mut reduced = *force;
    for (entries, moment) in reduced[3..].iter_mut().zip(&moment) {
        for (entry, moment) in entries.iter_mut().zip(moment) {
            *entry += moment;
        }
    }
    reduced
}

/// The largest force, and the largest moment, met in each case.
#[derive(Clone, Copy)]
pub(crate) struct Largest<const N: usize> {
    /// Squares of the force and of the moment.
    squares: [[f64; N]; 2],
}

impl<const N: usize> Largest<N> {
    pub fn none() -> Self {
        Largest {
            squares: [[0.0; N]; 2],
        }
    }

    /// Takes note of one more; what is not a number is larger than all.
    #[inline(always)]
    pub fn note(&mut self, force: &Lanes<N>) {
        for (squares, part) in self.squares.iter_mut().zip(force.chunks_exact(3)) {
            for (n, largest) in squares.iter_mut().enumerate() {
                let square = part[0][n] * part[0][n] + part[1][n] * part[1][n];
                let square = square + part[2][n] * part[2][n];
                if square > *largest || square.is_nan() {
                    *largest = square;
                }
            }
        }
    }

    /// As a force, moments over a length, mm.
    pub fn as_force(&self, size: f64) -> [f64; N] {
        let [forces, moments] = self.squares;
        std::array::from_fn(|n| {
            super::equations::larger(forces[n].sqrt(), moments[n].sqrt() / size)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is not a number stays the largest, in its own case alone.
    #[test]
    fn what_is_not_a_number_is_the_largest() {
        let sound = alike(&Vector6::repeat(1.0));
        for entry in 0..6 {
            let mut spoilt = sound;
            spoilt[entry][1] = f64::NAN;
            let mut largest = Largest::<2>::none();
            [sound, spoilt, sound]
                .iter()
                .for_each(|force| largest.note(force));
            let [first, second] = largest.as_force(2.0);
            assert!(first == f64::sqrt(3.0) && second.is_nan(), "entry {entry}");
        }
    }
}
