//! What loads the bone: bench fixtures and shoulder activities.
//!
//! An [`Activity`] is what a person names; a [`Setup`] is what a model needs: where the
//! bone is held and what acts on it.

mod describe;
mod setup;
mod shoulder;
mod usual;

pub use setup::{Action, Hold, Setup, stiffness_setups};
pub use shoulder::{ENVELOPE_FORCE, ENVELOPE_MOMENT, arm_scale};
pub use usual::{backpack_force, usual_set};

/// One loading the constructs are judged under.
#[derive(Debug, Clone, PartialEq)]
pub struct Activity {
    /// Name in tables.
    pub name: String,
    /// What acts.
    pub loading: Loading,
    /// How often and when, for the weeks after the operation; a load that is only looked at
    /// once has none.
    pub phases: Vec<Phase>,
}

/// A stretch of weeks in which an activity is done so often a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Phase {
    /// First and last, weeks since the operation.
    pub weeks: [f64; 2],
    /// Cycles a day.
    pub cycles_per_day: f64,
}

impl Phase {
    /// Cycles done in a stretch of time, weeks since the operation.
    pub fn cycles_within(&self, [from, to]: [f64; 2]) -> f64 {
        let weeks = to.min(self.weeks[1]) - from.max(self.weeks[0]);
        weeks.max(0.0) * 7.0 * self.cycles_per_day
    }
}

/// What acts on the clavicle in one activity. Forces N, moments N·mm, lengths mm, angles rad.
#[derive(Debug, Clone, PartialEq)]
pub enum Loading {
    /// The living shoulder: a raised arm, a strap, or both at once.
    Shoulder {
        /// Raised arm, if any.
        arm: Option<Arm>,
        /// Strap over the shoulder, if any.
        strap: Option<Strap>,
    },
    /// A bench fixture.
    Bench(Bench),
}

/// A raised arm with or without a weight in the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    /// Elevation of the arm from hanging, rad.
    pub elevation: f64,
    /// Mass in the hand, kg.
    pub hand_mass: f64,
}

/// A strap that presses down on the clavicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strap {
    /// Total force on the clavicle, N, downwards.
    pub force: f64,
    /// Middle of the strap, fraction of bone length.
    pub position: f64,
    /// Width of the strap along the bone, mm.
    pub width: f64,
}

/// A bench test. Bending is up–down (the load acts along −z).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bench {
    /// Compression along the line of the joint centres.
    Axial {
        /// Force, N.
        force: f64,
    },
    /// Torque about the line of the joint centres.
    Torsion {
        /// Torque, N·mm.
        torque: f64,
    },
    /// Sternal end held, force down at the acromial end.
    Cantilever {
        /// Force, N.
        force: f64,
    },
    /// Supports at both ends of the span, force down in the middle, centred on the fracture.
    ThreePoint {
        /// Total force, N.
        force: f64,
        /// Distance between the supports, mm.
        span: f64,
    },
    /// Two supports and two loads, centred on the fracture.
    FourPoint {
        /// Total force of both load points, N.
        force: f64,
        /// Distance between the supports, mm.
        span: f64,
        /// Distance between the load points, mm.
        inner_span: f64,
    },
}
