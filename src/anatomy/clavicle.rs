//! An intact clavicle: place, direction and section at any fraction of its length.

use std::sync::OnceLock;

use nalgebra::Vector3;

use super::bone::{BoneError, BoneInputs, Station};
use super::centre_line::CentreLine;
use super::spline::Pchip;
use crate::material::Material;
use crate::section::Section;

/// What osteoporosis leaves of the walls.
///
/// Assumption: the lower end of 0.70–0.75, from the fall of the cortical index with age (trend:
/// Kaur & Jit, *Am. J. Phys. Anthropol.* (1990), authors from memory).
const OSTEOPOROTIC_WALL: f64 = 0.70;
/// What osteoporosis leaves of the cortical moduli. Practice in models of the spine (from memory).
const OSTEOPOROTIC_CORTEX: f64 = 0.66;
/// What it leaves of the trabecular modulus. Practice in models of the spine (from memory).
const OSTEOPOROTIC_TRABECULAR: f64 = 0.34;

/// Poisson's ratio of trabecular bone. Common practice, no source.
const TRABECULAR_POISSON_RATIO: f64 = 0.3;

/// Steps of the scan that brackets a minimum along the bone: a tenth of the usual station
/// spacing or finer, over any stretch.
const SCAN_STEPS: usize = 128;

/// An intact right clavicle. Lengths in mm.
///
/// Places along it are fractions `ξ` in `0..=1` of the straight length from the sternal end.
/// Sections are hollow ellipses across the centre line, `width` antero-posterior along local
/// `y` and `depth` supero-inferior along local `z`, of even wall; sizes between stations are
/// interpolated without overshoot.
#[derive(Debug, Clone)]
pub struct Clavicle {
    made_of: BoneInputs,
    line: CentreLine,
    outer: Pchip<2>,
    wall: Pchip<1>,
    /// Fractions of the stations.
    stations: Vec<f64>,
    canal_zone: [f64; 2],
    cortex: Material,
    trabecular_modulus: f64,
    conoid: f64,
    trapezoid: f64,
    costoclavicular: f64,
    /// Filled when the first section is asked for: the torsion of a hollow ellipse has no
    /// closed form, so it is worked out at a few places only.
    shape_factors: OnceLock<ShapeFactors>,
}

impl Clavicle {
    /// Builds the bone.
    ///
    /// * `bone`: sizes, scales and moduli finite and greater than zero (curve depths and bow
    ///   only finite), checked by whoever reads them
    ///
    /// # Errors
    ///
    /// When the stations do not cover the bone, the walls close the canal, or no walls give
    /// the narrowest canal asked for.
    pub fn new(bone: &BoneInputs) -> Result<Self, BoneError> {
        let stations: Vec<f64> = bone.stations.iter().map(|s| s.fraction).collect();
        let covers = stations.len() >= 3
            && stations[0] == 0.0
            && stations[stations.len() - 1] == 1.0
            && stations.windows(2).all(|pair| pair[0] < pair[1]);
        if !covers {
            return Err(BoneError::Stations);
        }
        let outer = |station: &Station| station.outer.map(|size| size * bone.outer_scale);
        let outer = bone.stations.iter().map(outer).collect();
        let outer = Pchip::new(stations.clone(), outer);
        let walls = |factor: f64| {
            let walls = bone.stations.iter().map(|station| [station.wall * factor]);
            Pchip::new(stations.clone(), walls.collect())
        };
        let factor = wall_factor(bone, &outer, &walls(1.0))?;
        let wall = walls(factor);

        let (cortex_factor, trabecular_factor) = if bone.osteoporotic {
            (OSTEOPOROTIC_CORTEX, OSTEOPOROTIC_TRABECULAR)
        } else {
            (1.0, 1.0)
        };
        Ok(Clavicle {
            made_of: bone.clone(),
            line: CentreLine::new(bone),
            outer,
            wall,
            stations,
            canal_zone: bone.canal_zone,
            cortex: bone.cortex.clone().softened(cortex_factor),
            trabecular_modulus: bone.trabecular_modulus * trabecular_factor,
            conoid: 1.0 - bone.conoid_from_lateral_end / bone.length,
            trapezoid: 1.0 - bone.trapezoid_from_lateral_end / bone.length,
            costoclavicular: bone.costoclavicular,
            shape_factors: OnceLock::new(),
        })
    }

    /// What it was built from.
    pub(crate) fn made_of(&self) -> &BoneInputs {
        &self.made_of
    }

    /// Straight length from end to end.
    pub fn length(&self) -> f64 {
        self.line.length()
    }

    /// Point of the centre line.
    pub fn point(&self, fraction: f64) -> Vector3<f64> {
        self.line.point(fraction)
    }

    /// Unit tangent of the centre line, pointing laterally.
    pub fn tangent(&self, fraction: f64) -> Vector3<f64> {
        self.line.slope(fraction).normalize()
    }

    /// Curvature of the centre line, 1/mm: `|r′ × r″| / |r′|³`.
    pub fn curvature(&self, fraction: f64) -> f64 {
        let (first, second) = (self.line.slope(fraction), self.line.bend(fraction));
        first.cross(&second).norm() / first.norm().powi(3)
    }

    /// Local axes of the section: `x` the tangent, `z` the part of superior across it,
    /// `y = z × x`, roughly anterior.
    pub fn axes(&self, fraction: f64) -> [Vector3<f64>; 3] {
        let x = self.tangent(fraction);
        let z = (Vector3::z() - x * x.z).normalize();
        [x, z.cross(&x), z]
    }

    /// Length of the centre line from the sternal end to `fraction`.
    pub fn arc_length(&self, fraction: f64) -> f64 {
        self.line.arc_length(fraction)
    }

    /// The fraction at a length along the centre line: the inverse of [`Clavicle::arc_length`].
    pub fn fraction_at_arc_length(&self, arc_length: f64) -> f64 {
        self.line.fraction_at(arc_length)
    }

    /// Outer size, antero-posterior and supero-inferior.
    pub fn outer(&self, fraction: f64) -> [f64; 2] {
        self.outer.at(fraction)
    }

    /// Thickness of the cortex.
    pub fn wall(&self, fraction: f64) -> f64 {
        self.wall.at(fraction)[0]
    }

    /// Size inside the cortex, antero-posterior and supero-inferior, open or filled with
    /// trabecular bone.
    pub fn canal(&self, fraction: f64) -> [f64; 2] {
        let wall = self.wall(fraction);
        self.outer(fraction).map(|size| size - 2.0 * wall)
    }

    /// Fractions between which the canal is open.
    pub fn canal_zone(&self) -> [f64; 2] {
        self.canal_zone
    }

    /// Whether the canal is open here.
    pub fn has_canal(&self, fraction: f64) -> bool {
        (self.canal_zone[0]..=self.canal_zone[1]).contains(&fraction)
    }

    /// Where between two fractions the canal is narrowest, and the diameter of the largest
    /// circle it holds there.
    pub fn narrowest_canal(&self, from: f64, to: f64) -> (f64, f64) {
        minimum(from, to, |xi| {
            let [ap, si] = self.canal(xi);
            ap.min(si)
        })
    }

    /// Section of the bone in terms of its cortex.
    ///
    /// The open canal counts for nothing; where it is filled, the trabecular core is bonded
    /// and enters by the ratio of its moduli to the cortex's.
    pub fn section(&self, fraction: f64) -> Section {
        let [ap, si] = self.outer(fraction);
        let wall = self.wall(fraction);
        let nu = self.cortex.poisson_ratio;
        let solid = Section::ellipse(ap, si, nu);
        let hole = Section::ellipse(ap - 2.0 * wall, si - 2.0 * wall, nu);
        let factors = self
            .shape_factors
            .get_or_init(|| ShapeFactors::new(self))
            .at(fraction);
        let area = solid.area - hole.area;
        let tube = Section {
            area,
            second_moment_y: solid.second_moment_y - hole.second_moment_y,
            second_moment_z: solid.second_moment_z - hole.second_moment_z,
            torsion_constant: factors.torsion * (solid.torsion_constant - hole.torsion_constant),
            shear_area_y: factors.shear_y * area,
            shear_area_z: factors.shear_z * area,
            torsion_shear: factors.torsion_shear * solid.torsion_shear,
            ..solid
        };
        if self.has_canal(fraction) {
            return tube;
        }
        let core_shear_modulus = self.trabecular_modulus / (2.0 * (1.0 + TRABECULAR_POISSON_RATIO));
        tube.with_core(
            hole,
            self.trabecular_modulus / self.cortex.youngs_modulus,
            core_shear_modulus / self.cortex.shear_modulus,
        )
    }

    /// Distance from the centre line to the outer surface in a direction across the bone.
    ///
    /// * `direction`: of any length, not along the bone; only its part across the bone counts
    pub fn surface_distance(&self, fraction: f64, direction: Vector3<f64>) -> f64 {
        self.ellipse_radius(fraction, self.outer(fraction), direction)
    }

    /// Distance from the centre line to the inside of the cortex in a direction across the bone.
    ///
    /// * `direction`: as for [`Clavicle::surface_distance`]
    pub fn canal_half_width(&self, fraction: f64, direction: Vector3<f64>) -> f64 {
        self.ellipse_radius(fraction, self.canal(fraction), direction)
    }

    /// Fraction at the conoid ligament.
    pub fn conoid(&self) -> f64 {
        self.conoid
    }

    /// Fraction at the trapezoid ligament.
    pub fn trapezoid(&self) -> f64 {
        self.trapezoid
    }

    /// Fraction at the costoclavicular ligament.
    pub fn costoclavicular(&self) -> f64 {
        self.costoclavicular
    }

    /// Cortical bone.
    pub fn cortex(&self) -> &Material {
        &self.cortex
    }

    /// Young's modulus of trabecular bone, MPa.
    pub fn trabecular_modulus(&self) -> f64 {
        self.trabecular_modulus
    }

    /// `r = 1 / √((cos φ / a)² + (sin φ / b)²)` at the angle `φ` of `direction` from local `y`.
    fn ellipse_radius(&self, fraction: f64, [ap, si]: [f64; 2], direction: Vector3<f64>) -> f64 {
        let [_, y, z] = self.axes(fraction);
        let (across, up) = (direction.dot(&y), direction.dot(&z));
        across.hypot(up) / (2.0 * across / ap).hypot(2.0 * up / si)
    }
}

/// What a hollow ellipse keeps of the closed-form values of its outline and hole.
#[derive(Debug, Clone, Copy)]
struct ShapeFactor {
    /// Torsion constant over outline less hole.
    torsion: f64,
    /// Shear stress from torsion over that of the solid outline.
    torsion_shear: f64,
    /// Shear areas over the area.
    shear_y: f64,
    shear_z: f64,
}

/// Shape factors along the bone: smooth, so stations and the middles between them suffice.
#[derive(Debug, Clone)]
struct ShapeFactors(Pchip<4>);

impl ShapeFactors {
    fn new(bone: &Clavicle) -> Self {
        let middles = bone
            .stations
            .windows(2)
            .map(|pair| (pair[0] + pair[1]) / 2.0);
        let mut places: Vec<f64> = bone.stations.iter().copied().chain(middles).collect();
        places.sort_by(f64::total_cmp);
        let samples = places.iter().map(|&xi| Self::sample(bone, xi)).collect();
        ShapeFactors(Pchip::new(places, samples))
    }

    fn sample(bone: &Clavicle, fraction: f64) -> [f64; 4] {
        let [ap, si] = bone.outer(fraction);
        let [canal_ap, canal_si] = bone.canal(fraction);
        let nu = bone.cortex.poisson_ratio;
        let solid = Section::ellipse(ap, si, nu);
        let hole = Section::ellipse(canal_ap, canal_si, nu);
        let tube = Section::hollow_ellipse(ap, si, canal_ap, canal_si, nu);
        [
            tube.torsion_constant / (solid.torsion_constant - hole.torsion_constant),
            tube.torsion_shear / solid.torsion_shear,
            tube.shear_area_y / tube.area,
            tube.shear_area_z / tube.area,
        ]
    }

    fn at(&self, fraction: f64) -> ShapeFactor {
        let [torsion, torsion_shear, shear_y, shear_z] = self.0.at(fraction);
        ShapeFactor {
            torsion,
            torsion_shear,
            shear_y,
            shear_z,
        }
    }
}

/// The factor on all walls that the inputs ask for.
///
/// A canal of diameter `d` at the narrowest needs, with outer sizes `D` and walls `t`,
///
/// ```text
/// D - 2 f t ≥ d along the canal zone, with equality somewhere:  f = min (D - d) / (2 t)
/// ```
///
/// and a canal is left along the whole bone while `f < min D / (2 t)`.
fn wall_factor(bone: &BoneInputs, outer: &Pchip<2>, wall: &Pchip<1>) -> Result<f64, BoneError> {
    let least_outer = |xi: f64| outer.at(xi).into_iter().fold(f64::INFINITY, f64::min);
    let factor_for = |diameter: f64, [from, to]: [f64; 2]| {
        minimum(from, to, |xi| {
            (least_outer(xi) - diameter) / (2.0 * wall.at(xi)[0])
        })
    };
    let (closing_fraction, closing_factor) = factor_for(0.0, [0.0, 1.0]);

    if let Some(given) = bone.canal_min_diameter {
        let [from, to] = bone.canal_zone;
        let (_, factor) = factor_for(given, bone.canal_zone);
        if factor > 0.0 && factor < closing_factor {
            return Ok(factor);
        }
        let narrowest =
            |f: f64| minimum(from, to, |xi| least_outer(xi) - 2.0 * f * wall.at(xi)[0]).1;
        return Err(BoneError::CanalDiameter {
            given,
            above: narrowest(closing_factor),
            below: narrowest(0.0),
        });
    }
    let thinning = if bone.osteoporotic {
        OSTEOPOROTIC_WALL
    } else {
        1.0
    };
    let factor = bone.wall_scale * thinning;
    if factor < closing_factor {
        Ok(factor)
    } else {
        Err(BoneError::WallTooThick {
            fraction: closing_fraction,
            wall_factor_below: closing_factor / factor,
        })
    }
}

/// Place and value of the least of `f` on an interval: a scan, then golden-section search
/// beside the best point of the scan.
fn minimum(from: f64, to: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    let step = (to - from) / SCAN_STEPS as f64;
    let at = |i: usize| from + step * i as f64;
    let best = (0..=SCAN_STEPS)
        .min_by(|&i, &j| f(at(i)).total_cmp(&f(at(j))))
        .expect("the scan has points");
    let (mut low, mut high) = (at(best.saturating_sub(1)), at((best + 1).min(SCAN_STEPS)));
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    // Each round keeps 0.62 of the bracket: 32 leave 2e-7 of it, and the value, which is flat
    // there, right to rounding.
    for _ in 0..32 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if f(left) < f(right) {
            high = right;
        } else {
            low = left;
        }
    }
    // At a corner the scan may already hold the exact place.
    let middle = (low + high) / 2.0;
    let place = if f(middle) < f(at(best)) {
        middle
    } else {
        at(best)
    };
    (place, f(place))
}
