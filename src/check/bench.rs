//! What published tests and computations look at and `compare` does not print.

use serde::Deserialize;

use crate::anatomy::{BoneInputs, Clavicle, Preset};
use crate::case;
use crate::construct::{Construct, Mechanics, insertion};
use crate::device::{Device, Nail, NailShape};
use crate::material::Material;

/// How many times a bone drawn out is as long as its preset.
const DRAWN_OUT: f64 = 3.0;

/// A straight nail, titanium alloy, pushed around the curves of a preset.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NailAround {
    preset: String,
    diameter_mm: f64,
    /// Whether the bone is drawn out to three times its length, a hundred times as stiff, and
    /// lies flat: the plane of small slopes. Stress is given back for its own length.
    #[serde(default)]
    drawn_out: bool,
}

impl NailAround {
    pub(super) fn results(&self) -> Vec<(&'static str, f64)> {
        let own = preset(&self.preset).bone;
        let drawn_out = BoneInputs {
            length: DRAWN_OUT * own.length,
            superior_bow: 0.0,
            cortex: Material {
                youngs_modulus: 100.0 * own.cortex.youngs_modulus,
                ..own.cortex.clone()
            },
            ..own.clone()
        };
        let (bone, scale) = match self.drawn_out {
            true => (drawn_out, DRAWN_OUT * DRAWN_OUT),
            false => (own, 1.0),
        };
        let bone = Clavicle::new(&bone).expect("presets have a canal");
        let material = Material::named("ti-6al-7nb").expect("in the catalogue");
        let youngs = material.youngs_modulus;
        let nail = Device::Nail(Nail {
            diameter: self.diameter_mm,
            entry: 0.06,
            tip: 0.80,
            shape: NailShape::Straight,
            end_cap: false,
            material,
        });
        let Ok(Some(inserted)) = insertion(&nail, &bone) else {
            return Vec::new();
        };
        vec![(
            "surface_stress_mpa",
            youngs * inserted.surface_strain * scale,
        )]
    }
}

/// Two nails over a short oblique break in the middle of a man's bone, bent by three rollers.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NailsBent {
    span_mm: f64,
    force_n: f64,
    /// The first nail, and how far it reaches past the fracture.
    first: BentNail,
    second: BentNail,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BentNail {
    diameter_mm: f64,
    purchase_mm: f64,
}

impl NailsBent {
    pub(super) fn results(&self) -> Vec<(&'static str, f64)> {
        let stiffness = |nail| self.stiffness(nail);
        let Some([first, second]) = stiffness(&self.first)
            .zip(stiffness(&self.second))
            .map(<[_; 2]>::from)
        else {
            return Vec::new();
        };
        vec![("stiffness_of_first_over_second", first / second)]
    }

    /// Force over the mean deflection of both faces of the break, N/mm.
    fn stiffness(&self, bent: &BentNail) -> Option<f64> {
        let text = format!(
            "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n[fracture]\n\
             pattern = \"oblique\"\nobliquity_deg = 45\n[[construct]]\nname = \"nail\"\n\
             [construct.nail]\ndiameter_mm = {}\n[[activity]]\nname = \"bend\"\n\
             [activity.three_point]\nforce_n = {}\nspan_mm = {}\n",
            bent.diameter_mm, self.force_n, self.span_mm
        );
        let case = case::parse(&text, "check");
        let case = case.unwrap_or_else(|error| panic!("our own cases are sound, but: {error}"));
        let (bone, fracture) = (&case.clavicle, &case.fracture);
        let Device::Nail(nail) = &case.constructs[0].1 else {
            panic!("the construct is a nail");
        };
        let face = bone.arc_length(fracture.faces(bone)[1]);
        let nail = Device::Nail(Nail {
            tip: bone.fraction_at_arc_length(face + bent.purchase_mm),
            ..nail.clone()
        });
        let setups = case.activities[0].setups(&case.patient, bone, fracture.position);
        let broken = Some((fracture, &nail));
        let construct = Construct::new(bone, broken, &setups, Mechanics::Contact);
        let responses = construct.solve(&setups).ok()?;
        let faces = construct.faces.expect("it is broken");
        let down = faces.map(|(_, node)| -responses[0].motion(node).z / 2.0);
        Some(self.force_n / down.iter().sum::<f64>())
    }
}

fn preset(name: &str) -> Preset {
    Preset::named(name).expect("our own presets exist")
}
