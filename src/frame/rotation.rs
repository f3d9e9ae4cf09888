//! Finite rotations: rotation vectors, their matrices, and how spins change them.
//!
//! A rotation by the angle `θ` about the unit vector `n` has the rotation vector `θ n`.
//! Nodes keep matrices and are turned by spins, `R ← exp(ω) R`, which never meets a
//! singularity; rotation vectors are only read off.

use std::f64::consts::{PI, TAU};

use nalgebra::{Matrix3, Vector3};

/// Below this squared angle series replace quotients of vanishing numbers.
const SMALL_SQUARE: f64 = 1e-2;

/// The matrix of a rotation vector (rad).
///
/// ```text
/// exp(θ) = 1 + (sin θ/θ) [θ]× + ((1 − cos θ)/θ²) [θ]×²
/// ```
///
/// Source: Rodrigues' formula (from memory).
///
/// ```
/// use clavibeam::frame::rotation_matrix;
/// use nalgebra::{Vector3, vector};
/// let quarter = rotation_matrix(&vector![0.0, 0.0, std::f64::consts::FRAC_PI_2]);
/// assert!((quarter * Vector3::x() - Vector3::y()).norm() < 1e-15);
/// ```
pub fn rotation_matrix(vector: &Vector3<f64>) -> Matrix3<f64> {
    let square = vector.norm_squared();
    let half = square.sqrt() / 2.0;
    let (first, half_sinc) = if square < SMALL_SQUARE {
        let s = square;
        (
            1.0 - s / 6.0 * (1.0 - s / 20.0 * (1.0 - s / 42.0 * (1.0 - s / 72.0))),
            1.0 - s / 24.0 * (1.0 - s / 80.0 * (1.0 - s / 168.0 * (1.0 - s / 288.0))),
        )
    } else {
        ((2.0 * half).sin() / (2.0 * half), half.sin() / half)
    };
    let cross = vector.cross_matrix();
    Matrix3::identity() + cross * first + cross * cross * (half_sinc * half_sinc / 2.0)
}

/// The rotation vector of a rotation matrix, rad, of length up to π.
///
/// By way of the quaternion `(cos θ/2, n sin θ/2)`, whose largest part is found first:
/// accurate for every angle, the half turn too, where `n` and `−n` are both right.
///
/// Source: Spurrier, *J. Spacecraft and Rockets* 15 (1978) 255 (from memory).
pub fn rotation_vector(matrix: &Matrix3<f64>) -> Vector3<f64> {
    let m = matrix;
    let trace = m.trace();
    let largest = m.diagonal().imax();
    let odd = Vector3::new(
        m[(2, 1)] - m[(1, 2)],
        m[(0, 2)] - m[(2, 0)],
        m[(1, 0)] - m[(0, 1)],
    );
    let (real, imaginary) = if trace >= m[(largest, largest)] {
        let real = (1.0 + trace).sqrt() / 2.0;
        (real, odd / (4.0 * real))
    } else {
        let (i, j, k) = (largest, (largest + 1) % 3, (largest + 2) % 3);
        let own = (1.0 + m[(i, i)] - m[(j, j)] - m[(k, k)]).sqrt() / 2.0;
        let mut imaginary = Vector3::zeros();
        imaginary[i] = own;
        imaginary[j] = (m[(j, i)] + m[(i, j)]) / (4.0 * own);
        imaginary[k] = (m[(k, i)] + m[(i, k)]) / (4.0 * own);
        (odd[i] / (4.0 * own), imaginary)
    };
    let sine = imaginary.norm();
    if sine == 0.0 {
        return Vector3::zeros();
    }
    // θ/2 from sine and cosine, with the sign that keeps θ within ±π.
    let half = sine.atan2(real.abs()) * if real < 0.0 { -1.0 } else { 1.0 };
    imaginary * (2.0 * half / sine)
}

/// The rotation vector of a matrix that lies nearest to another one: whole turns are
/// counted when a rotation is followed in steps.
pub(crate) fn rotation_vector_near(matrix: &Matrix3<f64>, near: &Vector3<f64>) -> Vector3<f64> {
    let short = rotation_vector(matrix);
    let angle = short.norm();
    let axis = match angle > 1e-9 {
        true => short / angle,
        // A whole number of turns about the axis it had.
        false => match near.norm() > PI {
            true => near.normalize(),
            false => return short,
        },
    };
    let turns = ((near.dot(&axis) - angle) / TAU).round();
    short + axis * (turns * TAU)
}

/// How a rotation vector follows a spin: `δθ = A(θ) δω` for `R ← exp(δω) R`.
///
/// ```text
/// A(θ) = 1 − ½ [θ]× + η [θ]×²      η = (1 − (θ/2) cot(θ/2)) / θ²
/// ```
///
/// Source: Battini & Pacoste, *Comput. Methods Appl. Mech. Engrg.* 191 (2002)
/// 1755–1789 (from memory).
pub(crate) fn vector_rate(vector: &Vector3<f64>) -> Matrix3<f64> {
    let (eta, _) = rate_coefficients(vector.norm_squared());
    let cross = vector.cross_matrix();
    Matrix3::identity() - cross * 0.5 + cross * cross * eta
}

/// Derivative of `A(θ)ᵀ t` by `θ` for a fixed vector `t`; `A` as in [`vector_rate`].
///
/// ```text
/// A(θ)ᵀ t = t + ½ θ × t + η θ × (θ × t)
/// ∂/∂θ    = −½ [t]× − η ([θ × t]× + [θ]× [t]×) + μ (θ × (θ × t)) θᵀ      dη = μ θ·dθ
/// ```
pub(crate) fn vector_rate_gradient(vector: &Vector3<f64>, t: &Vector3<f64>) -> Matrix3<f64> {
    let (eta, mu) = rate_coefficients(vector.norm_squared());
    let once = vector.cross(t);
    let twice = vector.cross(&once);
    let t_cross = t.cross_matrix();
    t_cross * -0.5 - (once.cross_matrix() + vector.cross_matrix() * t_cross) * eta
        + twice * vector.transpose() * mu
}

/// `η` of [`vector_rate`] and `μ = η′(θ)/θ`.
fn rate_coefficients(square: f64) -> (f64, f64) {
    if square < SMALL_SQUARE {
        let s = square;
        let eta = 1.0 / 12.0 + s / 720.0 + s * s / 30_240.0 + s * s * s / 1_209_600.0;
        let mu = 1.0 / 360.0 + s / 7_560.0 + s * s / 201_600.0;
        return (eta, mu);
    }
    let angle = square.sqrt();
    let (sin, cos) = (angle / 2.0).sin_cos();
    let eta = (1.0 - angle / 2.0 * cos / sin) / square;
    let mu =
        (angle * (angle + angle.sin()) - 8.0 * sin * sin) / (4.0 * square * square * sin * sin);
    (eta, mu)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::vector;

    /// Rotation vectors of many directions and the given length.
    fn samples(angle: f64) -> impl Iterator<Item = Vector3<f64>> {
        (0..40).map(move |i| {
            let z = 1.0 - (2 * i + 1) as f64 / 40.0;
            let (sin, cos) = (2.4 * i as f64).sin_cos();
            let flat = (1.0 - z * z).sqrt();
            vector![flat * cos, flat * sin, z] * angle
        })
    }

    const ANGLES: [f64; 9] = [0.0, 1e-12, 1e-6, 0.02, 0.0317, 0.5, 2.0, 3.1, PI - 1e-9];

    #[test]
    fn vector_and_matrix_invert_each_other() {
        for angle in ANGLES {
            for vector in samples(angle) {
                let matrix = rotation_matrix(&vector);
                let square = matrix.transpose() * matrix - Matrix3::identity();
                assert!(square.amax() < 4e-15, "a few roundings at angle {angle}");
                let found = rotation_vector(&matrix);
                assert!((found - vector).norm() < 2e-15 * (1.0 + angle), "{vector}");
            }
        }
        for vector in samples(PI) {
            let matrix = rotation_matrix(&vector);
            let again = rotation_matrix(&rotation_vector(&matrix));
            assert!((again - matrix).amax() < 1e-14, "half turn {vector}");
        }
    }

    /// Turns about different axes do not commute, and their product follows the matrices.
    #[test]
    fn turns_about_one_axis_add_and_others_do_not() {
        let a = vector![0.3, -0.2, 0.5];
        let twice = rotation_matrix(&a) * rotation_matrix(&(a * 1.5));
        assert!((twice - rotation_matrix(&(a * 2.5))).amax() < 1e-15);
        let b = vector![1.0, 0.4, -0.1];
        let (ab, ba) = (
            rotation_matrix(&a) * rotation_matrix(&b),
            rotation_matrix(&b) * rotation_matrix(&a),
        );
        assert!((ab - ba).amax() > 0.1);
    }

    #[test]
    fn whole_turns_are_counted() {
        let axis = vector![1.0, 2.0, -2.0] / 3.0;
        let mut followed = Vector3::zeros();
        for step in 1..200 {
            let vector = axis * (0.1 * step as f64);
            followed = rotation_vector_near(&rotation_matrix(&vector), &followed);
            assert!((followed - vector).norm() < 1e-13, "step {step}");
        }
        for step in (-200..200).rev() {
            let vector = axis * (0.1 * step as f64);
            followed = rotation_vector_near(&rotation_matrix(&vector), &followed);
            assert!((followed - vector).norm() < 1e-13, "back at {step}");
        }
    }

    /// Rates against central differences of step 1e-5, whose own error is about 1e-10.
    #[test]
    fn rates_are_derivatives() {
        let h = 1e-5;
        let t = vector![0.7, -1.1, 0.4];
        for angle in [0.0, 1e-3, 0.03, 0.033, 0.4, 2.5] {
            for vector in samples(angle) {
                let matrix = rotation_matrix(&vector);
                let (rate, gradient) = (vector_rate(&vector), vector_rate_gradient(&vector, &t));
                for i in 0..3 {
                    let step = Vector3::ith(i, h);
                    let turned =
                        |by: Vector3<f64>| rotation_vector(&(rotation_matrix(&by) * matrix));
                    let slope = (turned(step) - turned(-step)) / (2.0 * h);
                    assert!((slope - rate.column(i)).norm() < 1e-9, "rate at {vector}");
                    let at = |v: Vector3<f64>| vector_rate(&v).tr_mul(&t);
                    let slope = (at(vector + step) - at(vector - step)) / (2.0 * h);
                    assert!(
                        (slope - gradient.column(i)).norm() < 1e-9,
                        "gradient at {vector}"
                    );
                }
            }
        }
    }
}
