//! Load cases: what acts on a frame at one time.

use nalgebra::Vector3;

/// Loads, movements and stress-free strains that act together.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LoadCase {
    /// Name for results.
    pub name: String,
    /// Forces and moments on nodes.
    pub nodal: Vec<NodalLoad>,
    /// What acts along members.
    pub members: Vec<MemberLoad>,
    /// Prescribed movements of held degrees of freedom.
    pub movements: Vec<Movement>,
    /// Prescribed movements inside couplings.
    pub tightenings: Vec<Tightening>,
}

/// A force and a moment on a node, global axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NodalLoad {
    /// The node.
    pub node: usize,
    /// Force, N.
    pub force: Vector3<f64>,
    /// Moment, N·mm.
    pub moment: Vector3<f64>,
}

/// Something that acts along a member.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MemberLoad {
    /// The member.
    pub member: usize,
    /// What acts.
    pub action: MemberAction,
}

/// The axes in which a member's load is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadAxes {
    /// Global axes.
    Global,
    /// The member's local axes.
    Local,
}

/// Actions along a member; distances from its first end, mm, measured along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MemberAction {
    /// A force and a moment at one place.
    Point {
        /// Where, mm.
        at: f64,
        /// Force, N.
        force: Vector3<f64>,
        /// Moment, N·mm.
        moment: Vector3<f64>,
        /// Axes of both.
        axes: LoadAxes,
    },
    /// A force per length that varies linearly between two places.
    Line {
        /// Start and end of the loaded stretch, mm.
        stretch: [f64; 2],
        /// Force per length at its start and end, N/mm.
        force: [Vector3<f64>; 2],
        /// Axes of the force.
        axes: LoadAxes,
    },
    /// A strain and curvatures that the member would take without stress (heat,
    /// shrinkage, a bent-in shape), constant along it, local axes.
    StressFree {
        /// Axial strain.
        strain: f64,
        /// Curvature about local `y`, `dθy/dx`, 1/mm.
        curvature_y: f64,
        /// Curvature about local `z`, `dθz/dx`, 1/mm.
        curvature_z: f64,
    },
}

/// A prescribed movement of a held degree of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Movement {
    /// The node.
    pub node: usize,
    /// Index into [`FREEDOM_NAMES`](super::FREEDOM_NAMES).
    pub freedom: usize,
    /// How far, mm or rad.
    pub value: f64,
}

/// A prescribed movement inside a coupling: its law answers to the relative motion less
/// this travel, as when a nut is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightening {
    /// The coupling.
    pub coupling: usize,
    /// Its local axis: 0 to 2 along, 3 to 5 about `x`, `y`, `z`.
    pub axis: usize,
    /// How far, mm or rad; positive moves the second body ahead.
    pub travel: f64,
}

impl LoadCase {
    /// An empty load case.
    pub fn named(name: impl Into<String>) -> Self {
        LoadCase {
            name: name.into(),
            ..LoadCase::default()
        }
    }

    /// Adds a force on a node, N.
    pub fn with_force(self, node: usize, force: Vector3<f64>) -> Self {
        self.with_load(node, force, Vector3::zeros())
    }

    /// Adds a moment on a node, N·mm.
    pub fn with_moment(self, node: usize, moment: Vector3<f64>) -> Self {
        self.with_load(node, Vector3::zeros(), moment)
    }

    /// Adds a force and a moment on a node, N and N·mm.
    pub fn with_load(mut self, node: usize, force: Vector3<f64>, moment: Vector3<f64>) -> Self {
        self.nodal.push(NodalLoad {
            node,
            force,
            moment,
        });
        self
    }

    /// Adds an action along a member.
    pub fn with_action(mut self, member: usize, action: MemberAction) -> Self {
        self.members.push(MemberLoad { member, action });
        self
    }

    /// Adds a prescribed movement of a held degree of freedom.
    pub fn with_movement(mut self, node: usize, freedom: usize, value: f64) -> Self {
        self.movements.push(Movement {
            node,
            freedom,
            value,
        });
        self
    }

    /// Adds a prescribed movement inside a coupling.
    pub fn with_tightening(mut self, coupling: usize, axis: usize, travel: f64) -> Self {
        self.tightenings.push(Tightening {
            coupling,
            axis,
            travel,
        });
        self
    }

    /// The actions on one member.
    pub(crate) fn actions_on(&self, member: usize) -> impl Iterator<Item = &MemberAction> {
        self.members
            .iter()
            .filter(move |load| load.member == member)
            .map(|load| &load.action)
    }
}
