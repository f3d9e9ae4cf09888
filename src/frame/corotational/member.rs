//! Members in a frame that moves with them.

use nalgebra::{Matrix3, Matrix6, SMatrix, SVector, Vector3, Vector6};

use super::{AtEnds, Matrix3x12, Matrix12, Pose, Response, Vector12, add_frame_spin};
use crate::frame::element::Geometry;
use crate::frame::quadrature::lobatto;
use crate::frame::rotation::{rotation_vector, vector_rate, vector_rate_gradient};
use crate::frame::{Member, Profile};

type Vector7 = SVector<f64, 7>;
type Matrix7 = SMatrix<f64, 7, 7>;
type Row12 = SMatrix<f64, 1, 12>;

/// A member ready for large displacements.
pub(crate) struct Beam {
    arms: [Vector3<f64>; 2],
    /// Columns are its first local axes in global components.
    axes: Matrix3<f64>,
    span: Vector3<f64>,
    length: f64,
    /// Of its second end, the first held; local axes.
    stiffness: Matrix6<f64>,
    /// Motion of its second end without stress, local axes, at load factor 1.
    stress_free: Vector6<f64>,
    pub(super) bowing: Matrix7,
}

/// Where a member's ends and its moving frame have got to.
struct Placed {
    arms: [Vector3<f64>; 2],
    /// Columns are its local axes in global components.
    axes: Matrix3<f64>,
    length: f64,
    deformation: Vector7,
    /// The first axes as carried by each end; columns, in local axes.
    triads: [Matrix3<f64>; 2],
}

impl Beam {
    pub fn new(
        member: &Member,
        geometry: &Geometry,
        stress_free: Vector6<f64>,
    ) -> Result<Self, &'static str> {
        let stiffness = member.stiffness(geometry)?;
        let axes = geometry.axes.transpose();
        Ok(Beam {
            arms: member.arms,
            axes,
            span: axes.column(0) * geometry.length,
            length: geometry.length,
            stiffness,
            stress_free,
            bowing: bowing(member, geometry.length, &stiffness),
        })
    }

    /// Forces and tangent when its nodes have moved.
    pub fn respond(&self, poses: [&Pose; 2], load_factor: f64) -> Response {
        let placed = self.place(poses);
        let strained = self.motion(&placed.deformation) - self.stress_free * load_factor;
        let end = self.stiffness * strained;
        let at_ends = placed.ends(
            &self.deformation_forces(&placed.deformation, &end),
            &self.deformation_stiffness(&placed.deformation, end[0]),
        );
        let moved = poses[0].displacement.amax() + poses[1].displacement.amax();
        let c = self.stiffness.diagonal();
        let rounding = f64::EPSILON * (c[0] * moved + c.fixed_rows::<3>(3).amax() / self.length);
        Response {
            energy: strained.dot(&end) / 2.0,
            rounding,
            local: at_ends.force.fixed_rows::<6>(6).into_owned(),
            axes: placed.axes,
            ..at_ends.on_nodes(&placed.axes, &placed.arms)
        }
    }

    /// Forces on the nodes per load factor that hold the stress-free motion back, the
    /// nodes staying where they are.
    pub fn held_back(&self, poses: [&Pose; 2]) -> Vector12 {
        let placed = self.place(poses);
        let end = -(self.stiffness * self.stress_free);
        let forces = self.deformation_forces(&placed.deformation, &end);
        let at_ends = placed.ends(&forces, &Matrix7::zeros());
        at_ends.on_nodes(&placed.axes, &placed.arms).force
    }

    /// Whether it has a stress-free motion.
    pub fn is_prestrained(&self) -> bool {
        self.stress_free.amax() > 0.0
    }

    /// The part of the tangent that is linear in the forces, where nothing has moved yet.
    ///
    /// * `motion`: small motion of the second end seen from the first, local axes; only the
    ///   forces it causes matter
    pub fn geometric(&self, motion: &Vector6<f64>) -> Matrix12 {
        let end = self.stiffness * (motion - self.stress_free);
        let start = Pose::start();
        let placed = self.place([&start, &start]);
        let forces = self.deformation_forces(&placed.deformation, &end);
        let at_ends = placed.ends(&forces, &(self.bowing * end[0]));
        at_ends.on_nodes(&placed.axes, &placed.arms).tangent
    }

    fn place(&self, poses: [&Pose; 2]) -> Placed {
        let arms = [0, 1].map(|k| poses[k].rotation * self.arms[k]);
        let moved = |k: usize| poses[k].displacement + (arms[k] - self.arms[k]);
        let apart = moved(1) - moved(0);
        let chord = self.span + apart;
        let length = chord.norm();
        // l − L without cancellation: (l² − L²) / (l + L).
        let stretch = (self.span * 2.0 + apart).dot(&apart) / (length + self.length);

        let triads = poses.map(|pose| pose.rotation * self.axes);
        let x = chord / length;
        let mean = triads[0] + triads[1];
        let lean = mean.column(1) + mean.column(2).cross(&x);
        let z = x.cross(&lean).normalize();
        let axes = Matrix3::from_columns(&[x, z.cross(&x), z]);
        let local = triads.map(|triad| axes.tr_mul(&triad));
        let turned = local.map(|triad| rotation_vector(&triad));
        let mut deformation = Vector7::zeros();
        deformation[0] = stretch;
        deformation.fixed_rows_mut::<3>(1).copy_from(&turned[0]);
        deformation.fixed_rows_mut::<3>(4).copy_from(&turned[1]);
        Placed {
            arms,
            axes,
            length,
            deformation,
            triads: local,
        }
    }

    /// `v(d)`: motion of the second end seen from the first.
    fn motion(&self, d: &Vector7) -> Vector6<f64> {
        let mut v = linear_motion(self.length, d);
        v[0] += d.dot(&(self.bowing * d)) / 2.0;
        v
    }

    /// `∂v/∂d`.
    fn motion_rate(&self, d: &Vector7) -> SMatrix<f64, 6, 7> {
        let mut rate = SMatrix::<f64, 6, 7>::zeros();
        for k in 0..7 {
            let unit = Vector7::ith(k, 1.0);
            rate.set_column(k, &linear_motion(self.length, &unit));
        }
        let mut stretch = rate.row_mut(0);
        stretch += (self.bowing * d).transpose();
        rate
    }

    /// `∂W/∂d` for the force `s` on the second end.
    fn deformation_forces(&self, d: &Vector7, s: &Vector6<f64>) -> Vector7 {
        self.motion_rate(d).tr_mul(s)
    }

    /// `∂²W/∂d²`.
    fn deformation_stiffness(&self, d: &Vector7, axial: f64) -> Matrix7 {
        let rate = self.motion_rate(d);
        rate.tr_mul(&(self.stiffness * rate)) + self.bowing * axial
    }
}

/// `v(d)` without bowing.
fn linear_motion(length: f64, d: &Vector7) -> Vector6<f64> {
    Vector6::new(
        d[0],
        -length * d[3],
        length * d[2],
        d[4] - d[1],
        d[5] - d[2],
        d[6] - d[3],
    )
}

/// What the chord loses when a member bends and shears, as a quadratic form of `d`:
///
/// ```text
/// ½ dᵀ H d = ½ ∫ (w′² − γ²) dx      w′ = φ + γ
/// ```
///
/// with `w` measured from the chord, `φ` the rotation of the section and `γ` its shear
/// strain. For a slender prismatic member this is the familiar
/// `L/30 (2 θa² − θa θb + 2 θb²)`. With `−γ²` the axial force stays normal to the turned
/// section, which makes short columns buckle as Haringx found; without it they would
/// follow Engesser.
///
/// Source: Timoshenko & Gere, *Theory of Elastic Stability*, 2nd ed. (1961), ch. 2 (from
/// memory).
fn bowing(member: &Member, length: f64, stiffness: &Matrix6<f64>) -> Matrix7 {
    // Slopes are quadratic for a prismatic member: exact at four points.
    let rule = lobatto(match member.profile {
        Profile::Prismatic(_) => 4,
        Profile::Varying(_) => 11,
    });
    let mut form = Matrix7::zeros();
    for (position, weight) in rule {
        let x = position * length;
        // Rows: slopes of w along y and z, shear strains along y and z.
        let mut shape = SMatrix::<f64, 4, 7>::zeros();
        for k in [2, 3, 5, 6] {
            let unit = Vector7::ith(k, 1.0);
            let end = stiffness * linear_motion(length, &unit);
            let turned = member.motion_at(x, length, &end, &[]);
            let (about_y, about_z) = (unit[2] + turned[4], unit[3] + turned[5]);
            let strain = member.strain_at(x, length, &end);
            shape.set_column(
                k,
                &[
                    about_z + strain[1],
                    strain[2] - about_y,
                    strain[1],
                    strain[2],
                ]
                .into(),
            );
        }
        let signs = SMatrix::<f64, 4, 4>::from_diagonal(&[1.0, 1.0, -1.0, -1.0].into());
        form += shape.tr_mul(&(signs * shape)) * (weight * length);
    }
    form
}

impl Placed {
    /// From forces on deformations to forces on the ends.
    ///
    /// Spins of the frame follow the ends by `δωE = Γ δq`, deformations by
    /// `δd = B δq`, with the rotations of the ends in the frame turned by `δω − δωE`:
    ///
    /// ```text
    /// f  = r n + (0, ma, 0, mb) − Γᵀ (ma + mb)          m = A(θ)ᵀ t
    /// δf = that of n, ma, mb  −  δΓᵀ (ma + mb)  +  δωE × f
    /// ```
    ///
    /// * `t`, `k`: first and second derivative of the energy by deformations
    fn ends(&self, t: &Vector7, k: &Matrix7) -> AtEnds {
        let l = self.length;
        let part = |v: &Vector7, from: usize| v.fixed_rows::<3>(from).into_owned();
        let turned = [part(&self.deformation, 1), part(&self.deformation, 4)];
        let conjugate = [part(t, 1), part(t, 4)];
        let rates = turned.map(|theta| vector_rate(&theta));
        let moments = [0, 1].map(|e| rates[e].tr_mul(&conjugate[e]));
        let sum = moments[0] + moments[1];

        // Spin of the frame. Row x keeps `y` and `z` of the ends evenly about those of the
        // frame: (Σ y)·ez = (Σ z)·ey.
        let mean = (self.triads[0] + self.triads[1]) / 2.0;
        let upright = mean[(1, 1)] + mean[(2, 2)];
        let slants = [mean[(0, 1)] / upright, mean[(0, 2)] / upright];
        let mut gamma = Matrix3x12::zeros();
        (gamma[(1, 2)], gamma[(1, 8)]) = (1.0 / l, -1.0 / l);
        (gamma[(2, 1)], gamma[(2, 7)]) = (-1.0 / l, 1.0 / l);
        let across: [Row12; 2] = [1, 2].map(|row| gamma.row(row).into_owned());
        let sliding = across[0] * slants[0] + across[1] * slants[1];
        let mut about_x = sliding;
        for (end, triad) in self.triads.iter().enumerate() {
            let from = 6 * end + 3;
            about_x[from] = (triad[(1, 1)] + triad[(2, 2)]) / (2.0 * upright);
            about_x[from + 1] = -triad[(0, 1)] / (2.0 * upright);
            about_x[from + 2] = -triad[(0, 2)] / (2.0 * upright);
        }
        gamma.set_row(0, &about_x);

        // Rates of the deformations, with spins in place of rotation vectors.
        let mut stretch = Row12::zeros();
        (stretch[0], stretch[6]) = (-1.0, 1.0);
        let relative = [3, 9].map(|from| {
            let mut p = -gamma;
            let mut own = p.fixed_view_mut::<3, 3>(0, from);
            own += Matrix3::identity();
            p
        });
        let mut b = SMatrix::<f64, 7, 12>::zeros();
        b.set_row(0, &stretch);
        let mut by_spin = Matrix7::zeros();
        by_spin[(0, 0)] = 1.0;
        let mut k_spin = Matrix7::zeros();
        for e in 0..2 {
            let from = 3 * e + 1;
            b.fixed_view_mut::<3, 12>(from, 0).copy_from(&relative[e]);
            by_spin
                .fixed_view_mut::<3, 3>(from, from)
                .copy_from(&rates[e]);
            let gradient = vector_rate_gradient(&turned[e], &conjugate[e]) * rates[e];
            k_spin
                .fixed_view_mut::<3, 3>(from, from)
                .copy_from(&gradient);
        }
        k_spin += by_spin.tr_mul(&(k * by_spin));

        let force = b.tr_mul(&by_spin.tr_mul(t));
        let mut tangent = b.tr_mul(&(k_spin * b));
        add_frame_spin(&mut tangent, &force, &gamma);

        // δΓᵀ (ma + mb): rows y and z fall with the length, row x follows the leans.
        let falling = gamma.rows(1, 2).tr_mul(&sum.rows(1, 2)) / l;
        tangent += falling * stretch;
        // Rates of `y` and `z` as carried by each end.
        let axis_rates = [0, 1]
            .map(|e| [1, 2].map(|axis| -self.triads[e].column(axis).cross_matrix() * relative[e]));
        let mean_rates = [0, 1].map(|axis| (axis_rates[0][axis] + axis_rates[1][axis]) / 2.0);
        let upright_rate = mean_rates[0].row(1) + mean_rates[1].row(2);
        let mut turning = -sliding.transpose() * stretch / l;
        for axis in 0..2 {
            let slant_rate = (mean_rates[axis].row(0) - upright_rate * slants[axis]) / upright;
            turning += across[axis].transpose() * slant_rate;
        }
        for (end, [y, z]) in axis_rates.iter().enumerate() {
            let from = 6 * end + 3;
            let own = [y.row(1) + z.row(2), -y.row(0), -z.row(0)];
            for (row, own) in own.iter().enumerate() {
                let rate = (own / 2.0 - upright_rate * about_x[from + row]) / upright;
                turning.set_row(from + row, &rate);
            }
        }
        tangent -= turning * sum.x;
        AtEnds { force, tangent }
    }
}
