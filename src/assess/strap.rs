//! What a strap presses on: skin over bone, and skin over hardware that stands proud.
//!
//! The strap is looked at along itself, from front to back over the bone: a band without
//! stiffness of its own, pulled down on both sides, over a ridge with a soft layer.
//!
//! ```text
//!   y  front to back     z  up, from the top of the bone
//!   N v″ = −p            v  the strap,  N = T/b  its tension over its width
//!   p = k ⟨z₀ + s − v⟩   soft layer under it, pressed or off (no pull)
//!   z₀ = −y²/(2 R)       the ridge,  R = c T/F
//!   s  ≥ 0               what hardware stands over the ridge at y
//!   N v′ = ± F/(2 b)     at either end: the whole force F comes down through the band
//! ```
//!
//! Without hardware the band lies on the ridge over its depth `c` with `p = F/(b c)`, a little
//! less where the layer is soft and lets it spread beyond. A strip of height `h` and half
//! breadth `a` adds, as long as the band stays on beside it,
//!
//! ```text
//! Δp = k h (1 − e^(−2a/λ)) λ/(2a)    λ = √(N/k)      mean over the strip
//! ```
//!
//! and takes it from the bone beside it: `F`, the force on the clavicle, stays what the case
//! says. Hardware that lies below the ridge as the strap sees it from above is not touched.

use schemars::JsonSchema;
use serde::Serialize;

use super::prominence::ProudPart;
use crate::anatomy::Clavicle;
use crate::construct::plate_normal;
use crate::device::{Device, Plate};
use crate::load::{Activity, Loading, Strap};

/// What a strap presses on in one activity.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct StrapPressure {
    /// Name of the activity.
    pub activity: String,
    /// Force of the strap on each length of bone under it, N/mm.
    pub line_force_n_per_mm: f64,
    /// Pressure over the crest of bone without hardware, kPa.
    pub bone_pressure_kpa: f64,
    /// What it puts on hardware; absent when none that it touches stands proud under it.
    pub hardware: Option<HardwarePressure>,
}

/// What a strap puts on one proud part.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct HardwarePressure {
    /// The part.
    pub part: String,
    /// How far it stands out of the bone, mm.
    pub height_mm: f64,
    /// The most that it stands over the ridge the strap lies on, as the strap meets it, mm.
    pub above_ridge_mm: f64,
    /// Force on it for each length of bone under the strap, N/mm.
    pub line_force_n_per_mm: f64,
    /// Mean pressure over it, kPa.
    pub mean_pressure_kpa: f64,
    /// Largest pressure over it, kPa.
    pub peak_pressure_kpa: f64,
}

impl StrapPressure {
    /// Mean pressure where the strap presses hardest: on hardware, or on bone alone, kPa.
    pub fn pressure_kpa(&self) -> f64 {
        let hardware = self.hardware.as_ref().map(|h| h.mean_pressure_kpa);
        hardware.map_or(self.bone_pressure_kpa, |on| on.max(self.bone_pressure_kpa))
    }
}

/// Stiffness of the skin and fat under the strap, MPa/mm.
///
/// Assumption: a layer of 5 mm of modulus 0.1 MPa, right to a factor of three or so: 37 kPa,
/// the peak under a 30 kg pack, presses it in by 1.9 mm.
const SOFT_LAYER: f64 = 0.02;

/// Depth over which a strap lies on the bone and the soft parts beside it, from front to back,
/// mm. Assumption, as for the strap forces of the default activities.
const DEPTH: f64 = 30.0;

/// Share of what a shoulder carries that comes down on the clavicle.
///
/// Assumption: 40 %, range 20 to 60 %; no number was found.
const SHARE_ON_CLAVICLE: f64 = 0.40;

/// Pressure beyond which the blood flow of skin is said to suffer, kPa (30 mmHg).
///
/// Source: Macias et al., *J. Pediatr. Orthop.* (2008), authors and journal from memory.
pub(super) const SKIN_FLOW: f64 = 4.0;

/// The straps of a case on a construct.
pub(super) fn strap_pressures(
    activities: &[Activity],
    device: &Device,
    parts: &[ProudPart],
    clavicle: &Clavicle,
) -> Vec<StrapPressure> {
    activities
        .iter()
        .filter_map(|activity| match &activity.loading {
            Loading::Shoulder {
                strap: Some(strap), ..
            } => Some(strap_pressure(
                &activity.name,
                strap,
                device,
                parts,
                clavicle,
            )),
            _ => None,
        })
        .collect()
}

fn strap_pressure(
    activity: &str,
    strap: &Strap,
    device: &Device,
    parts: &[ProudPart],
    clavicle: &Clavicle,
) -> StrapPressure {
    let line_force = strap.force / strap.width;
    let band = Band::new(line_force);
    let half = strap.width / 2.0 / clavicle.length();
    let covered = [strap.position - half, strap.position + half];
    let hardware = parts
        .iter()
        .filter_map(|part| {
            let from = part.stretch[0].max(covered[0]);
            let to = part.stretch[1].min(covered[1]);
            (from < to).then(|| on_hardware(&band, part, device, clavicle, (from + to) / 2.0))?
        })
        .max_by(|a, b| a.mean_pressure_kpa.total_cmp(&b.mean_pressure_kpa));
    StrapPressure {
        activity: activity.to_owned(),
        line_force_n_per_mm: line_force,
        bone_pressure_kpa: KPA * band.crest_pressure(),
        hardware,
    }
}

const KPA: f64 = 1000.0;

/// The pressure on one part, if the band touches it.
fn on_hardware(
    band: &Band,
    part: &ProudPart,
    device: &Device,
    clavicle: &Clavicle,
    at: f64,
) -> Option<HardwarePressure> {
    let plate = part.plate.and_then(|index| device.plates().get(index));
    let outline = match plate {
        Some(plate) => plate_outline(plate, part, clavicle, at),
        // An end or a nut, taken to stand on top of the bone (the worst place for it).
        None => {
            let half = part.breadth_mm / 2.0;
            vec![[-half, part.height_mm], [half, part.height_mm]]
        }
    };
    let proud: Vec<f64> = band
        .places()
        .map(|y| (top(&outline, y) - band.ridge(y)).max(0.0))
        .collect();
    let pressure = band.pressure(&proud);
    let over = || proud.iter().zip(&pressure).filter(|(s, _)| **s > 0.0);
    let peak = over().map(|(_, p)| *p).fold(0.0, f64::max);
    let count = over().count();
    let sum: f64 = over().map(|(_, p)| p).sum();
    (peak > 0.0).then(|| HardwarePressure {
        part: part.name.clone(),
        height_mm: part.height_mm,
        above_ridge_mm: proud.iter().copied().fold(0.0, f64::max),
        line_force_n_per_mm: sum * STEP,
        mean_pressure_kpa: KPA * sum / count as f64,
        peak_pressure_kpa: KPA * peak,
    })
}

/// Corners of a plate or of a screw head on it, in the plane across the bone: `[y, z]`, `z` from
/// the top of the bone.
fn plate_outline(plate: &Plate, part: &ProudPart, clavicle: &Clavicle, at: f64) -> Vec<[f64; 2]> {
    let [_, anterior, superior] = clavicle.axes(at);
    let out = plate_normal(plate.surface, clavicle, at);
    let (y, z) = (out.dot(&anterior), out.dot(&superior));
    let bone = clavicle.surface_distance(at, out);
    let top_of_bone = clavicle.surface_distance(at, superior);
    let half = part.breadth_mm / 2.0;
    [
        (bone, -half),
        (bone, half),
        (bone + part.height_mm, half),
        (bone + part.height_mm, -half),
    ]
    .map(|(r, across)| [r * y + across * z, r * z - across * y - top_of_bone])
    .to_vec()
}

/// Highest point of a convex outline at `y`; below everything beside it.
fn top(corners: &[[f64; 2]], y: f64) -> f64 {
    let ends = |i: usize| (corners[i], corners[(i + 1) % corners.len()]);
    (0..corners.len())
        .map(ends)
        .filter_map(|([y1, z1], [y2, z2])| {
            let inside = (y1.min(y2)..=y1.max(y2)).contains(&y);
            let slope = (z2 - z1) / (y2 - y1);
            match (inside, slope.is_finite()) {
                (false, _) => None,
                (true, true) => Some(z1 + slope * (y - y1)),
                (true, false) => Some(z1.max(z2)),
            }
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

/// Distance between the places where the strap is looked at, mm, and how far they reach.
const STEP: f64 = 0.25;
const REACH: f64 = 45.0;

/// The strap over the ridge; see the head of this file.
struct Band {
    /// `F/b`, N/mm.
    line_force: f64,
    /// `N = T/b`, N/mm: `2 T` is what the shoulder carries.
    tension: f64,
    /// `R`, mm.
    radius: f64,
}

impl Band {
    fn new(line_force: f64) -> Self {
        let tension = line_force / (2.0 * SHARE_ON_CLAVICLE);
        Band {
            line_force,
            tension,
            radius: DEPTH * tension / line_force,
        }
    }

    fn places(&self) -> impl Iterator<Item = f64> {
        let steps = (REACH / STEP) as i32;
        (-steps..=steps).map(|i| f64::from(i) * STEP)
    }

    fn ridge(&self, y: f64) -> f64 {
        -y * y / (2.0 * self.radius)
    }

    /// Largest pressure without hardware, MPa.
    fn crest_pressure(&self) -> f64 {
        let bare = vec![0.0; self.places().count()];
        self.pressure(&bare).into_iter().fold(0.0, f64::max)
    }

    /// Pressure on the soft layer at every place, MPa: linear elements for the band, and of
    /// the layer what is pressed, until that no longer changes.
    fn pressure(&self, proud: &[f64]) -> Vec<f64> {
        const ROUNDS: usize = 100;
        let surface: Vec<f64> = self
            .places()
            .zip(proud)
            .map(|(y, s)| self.ridge(y) + s)
            .collect();
        let last = surface.len() - 1;
        let mut pressed = vec![true; surface.len()];
        let mut band = surface.clone();
        for _ in 0..ROUNDS {
            let link = self.tension / STEP;
            let bed: Vec<f64> = pressed
                .iter()
                .map(|&on| if on { SOFT_LAYER * STEP } else { 0.0 })
                .collect();
            let diagonal = bed.iter().enumerate().map(|(i, k)| {
                let links = if i == 0 || i == last { 1.0 } else { 2.0 };
                k + links * link
            });
            let load = bed.iter().zip(&surface).enumerate().map(|(i, (k, z))| {
                let pull = if i == 0 || i == last { 0.5 } else { 0.0 };
                k * z - pull * self.line_force
            });
            band = chain(diagonal.collect(), link, load.collect());
            let now: Vec<bool> = surface.iter().zip(&band).map(|(z, v)| z > v).collect();
            if now == pressed {
                break;
            }
            pressed = now;
        }
        surface
            .iter()
            .zip(&band)
            .map(|(z, v)| SOFT_LAYER * (z - v).max(0.0))
            .collect()
    }
}

/// Solves a symmetric tridiagonal set whose off-diagonals are all `−link`.
fn chain(mut diagonal: Vec<f64>, link: f64, mut load: Vec<f64>) -> Vec<f64> {
    for i in 1..load.len() {
        let factor = link / diagonal[i - 1];
        diagonal[i] -= factor * link;
        load[i] += factor * load[i - 1];
    }
    for i in (0..load.len()).rev() {
        let next = load.get(i + 1).map_or(0.0, |next| link * next);
        load[i] = (load[i] + next) / diagonal[i];
    }
    load
}

#[cfg(test)]
mod tests {
    use super::{Band, DEPTH, SOFT_LAYER, STEP};

    /// The whole force of the strap arrives on the layer, with hardware or without; and without
    /// it the pressure on the crest is force over depth, less the 12 % that a soft edge of
    /// `λ = 8` mm takes of 30 mm.
    #[test]
    fn pressure_carries_the_force_of_the_strap() {
        let band = Band::new(1.1);
        let strip = |y: f64| if y.abs() <= 5.0 { 3.0 } else { 0.0 };
        let proud: Vec<f64> = band.places().map(strip).collect();
        let bare = vec![0.0; proud.len()];
        for heights in [&bare, &proud] {
            let sum: f64 = band.pressure(heights).iter().sum::<f64>() * STEP;
            assert!((sum / 1.1 - 1.0).abs() < 1e-9, "{sum}");
        }
        let crest = band.crest_pressure() * DEPTH / 1.1;
        assert!((0.85..1.0).contains(&crest), "{crest}");
    }

    /// A low strip in the middle of a broad contact: the closed form at the head of the file.
    /// Tolerance 2 %: the edge of the contact is not infinitely far, and half a step at either edge of the strip.
    #[test]
    fn low_strip_against_its_closed_form() {
        let band = Band::new(1.1);
        let (height, half) = (0.5, 4.0);
        let strip = |y: f64| if y.abs() <= half { height } else { 0.0 };
        let proud: Vec<f64> = band.places().map(strip).collect();
        let with = band.pressure(&proud);
        let without = band.pressure(&vec![0.0; proud.len()]);
        let added: Vec<f64> = (0..proud.len())
            .filter(|&i| proud[i] > 0.0)
            .map(|i| with[i] - without[i])
            .collect();
        let mean = added.iter().sum::<f64>() / added.len() as f64;
        let lambda = (band.tension / SOFT_LAYER).sqrt();
        let half = half + STEP / 2.0;
        let expected =
            SOFT_LAYER * height * (1.0 - (-2.0 * half / lambda).exp()) * lambda / (2.0 * half);
        assert!((mean / expected - 1.0).abs() < 0.02, "{mean} {expected}");
    }
}
