//! Three-dimensional frames: nodes, members, couplings, supports, load cases, and their solution.
//!
//! Knows no anatomy. Everything is made of five things:
//!
//! ```text
//! node      a point with 3 displacements and 3 rotations
//! member    a 3D beam between two nodes, its ends joined to them by rigid arms
//! coupling  a law between two nodes, acting at a point that may lie off both: springs, contact, friction
//! support   fixed or sprung degrees of freedom of a node, in global axes
//! load      forces, moments, movements and stress-free strains, grouped in load cases
//! ```
//!
//! Global axes are right-handed; the six degrees of freedom of a node are
//! `ux uy uz rx ry rz` (mm and rad). A member's local `x` runs from its first to its
//! second end, local `z` leans towards `up`, and `y = z × x`.
//!
//! **Section forces** are the force and moment that act on the face looking towards
//! the second end, in local axes: `N` is positive in tension, and the stress at
//! `(y, z)` is `N/A + My z/Iy − Mz y/Iz` when the product moment is zero.
//!
//! ```
//! use clavibeam::frame::{Frame, LoadCase, Moduli, Profile, solve};
//! use clavibeam::section::Section;
//! use nalgebra::{Vector3, vector};
//!
//! let mut frame = Frame::default();
//! let root = frame.add_node("root", vector![0.0, 0.0, 0.0]);
//! let tip = frame.add_node("tip", vector![100.0, 0.0, 0.0]);
//! let titanium = Moduli { youngs: 105_000.0, shear: 39_179.0 };
//! let rod = Section::circle(3.0, 0.34).without_shear();
//! frame.add_member("rod", [root, tip], Vector3::z(), titanium, Profile::Prismatic(rod));
//! frame.fix(root);
//! let down = LoadCase::named("tip force").with_force(tip, vector![0.0, 0.0, -10.0]);
//!
//! let solution = solve(&frame, &[down]).expect("a cantilever holds its load");
//! // w = P L³ / (3 E I)
//! let deflection = -10.0 * 100.0_f64.powi(3) / (3.0 * 105_000.0 * rod.second_moment_y);
//! assert!((solution.cases[0].displacement(tip).z - deflection).abs() < 1e-9);
//! ```

mod assembly;
mod balance;
mod buckling;
mod contact;
mod corotational;
mod course;
mod determinate;
mod element;
mod envelope;
mod equations;
mod equilibrium;
mod error;
mod flexibility;
mod interior;
mod lanes;
mod law;
mod load_case;
mod mechanism;
mod member;
mod moved;
mod name;
mod order;
mod path;
mod profile;
mod quadrature;
mod rotation;
mod settling;
mod solution;
mod solve;
mod sound;
mod sparse;
mod tangent;
mod touch;

pub use buckling::{Buckling, LoadSense, buckle};
pub use contact::{Effort, Settled, Stage, settle, settle_each};
pub use envelope::{Envelope, Factor, Pivots};
pub use error::SolveError;
pub use law::{AxisLaw, Law, Status};
pub use load_case::{
    LoadAxes, LoadCase, MemberAction, MemberLoad, Movement, NodalLoad, Tightening,
};
pub use member::SectionForces;
pub use moved::Moved;
pub use name::Name;
pub use path::{Follow, LoadPath, PathEnd, PathOptions, PathState, follow_path};
pub use quadrature::lobatto;
pub use rotation::{rotation_matrix, rotation_vector};
pub use solution::{CaseSolution, Checks, Solution, TouchState};
pub use solve::{FRICTION_STEPS, Workspace, assemble, solve};
pub(crate) use sound::contradictory_stops;
pub use sparse::assemble_sparse;
pub use touch::{Shape, Touch};

use nalgebra::{Matrix3, Vector3};

use crate::material::Material;
use crate::section::Section;

/// Names of the six degrees of freedom of a node, in order.
pub const FREEDOM_NAMES: [&str; 6] = ["ux", "uy", "uz", "rx", "ry", "rz"];

/// A point with three displacements and three rotations.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Name for messages and results.
    pub name: Name,
    /// Position in global axes, mm.
    pub position: Vector3<f64>,
}

/// Elastic moduli of a member, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moduli {
    /// Young's modulus, MPa.
    pub youngs: f64,
    /// Shear modulus, MPa.
    pub shear: f64,
}

impl From<&Material> for Moduli {
    fn from(material: &Material) -> Self {
        Moduli {
            youngs: material.youngs_modulus,
            shear: material.shear_modulus,
        }
    }
}

/// How the section runs along a member.
#[derive(Debug, Clone, PartialEq)]
pub enum Profile {
    /// The same section throughout: the element is exact.
    Prismatic(Section),
    /// Sections at the [`lobatto`] points of the member, from its first to its second
    /// end, at least three: their flexibility follows the polynomial through those points. Three leave 4 %
    /// of the deflection at a diameter ratio of 2/3, four 0.1 %, five 2e-5.
    Varying(Vec<Section>),
}

/// A 3D beam between two nodes.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Name for messages and results.
    pub name: Name,
    /// The nodes it joins.
    pub nodes: [usize; 2],
    /// Rigid arms from each node to the member's end, global axes, mm.
    pub arms: [Vector3<f64>; 2],
    /// Local `z` leans this way; not along the member.
    pub up: Vector3<f64>,
    /// Elastic moduli.
    pub moduli: Moduli,
    /// Section along the member.
    pub profile: Profile,
}

/// A law between two nodes, acting on the relative motion of two bodies at one
/// point to which both are joined rigidly.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupling {
    /// Name for messages and results.
    pub name: Name,
    /// The nodes it joins.
    pub nodes: [usize; 2],
    /// Where it acts, global axes, mm.
    pub at: Vector3<f64>,
    /// Columns are its local axes in global components (orthonormal).
    pub axes: Matrix3<f64>,
    /// The law along its axes.
    pub law: Law,
}

/// Fixed or sprung degrees of freedom of a node, in global axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// The node.
    pub node: usize,
    /// Which degrees of freedom are held.
    pub fixed: [bool; 6],
    /// Springs to the ground: three in N/mm, three in N·mm/rad.
    pub springs: [f64; 6],
}

/// A structure: what there is, not what loads it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Frame {
    /// Nodes; others refer to them by index.
    pub nodes: Vec<Node>,
    /// Members.
    pub members: Vec<Member>,
    /// Couplings.
    pub couplings: Vec<Coupling>,
    /// Supports.
    pub supports: Vec<Support>,
}

impl Frame {
    /// Adds a node and returns its index.
    pub fn add_node(&mut self, name: impl Into<Name>, position: Vector3<f64>) -> usize {
        self.nodes.push(Node {
            name: name.into(),
            position,
        });
        self.nodes.len() - 1
    }

    /// Adds a member whose ends lie at its nodes and returns its index.
    pub fn add_member(
        &mut self,
        name: impl Into<Name>,
        nodes: [usize; 2],
        up: Vector3<f64>,
        moduli: Moduli,
        profile: Profile,
    ) -> usize {
        self.members.push(Member {
            name: name.into(),
            nodes,
            arms: [Vector3::zeros(); 2],
            up,
            moduli,
            profile,
        });
        self.members.len() - 1
    }

    /// Adds a coupling in global axes and returns its index.
    pub fn add_coupling(
        &mut self,
        name: impl Into<Name>,
        nodes: [usize; 2],
        at: Vector3<f64>,
        law: Law,
    ) -> usize {
        self.couplings.push(Coupling {
            name: name.into(),
            nodes,
            at,
            axes: Matrix3::identity(),
            law,
        });
        self.couplings.len() - 1
    }

    /// Holds all six degrees of freedom of a node.
    pub fn fix(&mut self, node: usize) {
        self.hold(node, [true; 6]);
    }

    /// Holds some degrees of freedom of a node.
    pub fn hold(&mut self, node: usize, fixed: [bool; 6]) {
        self.supports.push(Support {
            node,
            fixed,
            springs: [0.0; 6],
        });
    }

    /// Springs a node to the ground.
    pub fn spring(&mut self, node: usize, springs: [f64; 6]) {
        self.supports.push(Support {
            node,
            fixed: [false; 6],
            springs,
        });
    }

    /// Length of a member from end to end, mm.
    pub fn member_length(&self, member: usize) -> f64 {
        let member = &self.members[member];
        let [a, b] = [0, 1].map(|end| self.nodes[member.nodes[end]].position + member.arms[end]);
        (b - a).norm()
    }

    /// Whether each degree of freedom of each node is held by some support.
    pub(crate) fn held(&self) -> Vec<[bool; 6]> {
        equations::held(self.nodes.len(), &self.supports)
    }
}
