//! Who the bone belongs to, and which of the two it is.

use nalgebra::Vector3;

use super::Joints;

/// Standard gravity, m/s², which turns kg into N.
///
/// Source: 3rd General Conference on Weights and Measures (1901), from memory.
pub(crate) const STANDARD_GRAVITY: f64 = 9.80665;

/// Centre of mass of the straight arm, as a fraction from shoulder centre to wrist.
///
/// Source: Dempster, via Winter, *Biomechanics and Motor Control of Human Movement*.
const ARM_CENTRE_OF_MASS: f64 = 0.53;

/// Upper arm and forearm as a fraction of standing height: 0.186 + 0.146.
///
/// Source: Drillis & Contini, via Winter (from memory).
const SHOULDER_TO_WRIST: f64 = 0.332;

/// Lever of a weight in the hand as a fraction of standing height.
///
/// Assumption: to the wrist 0.332, then a little short of half the hand (0.108).
const SHOULDER_TO_HAND: f64 = 0.36;

/// Which clavicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Right clavicle: the frame of reference.
    Right,
    /// Left clavicle: its mirror.
    Left,
}

impl Side {
    /// Carries a position, displacement or force between the right frame and this side's:
    /// `(-x, y, z)` for the left. Its own inverse.
    pub fn mirror(self, vector: Vector3<f64>) -> Vector3<f64> {
        match self {
            Side::Right => vector,
            Side::Left => Vector3::new(-vector.x, vector.y, vector.z),
        }
    }

    /// Carries a moment or rotation between the right frame and this side's: `(x, -y, -z)` for
    /// the left, since a mirror keeps the turn about its normal and reverses the others, so
    /// that `mirror_axial(r × f) = mirror(r) × mirror(f)`. Its own inverse.
    pub fn mirror_axial(self, vector: Vector3<f64>) -> Vector3<f64> {
        match self {
            Side::Right => vector,
            Side::Left => Vector3::new(vector.x, -vector.y, -vector.z),
        }
    }
}

/// Who the bone belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Patient {
    /// Name of the preset everything not given comes from.
    pub preset: String,
    /// Side.
    pub side: Side,
    /// Body mass, kg.
    pub body_mass: f64,
    /// Standing height, mm.
    pub stature: f64,
    /// Weight of one arm, N.
    pub arm_weight: f64,
    /// Width of a shoulder strap, mm.
    pub strap_width: f64,
    /// What ties the clavicle to the rest of the body.
    pub joints: Joints,
}

impl Patient {
    /// Moment of the straight arm's own weight about the shoulder, arm horizontal, N·mm.
    ///
    /// ```text
    /// M = 0.53 · 0.332 H · W
    /// ```
    ///
    /// Source: Dempster (0.53) and Drillis & Contini (0.332, from memory), both via Winter,
    /// *Biomechanics and Motor Control of Human Movement*; the presets' arm weights `W` after
    /// de Leva, *J. Biomech.* 29 (1996) 1223.
    pub fn shoulder_moment(&self) -> f64 {
        ARM_CENTRE_OF_MASS * SHOULDER_TO_WRIST * self.stature * self.arm_weight
    }

    /// Weight of the whole body, N.
    pub fn body_weight(&self) -> f64 {
        self.body_mass * STANDARD_GRAVITY
    }

    /// Lever of a weight in the hand about the shoulder, straight arm horizontal, mm: `0.36 H`.
    pub fn hand_lever(&self) -> f64 {
        SHOULDER_TO_HAND * self.stature
    }

    /// Moment of a mass held in the hand about the shoulder, straight arm horizontal, N·mm:
    /// `M = 0.36 H m g`.
    ///
    /// * `mass`: kg
    pub fn hand_moment(&self, mass: f64) -> f64 {
        self.hand_lever() * mass * STANDARD_GRAVITY
    }
}
