//! How contacts move under what they do, everything else being linear.
//!
//! With every contact as stiff as it was at some time, `T₀`, the frame has a stiffness matrix,
//! `K₀`. Where one is stiffer now, or does more, there is a force to add, `e`, which the frame
//! answers by
//!
//! ```text
//! δq = h − C δe     q   motions of contacts, coupling axes,   q = B u
//!                   h   where forces not balanced yet lead to,   B K₀⁻¹ r
//!                   C   flexibility,   B K₀⁻¹ Bᵀ
//! δe = f + D δq     f   what contacts do beyond e,   D = T − T₀
//! ```
//!
//! That leaves one equation for each freedom along which a contact has changed, whether `D` is
//! symmetric or not: `(1 + C D) δq = h − C f`. Columns of `C` are found when first asked for.
//!
//! Source: Sherman, Morrison & Woodbury (from memory).

use nalgebra::{DMatrix, DVector, Matrix6, Vector6};
use pulp::{Arch, NullaryFnOnce};

use super::balance::put_on_nodes;
use super::contact::Contact;
use super::envelope::{Envelope, Factor, Pivots};
use super::equations::Equations;
use super::lanes::{self, LANES, Lanes};

/// What a contact does that is not in the frame's linear equations.
pub(crate) struct Change {
    pub contact: usize,
    /// `f`.
    pub force: Vector6<f64>,
    /// `D`.
    pub stiffness: Matrix6<f64>,
}

/// A step of all contacts.
pub(crate) struct Step {
    /// `δq`.
    pub motions: Vec<Vector6<f64>>,
    /// `δe`.
    pub forces: Vec<Vector6<f64>>,
}

/// The equations of a frame and which of its couplings are contacts.
#[derive(Clone, Copy)]
pub(crate) struct Touching<'a> {
    pub equations: &'a Equations<'a>,
    pub contacts: &'a [Contact],
}

impl Touching<'_> {
    /// Relative motion of the bodies of each contact, coupling axes.
    pub fn motions<const N: usize>(self, displacements: &[Lanes<N>]) -> Vec<Lanes<N>> {
        let motion = |contact: &Contact| {
            let (link, coupling) = self.equations.coupled(contact.coupling);
            let motion = link.motions(displacements);
            lanes::turned(&coupling.axes.transpose(), &motion)
        };
        self.contacts.iter().map(motion).collect()
    }

    /// Takes a force of a contact, coupling axes, into what is unbalanced on the nodes, in the
    /// place of one case.
    fn load<const N: usize>(
        self,
        unbalanced: &mut [Lanes<N>],
        contact: usize,
        case: usize,
        force: &Vector6<f64>,
    ) {
        let (link, coupling) = self.equations.coupled(self.contacts[contact].coupling);
        let mut forces = lanes::nothing();
        lanes::put(
            std::slice::from_mut(&mut forces),
            case,
            &[coupling.to_global(force)],
        );
        put_on_nodes(unbalanced, link, &forces);
    }
}

/// Stiffness of each contact that has one, coupling axes.
pub(crate) type Stiffnesses = Vec<Option<Matrix6<f64>>>;

/// A frame whose contacts stay as stiff as they are.
pub(crate) struct Flexibility {
    /// `T₀`.
    pub stiffnesses: Stiffnesses,
    /// Of `K₀`, before it was raised where nothing holds it.
    pub pivots: Pivots,
    factor: Factor,
    /// Motions of all contacts under a unit force, `−C`: six columns for each contact.
    columns: Vec<Option<Vec<Lanes<1>>>>,
}

impl Flexibility {
    /// * `factor`: of `K₀`
    pub fn new(stiffnesses: Stiffnesses, factor: Factor, pivots: Pivots) -> Self {
        let columns = vec![None; 6 * stiffnesses.len()];
        Flexibility {
            stiffnesses,
            pivots,
            factor,
            columns,
        }
    }

    /// Its storage, for another matrix.
    pub fn into_storage(self) -> Envelope {
        self.factor.into_storage()
    }

    /// Displacements that unbalanced forces lead to.
    pub fn displacements(&self, equations: &Equations, unbalanced: &[Lanes<1>]) -> Vec<Lanes<1>> {
        equations.step(&self.factor, unbalanced)
    }

    /// Displacements that forces of contacts, coupling axes, lead to.
    pub fn pushed(&self, touching: Touching, forces: &[Vector6<f64>]) -> Vec<Lanes<1>> {
        let mut unbalanced = vec![lanes::nothing(); touching.equations.frame.nodes.len()];
        for (contact, force) in forces.iter().enumerate() {
            if *force != Vector6::zeros() {
                touching.load(&mut unbalanced, contact, 0, force);
            }
        }
        self.displacements(touching.equations, &unbalanced)
    }

    /// The step that contacts take together; where the equations have no solution, the one
    /// they would take if none had become stiffer.
    ///
    /// * `coming`: `h`
    pub fn step(
        &mut self,
        touching: Touching,
        coming: &[Vector6<f64>],
        changes: &[Change],
    ) -> Step {
        let freedoms = |which: fn(&Change, usize) -> bool| -> Vec<(&Change, usize)> {
            let all = changes.iter();
            all.flat_map(|change| {
                let freedoms = (0..6).filter(|&freedom| which(change, freedom));
                freedoms.map(move |freedom| (change, freedom))
            })
            .collect()
        };
        let changed = freedoms(|change, freedom| {
            let columns = &change.stiffness.data.0;
            let row = columns.iter().map(|column| column[freedom]);
            row.chain(columns[freedom]).any(|entry| entry != 0.0)
        });
        let pushing = freedoms(|change, freedom| change.force[freedom] != 0.0);
        self.find_columns(touching, pushing.iter().chain(&changed));

        let mut forces = vec![Vector6::zeros(); coming.len()];
        for change in changes {
            forces[change.contact] = change.force;
        }
        if let Some(motions) = self.solve(coming, &changed, &pushing) {
            for (&(change, freedom), motion) in changed.iter().zip(motions.iter()) {
                let stiffnesses = &change.stiffness.data.0[freedom];
                let forces = forces[change.contact].iter_mut().zip(stiffnesses);
                // Nothing of what is not a number is nothing.
                for (force, stiffness) in forces.filter(|(_, stiffness)| **stiffness != 0.0) {
                    *force += stiffness * motion;
                }
            }
        }
        let mut motions: Vec<Lanes<1>> = coming.iter().map(lanes::alike).collect();
        let mut pushes: Vec<(&[Lanes<1>], f64)> = Vec::new();
        for (contact, force) in forces.iter().enumerate() {
            let freedoms = (0..6).filter(|&freedom| force[freedom] != 0.0);
            pushes.extend(freedoms.map(|freedom| (self.column(contact, freedom), force[freedom])));
        }
        Arch::new().dispatch(Adding(&mut motions, &pushes));
        Step {
            motions: lanes::lane_of(&motions, 0),
            forces,
        }
    }

    /// `(1 + C D) δq = h − C f` along the freedoms in which contacts have changed.
    ///
    /// * `pushing`: freedoms along which there is a force, `f`
    fn solve(
        &self,
        coming: &[Vector6<f64>],
        changed: &[(&Change, usize)],
        pushing: &[(&Change, usize)],
    ) -> Option<DVector<f64>> {
        let count = changed.len();
        if count == 0 {
            return None;
        }
        let right = changed.iter().map(|&(Change { contact, .. }, freedom)| {
            let pushed = |&(by, along): &(&Change, usize)| {
                self.column(by.contact, along)[*contact][freedom][0] * by.force[along]
            };
            coming[*contact][freedom] + pushing.iter().map(pushed).sum::<f64>()
        });
        let right = DVector::from_iterator(count, right);
        let mut entries = vec![0.0; count * count];
        for (column, &(by, freedom)) in changed.iter().enumerate() {
            let entries = &mut entries[column * count..][..count];
            entries[column] = 1.0;
            let stiffnesses = by.stiffness.data.0[freedom].iter().enumerate();
            for (along, stiffness) in stiffnesses.filter(|(_, stiffness)| **stiffness != 0.0) {
                let answers = self.column(by.contact, along);
                for (entry, (at, freedom)) in entries.iter_mut().zip(changed) {
                    *entry -= answers[at.contact][*freedom][0] * stiffness;
                }
            }
        }
        DMatrix::from_vec(count, count, entries).lu().solve(&right)
    }

    /// Motions of all contacts under a unit force of one of them.
    fn column(&self, contact: usize, freedom: usize) -> &[Lanes<1>] {
        self.columns[6 * contact + freedom]
            .as_deref()
            .expect("columns are found before they are used")
    }

    fn find_columns<'c>(
        &mut self,
        touching: Touching,
        freedoms: impl Iterator<Item = &'c (&'c Change, usize)>,
    ) {
        let mut missing: Vec<(usize, usize)> = freedoms
            .map(|(change, freedom)| (change.contact, *freedom))
            .filter(|(contact, freedom)| self.columns[6 * contact + freedom].is_none())
            .collect();
        missing.sort_unstable();
        missing.dedup();
        for group in missing.chunks(LANES) {
            let mut unbalanced =
                vec![lanes::nothing::<LANES>(); touching.equations.frame.nodes.len()];
            for (case, &(contact, freedom)) in group.iter().enumerate() {
                touching.load(&mut unbalanced, contact, case, &Vector6::ith(freedom, 1.0));
            }
            let displacements = touching.equations.step(&self.factor, &unbalanced);
            let motions = touching.motions(&displacements);
            for (case, (contact, freedom)) in group.iter().enumerate() {
                self.columns[6 * contact + freedom] = Some(
                    motions
                        .iter()
                        .map(|motion| motion.map(|entries| [entries[case]]))
                        .collect(),
                );
            }
        }
    }
}

/// `motions += Σ column × force`, to be compiled for each kind of machine.
struct Adding<'a>(&'a mut [Lanes<1>], &'a [(&'a [Lanes<1>], f64)]);

impl NullaryFnOnce for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let motions = self.0.as_flattened_mut().as_flattened_mut();
        for (column, force) in self.1 {
            let column = column.as_flattened().as_flattened();
            for (motion, answer) in motions.iter_mut().zip(column) {
                *motion = answer.mul_add(*force, *motion);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{Rotation3, Vector3, vector};
    use rand::rngs::StdRng;
    use rand::{RngExt, SeedableRng};

    use super::*;
    use crate::frame::contact::Run;
    use crate::frame::equations::Kept;
    use crate::frame::touch::{Shape, Touch};
    use crate::frame::{Frame, Law, Moduli, Profile, assemble_sparse};
    use crate::section::Section;

    /// Two rods side by side, each held at one end, that touch at three places.
    fn rods() -> Frame {
        let mut frame = Frame::default();
        for (rod, held) in [0, 3].into_iter().enumerate() {
            let aside = rod as f64 * vector![1.0, 6.0, 3.0];
            let nodes = [0.0, 30.0, 55.0, 90.0].map(|x| {
                let place = aside + vector![x, 0.1 * x, 0.001 * x * x];
                frame.add_node("node", place)
            });
            let moduli = Moduli {
                youngs: 1e5,
                shear: 4e4,
            };
            for ends in nodes.windows(2) {
                let profile = Profile::Prismatic(Section::circle(3.0, 0.3));
                let ends = [ends[0], ends[1]];
                frame.add_member("member", ends, Vector3::z(), moduli, profile);
            }
            frame.fix(nodes[held]);
        }
        for place in 0..3 {
            let at = frame.nodes[place].position + vector![0.0, 2.0, 1.0];
            let axes = Rotation3::from_euler_angles(0.3, 0.2 * place as f64, -0.7);
            let law = Law::Touch(Touch {
                shape: Shape::Face { gap: 0.0 },
                stiffness: 0.0,
                friction: 0.0,
                shear_stiffness: 0.0,
            });
            let coupling = frame.add_coupling("contact", [place, place + 4], at, law);
            frame.couplings[coupling].axes = *axes.matrix();
        }
        frame
    }

    /// Second witness: the equations of the whole frame, dense. Tolerance 1e-9: rounding, the
    /// rods being 1e5 times as stiff along as across.
    #[test]
    fn contacts_step_as_the_whole_frame_does() {
        let frame = rods();
        let run = Run::with(&frame, &mut Kept::default(), 0);
        let mut run = run.unwrap_or_else(|error| panic!("{error}"));
        let mut chance = StdRng::seed_from_u64(5);
        let mut even = |size: f64| size * chance.random_range(-1.0..1.0);
        let half = Matrix6::from_fn(|_, _| even(30.0));
        let stiffnesses = vec![Some(half * half.transpose()), None, None];
        let (factor, pivots) = run.factor(&stiffnesses);
        let mut flexibility = Flexibility::new(stiffnesses, factor, pivots);
        // One has changed, one not symmetrically has come, one does no more than push.
        let mut stiffness = [
            Matrix6::from_fn(|_, _| even(200.0)),
            Matrix6::zeros(),
            Matrix6::zeros(),
        ];
        stiffness[1].fixed_view_mut::<2, 3>(1, 0).fill(150.0);
        let forces = [50.0, 0.0, 50.0].map(|size| Vector6::from_fn(|_, _| even(size)));
        let changes: Vec<Change> = (0..3)
            .map(|contact| Change {
                contact,
                force: forces[contact],
                stiffness: stiffness[contact],
            })
            .collect();

        let touching = Touching {
            equations: &run.equations,
            contacts: &run.contacts,
        };
        let count = 6 * frame.nodes.len();
        let mut linear = frame.clone();
        for (coupling, stiffness) in linear.couplings.iter_mut().zip(&flexibility.stiffnesses) {
            coupling.law = Law::Stiffness(Box::new(stiffness.unwrap_or_default()));
        }
        let dense = assemble_sparse(&linear).unwrap_or_else(|error| panic!("{error}"));
        let dense = DMatrix::from(&dense);
        let mut seen = DMatrix::zeros(18, count);
        for freedom in (0..count).filter(|at| !run.equations.held[at / 6][at % 6]) {
            let mut unit = vec![lanes::nothing::<1>(); frame.nodes.len()];
            unit[freedom / 6][freedom % 6][0] = 1.0;
            let motions = touching.motions(&unit);
            let column = motions.as_flattened().as_flattened();
            seen.column_mut(freedom).copy_from_slice(column);
        }
        let unbalanced =
            DVector::from_fn(count, |at, _| match run.equations.held[at / 6][at % 6] {
                true => 0.0,
                false => even(20.0),
            });
        let by_six = |motions: DVector<f64>| -> Vec<Vector6<f64>> {
            let motions = motions.as_slice().chunks_exact(6);
            motions.map(Vector6::from_column_slice).collect()
        };
        let solved = |matrix: &DMatrix<f64>, right: &DVector<f64>| {
            matrix.clone().lu().solve(right).expect("a held frame")
        };
        let coming = by_six(&seen * solved(&dense, &unbalanced));
        let step = flexibility.step(touching, &coming, &changes);

        let end_to_end = |forces: &[Vector6<f64>]| {
            DVector::from_iterator(18, forces.iter().flat_map(|force| force.iter().copied()))
        };
        let forces = end_to_end(&forces);
        let mut stiff = DMatrix::zeros(18, 18);
        for (contact, stiffness) in stiffness.iter().enumerate() {
            let at = 6 * contact;
            stiff.fixed_view_mut::<6, 6>(at, at).copy_from(stiffness);
        }
        let whole = &dense + seen.transpose() * &stiff * &seen;
        let moved = solved(&whole, &(&unbalanced - seen.transpose() * &forces));
        let expected = by_six(&seen * &moved);
        let pushing = by_six(&forces + &stiff * (&seen * &moved));
        let pushed = lanes::lane_of(&flexibility.pushed(touching, &step.forces), 0);
        let against = solved(&dense, &(seen.transpose() * end_to_end(&pushing)));
        let places = [
            (&step.motions, &expected),
            (&step.forces, &pushing),
            (&pushed, &by_six(-against)),
        ];
        for (is, should) in places {
            let size = should.iter().map(|v| v.amax()).fold(0.0, f64::max);
            for (is, should) in is.iter().zip(should) {
                assert!((is - should).amax() <= 1e-9 * size, "{is} {should}");
            }
        }

        // What is not a number stays none, and is no panic.
        let spoilt = flexibility.step(touching, &[Vector6::repeat(f64::NAN); 3], &changes);
        assert!(spoilt.motions[0][0].is_nan());
    }
}
