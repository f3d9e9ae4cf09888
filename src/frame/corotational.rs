//! Members and couplings whose nodes move and turn as far as they like.
//!
//! A member is described in a frame that moves with it, in which it deforms as the linear
//! member does. Local `x` is the chord between its ends, and `y` leans to the mean of the
//! `y` axes carried by the two ends. Its deformations and energy are
//!
//! ```text
//! d = (l − L, θa, θb)      θa, θb: rotation vectors of the ends in the moving frame
//! v = (l − L + ½ dᵀ H d,  −L θaz,  L θay,  θb − θa)
//! W = ½ (v − v0)ᵀ C (v − v0)
//! ```
//!
//! with `C` the stiffness of the linear member, `v0` its stress-free motion, and `H` the
//! bowing ([`bowing`]). Forces and tangent are the exact derivatives of `W` by
//! translations and spins. The tangent by spins is symmetric only where the moments at a
//! node balance; what is assembled is its symmetric part, which is the second derivative
//! of the energy along `exp(ω) R`. An applied moment that keeps its direction has no
//! energy; its share in the tangent is skew, and brought back by iteration.
//!
//! Sources: Crisfield, *Comput. Methods Appl. Mech. Engrg.* 81 (1990) 131–150; Battini &
//! Pacoste, the same 191 (2002) 1755–1789 (both from memory).

use nalgebra::{Matrix3, Matrix6, SMatrix, SVector, Vector3, Vector6};

use super::element::{Geometry, Link, carry, stack};
use super::quadrature::lobatto;
use super::rotation::{
    rotation_matrix, rotation_vector, rotation_vector_near, vector_rate, vector_rate_gradient,
};
use super::{Member, Profile};

type Vector7 = SVector<f64, 7>;
type Matrix7 = SMatrix<f64, 7, 7>;
type Vector12 = SVector<f64, 12>;
type Row12 = SMatrix<f64, 1, 12>;
type Matrix3x12 = SMatrix<f64, 3, 12>;
pub(crate) type Matrix12 = SMatrix<f64, 12, 12>;

/// Where a node has got to.
#[derive(Debug, Clone)]
pub(crate) struct Pose {
    /// Displacement, mm.
    pub displacement: Vector3<f64>,
    /// How its body has turned.
    pub rotation: Matrix3<f64>,
    /// The same as a vector, whole turns counted, rad.
    pub rotation_vector: Vector3<f64>,
}

impl Pose {
    /// Where a node starts.
    pub fn start() -> Self {
        Pose {
            displacement: Vector3::zeros(),
            rotation: Matrix3::identity(),
            rotation_vector: Vector3::zeros(),
        }
    }

    /// Moves by a translation and a spin, global axes.
    pub fn advance(&mut self, step: &Vector6<f64>) {
        self.displacement += step.fixed_rows::<3>(0);
        let spin = step.fixed_rows::<3>(3).into_owned();
        self.rotation = rotation_matrix(&spin) * self.rotation;
        self.rotation_vector =
            rotation_vector_near(&self.rotation, &(self.rotation_vector + spin));
    }
}

/// What a link answers when its nodes have moved.
#[derive(Clone)]
pub(crate) struct Response {
    /// Forces the nodes must exert on it, global axes: first node, second node.
    pub force: Vector12,
    /// Derivative of `force` by translations and spins, not symmetrised.
    pub tangent: Matrix12,
    /// Strain energy, N·mm.
    pub energy: f64,
    /// What rounding of the displacements leaves in `force`, N.
    pub rounding: f64,
    /// Force and moment on a member's second end in its moving frame, or of a coupling's
    /// law along the axes of its first body.
    pub local: Vector6<f64>,
    /// Columns are the axes of `local` in global components.
    pub axes: Matrix3<f64>,
}

impl Response {
    /// Before anything has moved.
    pub fn none() -> Self {
        Response {
            force: Vector12::zeros(),
            tangent: Matrix12::zeros(),
            energy: 0.0,
            rounding: 0.0,
            local: Vector6::zeros(),
            axes: Matrix3::identity(),
        }
    }

    /// Force on the first (0) or the second (1) node.
    pub fn force_on(&self, end: usize) -> Vector6<f64> {
        self.force.fixed_rows::<6>(6 * end).into_owned()
    }
}

/// Blocks `ii`, `ij`, `jj` of the symmetric part.
pub(crate) fn symmetric_blocks(tangent: &Matrix12) -> [Matrix6<f64>; 3] {
    let half = (tangent + tangent.transpose()) * 0.5;
    [(0, 0), (0, 6), (6, 6)].map(|(i, j)| half.fixed_view::<6, 6>(i, j).into_owned())
}

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
    bowing: Matrix7,
}

/// Where a member's ends and its moving frame have got to.
struct Placed {
    arms: [Vector3<f64>; 2],
    /// Columns are its local axes in global components.
    axes: Matrix3<f64>,
    length: f64,
    deformation: Vector7,
    /// The first `y` axis as carried by each end, local axes.
    leans: [Vector3<f64>; 2],
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
        let lean = triads[0].column(1) + triads[1].column(1);
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
            leans: local.map(|triad| triad.column(1).into_owned()),
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

/// Forces at two points of a link and their derivative, in the link's moving frame.
struct AtEnds {
    force: Vector12,
    tangent: Matrix12,
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

        // Spin of the frame. Row x keeps the mean lean in the x-y plane.
        let mean = (self.leans[0] + self.leans[1]) / 2.0;
        let slant = mean.x / mean.y;
        let mut gamma = Matrix3x12::zeros();
        (gamma[(1, 2)], gamma[(1, 8)]) = (1.0 / l, -1.0 / l);
        (gamma[(2, 1)], gamma[(2, 7)]) = (-1.0 / l, 1.0 / l);
        let about_y: Row12 = gamma.row(1).into_owned();
        let mut about_x = about_y * slant;
        for (end, lean) in self.leans.iter().enumerate() {
            let from = 6 * end + 3;
            about_x[from] = lean.y / (2.0 * mean.y);
            about_x[from + 1] = -lean.x / (2.0 * mean.y);
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
            by_spin.fixed_view_mut::<3, 3>(from, from).copy_from(&rates[e]);
            let gradient = vector_rate_gradient(&turned[e], &conjugate[e]) * rates[e];
            k_spin.fixed_view_mut::<3, 3>(from, from).copy_from(&gradient);
        }
        k_spin += by_spin.tr_mul(&(k * by_spin));

        let force = b.tr_mul(&by_spin.tr_mul(t));
        let mut tangent = b.tr_mul(&(k_spin * b));
        add_frame_spin(&mut tangent, &force, &gamma);

        // δΓᵀ (ma + mb): rows y and z fall with the length, row x follows the leans.
        let falling = gamma.rows(1, 2).tr_mul(&sum.rows(1, 2)) / l;
        tangent += falling * stretch;
        let lean_rates = [0, 1].map(|e| -self.leans[e].cross_matrix() * relative[e]);
        let mean_rate = (lean_rates[0] + lean_rates[1]) / 2.0;
        let slant_rate = (mean_rate.row(0) - mean_rate.row(1) * slant) / mean.y;
        let mut turning = about_y.transpose() * slant_rate
            - about_y.transpose() * stretch * (slant / l);
        for (end, rate) in lean_rates.iter().enumerate() {
            let from = 6 * end + 3;
            let shrink = mean_rate.row(1) / mean.y;
            let own_x = rate.row(1) / (2.0 * mean.y) - shrink * about_x[from];
            let own_y = -rate.row(0) / (2.0 * mean.y) - shrink * about_x[from + 1];
            turning.set_row(from, &own_x);
            turning.set_row(from + 1, &own_y);
        }
        tangent -= turning * sum.x;
        AtEnds { force, tangent }
    }
}

/// Adds `δωE × f` for a frame that spins by `δωE = Γ δq`.
fn add_frame_spin(tangent: &mut Matrix12, force: &Vector12, gamma: &Matrix3x12) {
    for from in [0, 3, 6, 9] {
        let cross = force.fixed_rows::<3>(from).into_owned().cross_matrix();
        let mut rows = tangent.fixed_rows_mut::<3>(from);
        rows -= cross * gamma;
    }
}

impl AtEnds {
    /// Turns to global axes and carries to the nodes along arms that turn with them.
    fn on_nodes(&self, axes: &Matrix3<f64>, arms: &[Vector3<f64>; 2]) -> Response {
        let mut turn = Matrix12::zeros();
        for from in [0, 3, 6, 9] {
            turn.fixed_view_mut::<3, 3>(from, from).copy_from(axes);
        }
        let force = turn * self.force;
        let mut reach = Matrix12::identity();
        for end in 0..2 {
            let from = 6 * end;
            reach
                .fixed_view_mut::<6, 6>(from, from)
                .copy_from(&carry(&arms[end]));
        }
        let onto = turn.tr_mul(&reach);
        let mut tangent = onto.tr_mul(&(self.tangent * onto));
        for end in 0..2 {
            let from = 6 * end;
            let f = force.fixed_rows::<3>(from).into_owned();
            let mut own = tangent.fixed_view_mut::<3, 3>(from + 3, from + 3);
            own += f.cross_matrix() * arms[end].cross_matrix();
        }
        Response {
            force: reach.tr_mul(&force),
            tangent,
            ..Response::none()
        }
    }
}

impl Link {
    /// Forces and tangent of a coupling when its nodes have moved. Its axes turn with its
    /// first body:
    ///
    /// ```text
    /// v = (Riᵀ (pj − pi), log(Riᵀ Rj))      W = ½ vᵀ C v
    /// ```
    ///
    /// with `pi`, `pj` the point where it acts as carried by either body.
    pub fn respond(&self, poses: [&Pose; 2]) -> Response {
        let levers = [0, 1].map(|k| poses[k].rotation * self.levers[k]);
        let moved = |k: usize| poses[k].displacement + (levers[k] - self.levers[k]);
        let axes = poses[0].rotation;
        let gap = axes.tr_mul(&(moved(1) - moved(0)));
        let turned = rotation_vector(&axes.tr_mul(&poses[1].rotation));
        let v = stack(gap, turned);
        let s = self.stiffness * v;
        let moved = poses[0].displacement.amax() + poses[1].displacement.amax();
        Response {
            energy: v.dot(&s) / 2.0,
            rounding: f64::EPSILON * self.stiffness.diagonal().fixed_rows::<3>(0).amax() * moved,
            local: s,
            axes,
            ..self.at_points(&v, &s).on_nodes(&axes, &levers)
        }
    }

    /// The part of the tangent that is linear in the force, where nothing has moved yet.
    pub fn geometric(&self, force: &Vector6<f64>) -> Matrix12 {
        let held = Link {
            stiffness: Matrix6::zeros(),
            ..*self
        };
        let at_points = held.at_points(&Vector6::zeros(), force);
        at_points.on_nodes(&Matrix3::identity(), &self.levers).tangent
    }

    /// `δv = B δq`, `f = Bᵀ s`, `δf = Bᵀ C B δq + δBᵀ s + δωi × f`, axes of the first body.
    fn at_points(&self, v: &Vector6<f64>, s: &Vector6<f64>) -> AtEnds {
        let part = |v: &Vector6<f64>, from: usize| v.fixed_rows::<3>(from).into_owned();
        let (gap, turned) = (part(v, 0), part(v, 3));
        let (f, t) = (part(s, 0), part(s, 3));
        let rate = vector_rate(&turned);
        let mut b = SMatrix::<f64, 6, 12>::zeros();
        let one = Matrix3::identity();
        b.fixed_view_mut::<3, 3>(0, 0).copy_from(&-one);
        b.fixed_view_mut::<3, 3>(0, 3).copy_from(&gap.cross_matrix());
        b.fixed_view_mut::<3, 3>(0, 6).copy_from(&one);
        b.fixed_view_mut::<3, 3>(3, 3).copy_from(&-rate);
        b.fixed_view_mut::<3, 3>(3, 9).copy_from(&rate);

        let force = b.tr_mul(s);
        let mut tangent = b.tr_mul(&(self.stiffness * b));
        let turning = vector_rate_gradient(&turned, &t) * b.rows(3, 3);
        let mut first = tangent.fixed_rows_mut::<3>(3);
        first += f.cross_matrix() * b.rows(0, 3) - turning;
        let mut second = tangent.fixed_rows_mut::<3>(9);
        second += turning;
        let mut gamma = Matrix3x12::zeros();
        gamma.fixed_view_mut::<3, 3>(0, 3).copy_from(&one);
        add_frame_spin(&mut tangent, &force, &gamma);
        AtEnds { force, tangent }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Frame, Moduli};
    use crate::section::{Outline, Section};
    use nalgebra::vector;

    /// Even numbers in −1..1 from a fixed sequence.
    struct Sequence(u32);

    impl Sequence {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(self.0 >> 8) / f64::from(1 << 23) - 1.0
        }

        fn vector(&mut self, size: f64) -> Vector3<f64> {
            Vector3::from_fn(|_, _| size * self.next())
        }

        fn section(&mut self) -> Section {
            Section {
                area: 20.0 + 10.0 * self.next(),
                second_moment_y: 60.0 + 30.0 * self.next(),
                second_moment_z: 90.0 + 30.0 * self.next(),
                product_moment: 20.0 * self.next(),
                torsion_constant: 80.0 + 50.0 * self.next(),
                shear_area_y: 12.0 + 5.0 * self.next(),
                shear_area_z: 12.0 + 5.0 * self.next(),
                torsion_shear: 0.0,
                outline: Outline::Unknown,
            }
        }

        /// A skew member with arms, half of them with a section that varies.
        fn beam(&mut self, seed: u32) -> Beam {
            let mut frame = Frame::default();
            let start = self.vector(20.0);
            let along = self.vector(1.0) + vector![2.0, 0.5, 0.3];
            let a = frame.add_node("a", start);
            let b = frame.add_node("b", start + along * 12.0);
            let up = self.vector(1.0).cross(&along);
            let moduli = Moduli {
                youngs: 1e4,
                shear: 4e3,
            };
            let profile = match seed % 2 {
                0 => Profile::Prismatic(self.section()),
                _ => Profile::Varying([(); 4].map(|()| self.section()).to_vec()),
            };
            let member = frame.add_member("m", [a, b], up, moduli, profile);
            frame.members[member].arms = [self.vector(3.0), self.vector(3.0)];
            let member = &frame.members[member];
            let geometry = Geometry::of(&frame, member).expect("a sound member");
            let stress_free = stack(self.vector(0.3), self.vector(0.05));
            Beam::new(member, &geometry, stress_free).expect("a sound member")
        }

        fn link(&mut self) -> Link {
            let half = Matrix6::from_fn(|i, k| {
                self.next() * 20.0 + if i == k { 60.0 } else { 0.0 }
            });
            Link {
                nodes: [0, 1],
                levers: [self.vector(4.0), self.vector(4.0)],
                stiffness: half * half.transpose(),
            }
        }

        /// Two nodes turned far from where they were, and little against each other.
        fn poses(&mut self, relative: f64) -> [Pose; 2] {
            let far = stack(self.vector(30.0), self.vector(1.7));
            [0, 1].map(|_| {
                let mut pose = Pose::start();
                pose.advance(&far);
                pose.advance(&stack(self.vector(10.0 * relative), self.vector(relative)));
                pose
            })
        }
    }

    fn moved(poses: &[Pose; 2], freedom: usize, by: f64) -> [Pose; 2] {
        let mut poses = poses.clone();
        poses[freedom / 6].advance(&Vector6::ith(freedom % 6, by));
        poses
    }

    /// Second witness: forces are the slope of the energy, the tangent the slope of the
    /// forces, by central differences of step 1e-5 with an error of about 1e-8.
    fn assert_derivatives(respond: impl Fn(&[Pose; 2]) -> Response, poses: &[Pose; 2], what: &str) {
        let h = 1e-5;
        let here = respond(poses);
        for k in 0..12 {
            let (ahead, behind) = (
                respond(&moved(poses, k, h)),
                respond(&moved(poses, k, -h)),
            );
            let force = (ahead.energy - behind.energy) / (2.0 * h);
            let scale = here.force.amax();
            assert!((force - here.force[k]).abs() < 1e-6 * scale, "{what}: force {k}");
            let slope = (ahead.force - behind.force) / (2.0 * h);
            let apart = (slope - here.tangent.column(k)).amax();
            let scale = here.tangent.amax();
            assert!(apart < 1e-7 * scale, "{what}: tangent column {k} off by {apart:e}");
        }
    }

    #[test]
    fn tangents_against_central_differences() {
        for seed in 0..60 {
            let mut sequence = Sequence(seed);
            let beam = sequence.beam(seed);
            let link = sequence.link();
            for relative in [1e-4, 0.03, 0.4] {
                let poses = sequence.poses(relative);
                let member = |p: &[Pose; 2]| beam.respond([&p[0], &p[1]], 0.7);
                assert_derivatives(member, &poses, &format!("member {seed}, {relative}"));
                let coupling = |p: &[Pose; 2]| link.respond([&p[0], &p[1]]);
                assert_derivatives(coupling, &poses, &format!("coupling {seed}, {relative}"));
            }
        }
    }

    /// Where nothing has moved the tangent is that of the linear link.
    #[test]
    fn starts_as_the_linear_element() {
        let mut frame = Frame::default();
        let mut sequence = Sequence(5);
        let a = frame.add_node("a", vector![1.0, 2.0, 3.0]);
        let b = frame.add_node("b", vector![12.0, -4.0, 9.0]);
        let moduli = Moduli {
            youngs: 1e4,
            shear: 4e3,
        };
        let profile = Profile::Prismatic(sequence.section());
        frame.add_member("m", [a, b], Vector3::y(), moduli, profile);
        frame.members[0].arms = [sequence.vector(3.0), sequence.vector(3.0)];
        let geometry = Geometry::of(&frame, &frame.members[0]).expect("sound");
        let linear = frame.members[0].link(&geometry).expect("sound").blocks();
        let beam = Beam::new(&frame.members[0], &geometry, Vector6::zeros()).expect("sound");
        let start = Pose::start();
        let tangent = beam.respond([&start, &start], 1.0).tangent;
        for (found, expected) in symmetric_blocks(&tangent).iter().zip(&linear) {
            assert!((found - expected).amax() < 1e-10 * expected.amax());
        }
    }

    /// `L/30 (2 θa² − θa θb + 2 θb²)` for a slender prismatic member.
    #[test]
    fn bowing_of_a_slender_member() {
        let mut frame = Frame::default();
        let a = frame.add_node("a", Vector3::zeros());
        let b = frame.add_node("b", vector![30.0, 0.0, 0.0]);
        let moduli = Moduli {
            youngs: 1e4,
            shear: 4e3,
        };
        let section = Section::circle(3.0, 0.3).without_shear();
        frame.add_member("m", [a, b], Vector3::z(), moduli, Profile::Prismatic(section));
        let geometry = Geometry::of(&frame, &frame.members[0]).expect("sound");
        let beam = Beam::new(&frame.members[0], &geometry, Vector6::zeros()).expect("sound");
        for (near, far) in [(2, 5), (3, 6)] {
            for (i, k, expected) in [(near, near, 4.0), (near, far, -1.0), (far, far, 4.0)] {
                assert!((beam.bowing[(i, k)] - expected).abs() < 1e-12);
            }
        }
    }
}
