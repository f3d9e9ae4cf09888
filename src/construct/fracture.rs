//! The fracture: where the bone is broken, along what surface, and how its ends meet.

use std::f64::consts::TAU;

use nalgebra::Vector3;

use crate::anatomy::Clavicle;

/// How the bone is broken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pattern {
    /// A clean break across the bone.
    Transverse,
    /// A clean break along a sloping plane.
    Oblique(Slope),
    /// A gap with nothing in it that carries load.
    Comminuted,
}

/// How the plane of an oblique break slopes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Angle between the plane's normal and the bone's axis, rad; 0 is a transverse break.
    pub obliquity: f64,
    /// Which way it slopes.
    pub direction: SlopeDirection,
}

/// Where an oblique break begins and where it ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlopeDirection {
    /// From medial on top to lateral below.
    SuperomedialToInferolateral,
    /// From lateral on top to medial below.
    SuperolateralToInferomedial,
    /// From medial in front to lateral behind.
    AnteromedialToPosterolateral,
    /// From lateral in front to medial behind.
    AnterolateralToPosteromedial,
}

/// The fracture: a stretch of bone that is missing from the model.
///
/// The beams of the two fragments end at the gap in the middle of the break, also where its
/// plane slopes: points of a sloping face are carried by rigid arms from those ends, and where
/// the fragments overlap one whole section stands for the two parts of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fracture {
    /// Middle of the gap, fraction of bone length.
    pub position: f64,
    /// Pattern.
    pub pattern: Pattern,
    /// Length of the gap along the bone, mm.
    pub gap: f64,
    /// Friction coefficient of broken end on broken end.
    pub face_friction: f64,
    /// Shear force that the teeth of the whole break hold, pressed or not, N; 0 for smooth ends.
    pub interlock_shear: f64,
    /// Healing tissue that bridges the gap, if any.
    pub callus: Option<Callus>,
}

/// Healing tissue between and around the fragments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Callus {
    /// Young's modulus, MPa.
    pub youngs_modulus: f64,
    /// Outer diameter, mm.
    pub outer_diameter: f64,
}

impl Pattern {
    /// The pattern in a word.
    pub fn word(&self) -> &'static str {
        match self {
            Pattern::Transverse => "transverse",
            Pattern::Oblique(_) => "oblique",
            Pattern::Comminuted => "comminuted",
        }
    }
}

impl SlopeDirection {
    /// The direction in a word.
    pub fn word(self) -> &'static str {
        match self {
            SlopeDirection::SuperomedialToInferolateral => "superomedial-to-inferolateral",
            SlopeDirection::SuperolateralToInferomedial => "superolateral-to-inferomedial",
            SlopeDirection::AnteromedialToPosterolateral => "anteromedial-to-posterolateral",
            SlopeDirection::AnterolateralToPosteromedial => "anterolateral-to-posteromedial",
        }
    }
}

impl Fracture {
    /// The medial and the lateral face where they meet the centre line, fractions of bone length.
    pub fn faces(&self, clavicle: &Clavicle) -> [f64; 2] {
        let middle = clavicle.arc_length(self.position);
        [-0.5, 0.5].map(|side| clavicle.fraction_at_arc_length(middle + side * self.gap))
    }

    /// Angle between the normal of the faces and the bone's axis, rad.
    pub fn obliquity(&self) -> f64 {
        match self.pattern {
            Pattern::Oblique(slope) => slope.obliquity,
            Pattern::Transverse | Pattern::Comminuted => 0.0,
        }
    }

    /// Unit normal of the faces, pointing laterally.
    ///
    /// ```text
    /// n = t cos α + m sin α    m the side of the bone on which the plane lies medially
    /// ```
    pub fn normal(&self, clavicle: &Clavicle) -> Vector3<f64> {
        let [along, anterior, superior] = clavicle.axes(self.position);
        match self.pattern {
            Pattern::Transverse | Pattern::Comminuted => along,
            Pattern::Oblique(Slope {
                obliquity,
                direction,
            }) => {
                let medial_side = match direction {
                    SlopeDirection::SuperomedialToInferolateral => superior,
                    SlopeDirection::SuperolateralToInferomedial => -superior,
                    SlopeDirection::AnteromedialToPosterolateral => anterior,
                    SlopeDirection::AnterolateralToPosteromedial => -anterior,
                };
                along * obliquity.cos() + medial_side * obliquity.sin()
            }
        }
    }

    /// Where the plane of the break meets a line that runs along the bone beside its centre
    /// line, mm.
    ///
    /// * `angle`: around the centre line from anterior towards superior, rad
    /// * `distance`: from the centre line at a fraction of bone length in a direction, mm
    pub fn rim(
        &self,
        clavicle: &Clavicle,
        angle: f64,
        distance: impl Fn(f64, Vector3<f64>) -> f64,
    ) -> Vector3<f64> {
        let beside = |arc: f64| {
            let (at, out) = direction(clavicle, arc, angle);
            clavicle.point(at) + out * distance(at, out)
        };
        let [mut low, mut high] = self.stretch(clavicle);
        while high - low > 1e-9 {
            let arc = (low + high) / 2.0;
            match self.is_lateral(clavicle, beside(arc)) {
                true => high = arc,
                false => low = arc,
            }
        }
        beside((low + high) / 2.0)
    }

    /// Whether the plane of the break cuts through the bone on all sides: a steep one may run
    /// along a curved bone, or past its end.
    pub fn cuts_through(&self, clavicle: &Clavicle) -> bool {
        const SIDES: usize = 36;
        let [low, high] = self.stretch(clavicle);
        let lateral = |arc: f64, angle: f64| {
            let (at, out) = direction(clavicle, arc, angle);
            let surface = clavicle.point(at) + out * clavicle.surface_distance(at, out);
            self.is_lateral(clavicle, surface)
        };
        let sides = (0..SIDES).map(|side| TAU * side as f64 / SIDES as f64);
        let inside = low >= 0.0 && high <= clavicle.arc_length(1.0);
        let mut sides = sides.map(|angle| !lateral(low, angle) && lateral(high, angle));
        high == low || inside && sides.all(|cut| cut)
    }

    /// The stretch of bone length in which an oblique break may lie, fractions; the middle of
    /// the gap alone for others.
    pub fn overlap(&self, clavicle: &Clavicle) -> [f64; 2] {
        let stretch = self.stretch(clavicle);
        stretch.map(|arc| clavicle.fraction_at_arc_length(arc))
    }

    /// The stretch of centre line beside which the break lies, mm from the sternal end: twice
    /// what it would be on a straight bone leaves room for curve and taper.
    fn stretch(&self, clavicle: &Clavicle) -> [f64; 2] {
        let [ap, si] = clavicle.outer(self.position);
        let reach = ap.max(si) * self.obliquity().tan();
        [-1.0, 1.0].map(|side| clavicle.arc_length(self.position) + side * reach)
    }

    /// Whether a line straight through the bone passes from one fragment into the other.
    ///
    /// * `at`: where, fraction of bone length
    /// * `direction`: across the bone
    pub fn crosses(&self, clavicle: &Clavicle, at: f64, direction: Vector3<f64>) -> bool {
        let [one, other] = [direction, -direction].map(|out| {
            let surface = clavicle.point(at) + out * clavicle.surface_distance(at, out);
            self.is_lateral(clavicle, surface)
        });
        one != other
    }

    fn is_lateral(&self, clavicle: &Clavicle, point: Vector3<f64>) -> bool {
        (point - clavicle.point(self.position)).dot(&self.normal(clavicle)) > 0.0
    }
}

/// Fraction of bone length at a length along the centre line, mm, and the direction out of the
/// bone at an angle from anterior towards superior, rad.
fn direction(clavicle: &Clavicle, arc: f64, angle: f64) -> (f64, Vector3<f64>) {
    let at = clavicle.fraction_at_arc_length(arc);
    let [_, anterior, superior] = clavicle.axes(at);
    (at, anterior * angle.cos() + superior * angle.sin())
}
