//! What loads the bone: bench fixtures and shoulder activities.
//!
//! An [`Activity`] is what a person names; a [`Setup`] is what a model needs: where the
//! bone is held and what acts on it.
//!
//! In the living shoulder there are two kinds:
//!
//! ```text
//! raised arm        statics of the arm about the shoulder, a moment W l + m g h, scales published
//!                   section forces; how the bone is held does not enter (sternal end clamped)
//! strap, push on    the bone hangs on springs for its joints and ligaments, the shoulder blade on
//! shoulder blade    those of its muscles: `Holds::Joints`. Ligaments pull only.
//! ```
//!
//! Several at once are added, each held in its own way. `compare --plots` draws each as a free body;
//! one such figure is `plots/roof-tiler-comminuted/free-body.svg` of the repository. Left out: the
//! pull of muscles on the clavicle itself under strap and push, the weight of the hanging arm, and
//! that ligaments do not run straight up (the trapezoid, leaning outwards and back, would relieve the
//! acromioclavicular joint of part of a push from the side).

mod describe;
mod setup;
mod shoulder;
mod usual;

pub use setup::{Action, Hold, Holds, LigamentPlaces, Setup, stiffness_setups};
pub use shoulder::{ENVELOPE_FORCE, ENVELOPE_MOMENT, arm_scale};
pub use usual::{BY_THE_SURGEON, backpack_force, usual_set};

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
    /// The living shoulder: a raised arm, a strap, a push on the shoulder blade, at once where
    /// there are several.
    Shoulder {
        /// Raised arm, if any.
        arm: Option<Arm>,
        /// Strap over the shoulder, if any.
        strap: Option<Strap>,
        /// Push on the shoulder blade, if any.
        push: Option<Push>,
    },
    /// A bench fixture.
    Bench(Bench),
}

impl Loading {
    /// A raised arm by itself.
    pub fn arm(arm: Arm) -> Self {
        Loading::Shoulder {
            arm: Some(arm),
            strap: None,
            push: None,
        }
    }

    /// A strap by itself.
    pub fn strap(strap: Strap) -> Self {
        Loading::Shoulder {
            arm: None,
            strap: Some(strap),
            push: None,
        }
    }

    /// A push on the shoulder blade by itself.
    pub fn push(push: Push) -> Self {
        Loading::Shoulder {
            arm: None,
            strap: None,
            push: Some(push),
        }
    }
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

/// A push on the shoulder blade: from the arm, or from what one falls on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// Force upwards, N.
    pub up: f64,
    /// Force from the side, towards the breastbone, N.
    pub inward: f64,
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
